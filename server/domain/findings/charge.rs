//! Findings about charging and standing: what arrives, how long it takes, what the alternator has left.

use crate::domain::figures::CircuitFigures;
use crate::domain::finding::{Basis, Finding, Outcome, beyond, three_digits};
use crate::domain::kit::{Charging, Kit, Purpose};
use crate::domain::limits::{STANDING_DAYS_LEAST, STANDING_DOWN_TO};
use crate::domain::number::{physical, with_minus};
use crate::domain::plan::{Plan, Vehicle};
use crate::engineering::charging::{
    AlternatorLoad, Feed, Filling, HOT_FACTOR, Standing, alternator_margin, feed_power,
    hours_to_full, standing_days,
};
use crate::engineering::units::{AmpereHours, Amps, Volts, WattHours};
use crate::engineering::{OutOfRange, Source};

const FEED_SOURCE: Source = Source::computed("power balance: (U − drop) · I · efficiency");

const FREEZING_SOURCE: Source = Source::from_memory("widely published for lithium iron phosphate");

const HOURS: &str = "charge.hours";
const MARGIN: &str = "alternator.margin";
const STANDING: &str = "battery.standing";
const FREEZING: &str = "battery.freezing";

/// What a running vehicle's battery has, over the nominal voltage: 14 V of 12 V.
const RUNNING: f64 = 14.0 / 12.0;

