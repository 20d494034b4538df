//! What the papers of a re-inspection say that others do not.

use crate::acts::job::JobFile;
use crate::documents::comparison::{AgainPaper, ComparisonLine};
use crate::domain::reinspection::{Comparison, Value};

pub(super) fn title(file: &JobFile) -> &'static str {
    match file.row.again {
        Some(_) => "Certificate of re-inspection and test",
        None => "Certificate of installation and test",
    }
}

pub(super) fn nature(file: &JobFile) -> &'static str {
    match file.row.again {
        Some(_) => "inspected again",
        None => "New installation",
    }
}

pub(super) fn extent(file: &JobFile) -> String {
    format!(
        "{} as it was fitted to this vehicle: looked over, its joints checked with the wrench, and every \
         measurement of its first certificate made again.",
        file.kit.title
    )
}

pub(in crate::acts) fn paper(file: &JobFile) -> Option<AgainPaper> {
    let words = file.again_words()?;
    Some(AgainPaper { words, lines: file.comparisons().iter().map(line).collect() })
}

fn line(compared: &Comparison) -> ComparisonLine {
    let words = |value: &Option<Value>| {
        value.as_ref().map_or_else(|| "–".to_owned(), |value| value.words.clone())
    };
    ComparisonLine {
        number: compared.number.to_string(),
        title: compared.title.clone(),
        first: words(&compared.first),
        first_on: compared.first.as_ref().map(|first| first.on.clone()).unwrap_or_default(),
        last: compared.last.as_ref().map(Value::dated),
        now: words(&compared.now),
        limit: compared.limit.clone(),
        word: compared.since_first.word().to_owned(),
        sentence: compared.detail(),
    }
}
