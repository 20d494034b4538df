//! Minus signs on every page: numbers that people read carry one, whatever the template printed.
//!
//! Only text between tags is touched. Attributes, form fields and code keep what machines and
//! scripts read.

use crate::domain::number::with_minus;

/// Elements whose inside is typed, copied or run, not read.
const AS_WRITTEN: [&str; 5] = ["textarea", "code", "pre", "script", "style"];

/// A whole page, as the templates wrote it.
pub(super) fn in_page(html: &str) -> String {
    let mut page = String::with_capacity(html.len() + html.len() / 64);
    let mut rest = html;
    while let Some((text, from_tag)) = rest.find('<').and_then(|at| rest.split_at_checked(at)) {
        page.push_str(&with_minus(text));
        let (kept, after) = from_tag.split_at(kept_len(from_tag));
        page.push_str(kept);
        rest = after;
    }
    page.push_str(&with_minus(rest));
    page
}

/// The bytes of a tag; of the whole element if its inside stays as written.
fn kept_len(from_tag: &str) -> usize {
    let tag = tag_len(from_tag);
    let name = from_tag.trim_start_matches('<');
    let inside = AS_WRITTEN.iter().find(|element| {
        let after = name.strip_prefix(**element);
        after.is_some_and(|after| !after.starts_with(|c: char| c.is_alphanumeric()))
    });
    let Some(element) = inside else { return tag };
    let end = format!("</{element}");
    from_tag.find(&end).unwrap_or(from_tag.len())
}

/// Up to and with the `>` that stands outside quotes.
fn tag_len(from_tag: &str) -> usize {
    let mut quoted = false;
    let end = from_tag.bytes().position(|byte| {
        quoted ^= byte == b'"';
        byte == b'>' && !quoted
    });
    end.map_or(from_tag.len(), |end| end + 1)
}
