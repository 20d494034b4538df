//! The sentences of papers and of the customer's page, by message id, in each language: Fluent files under
//! `templates/documents/lang`, one folder a language. A test holds them to the same ids and arguments.

use std::sync::LazyLock;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use serde_json::{Map, Value};

use crate::domain::paper_style::Language;

/// The files of a language; each language has the same.
const ENGLISH: [(&str, &str); 5] = [
    ("figures.ftl", include_str!("../../templates/documents/lang/en/figures.ftl")),
    ("papers.ftl", include_str!("../../templates/documents/lang/en/papers.ftl")),
    ("certificate.ftl", include_str!("../../templates/documents/lang/en/certificate.ftl")),
    ("handover.ftl", include_str!("../../templates/documents/lang/en/handover.ftl")),
    ("told.ftl", include_str!("../../templates/documents/lang/en/told.ftl")),
];
const GERMAN: [(&str, &str); 5] = [
    ("figures.ftl", include_str!("../../templates/documents/lang/de/figures.ftl")),
    ("papers.ftl", include_str!("../../templates/documents/lang/de/papers.ftl")),
    ("certificate.ftl", include_str!("../../templates/documents/lang/de/certificate.ftl")),
    ("handover.ftl", include_str!("../../templates/documents/lang/de/handover.ftl")),
    ("told.ftl", include_str!("../../templates/documents/lang/de/told.ftl")),
];

/// Name and text of each file, for whoever compares the languages.
pub fn files(language: Language) -> &'static [(&'static str, &'static str)] {
    match language {
        Language::English => &ENGLISH,
        Language::German => &GERMAN,
    }
}

/// All messages of one language.
pub struct Words {
    bundle: FluentBundle<FluentResource>,
    ids: Vec<String>,
}

static IN_ENGLISH: LazyLock<Words> = LazyLock::new(|| Words::of(Language::English));
static IN_GERMAN: LazyLock<Words> = LazyLock::new(|| Words::of(Language::German));

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Words").field("ids", &self.ids.len()).finish_non_exhaustive()
    }
}

impl Words {
    pub fn of_language(language: Language) -> &'static Self {
        match language {
            Language::English => &IN_ENGLISH,
            Language::German => &IN_GERMAN,
        }
    }

    fn of(language: Language) -> Self {
        let mut bundle =
            FluentBundle::new_concurrent(language.word().parse().into_iter().collect());
        // Papers print one direction at a time, and archival PDFs refuse characters that no font shows.
        bundle.set_use_isolating(false);
        let mut ids = Vec::new();
        for (name, text) in files(language) {
            // What cannot be read is left out and shows as its id; a test reads every file whole.
            let resource =
                FluentResource::try_new((*text).to_owned()).unwrap_or_else(|(part, why)| {
                    tracing::error!("{name} ({}): {why:?}", language.word());
                    part
                });
            ids.extend(message_ids(text).map(str::to_owned));
            if let Err(why) = bundle.add_resource(resource) {
                tracing::error!("{name} ({}): {why:?}", language.word());
            }
        }
        Self { bundle, ids }
    }

    /// A sentence without arguments. A message that is not there shows as its id.
    pub fn say(&self, id: &str) -> String {
        self.told(id, None)
    }

    pub fn with(&self, id: &str, args: &[(&str, &str)]) -> String {
        let args = args.iter().map(|(name, value)| (*name, FluentValue::from(*value)));
        self.told(id, Some(&args.collect()))
    }

    /// A message whose form follows its `$count`.
    pub fn counted(&self, id: &str, count: usize) -> String {
        let args = [("count", FluentValue::from(count))].into_iter().collect();
        self.told(id, Some(&args))
    }

    fn told(&self, id: &str, args: Option<&FluentArgs<'_>>) -> String {
        let Some(pattern) = self.bundle.get_message(id).and_then(|message| message.value()) else {
            return id.to_owned();
        };
        let mut faults = Vec::new();
        let text = self.bundle.format_pattern(pattern, args, &mut faults);
        text.into_owned()
    }

    /// Every message, as templates of papers read them: arguments stand as `{name}`.
    pub fn for_templates(&self) -> Map<String, Value> {
        self.ids.iter().map(|id| (id.clone(), Value::String(self.say(id)))).collect()
    }
}

/// The ids that a file defines, in its order.
pub fn message_ids(text: &str) -> impl Iterator<Item = &str> {
    text.lines().filter_map(|line| {
        let (id, _) = line.split_once(" =")?;
        let starts = id.starts_with(|c: char| c.is_ascii_lowercase());
        (starts && !id.contains(' ')).then_some(id)
    })
}
