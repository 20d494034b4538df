//! The wiring as fitted, one row a circuit, for paper: symbols of IEC 60617, conductors in their own
//! colour with its letters (IEC 60757) in words beside, so that a black-and-white print says the same.

mod symbols;

use super::{Anchor, Canvas, PaperDrawing};
use crate::documents::printable::printable;
use crate::documents::voice::{Voice, end, fuse_words};
use crate::domain::finding::three_digits;
use crate::domain::kit::{Purpose, Terminal};
use crate::domain::kit_check::colour_name;
use crate::domain::number::Decimal;
use crate::domain::plan::Back;
use crate::domain::wiring::{FittedFuse, WiredCircuit, colour_codes};
use crate::engineering::conductor::ConductorSize;
pub use symbols::CONDUCTOR_COLOURS;
use symbols::{battery, equipment, frame, fuse_link, module, terminal, wire};

/// Circuits of one drawing; more of them go on the next.
pub const CIRCUITS_DRAWN_MAX: usize = 6;

const WIDTH: f64 = 760.0;
const ROW: f64 = 124.0;
/// Where the conductors of a row lie, below its top.
const OUT: f64 = 52.0;
const BACK: f64 = 96.0;
/// Right edge of the source, middle of a battery, right edge of a module, middle of the fuse, middle of the words, left edge of what is fed.
const SOURCE: f64 = 112.0;
const BATTERY: f64 = 58.0;
const MODULE: f64 = 84.0;
const FUSE: f64 = 208.0;
const WORDS: f64 = 450.0;
const FED: f64 = 640.0;
const BOX_WIDTH: f64 = 108.0;
/// Where a way back by the body leaves the drawing.
const BODY: f64 = 584.0;
const TITLE_CHARS_MAX: usize = 72;
const LABEL_CHARS_MAX: usize = 12;

