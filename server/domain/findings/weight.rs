//! Findings about mass: the payload and both axles, as far as somebody looked them up.

use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::Kit;
use crate::domain::number::physical;
use crate::domain::plan::{AxlePlan, Plan};
use crate::engineering::mass::{Payload, PlacedMass, added_mass, axle_shares, payload_left};
use crate::engineering::units::{Kilograms, Metres};
use crate::engineering::{OutOfRange, Source};

const LEVER_SOURCE: Source = Source::computed("lever about the axles");

pub(super) fn findings(kit: &Kit, plan: &Plan) -> Vec<Finding> {
    let further = plan.weights.further_kg.map_or(0.0, physical);
    let added = match added_mass(&[Kilograms(physical(kit.mass_kg)), Kilograms(further)]) {
        Ok(added) => added,
        Err(refused) => return vec![super::cannot_work_out("weight.added", &refused)],
    };
    let left = plan.weights.payload_left_kg.map(physical);
    let payload = left.map(|left| {
        payload(left, added)
            .unwrap_or_else(|refused| super::cannot_work_out("weight.payload", &refused))
    });
    let loads = plan.weights.axles.map(|axles| {
        loads(axles, added)
            .unwrap_or_else(|refused| vec![super::cannot_work_out("weight.axles", &refused)])
    });
    payload.into_iter().chain(loads.into_iter().flatten()).collect()
}

fn payload(left: f64, added: Kilograms) -> Result<Finding, OutOfRange> {
    let after = payload_left(Payload { left_before: Kilograms(left), added })?.0;
    Ok(Finding {
        formula: format!(
            "{} kg left − {} kg added = {} kg",
            three_digits(left),
            three_digits(added.0),
            three_digits(after)
        ),
        ..judged("payload", "Mass against the payload left", added.0, left)
    })
}

/// Behind the rear axle the gear lifts the front one: that share is negative and never too much.
fn loads(axles: AxlePlan, added: Kilograms) -> Result<Vec<Finding>, OutOfRange> {
    let metres = |mm| Metres(physical(mm) / 1000.0);
    let placed = PlacedMass { mass: added, behind_front_axle: metres(axles.behind_front_mm) };
    let shares = axle_shares(&[placed], metres(axles.wheelbase_mm))?;
    let formula = format!(
        "{} kg at {} m of {} m: front {} kg, rear {} kg",
        three_digits(added.0),
        three_digits(placed.behind_front_axle.0),
        three_digits(physical(axles.wheelbase_mm) / 1000.0),
        three_digits(shares.front.0),
        three_digits(shares.rear.0)
    );
    let of = |name, title, share: Kilograms, left: Option<_>| {
        let left = physical(left?);
        let found = judged(name, title, share.0, left);
        let sources = vec![LEVER_SOURCE.into(), Basis::plan("axle loads as weighed")];
        Some(Finding { formula: formula.clone(), sources, ..found })
    };
    let front = of("front_axle", "Mass on the front axle", shares.front, axles.front_left_kg);
    let rear = of("rear_axle", "Mass on the rear axle", shares.rear, axles.rear_left_kg);
    Ok(front.into_iter().chain(rear).collect())
}

fn judged(name: &str, title: &str, added: f64, left: f64) -> Finding {
    let over = beyond(added, left);
    Finding {
        value: added,
        unit: "kg",
        upper: Some(left),
        outcome: if over { Outcome::Stop } else { Outcome::Ok },
        reason: if over {
            "The vehicle would be overloaded with its usual load.".to_owned()
        } else {
            "The vehicle may carry it.".to_owned()
        },
        sources: vec![Basis::plan("payload as weighed or by the papers")],
        remedy: over.then(|| {
            format!("{} kg must stay out, or the usual load be less.", three_digits(added - left))
        }),
        ..Finding::named(format!("weight.{name}"), title)
    }
}
