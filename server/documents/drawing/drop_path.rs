//! Where along the path the voltage is lost.

use super::{Anchor, Canvas, Place};
use crate::domain::curves::DropPath;
use crate::domain::finding::three_digits;

const SIZE: Place = (360.0, 224.0);
const LEFT: f64 = 44.0;
const RIGHT: f64 = 348.0;
const TOP: f64 = 18.0;
const BOTTOM: f64 = 184.0;

/// Voltage lost against the way, from the source to the gear and back.
pub fn drop_path(id: &str, path: &DropPath) -> String {
    let mut canvas = Canvas::new(id, "Voltage lost along the path", SIZE);
    canvas.description = described(path);
    let most = path.lost_v().max(path.allowed_v) * 1.12;
    let whole = path.length_m().max(0.1);
    let place = |metres: f64, lost: f64| {
        (LEFT + metres / whole * (RIGHT - LEFT), BOTTOM - lost / most * (BOTTOM - TOP))
    };
    axes(&mut canvas, path, &place);
    let mut line = vec![place(0.0, 0.0)];
    let (mut metres, mut lost) = (0.0, 0.0);
    for part in &path.parts {
        metres += part.length_m;
        lost += part.drop_v;
        line.push(place(metres, lost));
    }
    let mut under = line.clone();
    under.extend([place(metres, 0.0), place(0.0, 0.0)]);
    canvas.area("fill", &under);
    canvas.polyline("trace", &line);
    let end = place(metres, lost);
    canvas.dot("dot", end, 4.0);
    let words = format!("{} V", three_digits(lost));
    let beside = if end.1 < BOTTOM - 44.0 { BOTTOM - 10.0 } else { end.1 - 10.0 };
    canvas.words("value", (RIGHT, beside), Anchor::End, &words);
    canvas.svg()
}

fn axes(canvas: &mut Canvas, path: &DropPath, place: &impl Fn(f64, f64) -> Place) {
    let allowed = place(0.0, path.allowed_v);
    canvas.line("axis", (LEFT, BOTTOM), (RIGHT, BOTTOM));
    canvas.line("axis", (LEFT, TOP - 8.0), (LEFT, BOTTOM));
    canvas.line("limit-dashed", allowed, (RIGHT, allowed.1));
    let words = format!("allowed {} V", three_digits(path.allowed_v));
    canvas.words("small", (LEFT + 6.0, allowed.1 - 5.0), Anchor::Start, &words);
    canvas.words("small", (LEFT - 6.0, BOTTOM + 4.0), Anchor::End, "0 V");
    let gear = place(path.gear_at_m, 0.0);
    canvas.line("tick", (gear.0, TOP), (gear.0, BOTTOM + 5.0));
    for (at, anchor, words) in [
        (LEFT, Anchor::Start, "source"),
        (gear.0, Anchor::Middle, "gear"),
        (RIGHT, Anchor::End, "source"),
    ] {
        canvas.words("small", (at, BOTTOM + 18.0), anchor, words);
    }
    let length = format!("{} m there and back", three_digits(path.length_m()));
    canvas.words("small", (f64::midpoint(LEFT, RIGHT), BOTTOM + 36.0), Anchor::Middle, &length);
}

fn described(path: &DropPath) -> String {
    let parts: Vec<String> = path
        .parts
        .iter()
        .map(|part| format!("{} {} V", part.name, three_digits(part.drop_v)))
        .collect();
    format!(
        "From the source to the gear and back {} V are lost; {} V are allowed. {}.",
        three_digits(path.lost_v()),
        three_digits(path.allowed_v),
        parts.join(", ")
    )
}
