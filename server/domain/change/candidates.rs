//! What could be changed about a plan to mend a finding, from small to large.

use rust_decimal::prelude::ToPrimitive;

use super::{Candidate, Change};
use crate::domain::finding::{Finding, Outcome};
use crate::domain::kit::Kit;
use crate::domain::number::{Decimal, physical};
use crate::domain::plan::{Back, Backing, CircuitPlan, Plan};
use crate::engineering::conductor::ConductorSize;
use crate::engineering::fuse::{FUSE_DISTANCE_MAX, FuseForm};
use crate::engineering::thread::Thread;
use crate::engineering::units::Millimetres;
use crate::engineering::washer::next_larger;

/// A run is not shortened by less than this [m], nor to less.
const RUN_STEP: Decimal = Decimal::from_parts(1, 0, 0, false, 1);
/// Plates come in steps of half a millimetre, up to six.
const PLATE_STEP: Decimal = Decimal::from_parts(5, 0, 0, false, 1);
const PLATE_STEPS_MAX: u32 = 12;
/// A plan takes no more modules in a row.
const IN_SERIES_MAX: u32 = 12;

/// Everything worth trying for this finding.
pub(super) fn of(kit: &Kit, plan: &Plan, finding: &Finding) -> Vec<Candidate> {
    let (about, what) = finding.id.split_once('.').unwrap_or((finding.id.as_str(), ""));
    match (about, what) {
        (
            "mount",
            "bearing" | "punching" | "pull_through" | "washer_pressure" | "board_punching"
            | "laminate_punching",
        ) => spread(kit, plan),
        ("solar", "cold_voltage") => fewer(plan, Modules::InSeries),
        ("solar", "hot_voltage") => more_in_series(plan),
        ("solar", "current") => fewer(plan, Modules::InParallel),
        // Without the data sheet's figure there is only one thing to do: look it up.
        ("solar", "string_fuse") if finding.outcome == Outcome::Stop => {
            fewer(plan, Modules::InParallel)
        }
        ("solar", "cable") => {
            kit.solar.iter().flat_map(|input| cables(plan, &input.circuit)).collect()
        }
        _ => plan.circuit(about).map_or_else(Vec::new, |run| circuit(kit, plan, run, what)),
    }
}

fn circuit(kit: &Kit, plan: &Plan, run: &CircuitPlan, what: &str) -> Vec<Candidate> {
    let id = &run.circuit;
    match what {
        "drop" => cables(plan, id).chain(shorter(plan, id)).collect(),
        "ampacity" | "least_size" | "range" => cables(plan, id).collect(),
        "fuse_load" | "fuse_cable" | "fuse_overload" | "fuse_asked" | "clearing" => {
            fuses_and_cables(kit, plan, id)
        }
        "fuse_place" => nearer_fuse(kit, plan, id),
        _ => Vec::new(),
    }
}

/// The plan with one circuit changed.
fn with_circuit(plan: &Plan, id: &str, edit: impl FnOnce(&mut CircuitPlan)) -> Plan {
    let mut plan = plan.clone();
    if let Some(run) = plan.circuits.iter_mut().find(|run| run.circuit == id) {
        edit(run);
    }
    plan
}

fn key(id: &str, name: &str) -> String {
    format!("circuits.{id}.{name}")
}

fn larger_sizes(size: ConductorSize) -> impl Iterator<Item = ConductorSize> {
    std::iter::successors(size.next_larger(), |size| size.next_larger())
}

/// Larger cables of the same family, next size first.
fn cables(plan: &Plan, id: &str) -> impl Iterator<Item = Candidate> {
    let planned = plan.circuit(id).map(|run| run.cable);
    planned.into_iter().flat_map(move |now| {
        larger_sizes(now).map(move |size| Candidate {
            plan: with_circuit(plan, id, |run| run.cable = size),
            change: Change {
                words: format!("Take {} instead of {}.", size.label(), now.label()),
                fields: vec![(key(id, "cable"), size.label().to_owned())],
            },
        })
    })
}