pub(super) fn findings(kit: &Kit, plan: &Plan, circuits: &[CircuitFigures<'_>]) -> Vec<Finding> {
    let charged = kit.charging.as_ref();
    let fed = charged.and_then(|one| circuits.iter().find(|c| c.kit.id == one.circuit));
    // By the kit, so that a supply whose cable cannot be worked out is drawn all the same.
    let supplies = kit.circuits.iter().filter(|circuit| circuit.purpose == Purpose::Supply);
    let drawn: f64 = supplies.map(|circuit| physical(circuit.continuous_a)).sum();
    let vehicle = &plan.vehicle;
    let all = [
        charged
            .zip(fed)
            .and_then(|(charging, circuit)| hours(vehicle, charging, circuit))
            .map(|found| (HOURS, found)),
        (drawn > 0.0).then(|| (MARGIN, alternator(vehicle, drawn))),
        kit.standing_current_ma.map(|ma| (STANDING, standing(vehicle, physical(ma) / 1000.0))),
        freezing(vehicle).map(|found| (FREEZING, Ok(found))),
    ];
    let told = |(id, found): (&str, Result<Finding, OutOfRange>)| {
        found.unwrap_or_else(|refused| super::cannot_work_out(id, &refused))
    };
    all.into_iter().flatten().map(told).collect()
}

/// From empty to full at the planned current, if the kit says how much goes in. Nothing where all of
/// the voltage is lost on the way: the drop says so.
fn hours(
    vehicle: &Vehicle,
    charging: &Charging,
    circuit: &CircuitFigures<'_>,
) -> Option<Result<Finding, OutOfRange>> {
    let pack = WattHours(physical(charging.pack_wh?));
    if circuit.drop.0 >= running(vehicle).0 {
        return None;
    }
    Some(hours_for(vehicle, charging, circuit, pack))
}

fn hours_for(
    vehicle: &Vehicle,
    charging: &Charging,
    circuit: &CircuitFigures<'_>,
    pack: WattHours,
) -> Result<Finding, OutOfRange> {
    let efficiency = charging.efficiency_percent.map_or(1.0, |percent| physical(percent) / 100.0);
    let source = running(vehicle);
    let feed = Feed { source, drop: circuit.drop, efficiency };
    let power = feed_power(feed, circuit.current)?;
    let time = hours_to_full(Filling { pack, start: 0.0 }, power)?;
    Ok(Finding {
        value: time.0,
        unit: "h",
        reason: format!("So long must the engine run from empty to full; {power:.0} arrive."),
        formula: format!(
            "P = ({source:.1} − {:.2}) · {} A · {efficiency} = {power:.0}; t = {} / P",
            circuit.drop,
            three_digits(circuit.current.0),
            pack
        ),
        sources: vec![FEED_SOURCE.into(), Basis::kit(&charging.page)],
        ..Finding::named(HOURS, "Hours from empty to full")
    })
}

fn running(vehicle: &Vehicle) -> Volts {
    Volts(physical(vehicle.nominal_voltage_v) * RUNNING)
}

/// Hot and slow the alternator gives less than its plate says.
fn alternator(vehicle: &Vehicle, feed: f64) -> Result<Finding, OutOfRange> {
    let rated = Amps(physical(vehicle.alternator_a));
    let base_load = Amps(physical(vehicle.base_load_a));
    let load = AlternatorLoad { rated, hot_factor: HOT_FACTOR, base_load, feed: Amps(feed) };
    let margin = alternator_margin(load)?.0;
    let needed = base_load.0 + feed;
    let most = rated.0 * HOT_FACTOR;
    let lacks = beyond(needed, most);
    Ok(Finding {
        value: needed,
        unit: "A",
        upper: Some(most),
        outcome: if lacks { Outcome::Caution } else { Outcome::Ok },
        reason: if lacks {
            format!(
                "Hot, the alternator lacks {} A: the vehicle's battery is drained while driving.",
                three_digits(-margin)
            )
        } else {
            format!("Hot, the alternator has {} A left.", three_digits(margin))
        },
        formula: format!(
            "rated · hot − base − feed = {} A · {HOT_FACTOR} − {} A − {} A = {} A",
            three_digits(rated.0),
            three_digits(base_load.0),
            three_digits(feed),
            three_digits(margin)
        ),
        sources: vec![
            Basis::practice(format!("a hot alternator gives {HOT_FACTOR} of its rating")),
            Basis::plan("alternator and base load of the vehicle"),
        ],
        remedy: lacks.then(|| {
            "Set the gear to charge with less, or find a larger alternator for this vehicle."
                .to_owned()
        }),
        ..Finding::named(MARGIN, "Load against the hot alternator")
    })
}

/// How long the vehicle may stand with the gear asleep.
fn standing(vehicle: &Vehicle, current_a: f64) -> Result<Finding, OutOfRange> {
    let battery = Standing {
        capacity: AmpereHours(physical(vehicle.battery_ah)),
        from: 1.0,
        down_to: STANDING_DOWN_TO,
        current: Amps(current_a),
    };
    let days = standing_days(battery)?.0;
    let short = beyond(STANDING_DAYS_LEAST, days);
    Ok(Finding {
        value: days,
        unit: "days",
        lower: Some(STANDING_DAYS_LEAST),
        outcome: if short { Outcome::Caution } else { Outcome::Ok },
        reason: if short {
            "Parked for a holiday the vehicle may not start again.".to_owned()
        } else {
            "So long the gear alone takes to draw the battery down to half.".to_owned()
        },
        formula: format!(
            "Ah · (1 − {STANDING_DOWN_TO}) / A / 24 = {} Ah · {} / {} mA / 24 = {} days",
            vehicle.battery_ah.normalize(),
            1.0 - STANDING_DOWN_TO,
            three_digits(current_a * 1000.0),
            three_digits(days)
        ),
        sources: vec![
            Basis::plan("battery capacity by its label; the gear's own current by the kit"),
            Basis::practice(format!("at least {STANDING_DAYS_LEAST:.0} days")),
        ],
        remedy: short
            .then(|| "A switch in the feed for long standing; say so to the customer.".to_owned()),
        ..Finding::named(STANDING, "Days the vehicle may stand")
    })
}

/// Lithium is harmed by charging below freezing; its own electronics may or may not prevent it.
fn freezing(vehicle: &Vehicle) -> Option<Finding> {
    let celsius = physical(vehicle.battery_c?);
    if vehicle.battery.is_lead_acid() {
        return None;
    }
    let cold = celsius < 0.0;
    Some(Finding {
        value: celsius,
        unit: "°C",
        lower: Some(0.0),
        outcome: if cold { Outcome::Caution } else { Outcome::Ok },
        reason: if cold {
            "Lithium must not be charged below freezing: heating or a lock-out must see to it."
                .to_owned()
        } else {
            "The battery is warm enough to be charged.".to_owned()
        },
        formula: format!("{} °C planned, 0 °C at least", with_minus(&celsius.to_string())),
        sources: vec![FREEZING_SOURCE.into()],
        remedy: cold.then(|| {
            "Check in the battery's data sheet that it refuses charge when cold, and say so here."
                .to_owned()
        }),
        ..Finding::named(FREEZING, "Charging in the cold")
    })
}
