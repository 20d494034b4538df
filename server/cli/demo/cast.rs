//! The people, kits and instruments of the invented workshop.

use super::PASSWORD;
use crate::acts::ActError;
use crate::domain::certificate::PaperSize;
use crate::domain::ids::{
    CalibrationId, DeviceId, InstrumentId, KitId, Moment, PersonId, WorkshopId,
};
use crate::domain::instrument::{Calibration, Instrument, Range};
use crate::domain::kit_check::read_kit;
use crate::domain::number::Decimal;
use crate::domain::person::{Person, Role};
use crate::domain::step::Unit;
use crate::storage::devices::{self, Device};
use crate::storage::kits::{self, NewKit};
use crate::storage::people::{self, NewPerson};
use crate::storage::workshops::{self, Papers, Workshop};
use crate::storage::{Store, instruments};
use crate::web::{Cost, hash_password};
use crate::world::new_id;

/// Age of the workshop and of what it began with, in days.
pub(super) const WORKSHOP_DAYS: i64 = 30;

/// Somebody of the demo.
pub(super) struct Part {
    pub(super) sign_in: &'static str,
    pub(super) name: &'static str,
    pub(super) role: Role,
    /// What they record with.
    device: &'static str,
}

const fn part(sign_in: &'static str, name: &'static str, role: Role, device: &'static str) -> Part {
    Part { sign_in, name, role, device }
}

/// Everybody.
pub(super) const PEOPLE: [Part; 6] = [
    part("imogen", "Imogen Thorne-Vale", Role::Owner, "Office desk"),
    part("rosalind", "Rosalind Achter", Role::Manager, "Front desk"),
    part("dmitri", "Dmitri Valko", Role::Manager, "Bench tablet"),
    part("tomasz", "Tomasz Brandl", Role::Technician, "Phone, bay 1"),
    part("ines", "Ines Marchand", Role::Technician, "Phone, bay 2"),
    part("owen", "Owen Fairlie", Role::Technician, "Phone, van"),
];

/// The kits that the workshop fits.
const KITS: [&str; 3] = [
    include_str!("kits/tray-40.toml"),
    include_str!("kits/cool-12.toml"),
    include_str!("kits/duo-24.toml"),
];

/// A person with the device in their hand.
#[derive(Debug, Clone)]
pub(super) struct Hand {
    pub(super) person: Person,
    pub(super) device: DeviceId,
}

/// The workshop as the story needs it.
pub(super) struct Cast {
    pub(super) workshop: WorkshopId,
    hands: Vec<Hand>,
    kits: Vec<(String, KitId)>,
}

impl Cast {
    /// Somebody by their sign-in.
    pub(super) fn hand(&self, sign_in: &str) -> Result<Hand, ActError> {
        self.hands
            .iter()
            .find(|hand| hand.person.sign_in == sign_in)
            .cloned()
            .ok_or_else(|| ActError::Ours(format!("nobody in the demo signs in as {sign_in}")))
    }

    pub(super) fn kit(&self, code: &str) -> Result<KitId, ActError> {
        let found = self.kits.iter().find(|(of, _)| of == code).map(|(_, id)| *id);
        found.ok_or_else(|| ActError::Ours(format!("the demo has no kit {code}")))
    }
}

/// Makes workshop, people, instruments and kits, as they were at the beginning.
pub(super) async fn assemble(store: &Store, at: Moment) -> Result<Cast, ActError> {
    let workshop = workshop(at)?;
    workshops::append(store, &workshop).await?;
    let mut cast = Cast { workshop: workshop.id, hands: Vec::new(), kits: Vec::new() };
    // One slow hash for all: they share the password.
    let hash = tokio::task::spawn_blocking(|| hash_password(PASSWORD, Cost::REAL)).await;
    let hash = hash.map_err(|why| ActError::Ours(why.to_string()))?.map_err(ActError::Ours)?;
    for part in &PEOPLE {
        cast.hands.push(engage(store, workshop.id, part, (&hash, at)).await?);
    }
    for instrument in instruments_of(at)? {
        instruments::append(store, workshop.id, instrument, at).await?;
    }
    let owner = cast.hand("imogen")?.person.id;
    for source in KITS {
        cast.kits.push(bring_in(store, workshop.id, source, (owner, at)).await?);
    }
    Ok(cast)
}

fn workshop(at: Moment) -> Result<Workshop, ActError> {
    Ok(Workshop {
        id: WorkshopId(new_id(at)?),
        name: "Thorne-Vale Vehicle Electrics".to_owned(),
        address: "Unit 6, Kiln Yard\nOld Ferry Road\nMarlbeck".to_owned(),
        phone: "00 0000 017 204".to_owned(),
        email: "bench@thorne-vale.example".to_owned(),
        certificate_prefix: "TV".to_owned(),
        place: "Marlbeck".to_owned(),
        one_person_release: false,
        insulation_least_megohm: Decimal::new(5, 1),
        paper: PaperSize::A4,
        papers: Papers::default(),
        created: at,
    })
}

async fn engage(
    store: &Store,
    workshop: WorkshopId,
    part: &Part,
    (hash, at): (&str, Moment),
) -> Result<Hand, ActError> {
    let person = Person {
        id: PersonId(new_id(at)?),
        workshop,
        name: part.name.to_owned(),
        sign_in: part.sign_in.to_owned(),
        role: part.role,
        disabled: false,
    };
    let new = NewPerson { person: person.clone(), password_hash: hash.to_owned(), created: at };
    people::append(store, new).await?;
    let device = DeviceId(new_id(at)?);
    let label = part.device.to_owned();
    devices::append(store, workshop, Device { id: device, first_seen: at, label }).await?;
    Ok(Hand { person, device })
}

