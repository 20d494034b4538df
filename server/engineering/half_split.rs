//! Finding the bad joint of a path with few measurements; part of the room `path_diagnosis`.

use super::units::{Amps, Ohms, Volts};
use super::{OutOfRange, check};

/// Segments a path may have.
pub const SEGMENTS_MAX: usize = 100;

/// A drop measured between two points of a path under load.
///
/// Point 0 is the start of the first segment, point `n` the end of the last of `n`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpanDrop {
    /// The point nearer the start.
    pub from: usize,
    /// The point nearer the end.
    pub to: usize,
    /// The drop between them.
    pub drop: Volts,
    /// The current while it was measured.
    pub current: Amps,
}

/// A path, and what was measured on it so far.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathSearch<'a> {
    /// Planned resistance of each segment (joint, cable, fuse), in the order of the current.
    pub planned: &'a [Ohms],
    /// Drops measured so far, in any order.
    pub drops: &'a [SpanDrop],
    /// Excess that counts: at least the uncertainty of a measurement here.
    pub least: Ohms,
}

/// What to do next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NextProbe {
    /// Put the probes on these two points.
    Measure {
        /// The point nearer the start.
        from: usize,
        /// The point nearer the end.
        to: usize,
    },
    /// This segment, counted from 0, has more excess than any other stretch.
    Segment {
        /// Which one; it lies between the points of this number and the next.
        segment: usize,
        /// Its own excess.
        excess: Ohms,
        /// The excess of the whole path; the rest lies elsewhere.
        whole: Ohms,
    },
    /// The whole path has no excess that counts.
    AsPlanned,
    /// The path has an excess, but no stretch has one that counts: look at size, length and warmth
    /// of the cable instead of a joint.
    Spread {
        /// The excess of the whole path.
        whole: Ohms,
    },
}

/// A stretch between two neighbouring points that readings link with the start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownStretch {
    /// The point nearer the start.
    pub from: usize,
    /// The point nearer the end.
    pub to: usize,
    /// What is planned between them.
    pub planned: Ohms,
    /// What it has beyond that; negative for a lack.
    pub excess: Ohms,
}

/// The same while it is worked with.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    from: usize,
    to: usize,
    excess: f64,
}

