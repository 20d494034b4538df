//! A drawing for paper: the same shapes with their own colours and faces, whatever the screen shows.

use super::{Canvas, escaped};

/// The colours of `templates/documents/look.typ`, by the classes of `static/css/drawing.css`.
const STYLE: &str = "\
    .drawing__axis{stroke:#141c17;stroke-width:1.5}\
    .drawing__mark{stroke:#78857c;stroke-width:1;stroke-dasharray:2 3}\
    .drawing__grid{stroke:#c3cbc1;stroke-width:1}\
    .drawing__gate{fill:#f9e8c6;stroke:#7f4a00;stroke-width:1.5;stroke-linejoin:round}\
    .drawing__cable{fill:none;stroke:#b0141e;stroke-width:3}\
    .drawing__symbol{fill:#ffffff;stroke:#141c17;stroke-width:1.5}\
    .drawing__wire{stroke:#141c17;stroke-width:5}\
    .drawing__plate{stroke:#141c17;stroke-width:3.5}\
    .drawing__small{fill:#46534b}\
    .drawing__disc,.drawing__head{fill:#141c17}\
    .drawing__disc-worst{fill:#b0141e}\
    .drawing__arrow{stroke:#7f4a00;stroke-width:3}\
    .drawing__arrow-head{fill:#7f4a00}\
    .drawing__strong{fill:#141c17;font-weight:700}\
    .drawing__disc-words{fill:#ffffff;font-weight:700}\
    .drawing__gate-words{fill:#7f4a00;font-weight:700}\
    .drawing__cable-words{fill:#b0141e;font-weight:700}";
/// The text face of all papers.
const FACE: &str = "Atkinson Hyperlegible Next";

/// A drawing with what is read aloud in its place.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperDrawing {
    /// Stands below it.
    pub caption: String,
    /// Says what is to be seen.
    pub description: String,
    pub svg: String,
}

impl Canvas {
    pub(super) fn on_paper(&self) -> PaperDrawing {
        let (width, height) = self.size;
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width:.0} {height:.0}\" \
             font-family=\"{FACE}\" font-size=\"12\"><title>{}</title><style>{STYLE}</style>{}</svg>",
            escaped(&self.title),
            self.shapes
        );
        let description = format!("{}. {}", self.title, self.description);
        PaperDrawing { caption: self.title.clone(), description, svg }
    }
}
