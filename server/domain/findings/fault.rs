//! Findings about short circuits: what flows at the fuse and at the far end, and who gives way first.

use super::circuit::finding;
use crate::domain::figures::{self, CircuitFigures, Faults};
use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::FuseAsk;
use crate::domain::number::physical;
use crate::domain::plan::{FusePick, Plan};
use crate::engineering::Source;
use crate::engineering::fault::{
    ADIABATIC_LONGEST, ADIABATIC_SHORTEST, Clearing, ClearingCase, clearing, short_circuit_limit,
};
use crate::engineering::fuse::{FuseForm, gate, gate_source};
use crate::engineering::units::Amps;

const ADIABATIC_SOURCE: Source = Source::seen("IEC 60364-4-43, 434.5.2, k by table 43A");

/// Only where the source's resistance is known: a guessed one would be a guessed safety.
pub(super) fn findings(plan: &Plan, circuit: &CircuitFigures<'_>) -> Vec<Finding> {
    let (Some(asked), Some(pick)) = (circuit.kit.fuse, circuit.plan.fuse) else {
        return Vec::new();
    };
    match figures::faults(&plan.vehicle, circuit.plan, pick) {
        Ok(Some(faults)) => {
            vec![breaking(circuit, asked, &faults), cleared(circuit, asked.form, pick, &faults)]
        }
        Ok(None) => Vec::new(),
        Err(refused) => vec![super::cannot_work_out(&clearing_id(circuit), &refused)],
    }
}

fn clearing_id(circuit: &CircuitFigures<'_>) -> String {
    format!("{}.clearing", circuit.kit.id)
}

fn breaking(circuit: &CircuitFigures<'_>, asked: FuseAsk, faults: &Faults) -> Finding {
    let capacity = asked.form.breaking_capacity();
    let over = beyond(faults.at_fuse.0, capacity.0);
    // An estimated source is no ground to forbid, but one to look closer.
    let outcome = match (over, faults.measured) {
        (false, _) => Outcome::Ok,
        (true, true) => Outcome::Stop,
        (true, false) => Outcome::Caution,
    };
    Finding {
        value: faults.at_fuse.0,
        upper: Some(capacity.0),
        outcome,
        reason: if over {
            "At a short circuit here the fuse may burst instead of opening.".to_owned()
        } else {
            "The fuse can break the current of a short circuit.".to_owned()
        },
        formula: format!(
            "U/(R_source + R_path) = {:.1} V / ({:.1} + {:.2}) mΩ = {} A, return taken as free",
            faults.voltage.0,
            faults.source.to_milliohms(),
            faults.to_fuse.to_milliohms(),
            three_digits(faults.at_fuse.0)
        ),
        sources: vec![faults.basis.clone(), asked.form.scope_source().into()],
        remedy: over.then(|| {
            "A form with a higher breaking capacity at the source: ask the maker which.".to_owned()
        }),
        ..finding(circuit, "fuse_breaking", "Short-circuit current at the fuse")
    }
}

/// A short circuit at the far end is the weakest and so the slowest to clear.
fn cleared(
    circuit: &CircuitFigures<'_>,
    form: FuseForm,
    pick: FusePick,
    faults: &Faults,
) -> Finding {
    let rating = Amps(physical(pick.rating_a));
    let judged = circuit.short_circuit_k().and_then(|k| {
        let (current, area) = (faults.far_end, circuit.plan.cable.area());
        clearing(ClearingCase { form, rating, current, k, area })
    });
    let told = finding(circuit, "clearing", "Short circuit at the far end");
    let mut told = match judged {
        Ok(Clearing::Holds { longest, withstand }) => held(told, longest.0, withstand.0, true),
        Ok(Clearing::Fails { longest, withstand }) => held(told, longest.0, withstand.0, false),
        Ok(Clearing::NotJudged) => unjudged(told, form, faults.far_end.0 / rating.0, faults),
        Err(refused) => return super::cannot_work_out(&clearing_id(circuit), &refused),
    };
    let multiple = faults.far_end.0 / rating.0;
    told.formula = format!(
        "I = {:.1} V / ({:.1} + {:.2}) mΩ = {} A = {} · In; t = k²·S²/I² with k from {} to {}",
        faults.voltage.0,
        faults.source.to_milliohms(),
        faults.whole.to_milliohms(),
        three_digits(faults.far_end.0),
        three_digits(multiple),
        circuit.plan.insulation.max(),
        short_circuit_limit(circuit.plan.insulation),
    );
    told.sources = vec![faults.basis.clone(), ADIABATIC_SOURCE.into()];
    told.sources.extend(gate_source(form).map(Basis::from));
    // The least cable for drop and load may be less than the planned one: it is no answer here.
    told.remedy = (told.outcome != Outcome::Ok).then(|| {
        "A larger cable, a smaller fuse, or the maker's curve that shows it opens sooner."
            .to_owned()
    });
    told
}

/// The gates are recalled, so that a cable which may give way first is a caution, not a stop.
fn held(told: Finding, longest_s: f64, withstand_s: f64, holds: bool) -> Finding {
    Finding {
        value: longest_s,
        unit: "s",
        upper: Some(withstand_s),
        outcome: if holds { Outcome::Ok } else { Outcome::Caution },
        reason: if holds {
            "The fuse opens before the insulation is harmed. Its gate is from memory: the fuse \
             maker's curve decides."
                .to_owned()
        } else {
            "By its gate the fuse may take longer than the insulation stands. Look at the fuse \
             maker's curve."
                .to_owned()
        },
        ..told
    }
}

/// Outside 0.1 s to 5 s the law does not hold, and without a gate nothing can be said.
fn unjudged(told: Finding, form: FuseForm, multiple: f64, faults: &Faults) -> Finding {
    let longest = gate(form, multiple).and_then(|gate| gate.longest);
    let (outcome, reason) = match longest {
        Some(longest) if longest.0 > ADIABATIC_LONGEST.0 => (
            Outcome::Caution,
            format!(
                "So weak a short circuit may flow for {} s before the fuse opens; no verdict on the \
                 cable beyond {}.",
                three_digits(longest.0),
                ADIABATIC_LONGEST
            ),
        ),
        Some(_) => (
            Outcome::Ok,
            format!("The fuse opens within {ADIABATIC_SHORTEST}, where the law gives no verdict."),
        ),
        None => (
            Outcome::Ok,
            "No verdict: for this form and current no longest time is known here. Look at the fuse \
             maker's curve."
                .to_owned(),
        ),
    };
    Finding { value: faults.far_end.0, unit: "A", outcome, reason, ..told }
}
