//! The fasteners in plan view, with what each of them gets in the worst direction.

use super::{Anchor, Canvas, PaperDrawing, Place};
use crate::domain::figures::Mount;
use crate::domain::finding::three_digits;
use crate::engineering::fastener_pattern::Position;
use crate::engineering::mount_check::DirectionLoads;

const SIZE: Place = (360.0, 330.0);
/// Middle of the field, and half of what the pattern may fill.
const MIDDLE: Place = (180.0, 158.0);
const HALF: Place = (112.0, 92.0);
/// The centre of mass stands no nearer to the rim of the ground.
const RIM: Place = (20.0, 16.0);
const RADIUS: f64 = 9.0;
/// The longest arrow.
const ARROW: f64 = 44.0;

/// Nothing where no direction was worked out. Travel is upwards.
pub fn fastener_pattern(id: &str, mount: &Mount) -> Option<String> {
    drawn(id, mount).map(|canvas| canvas.svg())
}

/// The same for paper.
pub fn fastener_pattern_on_paper(mount: &Mount) -> Option<PaperDrawing> {
    drawn("fasteners", mount).map(|canvas| canvas.on_paper())
}

fn drawn(id: &str, mount: &Mount) -> Option<Canvas> {
    let worst = mount.check.governing;
    let loads = mount.check.in_direction(worst.direction)?;
    let mut canvas = Canvas::new(id, "Fasteners in plan view, and their loads", SIZE);
    canvas.description = format!(
        "{} fasteners under {} N {}; fastener {} is the weakest: {}, {} % used.",
        loads.fasteners.len(),
        three_digits(loads.force.0),
        worst.direction,
        worst.fastener + 1,
        worst.mode.label(),
        three_digits(worst.utilisation * 100.0)
    );
    let field = Field::around(mount.case.pattern.positions());
    travel(&mut canvas);
    centre_of_mass(&mut canvas, &field, mount);
    fasteners(&mut canvas, &field, mount, loads);
    let words = format!(
        "{} N {} · arrow: shear · number: fastener",
        three_digits(loads.force.0),
        worst.direction
    );
    canvas.words("small", (MIDDLE.0, SIZE.1 - 26.0), Anchor::Middle, &words);
    let words = format!(
        "weakest: fastener {}, {}, {} % used",
        worst.fastener + 1,
        worst.mode.label(),
        three_digits(worst.utilisation * 100.0)
    );
    canvas.words("strong", (MIDDLE.0, SIZE.1 - 8.0), Anchor::Middle, &words);
    Some(canvas)
}

/// Millimetres of the vehicle to places of the drawing.
struct Field {
    middle: Position,
    scale: f64,
}

impl Field {
    fn around(places: &[Position]) -> Self {
        let ends = |of: fn(&Position) -> f64| {
            places
                .iter()
                .map(of)
                .fold((f64::MAX, f64::MIN), |(low, high), value| (low.min(value), high.max(value)))
        };
        let (back, front) = ends(|place| place.along.0);
        let (right, left) = ends(|place| place.across.0);
        let along = HALF.1 * 2.0 / (front - back).max(1.0);
        let across = HALF.0 * 2.0 / (left - right).max(1.0);
        Self {
            middle: Position::new(f64::midpoint(back, front), f64::midpoint(right, left)),
            scale: along.min(across),
        }
    }

    /// Forward is up, left is left.
    fn place(&self, at: Position) -> Place {
        let across = (at.across.0 - self.middle.across.0) * self.scale;
        let along = (at.along.0 - self.middle.along.0) * self.scale;
        (MIDDLE.0 - across, MIDDLE.1 - along)
    }
}

fn travel(canvas: &mut Canvas) {
    canvas.line("axis", (22.0, 66.0), (22.0, 22.0));
    canvas.area("head", &[(22.0, 12.0), (17.0, 24.0), (27.0, 24.0)]);
    canvas.words("small", (32.0, 24.0), Anchor::Start, "travel");
}

/// Far off the fasteners it stands at the rim, and says that it lies farther out.
fn centre_of_mass(canvas: &mut Canvas, field: &Field, mount: &Mount) {
    let centroid = mount.case.pattern.centroid();
    let offset = mount.case.offset;
    let true_place = field.place(Position::new(
        centroid.along.0 + offset.along.0,
        centroid.across.0 + offset.across.0,
    ));
    let at = (true_place.0.clamp(RIM.0, SIZE.0 - RIM.0), true_place.1.clamp(RIM.1, SIZE.1 - 56.0));
    canvas.line("axis", (at.0 - 9.0, at.1), (at.0 + 9.0, at.1));
    canvas.line("axis", (at.0, at.1 - 9.0), (at.0, at.1 + 9.0));
    let farther = (at.0 - true_place.0).hypot(at.1 - true_place.1) > 1.0;
    let words = if farther { "mass, farther out" } else { "mass" };
    let (beside, anchor) =
        if at.0 > MIDDLE.0 + HALF.0 { (-8.0, Anchor::End) } else { (8.0, Anchor::Start) };
    canvas.words("small", (at.0 + beside, at.1 + 16.0), anchor, words);
}

fn fasteners(canvas: &mut Canvas, field: &Field, mount: &Mount, loads: &DirectionLoads) {
    let most = loads.fasteners.iter().map(|one| one.loads().shear.0).fold(1.0, f64::max);
    // An arrow ends before the next fastener.
    let apart = mount.case.pattern.nearest_spacing().0 * field.scale - 2.0 * RADIUS - 4.0;
    let longest = ARROW.min(apart).max(12.0);
    let each = mount.case.pattern.positions().iter().zip(&loads.fasteners).enumerate();
    for (number, (position, force)) in each {
        let at = field.place(*position);
        let scale = longest / most;
        arrow(canvas, at, (-force.across.0 * scale, -force.along.0 * scale));
        let worst = number == mount.check.governing.fastener;
        canvas.dot(if worst { "disc-worst" } else { "disc" }, at, RADIUS);
        let words = (number + 1).to_string();
        canvas.words("disc-words", (at.0, at.1 + 4.0), Anchor::Middle, &words);
    }
}

/// From the rim of the disc outwards.
fn arrow(canvas: &mut Canvas, at: Place, by: Place) {
    let length = by.0.hypot(by.1);
    if length < 1.0 {
        return;
    }
    let unit = (by.0 / length, by.1 / length);
    let ahead = |far: f64, beside: f64| {
        (at.0 + unit.0 * far - unit.1 * beside, at.1 + unit.1 * far + unit.0 * beside)
    };
    let tip = RADIUS + length;
    canvas.line("arrow", at, ahead(tip - 6.0, 0.0));
    canvas.area("arrow-head", &[ahead(tip, 0.0), ahead(tip - 9.0, 5.0), ahead(tip - 9.0, -5.0)]);
}
