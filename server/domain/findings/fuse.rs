//! Findings about the fuse of one circuit: against load and cable, the maker's, its place and voltage.

use super::circuit::{finding, larger_cable, stop_if};
use crate::domain::figures::CircuitFigures;
use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::{FuseAsk, Kit};
use crate::domain::number::physical;
use crate::domain::plan::FusePick;
use crate::engineering::Source;
use crate::engineering::fuse::{
    FUSE_DISTANCE_MAX, FuseRule, OVERLOAD_MULTIPLE, OVERLOAD_SOURCE, cap_by_rule, continuous_max,
    gate_source, nearest_rating, sure_opening,
};
use crate::engineering::units::Amps;

const CONTINUOUS_SOURCE: Source =
    Source::from_memory("Fuse makers' selection notes after ISO 8820-2");
const PLACE_SOURCE: Source = Source::from_memory("ISO 13297, 200 mm or covered to the fuse");

/// Everything there is to say about the fuse that was picked.
pub(super) fn findings(kit: &Kit, circuit: &CircuitFigures<'_>) -> Vec<Finding> {
    let (Some(asked), Some(pick)) = (circuit.kit.fuse, circuit.plan.fuse) else {
        return Vec::new();
    };
    let mut all = vec![fuse_load(circuit, asked, pick), fuse_cable(circuit, pick)];
    all.extend(overload(circuit, asked, pick));
    all.extend(fuse_asked(circuit, asked, pick));
    all.push(fuse_place(circuit, asked, pick));
    all.push(fuse_voltage(kit, circuit, asked));
    all
}

