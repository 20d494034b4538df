//! What would make a mount hold that does not: the least change of each kind, each checked again.

use super::OutOfRange;
use super::fastener_pattern::{FASTENERS_MAX, Position};
use super::mount_check::{MountCase, MountSurface, check_mount};
use super::thread::Thread;
use super::units::Millimetres;
use super::washer::{Washer, WasherSeries, washer};

/// Thicknesses of sheets and plates are looked for in these steps.
///
/// # Source
///
/// Common practice, no source: plate is sold in half millimetres.
pub const THICKNESS_STEP: Millimetres = Millimetres(0.5);

/// Thickest surface or plate looked for; each rule ends before.
const THICKNESS_STEPS_MAX: u32 = 120;

/// A larger thread, and the washer that goes with it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LargerThread {
    /// The thread.
    pub thread: Thread,
    /// The washer of the case, or the normal one of the thread where that is wider; none where the
    /// case has none.
    pub washer: Option<Millimetres>,
}

/// The least change of each kind that makes a mount hold on its own; `None` where that kind alone
/// does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Remedies {
    /// The narrowest wider washer of the three series.
    pub washer: Option<Washer>,
    /// The least thickness of the surface itself, in steps.
    pub thickness: Option<Millimetres>,
    /// The thinnest plate of the same metal behind the sheet, in steps; none for boards and
    /// laminates.
    pub backing_plate: Option<Millimetres>,
    /// The least even number of fasteners on the same rectangle.
    pub fasteners: Option<u32>,
    /// The smallest larger thread of the same class.
    pub thread: Option<LargerThread>,
}

/// What would make a mount hold; `None` where it holds as it is.
///
/// Candidates of each kind are tried from the least on, and each is judged by [`check_mount`], so
/// that a remedy that is named really holds. Only one thing is changed at a time. A plate counts
/// with the sheet as one thickness: it must lie flat behind every fastener and reach well beyond
/// the washers. More fasteners keep the rectangle, the place of the mass and the distance to the
/// edge. Whether there is room for any of it, only the place itself tells.
///
/// # Source
///
/// As [`check_mount`] says; washers as [`super::washer`] says.
///
/// # Example
///
/// 80 kg in a van, 150 mm up, four M8 8.8 with 16 mm washers, 300 mm apart both ways, 1.0 mm mild
/// steel. By hand: 3923 N of shear and of pull; bearing stands 3312 N (1.18), pull-through 3456 N
/// (1.14). A wider washer leaves the bearing; at 1.5 mm bearing is 2.5 × 0.833 × 270 × 8 × 1.5 /
/// 1.25 = 5400 N and pull-through 5184 N, so 0.5 mm of plate do.
///
/// ```
/// use fusewright::engineering::fastener_pattern::{FastenerPattern, Position};
/// use fusewright::engineering::mount_check::{Fastening, MountCase, MountSurface};
/// use fusewright::engineering::mount_remedy::mount_remedies;
/// use fusewright::engineering::mounting::RestraintClass;
/// use fusewright::engineering::sheet_metal::{MILD_STEEL_TENSILE, Sheet};
/// use fusewright::engineering::thread::{PropertyClass, Thread};
/// use fusewright::engineering::units::*;
///
/// let (thickness, side) = (Millimetres(1.0), Millimetres(300.0));
/// let case = MountCase {
///     mass: Kilograms(80.0),
///     class: RestraintClass::M1N1,
///     upward_g: None,
///     height: Millimetres(150.0),
///     offset: Position::default(),
///     pattern: FastenerPattern::rectangle(4, side, side).unwrap(),
///     fastening: Fastening {
///         thread: Thread::M8,
///         property_class: PropertyClass::Steel8_8,
///         surface: MountSurface::Metal(Sheet { thickness, tensile: MILD_STEEL_TENSILE }),
///         washer: Some(Millimetres(16.0)),
///         edge: Millimetres(20.0),
///     },
/// };
/// let remedies = mount_remedies(&case).unwrap().unwrap();
/// assert_eq!(remedies.washer, None);
/// assert_eq!(remedies.backing_plate, Some(Millimetres(0.5)));
/// assert_eq!(remedies.thickness, Some(Millimetres(1.5)));
/// ```
pub fn mount_remedies(case: &MountCase) -> Result<Option<Remedies>, OutOfRange> {
    if check_mount(case)?.holds() {
        return Ok(None);
    }
    Ok(Some(Remedies {
        washer: wider_washer(case),
        thickness: thicker_surface(case),
        backing_plate: backing_plate(case),
        fasteners: more_fasteners(case),
        thread: larger_thread(case),
    }))
}

