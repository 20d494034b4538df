//! What the customer's page shows: the handover, ready to print.

use std::sync::LazyLock;

use askama::Template;
use serde::Deserialize;

use crate::acts::handover::Content;
use crate::documents::handover::{HANDOVER_WORDS, HandoverPaper};
use crate::domain::entry::Digest;
use crate::domain::kit_check::colour_name;
use crate::domain::wiring::colour_codes;
use crate::storage::workshops::Workshop;
use crate::web::error::{WebError, ours};
use crate::web::form::{Field, Filled};
use crate::web::page::Frame;

/// The fixed sentences, the same as on paper.
#[derive(Debug, Deserialize)]
struct Words {
    call: String,
    find: String,
    find_short: String,
    find_lead: String,
    find_rules: Vec<(String, String)>,
    safe: String,
    safe_short: String,
    fire: String,
    fire_act: String,
    safe_lead: String,
    wiring: String,
    wiring_lead: String,
    circuits: String,
    terminals: String,
    watch: String,
    care: String,
    results: String,
    results_lead: String,
    comparison: String,
    comparison_lead: String,
    cautions: String,
    cautions_lead: String,
    concessions: String,
    photos: String,
    about: String,
    about_lines: Vec<String>,
}

static WORDS: LazyLock<Result<Words, serde_json::Error>> =
    LazyLock::new(|| serde_json::from_str(HANDOVER_WORDS));

/// A way to call or write to the workshop.
struct Way {
    href: String,
    words: String,
}

/// `RD, red`: the letters as they stand in the drawing, and what they mean.
fn colour_words(letters: &str) -> String {
    let codes = colour_codes(letters);
    let names: Vec<&str> = codes.iter().filter_map(|code| colour_name(code)).collect();
    if names.is_empty() { letters.to_owned() } else { format!("{letters}, {}", names.join("-")) }
}

/// A photo or a drawing.
struct Picture {
    href: String,
    caption: String,
    description: String,
}

#[derive(Template)]
#[template(path = "pages/handover.html")]
pub(super) struct HandoverPage {
    frame: Frame,
    words: &'static Words,
    paper: HandoverPaper,
    calls: Vec<Way>,
    drawings: Vec<Picture>,
    finished: Option<Picture>,
    photos: Vec<Picture>,
}

impl HandoverPage {
    pub(super) fn of(content: Content) -> Result<Self, WebError> {
        let Content { paper, photos, .. } = content;
        let words = WORDS.as_ref().map_err(ours)?;
        let picture = |(caption, digest): &(String, Digest)| Picture {
            href: format!("/handover/photos/{digest}"),
            caption: caption.clone(),
            description: caption.clone(),
        };
        let drawings = (1..).zip(&paper.wiring).map(|(part, drawing): (usize, _)| Picture {
            href: format!("/handover/wiring/{part}"),
            caption: drawing.caption.clone(),
            description: drawing.description.clone(),
        });
        let name = paper.workshop.name.clone();
        Ok(Self {
            frame: Frame { workshop: name, ..Frame::bare(paper.title.clone()) },
            words,
            calls: paper.call.iter().map(|line| Way::of(line)).collect(),
            drawings: drawings.collect(),
            finished: paper.finished_photo.and_then(|place| photos.get(place)).map(picture),
            photos: photos.iter().map(picture).collect(),
            paper,
        })
    }
}

/// What whoever scans a label sees: nothing about the customer.
#[derive(Template)]
#[template(path = "pages/roadside.html")]
pub(super) struct RoadsidePage {
    frame: Frame,
    words: &'static Words,
    paper: HandoverPaper,
    calls: Vec<Way>,
    finished: Option<Picture>,
    check: String,
}

impl RoadsidePage {
    pub(super) fn of(content: Content) -> Result<Self, WebError> {
        let paper = content.paper;
        let frame = Frame { workshop: paper.workshop.name.clone(), ..Frame::bare("Make it safe") };
        let calls = paper.call.iter().map(|line| Way::of(line)).collect();
        let words = WORDS.as_ref().map_err(ours)?;
        let row = content.certificate;
        let check = format!("/verify/{}/{}", row.number, row.code);
        Ok(Self { frame, words, paper, calls, finished: None, check })
    }
}

impl Way {
    /// A telephone number or an e-mail address, as somebody wrote it.
    fn of(line: &str) -> Self {
        let pieces = line.split(|c: char| !(c.is_ascii_digit() || "+-()/. ".contains(c)));
        let digits = |piece: &str| -> String {
            piece.chars().filter(|c| c.is_ascii_digit() || *c == '+').collect()
        };
        let number = pieces.map(digits).max_by_key(String::len).unwrap_or_default();
        let href = if line.contains('@') {
            format!("mailto:{}", crate::web::error::encode(line.trim()))
        } else {
            format!("tel:{number}")
        };
        Self { href, words: line.to_owned() }
    }
}

/// The certificate is withdrawn and no other was issued yet.
#[derive(Template)]
#[template(path = "pages/handover_paused.html")]
pub(super) struct Paused {
    frame: Frame,
    calls: Vec<Way>,
}

impl Paused {
    pub(super) fn of(workshop: Workshop) -> Self {
        let calls = workshop.call().iter().map(|line| Way::of(line)).collect();
        Self { frame: Frame { workshop: workshop.name, ..Frame::bare("Handover") }, calls }
    }
}

/// A link that shows nothing, whatever the reason.
#[derive(Template)]
#[template(path = "pages/link_ended.html")]
pub(super) struct LinkEnded {
    frame: Frame,
    number: Field,
}

impl LinkEnded {
    pub(super) fn new() -> Self {
        let number = Filled::default()
            .field("number", "Certificate number")
            .hint("Printed on the certificate: tells whether it is genuine and in force.");
        Self { frame: Frame::bare("Link ended"), number }
    }
}