/// Shorter runs, a tenth of a metre at a time; the way back shrinks by as much, as far as it is long
/// enough. The fuse stays where it is planned.
fn shorter(plan: &Plan, id: &str) -> impl Iterator<Item = Candidate> {
    let run = plan.circuit(id);
    let steps = run.and_then(|run| (run.length_out_m / RUN_STEP).to_u32()).unwrap_or(0);
    (1..steps).filter_map(move |step| {
        let run = run?;
        let less = RUN_STEP * Decimal::from(step);
        let out = run.length_out_m - less;
        run.fuse.is_none_or(|pick| pick.distance_mm <= out * Decimal::ONE_THOUSAND).then_some(())?;
        let mut fields = vec![(key(id, "length_out_m"), out.normalize().to_string())];
        let back = match run.back {
            Back::Cable { length_m } if length_m - less >= RUN_STEP => {
                let length_m = length_m - less;
                fields.push((key(id, "length_back_m"), length_m.normalize().to_string()));
                Back::Cable { length_m }
            }
            as_planned => as_planned,
        };
        let words = format!("Shorten the run to {} m one way.", out.normalize());
        let plan = with_circuit(plan, id, |run| (run.length_out_m, run.back) = (out, back));
        Some(Candidate { plan, change: Change { words, fields } })
    })
}

/// Other fuses, the nearest ratings first; then each with a larger cable.
fn fuses_and_cables(kit: &Kit, plan: &Plan, id: &str) -> Vec<Candidate> {
    let Some(run) = plan.circuit(id) else { return Vec::new() };
    let form = kit.circuit(id).and_then(|circuit| circuit.fuse).map(|ask| ask.form);
    let Some((pick, form)) = run.fuse.zip(form) else { return Vec::new() };
    let ratings = nearest_ratings(form, pick.rating_a);
    let mut all: Vec<Candidate> =
        ratings.iter().map(|rating| with_fuse(plan, id, *rating, None)).collect();
    all.extend(cables(plan, id));
    let pairs = larger_sizes(run.cable)
        .flat_map(|size| ratings.iter().map(move |rating| (size, *rating)))
        .map(|(size, rating)| with_fuse(plan, id, rating, Some(size)));
    all.extend(pairs);
    all
}

fn nearest_ratings(form: FuseForm, now: Decimal) -> Vec<Decimal> {
    let all = form.ratings().iter().filter_map(|amps| Decimal::try_from(amps.0).ok());
    let mut others: Vec<Decimal> = all.filter(|rating| *rating != now).collect();
    others.sort_by_key(|rating| (*rating - now).abs());
    others
}

fn with_fuse(plan: &Plan, id: &str, rating: Decimal, size: Option<ConductorSize>) -> Candidate {
    let rating_text = rating.normalize().to_string();
    let mut fields = vec![(key(id, "fuse_a"), rating_text.clone())];
    let words = match size {
        Some(size) => {
            fields.push((key(id, "cable"), size.label().to_owned()));
            format!("Take a fuse of {rating_text} A and {}.", size.label())
        }
        None => format!("Take a fuse of {rating_text} A."),
    };
    let plan = with_circuit(plan, id, |run| {
        run.cable = size.unwrap_or(run.cable);
        if let Some(pick) = &mut run.fuse {
            pick.rating_a = rating;
        }
    });
    Candidate { plan, change: Change { words, fields } }
}

/// The cable covered to the fuse, or the fuse as near as the maker or the standard wants it.
fn nearer_fuse(kit: &Kit, plan: &Plan, id: &str) -> Vec<Candidate> {
    let asked = kit.circuit(id).and_then(|circuit| circuit.fuse);
    let Some(near) = asked.map(|ask| uncovered_max(ask.distance_max_mm)) else { return Vec::new() };
    let covered = Candidate {
        plan: with_circuit(plan, id, |run| {
            run.fuse.iter_mut().for_each(|pick| pick.covered = true);
        }),
        change: Change {
            words: "Cover the cable all the way to the fuse.".to_owned(),
            fields: vec![(key(id, "fuse_covered"), "true".to_owned())],
        },
    };
    let moved = Candidate {
        plan: with_circuit(plan, id, |run| {
            run.fuse.iter_mut().for_each(|pick| pick.distance_mm = near);
        }),
        change: Change {
            words: format!("Move the fuse to {} mm from the source.", near.normalize()),
            fields: vec![(key(id, "fuse_distance_mm"), near.normalize().to_string())],
        },
    };
    vec![covered, moved]
}

