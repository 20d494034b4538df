//! All values of a document as plain texts under their dotted paths, for prefilling a form.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::syntax;

/// Paths and values in the order of the document; as many as can be read, without judging them.
pub fn leaves(text: &str) -> Vec<(String, String)> {
    if syntax::unreadable(text).is_some() {
        return Vec::new();
    }
    let (table, _) = DeTable::parse_recoverable(text);
    let mut found = Vec::new();
    gather(table.get_ref(), "", &mut found);
    found.sort_by_key(|(start, _, _)| *start);
    found.into_iter().map(|(_, path, value)| (path, value)).collect()
}

fn gather(table: &DeTable<'_>, prefix: &str, found: &mut Vec<(usize, String, String)>) {
    for (key, value) in table {
        let path = match prefix {
            "" => key.get_ref().to_string(),
            prefix => format!("{prefix}.{}", key.get_ref()),
        };
        match value.get_ref() {
            DeValue::Table(inner) => gather(inner, &path, found),
            _ => found.extend(plain(value).map(|text| (key.span().start, path, text))),
        }
    }
}

/// The value as it would be typed; a list has no such form.
fn plain(value: &Spanned<DeValue<'_>>) -> Option<String> {
    match value.get_ref() {
        DeValue::String(text) => Some(text.to_string()),
        DeValue::Integer(whole) => Some(whole.to_string()),
        DeValue::Float(float) => Some(float.to_string()),
        DeValue::Boolean(flag) => Some(flag.to_string()),
        DeValue::Datetime(moment) => Some(moment.to_string()),
        DeValue::Array(_) | DeValue::Table(_) => None,
    }
}
