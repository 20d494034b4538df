//! What the gear takes and gives: sense thresholds, solar window, charging.

use super::circuits::CircuitSection;
use crate::domain::document::{Section, listed};
use crate::domain::kit::{Charging, Purpose, Sense, SolarInput};
use crate::domain::number::Decimal;
use crate::domain::step::Limits;

/// No wire of a running vehicle is above this multiple of the nominal voltage: 15.6 V of 12 V.
const RUNNING_MOST: Decimal = Decimal::from_parts(13, 0, 0, false, 1);

pub(super) fn sense(
    top: &Section<'_>,
    circuits: &[CircuitSection<'_>],
    nominal_voltage_v: Option<Decimal>,
) -> Option<Sense> {
    let section = wanted_with(top, "sense", circuits, Purpose::Sense)?;
    let circuit = circuit(&section, circuits, Some(Purpose::Sense));
    let on_least_v = section.decimal("on_least_v", "0.5 to 65");
    let off_most_v = section.decimal("off_most_v", "0 to 65");
    let cranking = cranking(&section);
    let page = section.page();
    if let Some((on, off)) = on_least_v.zip(off_most_v).filter(|(on, off)| on <= off) {
        let wrong = format!("Off at {off} V and on at {on} V cannot be told apart.");
        section.fault("off_most_v", wrong, format!("Write less than {on}."));
    }
    let most = nominal_voltage_v.map(|volts| volts * RUNNING_MOST);
    if let Some((on, most)) = on_least_v.zip(most).filter(|(on, most)| on > most) {
        let wrong = format!("The wire never has {on} V.");
        section.fault("on_least_v", wrong, format!("Write at most {}.", most.normalize()));
    }
    Some(Sense {
        circuit: circuit?.id.clone(),
        on_least_v: on_least_v?,
        off_most_v: off_most_v?,
        cranking,
        page: page?,
    })
}

/// What the wire may have while the starter turns; without a figure nothing is asked for.
fn cranking(section: &Section<'_>) -> Limits {
    let lower = section.maybe_decimal("cranking_least_v", "0 to 65");
    let upper = section.maybe_decimal("cranking_most_v", "0.1 to 65");
    ordered(section, ("cranking_least_v", lower), ("cranking_most_v", upper));
    Limits { lower, upper }
}

pub(super) fn solar(top: &Section<'_>, circuits: &[CircuitSection<'_>]) -> Option<SolarInput> {
    let section = wanted_with(top, "solar", circuits, Purpose::Solar)?;
    let circuit = circuit(&section, circuits, Some(Purpose::Solar));
    let voltage_start_v = section.decimal("voltage_start_v", "1 to 250");
    let voltage_max_v = section.decimal("voltage_max_v", "5 to 250");
    let current_max_a = section.decimal("current_max_a", "0.1 to 100");
    let page = section.page();
    ordered(&section, ("voltage_start_v", voltage_start_v), ("voltage_max_v", voltage_max_v));
    Some(SolarInput {
        circuit: circuit?.id.clone(),
        voltage_max_v: voltage_max_v?,
        voltage_start_v: voltage_start_v?,
        current_max_a: current_max_a?,
        page: page?,
    })
}

pub(super) fn charging(top: &Section<'_>, circuits: &[CircuitSection<'_>]) -> Option<Charging> {
    let section = top.maybe_section("charging")?;
    let circuit = circuit(&section, circuits, None);
    let voltage_least_v = section.decimal("voltage_least_v", "5 to 70");
    let voltage_most_v = section.decimal("voltage_most_v", "5 to 70");
    let current_least_a = section.decimal("current_least_a", "0.1 to 400");
    let efficiency_percent = section.maybe_decimal("efficiency_percent", "40 to 100");
    let pack_wh = section.maybe_decimal("pack_wh", "10 to 100000");
    let page = section.page();
    ordered(&section, ("voltage_least_v", voltage_least_v), ("voltage_most_v", voltage_most_v));
    let most = circuit.and_then(CircuitSection::charge_most_a);
    if let Some((least, most)) = current_least_a.zip(most).filter(|(least, most)| least > most) {
        let wrong = format!("The circuit and its fuse carry {most} A continuously, not {least} A.");
        section.fault("current_least_a", wrong, format!("Write at most {most}."));
    }
    Some(Charging {
        circuit: circuit?.id.clone(),
        voltage_least_v: voltage_least_v?,
        voltage_most_v: voltage_most_v?,
        current_least_a: current_least_a?,
        efficiency_percent,
        pack_wh,
        page: page?,
    })
}

/// A section that stands in the kit if, and only if, a circuit has this purpose.
fn wanted_with<'d>(
    top: &Section<'d>,
    key: &str,
    circuits: &[CircuitSection<'_>],
    purpose: Purpose,
) -> Option<Section<'d>> {
    if circuits.iter().any(|circuit| circuit.purpose == Some(purpose)) {
        top.section(key)
    } else {
        top.maybe_section(key)
    }
}

/// The circuit that is named, of this purpose if one is asked for.
fn circuit<'c, 'd>(
    section: &Section<'_>,
    circuits: &'c [CircuitSection<'d>],
    purpose: Option<Purpose>,
) -> Option<&'c CircuitSection<'d>> {
    let fits = |circuit: &&CircuitSection<'_>| {
        // A circuit whose purpose could not be read has its own fault.
        purpose.is_none() || circuit.purpose.is_none() || circuit.purpose == purpose
    };
    let fitting: Vec<_> = circuits.iter().filter(fits).collect();
    let ids: Vec<&str> = fitting.iter().map(|circuit| circuit.id.as_str()).collect();
    let expects = match (ids.is_empty(), purpose) {
        (true, Some(purpose)) => format!("a circuit of purpose \"{}\" first", purpose.word()),
        _ => format!("the name of its circuit in quotes: {}", listed(&ids)),
    };
    section
        .parsed("circuit", &expects, |text| fitting.into_iter().find(|circuit| circuit.id == text))
}

/// Notes a window whose lower end is not below its upper one.
fn ordered(section: &Section<'_>, low: (&str, Option<Decimal>), high: (&str, Option<Decimal>)) {
    let Some((low_figure, high_figure)) = low.1.zip(high.1) else { return };
    if low_figure >= high_figure {
        let wrong = format!("{high_figure} is not above {} = {low_figure}.", low.0);
        section.fault(high.0, wrong, format!("Write more than {low_figure}."));
    }
}
