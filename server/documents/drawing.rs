//! Drawings of figures, as SVG made on the server: for the page, and with its own colours for paper.
//!
//! Each drawing has a title and a description that are read aloud; the page puts a table beside it.
//! Shapes carry classes that `static/css/drawing.css` colours on pages and `on_paper.rs` on paper.
//! Nothing here decides anything.

use std::fmt::Write as _;

mod control_chart;
mod drop_path;
mod fastener_pattern;
mod fuse_curve;
mod limit_bar;
mod on_paper;
mod wiring;

pub use control_chart::{ChartWidth, control_chart};
pub use drop_path::drop_path;
pub use fastener_pattern::{fastener_pattern, fastener_pattern_on_paper};
pub use fuse_curve::{fuse_curve, fuse_curve_on_paper};
pub use limit_bar::limit_bar;
pub use on_paper::PaperDrawing;
pub use wiring::{CIRCUITS_DRAWN_MAX, CONDUCTOR_COLOURS, colour_names, wiring_on_paper};

/// A place in the drawing: to the right, downwards.
type Place = (f64, f64);

/// Which end of a word stands at its place.
#[derive(Clone, Copy)]
enum Anchor {
    Start,
    Middle,
    End,
}

/// Shapes on a ground of their own size.
struct Canvas {
    id: String,
    title: String,
    description: String,
    size: Place,
    shapes: String,
}

impl Canvas {
    /// `id` must be the drawing's own on its page.
    fn new(id: &str, title: &str, size: Place) -> Self {
        Self {
            id: id.to_owned(),
            title: title.to_owned(),
            description: String::new(),
            size,
            shapes: String::new(),
        }
    }

    fn line(&mut self, class: &str, from: Place, to: Place) {
        self.shape(format_args!(
            "<line class=\"drawing__{class}\" x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\"/>",
            from.0, from.1, to.0, to.1
        ));
    }

    /// A line through all places; closed and filled by its class if that is an area.
    fn polyline(&mut self, class: &str, places: &[Place]) {
        let points = listed(places);
        self.shape(format_args!("<polyline class=\"drawing__{class}\" points=\"{points}\"/>"));
    }

    fn area(&mut self, class: &str, places: &[Place]) {
        let points = listed(places);
        self.shape(format_args!("<polygon class=\"drawing__{class}\" points=\"{points}\"/>"));
    }

    fn rect(&mut self, class: &str, at: Place, size: Place) {
        self.shape(format_args!(
            "<rect class=\"drawing__{class}\" x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>",
            at.0, at.1, size.0, size.1
        ));
    }

    fn dot(&mut self, class: &str, at: Place, radius: f64) {
        self.shape(format_args!(
            "<circle class=\"drawing__{class}\" cx=\"{:.1}\" cy=\"{:.1}\" r=\"{radius:.1}\"/>",
            at.0, at.1
        ));
    }

    fn words(&mut self, class: &str, at: Place, anchor: Anchor, words: &str) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        self.shape(format_args!(
            "<text class=\"drawing__{class}\" x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"{anchor}\">{}</text>",
            at.0,
            at.1,
            escaped(words)
        ));
    }

    fn shape(&mut self, shape: std::fmt::Arguments<'_>) {
        // Writing to a string cannot fail.
        let _ = self.shapes.write_fmt(shape);
    }

    /// The drawing as it stands in a page.
    fn svg(&self) -> String {
        let (id, (width, height)) = (&self.id, self.size);
        format!(
            "<svg class=\"drawing\" viewBox=\"0 0 {width:.0} {height:.0}\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-desc\"><title id=\"{id}-title\">{}</title>\
             <desc id=\"{id}-desc\">{}</desc>{}</svg>",
            escaped(&self.title),
            escaped(&self.description),
            self.shapes
        )
    }
}

fn listed(places: &[Place]) -> String {
    let each: Vec<String> = places.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect();
    each.join(" ")
}

/// Text of a person, inert in SVG.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}
