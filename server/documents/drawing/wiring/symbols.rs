//! Symbols of IEC 60617 as far as the wiring needs them, and conductors in their colours.

use crate::documents::drawing::{Anchor, Canvas, Place};
use crate::domain::wiring::colour_codes;

/// The paints of `templates/documents/terminals.typ`, by the letters of IEC 60757.
pub const CONDUCTOR_COLOURS: [(&str, &str); 12] = [
    ("BK", "#1c1c1c"),
    ("BN", "#6b3f1d"),
    ("RD", "#c4161c"),
    ("OG", "#e87a12"),
    ("YE", "#f2d21b"),
    ("GN", "#1c8a3c"),
    ("BU", "#1f5fb4"),
    ("VT", "#7a3a9a"),
    ("GY", "#8b8f8c"),
    ("WH", "#ffffff"),
    ("PK", "#ef9ab5"),
    ("TQ", "#2fb5b0"),
];

/// How far a box reaches beyond the conductors that end on it.
const RIM: f64 = 18.0;

/// A conductor, in ink with its colour inside; a second colour lies on it in dashes.
pub(super) fn wire(canvas: &mut Canvas, letters: &str, from: Place, to: Place) {
    canvas.line("wire", from, to);
    let paint = |code: &String| CONDUCTOR_COLOURS.iter().find(|(known, _)| known == code);
    let paints = colour_codes(letters);
    for (place, (_, paint)) in paints.iter().filter_map(paint).take(2).enumerate() {
        let dashes = if place == 0 { "" } else { " stroke-dasharray=\"9 9\"" };
        canvas.shape(format_args!(
            "<line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke=\"{paint}\" \
             stroke-width=\"3\"{dashes}/>",
            from.0, from.1, to.0, to.1
        ));
    }
}

/// A fuse: a rectangle with the conductor through it.
pub(super) fn fuse_link(canvas: &mut Canvas, at: Place) {
    canvas.rect("symbol", (at.0 - 24.0, at.1 - 8.0), (48.0, 16.0));
    canvas.line("axis", (at.0 - 24.0, at.1), (at.0 + 24.0, at.1));
}

/// The body of the vehicle: a bar with strokes falling from it.
pub(super) fn frame(canvas: &mut Canvas, at: Place) {
    let foot = at.1 + 10.0;
    canvas.line("axis", at, (at.0, foot));
    canvas.line("plate", (at.0 - 12.0, foot), (at.0 + 12.0, foot));
    for beside in [-11.0, 0.0, 11.0] {
        canvas.line("axis", (at.0 + beside, foot), (at.0 + beside - 6.0, foot + 8.0));
    }
}

pub(super) fn terminal(canvas: &mut Canvas, at: Place) {
    canvas.dot("symbol", at, 4.5);
}

/// A piece of equipment: a box that both conductors end on.
pub(super) fn equipment(canvas: &mut Canvas, (left, ends): (f64, (f64, f64)), width: f64) {
    let (top, height) = (ends.0 - RIM, ends.1 - ends.0 + 2.0 * RIM);
    canvas.rect("symbol", (left, top), (width, height));
}

/// Cells, long plates positive, between the two conductors.
pub(super) fn battery(canvas: &mut Canvas, x: f64, (out, back): (f64, f64)) {
    let first = f64::midpoint(out, back) - 9.0;
    canvas.line("axis", (x, out), (x, first));
    canvas.line("axis", (x, first + 18.0), (x, back));
    for cell in [0.0, 12.0] {
        canvas.line("axis", (x - 20.0, first + cell), (x + 20.0, first + cell));
        canvas.line("plate", (x - 10.0, first + cell + 6.0), (x + 10.0, first + cell + 6.0));
    }
    canvas.words("strong", (x - 34.0, first + 3.0), Anchor::Middle, "+");
    canvas.words("strong", (x - 34.0, first + 21.0), Anchor::Middle, "\u{2212}");
}

/// A solar module: a generator that light falls on.
pub(super) fn module(canvas: &mut Canvas, right: f64, (out, back): (f64, f64)) {
    let (left, width) = (right - 50.0, 50.0);
    canvas.rect("symbol", (left, out - 8.0), (width, back - out + 16.0));
    canvas.line("axis", (left, out - 8.0), (left + width / 2.0, out + 12.0));
    canvas.line("axis", (left + width, out - 8.0), (left + width / 2.0, out + 12.0));
    for down in [8.0, 24.0] {
        let (x, y) = (left - 6.0, out + down + 8.0);
        canvas.line("axis", (x - 20.0, y - 14.0), (x - 4.0, y - 3.0));
        canvas.area("head", &[(x, y), (x - 8.0, y - 1.0), (x - 3.0, y - 8.0)]);
    }
}
