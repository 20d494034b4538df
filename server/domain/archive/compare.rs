//! What a certificate's record says beside what the entries come to when they are judged anew.

use serde_json::Value;

/// The places where two records differ, each as a sentence. A key that only one of them has came with
/// another version of the program and is passed over; a list must have as many lines in both.
pub fn differences(certified: &Value, recomputed: &Value) -> Vec<String> {
    let mut found = Vec::new();
    walk("", certified, recomputed, &mut found);
    found
}

fn walk(place: &str, certified: &Value, recomputed: &Value, found: &mut Vec<String>) {
    match (certified, recomputed) {
        (Value::Object(left), Value::Object(right)) => {
            for (key, value) in left {
                if let Some(other) = right.get(key) {
                    let within =
                        if place.is_empty() { key.clone() } else { format!("{place}.{key}") };
                    walk(&within, value, other, found);
                }
            }
        }
        (Value::Array(left), Value::Array(right)) if left.len() == right.len() => {
            for (at, (value, other)) in left.iter().zip(right).enumerate() {
                walk(&format!("{place}[{}]", named(value, at)), value, other, found);
            }
        }
        (Value::Array(left), Value::Array(right)) => found.push(format!(
            "{place} has {} lines on the certificate and {} by the entries.",
            left.len(),
            right.len()
        )),
        _ if certified == recomputed => {}
        _ => found.push(format!(
            "{place} is {certified} on the certificate and {recomputed} by the entries."
        )),
    }
}

/// A step by its key, whatever has none by its place.
fn named(value: &Value, at: usize) -> String {
    let key = value.get("key").and_then(Value::as_str);
    key.map_or_else(|| (at + 1).to_string(), str::to_owned)
}
