//! PDF objects as bytes: the few lines of syntax an appended revision needs.

use lopdf::{Dictionary, Object, StringFormat};
use time::{OffsetDateTime, UtcOffset};

/// Writes an object in plain PDF syntax, dictionaries in their own order.
pub(super) fn write_object(out: &mut Vec<u8>, object: &Object) {
    match object {
        Object::Null => out.extend_from_slice(b"null"),
        Object::Boolean(value) => out.extend_from_slice(value.to_string().as_bytes()),
        Object::Integer(value) => out.extend_from_slice(value.to_string().as_bytes()),
        Object::Real(value) => out.extend_from_slice(value.to_string().as_bytes()),
        Object::Name(name) => write_name(out, name),
        Object::String(text, format) => write_string(out, text, *format),
        Object::Array(values) => write_array(out, values),
        Object::Dictionary(dictionary) => write_dictionary(out, dictionary),
        // Streams are never rewritten: an appended revision only touches dictionaries.
        Object::Stream(stream) => write_dictionary(out, &stream.dict),
        Object::Reference((number, generation)) => {
            out.extend_from_slice(format!("{number} {generation} R").as_bytes());
        }
    }
}

fn write_array(out: &mut Vec<u8>, values: &[Object]) {
    out.push(b'[');
    for (place, value) in values.iter().enumerate() {
        if place > 0 {
            out.push(b' ');
        }
        write_object(out, value);
    }
    out.push(b']');
}

pub(super) fn write_dictionary(out: &mut Vec<u8>, dictionary: &Dictionary) {
    out.extend_from_slice(b"<<");
    for (key, value) in dictionary {
        write_name(out, key);
        out.push(b' ');
        write_object(out, value);
    }
    out.extend_from_slice(b">>");
}

fn write_name(out: &mut Vec<u8>, name: &[u8]) {
    out.push(b'/');
    for &byte in name {
        if byte.is_ascii_alphanumeric() || b"._-+:".contains(&byte) {
            out.push(byte);
        } else {
            out.extend_from_slice(format!("#{byte:02X}").as_bytes());
        }
    }
}

fn write_string(out: &mut Vec<u8>, text: &[u8], format: StringFormat) {
    let plain = format == StringFormat::Literal
        && text.iter().all(|byte| (0x20..0x7F).contains(byte) && !b"()\\".contains(byte));
    if plain {
        out.push(b'(');
        out.extend_from_slice(text);
        out.push(b')');
    } else {
        out.push(b'<');
        out.extend_from_slice(lower_hex(text).as_bytes());
        out.push(b'>');
    }
}

pub(super) fn lower_hex(bytes: &[u8]) -> String {
    let halves = bytes.iter().flat_map(|byte| [byte >> 4, byte & 0x0F]);
    halves.filter_map(|half| char::from_digit(half.into(), 16)).collect()
}

/// A text string: ASCII as it is, anything else as UTF-16 with its mark.
pub(super) fn text_string(text: &str) -> Object {
    if text.bytes().all(|byte| (0x20..0x7F).contains(&byte)) {
        return Object::String(text.as_bytes().to_vec(), StringFormat::Literal);
    }
    let units = std::iter::once(0xFEFF).chain(text.encode_utf16());
    Object::String(units.flat_map(u16::to_be_bytes).collect(), StringFormat::Hexadecimal)
}

/// A text string read back.
pub(super) fn string_text(bytes: &[u8]) -> String {
    let Some(units) = bytes.strip_prefix(&[0xFE, 0xFF]) else {
        return String::from_utf8_lossy(bytes).into_owned();
    };
    let pairs = units.chunks_exact(2).filter_map(|pair| pair.try_into().ok());
    let units: Vec<u16> = pairs.map(u16::from_be_bytes).collect();
    String::from_utf16_lossy(&units)
}

/// A date string in UTC, to the second, or `None` before year 0 and after 9999.
pub(super) fn date_text(at: OffsetDateTime) -> Option<String> {
    let utc = at.to_offset(UtcOffset::UTC);
    (0..=9999).contains(&utc.year()).then(|| {
        format!(
            "D:{:04}{:02}{:02}{:02}{:02}{:02}Z",
            utc.year(),
            u8::from(utc.month()),
            utc.day(),
            utc.hour(),
            utc.minute(),
            utc.second()
        )
    })
}

/// Reads a date string exactly as [`date_text`] writes it.
pub(super) fn text_date(text: &str) -> Option<OffsetDateTime> {
    let format = time::macros::format_description!("[year][month][day][hour][minute][second]");
    let digits = text.strip_prefix("D:")?.strip_suffix('Z')?;
    time::PrimitiveDateTime::parse(digits, format).ok().map(time::PrimitiveDateTime::assume_utc)
}