/// Where to put the probes next to find the segment with too much resistance: half-split.
///
/// ```text
/// ΔR(a…b) = ΣU/I between a and b − ΣRplan of the segments between a and b
/// ```
///
/// | symbol    | meaning                                                     | unit |
/// |-----------|-------------------------------------------------------------|------|
/// | `ΔR(a…b)` | unexplained excess of the stretch from point `a` to `b`     | Ω    |
/// | `U`, `I`  | `drop` and `current` of each reading                        | V, A |
/// | `Rplan`   | `planned` of each segment                                   | Ω    |
///
/// First the whole path. Then, as long as the stretch with the largest excess has more than one
/// segment, its first half: nothing is known within it, so every segment is taken to carry the same
/// share and the middle halves what is unexplained; the other half follows by taking away. It ends
/// when that stretch is one segment. A single bad joint among `n` segments is found with at most
/// ⌈log2 n⌉ + 1 measurements; of several the worst is found, and the next after it is mended.
///
/// Readings chain: 0 to 2 and 2 to 5 give 0 to 5. A reading between points that are linked already
/// says nothing new and is not used. From 1 to 100 segments.
///
/// # Source
///
/// Half-split fault finding: common practice of maintenance, no source; first principles.
///
/// # Example
///
/// Lug 0.5 mΩ, cable 2.42 mΩ, fuse holder 1.0 mΩ, lug 0.5 mΩ: 4.42 mΩ planned, 0.2226 V at 30 A. By
/// hand: 7.42 − 4.42 = 3.00 mΩ too much. The first half drops 0.0876 V, 2.92 mΩ, as planned; the
/// third segment drops 0.120 V, 4.00 mΩ: the fuse holder has all 3.00 mΩ.
///
/// ```
/// use fusewright::engineering::path_diagnosis::{NextProbe, PathSearch, SpanDrop, next_probe};
/// use fusewright::engineering::units::*;
///
/// let planned = [0.5, 2.42, 1.0, 0.5].map(Ohms::from_milliohms);
/// let span = |from, to, drop| SpanDrop { from, to, drop: Volts(drop), current: Amps(30.0) };
/// let next = |drops: &[SpanDrop]| {
///     next_probe(&PathSearch { planned: &planned, drops, least: Ohms(0.000_2) }).unwrap()
/// };
/// let mut drops = vec![];
/// assert_eq!(next(&drops), NextProbe::Measure { from: 0, to: 4 });
/// drops.push(span(0, 4, 0.2226));
/// assert_eq!(next(&drops), NextProbe::Measure { from: 0, to: 2 });
/// drops.push(span(0, 2, 0.0876));
/// assert_eq!(next(&drops), NextProbe::Measure { from: 2, to: 3 });
/// drops.push(span(2, 3, 0.120));
/// let NextProbe::Segment { segment, excess, .. } = next(&drops) else { panic!("not found") };
/// assert_eq!((segment, format!("{:.2}", excess.to_milliohms())), (2, "3.00".to_owned()));
/// ```
pub fn next_probe(search: &PathSearch<'_>) -> Result<NextProbe, OutOfRange> {
    let least = check::not_negative("excess that counts", search.least)?;
    let planned = plan_at_points(search.planned)?;
    let segments = search.planned.len();
    let found = excess_at_points(&planned, search.drops)?;
    let Some(Some(whole)) = found.last().copied() else {
        return Ok(NextProbe::Measure { from: 0, to: segments });
    };
    if whole <= least {
        return Ok(NextProbe::AsPlanned);
    }
    let stretches = stretches(&found);
    let worst = stretches.into_iter().max_by(|a, b| a.excess.total_cmp(&b.excess));
    Ok(match worst.filter(|worst| worst.excess > least) {
        None => NextProbe::Spread { whole: Ohms(whole) },
        Some(Stretch { from, to, excess }) if to - from == 1 => {
            NextProbe::Segment { segment: from, excess: Ohms(excess), whole: Ohms(whole) }
        }
        Some(Stretch { from, to, .. }) => NextProbe::Measure { from, to: from.midpoint(to) },
    })
}

/// What the readings explain so far: the stretches between neighbouring points whose excess from the
/// start is known.
///
/// ```text
/// ΔR(a…b) = ΔR(0…b) − ΔR(0…a)        R(a…b) = Rplan(a…b) + ΔR(a…b)
/// ```
///
/// | symbol       | meaning                                                      | unit |
/// |--------------|--------------------------------------------------------------|------|
/// | `ΔR(a…b)`    | `excess` of the stretch from point `a` to `b`, result        | Ω    |
/// | `ΔR(0…a)`    | excess from the start to a point, as readings chain          | Ω    |
/// | `Rplan(a…b)` | `planned` of the segments between, result                    | Ω    |
/// | `R(a…b)`     | what the stretch has; below nothing where readings disagree  | Ω    |
///
/// A stretch follows by taking away as well as by measuring. The least excess that counts plays no
/// part. From 1 to 100 segments.
///
/// # Source
///
/// First principles.
///
/// # Example
///
/// The path of [`next_probe`] after its first two readings. By hand: 7.42 − 4.42 = 3.00 mΩ on the
/// whole, 2.92 − 2.92 = 0.00 mΩ on the first half; so 3.00 mΩ on the second, of which 1.50 are
/// planned.
///
/// ```
/// use fusewright::engineering::path_diagnosis::{PathSearch, SpanDrop, known_stretches};
/// use fusewright::engineering::units::*;
///
/// let planned = [0.5, 2.42, 1.0, 0.5].map(Ohms::from_milliohms);
/// let span = |from, to, drop| SpanDrop { from, to, drop: Volts(drop), current: Amps(30.0) };
/// let drops = [span(0, 4, 0.2226), span(0, 2, 0.0876)];
/// let search = PathSearch { planned: &planned, drops: &drops, least: Ohms(0.000_2) };
/// let told: Vec<String> = known_stretches(&search)
///     .unwrap()
///     .iter()
///     .map(|known| {
///         let (planned, more) = (known.planned.to_milliohms(), known.excess.to_milliohms());
///         format!("{}-{}: {planned:.2} + {:.2}", known.from, known.to, more.abs())
///     })
///     .collect();
/// assert_eq!(told, ["0-2: 2.92 + 0.00", "2-4: 1.50 + 3.00"]);
/// ```
pub fn known_stretches(search: &PathSearch<'_>) -> Result<Vec<KnownStretch>, OutOfRange> {
    let planned = plan_at_points(search.planned)?;
    let found = excess_at_points(&planned, search.drops)?;
    let at = |point: usize| planned.get(point).copied().unwrap_or_default();
    Ok(stretches(&found)
        .into_iter()
        .map(|Stretch { from, to, excess }| KnownStretch {
            from,
            to,
            planned: Ohms(at(to) - at(from)),
            excess: Ohms(excess),
        })
        .collect())
}