/// The case is covered by the rules, and holds.
fn holds(case: &MountCase) -> bool {
    check_mount(case).is_ok_and(|found| found.holds())
}

fn wider_washer(case: &MountCase) -> Option<Washer> {
    let thread = case.fastening.thread;
    let present = case.fastening.washer.unwrap_or(thread.head_bearing_diameter());
    let all = WasherSeries::ALL.into_iter().filter_map(|series| washer(series, thread));
    all.filter(|washer| washer.outer > present).find(|washer| {
        let mut changed = case.clone();
        changed.fastening.washer = Some(washer.outer);
        holds(&changed)
    })
}

/// Multiples of the step, from the first on.
fn steps() -> impl Iterator<Item = Millimetres> {
    (1..=THICKNESS_STEPS_MAX).map(|step| Millimetres(f64::from(step) * THICKNESS_STEP.0))
}

/// The same case with another thickness of its surface.
fn with_thickness(case: &MountCase, thickness: Millimetres) -> MountCase {
    let mut changed = case.clone();
    changed.fastening.surface = case.fastening.surface.with_thickness(thickness);
    changed
}

fn thicker_surface(case: &MountCase) -> Option<Millimetres> {
    let present = case.fastening.surface.thickness();
    steps()
        .filter(|thickness| *thickness > present)
        .find(|thickness| holds(&with_thickness(case, *thickness)))
}

fn backing_plate(case: &MountCase) -> Option<Millimetres> {
    let MountSurface::Metal(sheet) = case.fastening.surface else { return None };
    let behind = |plate: Millimetres| Millimetres(sheet.thickness.0 + plate.0);
    steps().find(|plate| holds(&with_thickness(case, behind(*plate))))
}

fn more_fasteners(case: &MountCase) -> Option<u32> {
    let present = u32::try_from(case.pattern.positions().len()).ok()?;
    let more = present + 1..=FASTENERS_MAX;
    more.filter(|fasteners| fasteners.is_multiple_of(2))
        .find(|fasteners| with_fasteners(case, *fasteners).is_some_and(|changed| holds(&changed)))
}

/// The same case with another number of fasteners; the mass stays where it is.
fn with_fasteners(case: &MountCase, fasteners: u32) -> Option<MountCase> {
    let pattern = case.pattern.with_fasteners(fasteners)?;
    let (before, after) = (case.pattern.centroid(), pattern.centroid());
    let offset = Position::new(
        case.offset.along.0 + before.along.0 - after.along.0,
        case.offset.across.0 + before.across.0 - after.across.0,
    );
    Some(MountCase { offset, pattern, ..case.clone() })
}

fn larger_thread(case: &MountCase) -> Option<LargerThread> {
    let larger = Thread::ALL.into_iter().filter(|thread| *thread > case.fastening.thread);
    larger.map(|thread| with_its_washer(case, thread)).find(|larger| {
        let mut changed = case.clone();
        changed.fastening.thread = larger.thread;
        changed.fastening.washer = larger.washer;
        holds(&changed)
    })
}

/// A thread with the washer of the case, or its own normal one where that is wider.
fn with_its_washer(case: &MountCase, thread: Thread) -> LargerThread {
    let normal = washer(WasherSeries::Normal, thread).map_or(0.0, |washer| washer.outer.0);
    let widest = |present: Millimetres| Millimetres(present.0.max(normal));
    LargerThread { thread, washer: case.fastening.washer.map(widest) }
}