/// One drawing for each few circuits; none where there is no circuit.
pub fn wiring_on_paper(circuits: &[WiredCircuit<'_>], voice: &Voice) -> Vec<PaperDrawing> {
    let count = circuits.len().div_ceil(CIRCUITS_DRAWN_MAX);
    let parts = (1..).zip(circuits.chunks(CIRCUITS_DRAWN_MAX));
    parts
        .map(|(part, circuits)| {
            let title = if count > 1 {
                {
                    let args = [("part", &*part.to_string()), ("count", &count.to_string())];
                    voice.with("drawing-wiring-part", &args)
                }
            } else {
                voice.say("drawing-wiring")
            };
            drawn(&title, (part - 1) * CIRCUITS_DRAWN_MAX, circuits, voice)
        })
        .collect()
}

fn drawn(title: &str, before: usize, circuits: &[WiredCircuit<'_>], voice: &Voice) -> PaperDrawing {
    let mut described = Vec::new();
    let mut canvas = Canvas::new("wiring", title, (WIDTH, 0.0));
    for (number, circuit) in (before + 1..).zip(circuits) {
        let mut row = Row { canvas: &mut canvas, circuit, voice };
        row.draw(number);
        described.push(sentence(number, circuit, voice));
        canvas.size.1 += ROW;
    }
    canvas.description = described.join(" ");
    canvas.on_paper()
}

struct Row<'a> {
    canvas: &'a mut Canvas,
    circuit: &'a WiredCircuit<'a>,
    voice: &'a Voice,
}

impl Row<'_> {
    /// Below the rows that are there.
    fn draw(&mut self, number: usize) {
        let top = self.canvas.size.1;
        if top > 0.0 {
            self.canvas.line("grid", (0.0, top), (WIDTH, top));
        }
        let title = format!("{number}  {}", short(&self.circuit.kit.title, TITLE_CHARS_MAX));
        self.canvas.words("strong", (4.0, top + 19.0), Anchor::Start, &title);
        self.drop(top);
        self.conductors(top);
        if let Some(fuse) = self.circuit.fuse {
            self.fuse(top, fuse);
        }
        self.source(top);
        self.fed(top);
    }

    fn drop(&mut self, top: f64) {
        if let Some(drop) = self.circuit.drop {
            let volts = |volts| self.voice.figures(&format!("{} V", three_digits(volts)));
            let (lost, allowed) = (volts(drop.calculated.0), volts(drop.allowed.0));
            let words = self.voice.with("drawing-drop", &[("lost", &lost), ("allowed", &allowed)]);
            self.canvas.words("small", (WIDTH - 4.0, top + 19.0), Anchor::End, &words);
        }
    }

    fn conductors(&mut self, top: f64) {
        let run = self.circuit.run;
        let voice = self.voice;
        let cable = |terminal, length_m| cable_words(run.cable, terminal, length_m, voice);
        let (live, negative) = (self.circuit.live(), self.circuit.negative());
        let from = match self.circuit.kit.purpose {
            Purpose::Supply => BATTERY,
            Purpose::Solar => MODULE,
            Purpose::Sense | Purpose::Load => SOURCE,
        };
        wire(self.canvas, colour(live), (from, top + OUT), (FED, top + OUT));
        let words = cable(live, run.length_out_m);
        self.canvas.words("strong", (WORDS, top + OUT - 9.0), Anchor::Middle, &words);
        match run.back {
            Back::Cable { length_m } => {
                wire(self.canvas, colour(negative), (from, top + BACK), (FED, top + BACK));
                let words = voice.with("drawing-back", &[("words", &cable(negative, length_m))]);
                self.canvas.words("strong", (WORDS, top + BACK - 9.0), Anchor::Middle, &words);
            }
            Back::Chassis { .. } => {
                let at = |x: f64| (x, top + BACK);
                wire(self.canvas, colour(negative), at(BODY), at(FED));
                self.canvas.line("axis", at(from), at(FUSE - 40.0));
                frame(self.canvas, at(BODY));
                frame(self.canvas, at(FUSE - 40.0));
                let words = voice.say("drawing-by-body");
                self.canvas.words(
                    "small",
                    (WORDS - 80.0, top + BACK + 4.0),
                    Anchor::Middle,
                    &words,
                );
            }
        }
    }

    fn fuse(&mut self, top: f64, fuse: FittedFuse) {
        fuse_link(self.canvas, (FUSE, top + OUT));
        let rating = format!(
            "{}, {}",
            metric(fuse.rating_a, "A", self.voice),
            fuse_words(fuse.form, self.voice)
        );
        self.canvas.words("strong", (FUSE - 24.0, top + OUT - 13.0), Anchor::Start, &rating);
        let distance = metric(fuse.distance_mm, "mm", self.voice);
        let place = self.voice.with("drawing-from-source", &[("distance", &distance)]);
        self.canvas.words("small", (FUSE - 24.0, top + OUT + 22.0), Anchor::Start, &place);
    }

    fn source(&mut self, top: f64) {
        let ends = (top + OUT, top + BACK);
        match self.circuit.kit.purpose {
            Purpose::Supply => battery(self.canvas, BATTERY, ends),
            Purpose::Solar => module(self.canvas, MODULE, ends),
            Purpose::Sense => equipment(self.canvas, (SOURCE - BOX_WIDTH, ends), BOX_WIDTH),
            Purpose::Load => {
                equipment(self.canvas, (SOURCE - BOX_WIDTH, ends), BOX_WIDTH);
                self.terminals(top, SOURCE, (-10.0, Anchor::End));
            }
        }
        let below = matches!(self.circuit.kit.purpose, Purpose::Supply | Purpose::Solar);
        let at = (SOURCE - BOX_WIDTH / 2.0, if below { top + BACK + 20.0 } else { top + 78.0 });
        self.canvas.words("small", at, Anchor::Middle, &self.voice.say(end(self.circuit.from())));
    }

    fn fed(&mut self, top: f64) {
        equipment(self.canvas, (FED, (top + OUT, top + BACK)), BOX_WIDTH);
        let at = (FED + BOX_WIDTH / 2.0, top + 78.0);
        self.canvas.words("small", at, Anchor::Middle, &self.voice.say(end(self.circuit.to())));
        if self.circuit.kit.purpose != Purpose::Load {
            self.terminals(top, FED, (10.0, Anchor::Start));
        }
    }

    /// The gear's terminals on its edge, their labels inside.
    fn terminals(&mut self, top: f64, edge: f64, (beside, anchor): (f64, Anchor)) {
        let ends = [(self.circuit.live(), OUT), (self.circuit.negative(), BACK)];
        for (found, down) in ends {
            let Some(found) = found else { continue };
            terminal(self.canvas, (edge, top + down));
            let label = short(&found.label, LABEL_CHARS_MAX);
            self.canvas.words("strong", (edge + beside, top + down + 4.0), anchor, &label);
        }
    }
}