/// The smaller of the maker's and the standard's distance for a cable that is not covered.
fn uncovered_max(maker_mm: Decimal) -> Decimal {
    Decimal::try_from(FUSE_DISTANCE_MAX.0).map_or(maker_mm, |standard| maker_mm.min(standard))
}

/// A backing plate, from the thinnest; a plate that is there already gets thicker.
fn spread(kit: &Kit, plan: &Plan) -> Vec<Candidate> {
    let now = match plan.mounting.backing {
        Backing::Washers => Decimal::ZERO,
        Backing::Plate { thickness_mm } => thickness_mm,
    };
    let larger_washers = washers(kit, plan);
    let plates = (1..=PLATE_STEPS_MAX)
        .map(|step| PLATE_STEP * Decimal::from(step))
        .filter(move |thickness| *thickness > now)
        .map(|thickness_mm| {
            let mut changed = plan.clone();
            changed.mounting.backing = Backing::Plate { thickness_mm };
            let thickness = thickness_mm.normalize().to_string();
            let fields = vec![
                ("mounting.backing".to_owned(), "plate".to_owned()),
                ("mounting.backing_mm".to_owned(), thickness.clone()),
            ];
            let words = format!("Put a plate of {thickness} mm under all fasteners.");
            Candidate { plan: changed, change: Change { words, fields } }
        });
    larger_washers.into_iter().chain(plates).collect()
}

/// Washers that can be bought for the thread, larger than those planned.
fn washers(kit: &Kit, plan: &Plan) -> Vec<Candidate> {
    let now = Millimetres(physical(plan.mounting.washer_mm.unwrap_or(kit.mounting.washer_mm)));
    let Ok(thread) = Thread::parse(&kit.mounting.thread) else { return Vec::new() };
    let larger = |outer: Millimetres| next_larger(thread, outer).ok().flatten();
    std::iter::successors(larger(now), |washer| larger(washer.outer))
        .filter_map(|washer| {
            let washer_mm = Decimal::try_from(washer.outer.0).ok()?;
            let mut changed = plan.clone();
            changed.mounting.washer_mm = Some(washer_mm);
            let diameter = washer_mm.normalize().to_string();
            let words = format!("Take washers of {diameter} mm, {}.", washer.series);
            let fields = vec![("mounting.washer_mm".to_owned(), diameter)];
            Some(Candidate { plan: changed, change: Change { words, fields } })
        })
        .collect()
}

#[derive(Clone, Copy)]
enum Modules {
    InSeries,
    InParallel,
}

/// Fewer modules, one at a time.
fn fewer(plan: &Plan, which: Modules) -> Vec<Candidate> {
    let now = plan.solar.as_ref().map_or(0, |modules| match which {
        Modules::InSeries => modules.in_series,
        Modules::InParallel => modules.in_parallel,
    });
    (1..now).rev().map(|count| with_modules(plan, which, count)).collect()
}

/// More modules in a row, one at a time; the cold sets an end to it.
fn more_in_series(plan: &Plan) -> Vec<Candidate> {
    let now = plan.solar.as_ref().map_or(IN_SERIES_MAX, |modules| modules.in_series);
    (now + 1..=IN_SERIES_MAX).map(|count| with_modules(plan, Modules::InSeries, count)).collect()
}

fn with_modules(plan: &Plan, which: Modules, count: u32) -> Candidate {
    let mut changed = plan.clone();
    if let Some(modules) = &mut changed.solar {
        match which {
            Modules::InSeries => modules.in_series = count,
            Modules::InParallel => modules.in_parallel = count,
        }
    }
    let (name, words) = match (which, count) {
        (Modules::InSeries, 1) => ("in_series", "module alone"),
        (Modules::InSeries, _) => ("in_series", "modules in series"),
        (Modules::InParallel, 1) => ("in_parallel", "string alone"),
        (Modules::InParallel, _) => ("in_parallel", "strings in parallel"),
    };
    let fields = vec![(format!("solar.{name}"), count.to_string())];
    let words = format!("Take {count} {words}.");
    Candidate { plan: changed, change: Change { words, fields } }
}