/// The planned resistance from the start to each point.
fn plan_at_points(planned: &[Ohms]) -> Result<Vec<f64>, OutOfRange> {
    if !(1..=SEGMENTS_MAX).contains(&planned.len()) {
        let allowed = format!("from 1 to {SEGMENTS_MAX}");
        return Err(check::refusal("number of segments", &planned.len(), allowed));
    }
    let mut sum = 0.0;
    let mut points = vec![sum];
    for &segment in planned {
        sum += check::not_negative("planned resistance of a segment", segment)?;
        points.push(sum);
    }
    Ok(points)
}

/// The excess from the start to each point that readings link with it.
fn excess_at_points(planned: &[f64], drops: &[SpanDrop]) -> Result<Vec<Option<f64>>, OutOfRange> {
    let mut left: Vec<Stretch> =
        drops.iter().map(|drop| excess_of(planned, drop)).collect::<Result<_, _>>()?;
    let mut found = vec![None; planned.len()];
    if let Some(start) = found.first_mut() {
        *start = Some(0.0);
    }
    loop {
        let before = left.len();
        left.retain(|stretch| !link(&mut found, stretch));
        if left.len() == before {
            return Ok(found);
        }
    }
}

/// The excess of one reading.
fn excess_of(planned: &[f64], reading: &SpanDrop) -> Result<Stretch, OutOfRange> {
    let SpanDrop { from, to, .. } = *reading;
    let (Some(start), Some(end), true) = (planned.get(from), planned.get(to), from < to) else {
        let last = planned.len().saturating_sub(1);
        let allowed = format!("two from 0 to {last}, the one nearer the start first");
        return Err(check::refusal("pair of points", &format!("{from} and {to}"), allowed));
    };
    let drop = check::not_negative("voltage drop", Volts(reading.drop.0.abs()))?;
    let current = check::positive("current", reading.current)?;
    Ok(Stretch { from, to, excess: drop / current - (end - start) })
}

/// Carries the excess from a known point to an unknown one; true when it did, or nothing is left to
/// learn from this reading.
fn link(found: &mut [Option<f64>], stretch: &Stretch) -> bool {
    let at = |point: usize| found.get(point).copied().flatten();
    let (point, excess) = match (at(stretch.from), at(stretch.to)) {
        (Some(start), None) => (stretch.to, start + stretch.excess),
        (None, Some(end)) => (stretch.from, end - stretch.excess),
        (known, _) => return known.is_some(),
    };
    if let Some(unknown) = found.get_mut(point) {
        *unknown = Some(excess);
    }
    true
}

/// The stretches between neighbouring known points.
fn stretches(found: &[Option<f64>]) -> Vec<Stretch> {
    let known: Vec<(usize, f64)> =
        found.iter().enumerate().filter_map(|(point, excess)| Some((point, (*excess)?))).collect();
    known
        .iter()
        .zip(known.iter().skip(1))
        .map(|(start, end)| Stretch { from: start.0, to: end.0, excess: end.1 - start.1 })
        .collect()
}
