//! What the customer's page shows: the handover, ready to print.

use askama::Template;

use crate::acts::handover::Content;
use crate::documents::drawing::colour_names;
use crate::documents::handover::HandoverPaper;
use crate::documents::voice::Voice;
use crate::domain::entry::Digest;
use crate::domain::wiring::colour_codes;
use crate::storage::workshops::Workshop;
use crate::web::form::{Field, Filled};
use crate::web::page::Frame;

/// A way to call or write to the workshop.
struct Way {
    href: String,
    words: String,
}

/// `RD, red`: the letters as they stand in the drawing, and what they mean.
fn colour_words(letters: &str, voice: &Voice) -> String {
    let names = colour_names(&colour_codes(letters), voice);
    if names.is_empty() { letters.to_owned() } else { format!("{letters}, {names}") }
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
    voice: Voice,
    paper: HandoverPaper,
    calls: Vec<Way>,
    drawings: Vec<Picture>,
    finished: Option<Picture>,
    photos: Vec<Picture>,
}

impl HandoverPage {
    pub(super) fn of(content: Content) -> Self {
        let Content { paper, photos, voice, .. } = content;
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
        Self {
            frame: Frame { workshop: name, ..Frame::bare(paper.title.clone()) },
            voice,
            calls: paper.call.iter().map(|line| Way::of(line)).collect(),
            drawings: drawings.collect(),
            finished: paper.finished_photo.and_then(|place| photos.get(place)).map(picture),
            photos: photos.iter().map(picture).collect(),
            paper,
        }
    }
}

/// What whoever scans a label sees: nothing about the customer.
#[derive(Template)]
#[template(path = "pages/roadside.html")]
pub(super) struct RoadsidePage {
    frame: Frame,
    voice: Voice,
    paper: HandoverPaper,
    calls: Vec<Way>,
    finished: Option<Picture>,
    check: String,
}

impl RoadsidePage {
    pub(super) fn of(content: Content) -> Self {
        let Content { certificate: row, paper, voice, .. } = content;
        let title = voice.say("safe");
        let frame = Frame { workshop: paper.workshop.name.clone(), ..Frame::bare(title) };
        let calls = paper.call.iter().map(|line| Way::of(line)).collect();
        let check = format!("/verify/{}/{}", row.number, row.code);
        Self { frame, voice, paper, calls, finished: None, check }
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
    voice: Voice,
    calls: Vec<Way>,
}

impl Paused {
    pub(super) fn of(workshop: Workshop) -> Self {
        let calls = workshop.call().iter().map(|line| Way::of(line)).collect();
        let voice = Voice::new(workshop.papers.style);
        let title = voice.say("title-handover");
        Self { frame: Frame { workshop: workshop.name, ..Frame::bare(title) }, voice, calls }
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