async fn bring_in(
    store: &Store,
    workshop: WorkshopId,
    source: &str,
    (owner, at): (PersonId, Moment),
) -> Result<(String, KitId), ActError> {
    let kit = read_kit(source).map_err(ActError::Document)?;
    let new = NewKit {
        id: KitId(new_id(at)?),
        code: kit.code,
        edition: kit.edition,
        title: kit.title,
        source: source.as_bytes().to_vec(),
        imported: at,
        imported_by: owner,
    };
    let row = kits::append(store, workshop, new).await?;
    Ok((row.code, row.id))
}

/// Label of the meter whose calibration has run out.
pub(super) const LAPSED_METER: &str = "Meter 01";

/// Label of the wrench that the laboratory found out of tolerance.
pub(super) const DROPPED_WRENCH: &str = "Wrench 09";

/// An instrument in one line: label, kind, serial, days since its calibration, ranges.
type Line = (&'static str, &'static str, &'static str, i64, &'static [RangeLine]);
/// Unit, from, to, resolution, accuracy in percent, accuracy in digits.
type RangeLine = (Unit, &'static str, &'static str, &'static str, &'static str, u32);

const METER: &[RangeLine] = &[
    (Unit::Volt, "0", "0.5", "0.0001", "0.3", 4),
    (Unit::Volt, "0.5", "5", "0.001", "0.3", 3),
    (Unit::Volt, "5", "50", "0.01", "0.3", 2),
    (Unit::Volt, "50", "500", "0.1", "0.4", 2),
    (Unit::Milliampere, "0", "50", "0.01", "0.8", 3),
    (Unit::Milliampere, "50", "400", "0.1", "0.8", 3),
    (Unit::Ampere, "0", "10", "0.001", "1", 5),
];

/// Torque tools as ISO 6789-1:2017 allows: ±6 % at or below 10 N·m, ±4 % above.
const INSTRUMENTS: [Line; 10] = [
    ("Meter 03", "Digital multimeter", "DM-30418", 71, METER),
    (LAPSED_METER, "Digital multimeter, the older one", "DM-11702", 402, METER),
    (
        "Clamp 02",
        "Current clamp, DC",
        "CL-20556",
        120,
        &[
            (Unit::Ampere, "0", "50", "0.01", "1.2", 6),
            (Unit::Ampere, "50", "400", "0.1", "1.5", 5),
        ],
    ),
    (
        "Milliohm 01",
        "Four-wire milliohm meter",
        "MR-00871",
        33,
        &[
            (Unit::Milliohm, "0", "20", "0.001", "0.5", 5),
            (Unit::Milliohm, "20", "200", "0.01", "0.5", 5),
        ],
    ),
    (
        "Insulation 01",
        "Insulation tester, 50 V to 500 V",
        "IT-44023",
        208,
        &[(Unit::Megohm, "0.05", "20", "0.01", "3", 3), (Unit::Megohm, "20", "200", "0.1", "3", 5)],
    ),
    (
        "Wrench 04",
        "Torque screwdriver, 0.7 to 3.5 N·m, ISO 6789",
        "TS-04117",
        150,
        &[(Unit::NewtonMetre, "0.7", "3.5", "0.01", "6", 0)],
    ),
    (
        "Wrench 07",
        "Torque wrench, 3 to 15 N·m, ISO 6789 class A",
        "TW-07230",
        150,
        &[
            (Unit::NewtonMetre, "3", "10", "0.1", "6", 0),
            (Unit::NewtonMetre, "10", "15", "0.1", "4", 0),
        ],
    ),
    (
        DROPPED_WRENCH,
        "Torque wrench, 3 to 15 N·m, ISO 6789 class A",
        "TW-07641",
        110,
        &[
            (Unit::NewtonMetre, "3", "10", "0.1", "6", 0),
            (Unit::NewtonMetre, "10", "15", "0.1", "4", 0),
        ],
    ),
    (
        "Thermometer 02",
        "Two-channel contact thermometer",
        "TH-02965",
        95,
        &[
            (Unit::Kelvin, "0", "150", "0.1", "0.5", 8),
            (Unit::Celsius, "0", "200", "0.1", "0.5", 8),
        ],
    ),
    (
        "Gauges 01",
        "Feeler gauges, 0.05 to 1 mm",
        "FG-00319",
        323,
        &[(Unit::Millimetre, "0.05", "1", "0.01", "0", 2)],
    ),
];

fn instruments_of(at: Moment) -> Result<Vec<Instrument>, ActError> {
    INSTRUMENTS.iter().map(|line| instrument(line, at)).collect()
}

fn instrument(
    (label, kind, serial, age, ranges): &Line,
    at: Moment,
) -> Result<Instrument, ActError> {
    let done = at.plus_days(-age);
    Ok(Instrument {
        id: InstrumentId(new_id(at)?),
        label: (*label).to_owned(),
        kind: (*kind).to_owned(),
        serial: (*serial).to_owned(),
        ranges: ranges.iter().map(range).collect::<Result<_, _>>()?,
        calibrations: vec![Calibration {
            id: CalibrationId(new_id(done)?),
            done_on: done.date(),
            due_on: done.plus_days(365).date(),
            certificate: format!("CAL-{}", serial.replace('-', "")),
        }],
        recalls: Vec::new(),
        retired: false,
    })
}

fn range((unit, from, to, resolution, percent, digits): &RangeLine) -> Result<Range, ActError> {
    let figure = |text: &str| {
        text.parse::<Decimal>().map_err(|why| ActError::Ours(format!("{text}: {why}")))
    };
    Ok(Range {
        unit: *unit,
        from: figure(from)?,
        to: figure(to)?,
        resolution: figure(resolution)?,
        percent: figure(percent)?,
        digits: *digits,
    })
}
