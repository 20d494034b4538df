//! How long the fuse may take and how long the cable stands it, both against the current.

use super::{Anchor, Canvas, PaperDrawing, Place};
use crate::domain::curves::FuseCurve;
use crate::domain::finding::three_digits;

const SIZE: Place = (360.0, 372.0);
const LEFT: f64 = 48.0;
const RIGHT: f64 = 350.0;
const TOP: f64 = 58.0;
const BOTTOM: f64 = 274.0;
/// Radius of a numbered mark.
const DISC: f64 = 8.0;
/// Figures on the current axis stand at least so far apart.
const WORDS_APART: f64 = 34.0;
/// The time axis, in powers of ten of a second.
const TIME_FROM: f64 = -2.0;
const TIME_TO: f64 = 5.0;
/// Beyond the last printed multiple the shortest time is none; the drawing ends here.
const SHORTEST_DRAWN_S: f64 = 0.01;

/// Both axes logarithmic: amperes to the right, seconds upwards.
struct Field {
    from: f64,
    to: f64,
}

impl Field {
    fn place(&self, current_a: f64, time_s: f64) -> Place {
        let across = (current_a.log10() - self.from) / (self.to - self.from);
        let up = (time_s.log10() - TIME_FROM) / (TIME_TO - TIME_FROM);
        let within = |fraction: f64| fraction.clamp(0.0, 1.0);
        (LEFT + within(across) * (RIGHT - LEFT), BOTTOM - within(up) * (BOTTOM - TOP))
    }

    fn x(&self, current_a: f64) -> f64 {
        self.place(current_a, 1.0).0
    }
}

/// The fuse's gate as a band, the cable's short-time limit as a line, the currents as marks.
pub fn fuse_curve(id: &str, curve: &FuseCurve) -> String {
    drawn(id, curve).svg()
}

/// The same for paper.
pub fn fuse_curve_on_paper(curve: &FuseCurve) -> PaperDrawing {
    drawn("fuse", curve).on_paper()
}

fn drawn(id: &str, curve: &FuseCurve) -> Canvas {
    let mut canvas = Canvas::new(id, "Fuse and cable: time against current", SIZE);
    canvas.description = described(curve);
    let field = Field {
        from: (curve.continuous_a.min(curve.rating_a) * 0.7).log10(),
        to: (curve.largest_a() * 1.4).log10(),
    };
    grid(&mut canvas, &field);
    gate(&mut canvas, &field, curve);
    let cable: Vec<Place> = curve.cable.iter().map(|(a, s)| field.place(*a, *s)).collect();
    canvas.polyline("cable", &cable);
    if let Some((x, y)) = cable.first() {
        let (to, anchor) =
            if *x > RIGHT - 90.0 { (x + 4.0, Anchor::End) } else { (x - 4.0, Anchor::Start) };
        canvas.words("cable-words", (to, y - 8.0), anchor, "cable harmed");
    }
    marks(&mut canvas, &field, curve);
    canvas
}

fn grid(canvas: &mut Canvas, field: &Field) {
    for (power, words) in [
        (-2, "10 ms"),
        (-1, "0.1 s"),
        (0, "1 s"),
        (1, "10 s"),
        (2, "2 min"),
        (3, "17 min"),
        (4, "3 h"),
        (5, "28 h"),
    ] {
        let y = field.place(1.0, 10_f64.powi(power)).1;
        canvas.line("grid", (LEFT, y), (RIGHT, y));
        canvas.words("small", (LEFT - 5.0, y + 4.0), Anchor::End, words);
    }
    let mut told = f64::NEG_INFINITY;
    for power in 0..5 {
        for step in [1.0, 2.0, 5.0] {
            let current = step * 10_f64.powi(power);
            if (field.from..=field.to).contains(&current.log10()) {
                let x = field.x(current);
                canvas.line("grid", (x, TOP), (x, BOTTOM));
                if x - told > WORDS_APART {
                    told = x;
                    let words = format!("{current:.0}");
                    canvas.words("small", (x, BOTTOM + 15.0), Anchor::Middle, &words);
                }
            }
        }
    }
    canvas.words("small", (RIGHT, BOTTOM + 31.0), Anchor::End, "current, A");
}

/// Between the shortest and the longest time, in steps: between two printed multiples the fuse may take
/// as long as at the smaller one, and be as quick as at the larger one.
fn gate(canvas: &mut Canvas, field: &Field, curve: &FuseCurve) {
    let closed: Vec<(f64, f64, f64)> = curve
        .gate
        .iter()
        .filter_map(|point| Some((point.current_a, point.shortest_s, point.longest_s?)))
        .collect();
    let Some((first, _, longest)) = closed.first().copied() else { return };
    let (mut upper, mut lower) = (Vec::new(), Vec::new());
    for pair in closed.windows(2) {
        let [(from, _, long), (to, short, _)] = pair else { continue };
        upper.extend([field.place(*from, *long), field.place(*to, *long)]);
        lower.extend([field.place(*from, *short), field.place(*to, *short)]);
    }
    if let Some((last, _, long)) = closed.last() {
        upper.extend([field.place(*last, *long), field.place(curve.largest_a() * 1.4, *long)]);
        lower.extend([
            field.place(*last, SHORTEST_DRAWN_S),
            field.place(curve.largest_a() * 1.4, SHORTEST_DRAWN_S),
        ]);
    }
    lower.reverse();
    upper.extend(lower);
    canvas.area("gate", &upper);
    let (x, y) = field.place(first, longest);
    canvas.words("gate-words", (x + 4.0, y - 6.0), Anchor::Start, "fuse opens");
}

/// Where each current of the plan stands: a number on the drawing, its words beneath.
fn marks(canvas: &mut Canvas, field: &Field, curve: &FuseCurve) {
    let (mut last, mut row) = (f64::NEG_INFINITY, 0_u8);
    for ((current, words), number) in curve.marks().into_iter().zip(1_u8..) {
        let x = field.x(current);
        // Neighbours that would touch stand one above the other.
        row = if x - last < DISC * 2.2 { (row + 1) % 3 } else { 0 };
        last = x;
        let y = TOP - DISC - 2.0 - f64::from(row) * DISC * 2.1;
        canvas.line("mark", (x, y), (x, BOTTOM));
        canvas.dot("disc", (x, y), DISC);
        canvas.words("disc-words", (x, y + 4.0), Anchor::Middle, &number.to_string());
        legend(canvas, number, &format!("{words} {} A", three_digits(current)));
    }
}

/// Two columns below the axis.
fn legend(canvas: &mut Canvas, number: u8, words: &str) {
    let (column, line) = ((number - 1) % 2, (number - 1) / 2);
    let x = 10.0 + f64::from(column) * 176.0;
    let y = BOTTOM + 50.0 + f64::from(line) * 20.0;
    canvas.dot("disc", (x, y - 4.0), DISC);
    canvas.words("disc-words", (x, y), Anchor::Middle, &number.to_string());
    canvas.words("small", (x + DISC + 5.0, y), Anchor::Start, words);
}

fn described(curve: &FuseCurve) -> String {
    let marks: Vec<String> = curve
        .marks()
        .into_iter()
        .map(|(current, words)| format!("{words} {} A", three_digits(current)))
        .collect();
    format!(
        "A fuse of {} A against the cable, times on a logarithmic scale. {}.",
        three_digits(curve.rating_a),
        marks.join(", ")
    )
}
