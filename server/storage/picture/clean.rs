//! Whether a JPEG is a picture and nothing else, read marker by marker, so that it may be kept as it
//! came.
//!
//! Only what a decoder needs is let through: no Exif, no comment, no second picture, nothing behind the
//! end. A segment must be exactly as long as its own fields make it, so that nothing hides in its tail.
//!
//! Source: ITU-T T.81 (1992), annex B; JFIF 1.02; ICC.1:2010, annex B.4 (all from memory).

/// Segments that one picture may have: a picture in many passes has some dozens.
pub const SEGMENTS_MAX: usize = 256;

/// Why a JPEG is not kept as it came.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Unclean {
    #[error("it does not begin as a JPEG does")]
    NoStart,
    #[error("it ends before the picture does")]
    CutShort,
    #[error("something hangs behind the picture")]
    Trailing,
    /// The second byte of the marker.
    #[error("it carries a block that no picture needs (marker {0:02X})")]
    Foreign(u8),
    #[error("one of its blocks has another length than its fields")]
    Length,
    #[error("a second picture or profile is inside")]
    Second,
    #[error("its blocks stand in the wrong order")]
    Order,
    #[error("it has more than {SEGMENTS_MAX} blocks")]
    TooMany,
}

/// What the frame header says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Frame {
    pub width: u32,
    pub height: u32,
}

const START: u8 = 0xd8;
const END: u8 = 0xd9;
const SCAN: u8 = 0xda;

/// Walks along the whole file.
pub fn walk(bytes: &[u8]) -> Result<Frame, Unclean> {
    let mut rest = bytes.strip_prefix(&[0xff, START]).ok_or(Unclean::NoStart)?;
    let mut seen = Seen::default();
    for _ in 0..SEGMENTS_MAX {
        let (marker, after) = marker(rest)?;
        if marker == END {
            return seen.finished(after);
        }
        let (body, after) = segment(after)?;
        seen.take(marker, body)?;
        rest = if marker == SCAN { after_scan(after)? } else { after };
    }
    Err(Unclean::TooMany)
}

/// The marker that comes next, and what follows it. Fill bytes before it are not taken.
fn marker(bytes: &[u8]) -> Result<(u8, &[u8]), Unclean> {
    match bytes {
        [0xff, START, ..] => Err(Unclean::Second),
        // Without a length, and none of them starts anything here.
        [0xff, alone @ (0x00 | 0x01 | 0xd0..=0xd7 | 0xff), ..] => Err(Unclean::Foreign(*alone)),
        [0xff, marker, rest @ ..] => Ok((*marker, rest)),
        [] | [_] => Err(Unclean::CutShort),
        _ => Err(Unclean::Order),
    }
}

/// A segment's content, and what follows it. Its length counts its own two bytes.
fn segment(bytes: &[u8]) -> Result<(&[u8], &[u8]), Unclean> {
    let [high, low, rest @ ..] = bytes else { return Err(Unclean::CutShort) };
    let length = usize::from(u16::from_be_bytes([*high, *low]));
    let length = length.checked_sub(2).ok_or(Unclean::Length)?;
    rest.split_at_checked(length).ok_or(Unclean::CutShort)
}

/// What follows the coded pixels: everything up to a marker that is neither a stuffed byte nor a
/// restart.
fn after_scan(bytes: &[u8]) -> Result<&[u8], Unclean> {
    let ends = |pair: &[u8]| matches!(pair, [0xff, next] if !matches!(next, 0x00 | 0xd0..=0xd7));
    let at = bytes.windows(2).position(ends).ok_or(Unclean::CutShort)?;
    bytes.get(at..).ok_or(Unclean::CutShort)
}

/// What came so far.
#[derive(Debug, Default)]
struct Seen {
    frame: Option<Frame>,
    profile: bool,
    scan: bool,
}

impl Seen {
    fn take(&mut self, marker: u8, body: &[u8]) -> Result<(), Unclean> {
        match marker {
            0xe0 => self.before_frame(is_jfif(body)),
            0xe2 => {
                let second = std::mem::replace(&mut self.profile, true);
                if second { Err(Unclean::Second) } else { self.before_frame(is_profile(body)) }
            }
            0xee => self.before_frame(body.len() == 12 && body.starts_with(b"Adobe")),
            0xdb => exact(are_quantisers(body)),
            0xc4 => exact(are_codes(body)),
            0xdd => exact(body.len() == 2),
            0xc0..=0xc2 => self.take_frame(body),
            SCAN => self.take_scan(body),
            other => Err(Unclean::Foreign(other)),
        }
    }

    /// Blocks about the whole picture stand before it.
    fn before_frame(&self, sound: bool) -> Result<(), Unclean> {
        if self.frame.is_some() { Err(Unclean::Order) } else { exact(sound) }
    }

    fn take_frame(&mut self, body: &[u8]) -> Result<(), Unclean> {
        let [_, h1, h0, w1, w0, components, rest @ ..] = body else {
            return Err(Unclean::Length);
        };
        exact(matches!(components, 1..=4) && rest.len() == 3 * usize::from(*components))?;
        let side = |high, low| u32::from(u16::from_be_bytes([high, low]));
        let frame = Frame { width: side(*w1, *w0), height: side(*h1, *h0) };
        if self.frame.replace(frame).is_some() { Err(Unclean::Second) } else { Ok(()) }
    }

    fn take_scan(&mut self, body: &[u8]) -> Result<(), Unclean> {
        if self.frame.is_none() {
            return Err(Unclean::Order);
        }
        self.scan = true;
        let [components, rest @ ..] = body else { return Err(Unclean::Length) };
        exact(matches!(components, 1..=4) && rest.len() == 3 + 2 * usize::from(*components))
    }

    fn finished(self, after: &[u8]) -> Result<Frame, Unclean> {
        if !after.is_empty() {
            return Err(Unclean::Trailing);
        }
        self.frame.filter(|_| self.scan).ok_or(Unclean::CutShort)
    }
}

fn exact(sound: bool) -> Result<(), Unclean> {
    if sound { Ok(()) } else { Err(Unclean::Length) }
}

/// A header of JFIF without the small picture that it may carry.
fn is_jfif(body: &[u8]) -> bool {
    body.len() == 14 && body.starts_with(b"JFIF\0") && body.ends_with(&[0, 0])
}

/// A colour profile in one piece.
fn is_profile(body: &[u8]) -> bool {
    body.starts_with(b"ICC_PROFILE\0\x01\x01")
}

/// Tables of 64 values, of one or two bytes each.
fn are_quantisers(mut body: &[u8]) -> bool {
    while let [kind, rest @ ..] = body {
        let length = if kind >> 4 == 0 { 64 } else { 128 };
        let Some((_, after)) = rest.split_at_checked(length) else { return false };
        body = after;
    }
    true
}

/// Code tables: how many codes of each length, then their values.
fn are_codes(mut body: &[u8]) -> bool {
    while let [_, rest @ ..] = body {
        let Some((counts, values)) = rest.split_at_checked(16) else { return false };
        let count = counts.iter().map(|count| usize::from(*count)).sum();
        let Some((_, after)) = values.split_at_checked(count) else { return false };
        body = after;
    }
    true
}