fn fuse_load(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Finding {
    let rating = Amps(physical(pick.rating_a));
    let most = continuous_max(rating).unwrap_or(Amps(0.0));
    let stop = beyond(circuit.current.0, most.0);
    Finding {
        value: circuit.current.0,
        upper: Some(most.0),
        outcome: stop_if(stop),
        reason: if stop {
            "The fuse would age and open under the steady current.".to_owned()
        } else {
            "The fuse carries the steady current.".to_owned()
        },
        formula: format!("0.8 · In = 0.8 · {} A = {} A", rating.0, three_digits(most.0)),
        sources: vec![CONTINUOUS_SOURCE.into()],
        remedy: stop.then(|| match nearest_rating(asked.form, circuit.current) {
            Ok(next) => format!("The next rating that carries it is {} A.", next.0),
            Err(_) => "No fuse of this form carries it: ask the maker which one does.".to_owned(),
        }),
        ..finding(circuit, "fuse_load", "Fuse against load")
    }
}

fn fuse_cable(circuit: &CircuitFigures<'_>, pick: FusePick) -> Finding {
    let rating = physical(pick.rating_a);
    let iz = circuit.ampacity.value;
    let stop = beyond(rating, iz.0);
    let beside: Vec<String> = [FuseRule::Fleet125, FuseRule::Cfr150]
        .into_iter()
        .filter_map(|rule| cap_by_rule(rule, iz).ok().map(|cap| (rule, cap)))
        .map(|(rule, cap)| format!("{} would allow {} A", rule.source().text, three_digits(cap.0)))
        .collect();
    Finding {
        value: rating,
        upper: Some(iz.0),
        outcome: stop_if(stop),
        reason: if stop {
            "The cable could burn before the fuse opens.".to_owned()
        } else {
            "The fuse opens before the cable is harmed.".to_owned()
        },
        formula: format!(
            "In ≤ Iz: {rating} A against {} A. For comparison: {}",
            three_digits(iz.0),
            beside.join("; ")
        ),
        sources: vec![FuseRule::ConductorAmpacity.source().into()],
        remedy: stop.then(|| larger_cable(circuit)).flatten(),
        ..finding(circuit, "fuse_cable", "Fuse against cable")
    }
}

/// A fuse is no limiter at its rating: by the gate of its form it may carry more for a long time.
fn overload(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Option<Finding> {
    let rating = physical(pick.rating_a);
    let opening = sure_opening(asked.form)?;
    let sure = opening.multiple * rating;
    let most = OVERLOAD_MULTIPLE * circuit.ampacity.value.0;
    let over = beyond(sure, most);
    Some(Finding {
        value: sure,
        upper: Some(most),
        // The gate is recalled: a ground to look closer, none to forbid.
        outcome: if over { Outcome::Caution } else { Outcome::Ok },
        reason: if over {
            "A lasting overload may harm the cable before the fuse is sure to open.".to_owned()
        } else {
            "The fuse is sure to open before a lasting overload harms the cable.".to_owned()
        },
        formula: format!(
            "I2 = {} · In = {} A against 1.45 · Iz = {} A",
            opening.multiple,
            three_digits(sure),
            three_digits(most)
        ),
        sources: std::iter::once(OVERLOAD_SOURCE)
            .chain(gate_source(asked.form))
            .map(Basis::from)
            .collect(),
        remedy: over.then(|| larger_cable(circuit)).flatten(),
        ..finding(circuit, "fuse_overload", "Lasting overload")
    })
}

/// The maker's rating against the picked one: both are shown, and a difference is never silent.
fn fuse_asked(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Option<Finding> {
    if pick.rating_a == asked.rating_a {
        return None;
    }
    let larger = pick.rating_a > asked.rating_a;
    let makers = physical(asked.rating_a);
    Some(Finding {
        value: physical(pick.rating_a),
        lower: (!larger).then_some(makers),
        upper: larger.then_some(makers),
        outcome: if larger { Outcome::Stop } else { Outcome::Caution },
        reason: if larger {
            "The picked fuse is larger than the maker's.".to_owned()
        } else {
            "The picked fuse is smaller than the maker's: safe, but it may open at full load."
                .to_owned()
        },
        formula: format!(
            "picked {} A, maker {} A",
            pick.rating_a.normalize(),
            asked.rating_a.normalize()
        ),
        sources: vec![Basis::kit(&circuit.kit.page)],
        remedy: Some(format!("Pick the maker's {} A.", asked.rating_a.normalize())),
        ..finding(circuit, "fuse_asked", "Fuse picked against the maker's")
    })
}

fn fuse_place(circuit: &CircuitFigures<'_>, asked: FuseAsk, pick: FusePick) -> Finding {
    let distance = physical(pick.distance_mm);
    let maker = physical(asked.distance_max_mm);
    let most = if pick.covered { maker } else { maker.min(FUSE_DISTANCE_MAX.0) };
    let stop = distance > most;
    Finding {
        value: distance,
        unit: "mm",
        upper: Some(most),
        outcome: stop_if(stop),
        reason: if stop {
            "Too much cable between source and fuse has no protection.".to_owned()
        } else {
            "The fuse sits close enough to its source.".to_owned()
        },
        formula: format!(
            "{distance} mm along the cable; {:.0} mm or covered to the fuse, maker {maker} mm, the \
             smaller counts",
            FUSE_DISTANCE_MAX.0
        ),
        sources: vec![PLACE_SOURCE.into(), Basis::kit(&circuit.kit.page)],
        remedy: stop.then(|| {
            if distance <= maker {
                "Cover the cable all the way to the fuse, or move the fuse closer.".to_owned()
            } else {
                format!("Move the fuse to within {most} mm of the source.")
            }
        }),
        ..finding(circuit, "fuse_place", "Distance of the fuse from its source")
    }
}

fn fuse_voltage(kit: &Kit, circuit: &CircuitFigures<'_>, asked: FuseAsk) -> Finding {
    // A 12 V system charges at up to 15 V, a 24 V system at twice that.
    let highest = physical(kit.nominal_voltage_v) * 1.25;
    let rated = asked.form.rated_voltage().0;
    let stop = beyond(highest, rated);
    Finding {
        value: highest,
        unit: "V",
        upper: Some(rated),
        outcome: stop_if(stop),
        reason: if stop {
            "The arc may not go out at this voltage.".to_owned()
        } else {
            "The fuse is rated for the voltage.".to_owned()
        },
        formula: format!("1.25 · {} V against {rated} V", kit.nominal_voltage_v.normalize()),
        sources: vec![asked.form.scope_source().into()],
        remedy: stop.then(|| "A fuse form that is rated for this voltage.".to_owned()),
        ..finding(circuit, "fuse_voltage", "Voltage of the fuse")
    }
}
