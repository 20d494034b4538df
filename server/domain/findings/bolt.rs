//! Findings about tightening: the clamp force that the kit's torque makes between low and high friction.

use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::{Kit, Mounting};
use crate::domain::number::physical;
use crate::engineering::preload_band::{FrictionRange, PreloadBand, preload_band};
use crate::engineering::prevailing_torque::clamping_torque;
use crate::engineering::thread::{PropertyClass, Thread};
use crate::engineering::tightening::{NUT_FACTOR_DRY, quick_preload};
use crate::engineering::units::NewtonMetres;
use crate::engineering::{OutOfRange, Source};

const BAND_SOURCE: Source = Source::from_memory("VDI 2230-1, torque to clamp force");
const PROOF_SOURCE: Source = Source::seen("ISO 898-1, proof loads");
const PROOF_SOURCE_STAINLESS: Source = Source::from_memory("ISO 3506-1, 0.2 % loads");
const QUICK_SOURCE: Source = Source::from_memory("Shigley, T = K·d·F with K = 0.20");

const PRELOAD: &str = "mount.preload";

pub(super) fn findings(kit: &Kit) -> Vec<Finding> {
    vec![preload(&kit.mounting).unwrap_or_else(|refused| super::cannot_work_out(PRELOAD, &refused))]
}

/// The maker's torque may not set the bolt where friction is low, wrench tolerance included.
fn preload(mounting: &Mounting) -> Result<Finding, OutOfRange> {
    let thread = Thread::parse(&mounting.thread)?;
    let class = PropertyClass::parse(&mounting.class)?;
    let most = mounting.torque.limits().upper.unwrap_or(mounting.torque.target_nm);
    let nut = NewtonMetres(mounting.prevailing_nm.map_or(0.0, physical));
    let clamping = clamping_torque(NewtonMetres(physical(mounting.torque.target_nm)), nut)?;
    let highest = clamping_torque(NewtonMetres(physical(most)), nut)?;
    let friction = FrictionRange::UNKNOWN_SURFACE;
    let band = preload_band(thread, class, clamping, friction)?;
    let worst = preload_band(thread, class, highest, friction)?.at_low_friction;
    let quick = quick_preload(NUT_FACTOR_DRY, thread.diameter(), clamping)?;
    let over = beyond(worst.proof_share, 1.0);
    Ok(Finding {
        value: worst.proof_share * 100.0,
        unit: "%",
        upper: Some(100.0),
        outcome: if over { Outcome::Caution } else { Outcome::Ok },
        reason: reason(over, &band),
        formula: format!(
            "F = T/(0.16·P + 0.58·d2·μ + DKm/2·μ), T = {} − {nut} of the nut: {:.1} kN at μ {}, \
             {:.1} kN at μ {}; at the most of the tolerance, {highest:.1}, {:.0} % of the proof \
             load. For comparison T/(K·d) = {:.1} kN",
            NewtonMetres(physical(mounting.torque.target_nm)),
            band.at_low_friction.preload.0 / 1000.0,
            band.at_low_friction.friction,
            band.at_high_friction.preload.0 / 1000.0,
            band.at_high_friction.friction,
            worst.proof_share * 100.0,
            quick.0 / 1000.0,
        ),
        sources: sources(mounting, class),
        remedy: over.then(|| {
            "Ask the kit's maker whether the torque is meant for dry or for oiled threads."
                .to_owned()
        }),
        ..Finding::named(PRELOAD, "Clamp force of a fastener against its proof load")
    })
}

fn reason(over: bool, band: &PreloadBand) -> String {
    let (most, least) = (band.at_low_friction.preload.0, band.at_high_friction.preload.0);
    let spread = format!(
        "The same torque clamps with {} N dry and {} N oiled",
        three_digits(least),
        three_digits(most)
    );
    if over {
        format!("{spread}; oiled, at the most of the tolerance, the bolt may set.")
    } else {
        format!("{spread}; both stay below the proof load.")
    }
}

fn sources(mounting: &Mounting, class: PropertyClass) -> Vec<Basis> {
    let stainless = matches!(class, PropertyClass::A2_70 | PropertyClass::A4_80);
    let proof = if stainless { PROOF_SOURCE_STAINLESS } else { PROOF_SOURCE };
    vec![BAND_SOURCE.into(), proof.into(), QUICK_SOURCE.into(), Basis::kit(&mounting.page)]
}