fn colour(terminal: Option<&Terminal>) -> &str {
    terminal.map_or("", |terminal| terminal.colour.as_str())
}

/// `RD, red` as ` RD red`, or nothing where no colour is known.
fn colour_words(terminal: Option<&Terminal>, voice: &Voice) -> String {
    let codes = colour_codes(colour(terminal));
    if codes.is_empty() {
        return String::new();
    }
    format!(" {} {}", codes.concat(), colour_names(&codes, voice)).trim_end().to_owned()
}

/// What the letters of IEC 60757 mean.
pub fn colour_names<C: AsRef<str>>(codes: &[C], voice: &Voice) -> String {
    let known = codes.iter().map(AsRef::as_ref).filter(|code| colour_name(code).is_some());
    let names = known.map(|code| voice.say(&format!("colour-{}", code.to_ascii_lowercase())));
    names.collect::<Vec<_>>().join("-")
}

fn metric(figure: Decimal, unit: &str, voice: &Voice) -> String {
    voice.figures(&format!("{} {unit}", figure.normalize()))
}

fn cable_words(
    size: ConductorSize,
    terminal: Option<&Terminal>,
    length_m: Decimal,
    voice: &Voice,
) -> String {
    let (size, colour) = (voice.figures(size.label()), colour_words(terminal, voice));
    format!("{size}{colour}, {}", metric(length_m, "m", voice))
}

fn sentence(number: usize, wired: &WiredCircuit<'_>, voice: &Voice) -> String {
    let run = wired.run;
    let fuse = wired.fuse.map_or_else(
        || voice.say("drawing-no-fuse"),
        |fuse| {
            let args = [
                ("rating", &*metric(fuse.rating_a, "A", voice)),
                ("form", &fuse_words(fuse.form, voice)),
                ("distance", &metric(fuse.distance_mm, "mm", voice)),
            ];
            voice.with("drawing-fuse", &args)
        },
    );
    let back = match run.back {
        Back::Cable { length_m } => {
            voice.with("drawing-back-cable", &[("length", &metric(length_m, "m", voice))])
        }
        Back::Chassis { .. } => voice.say("drawing-back-body"),
    };
    let args = [
        ("number", &*number.to_string()),
        ("circuit", &printable(&wired.kit.title)),
        ("from", &voice.say(&format!("{}-case", end(wired.from())))),
        ("to", &voice.say(&format!("{}-case", end(wired.to())))),
        ("fuse", &fuse),
        ("cable", &cable_words(run.cable, wired.live(), run.length_out_m, voice)),
        ("back", &back),
    ];
    voice.with("drawing-circuit", &args)
}

/// Printable, and cut where it would leave its place: the tables have the whole of it.
fn short(text: &str, chars_max: usize) -> String {
    let text = printable(text).replace('\n', " ");
    if text.chars().count() <= chars_max {
        return text;
    }
    let kept: String = text.chars().take(chars_max - 1).collect();
    format!("{}…", kept.trim_end())
}
