//! A small cast for the rules: a kit with its plan, people, instruments, and a pen that writes entries.

use fusewright::domain::entry::{BODY_VERSION, Body, Digest, Entry, Payload, Signature};
use fusewright::domain::ids::{
    CalibrationId, DeviceId, EntryId, InstrumentId, JobId, Moment, PersonId, WorkshopId,
};
use fusewright::domain::instrument::{Calibration, Instrument, Range};
use fusewright::domain::job::{JobState, Known, fold};
use fusewright::domain::kit::Kit;
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::number::Decimal;
use fusewright::domain::person::{Person, Role};
use fusewright::domain::plan::Plan;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::sheet::{Making, Sheet, WorkshopLimits, make_sheet};
use fusewright::domain::step::{Limits, Step, StepKind, Unit};
use uuid::Uuid;

pub(crate) const KIT: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");
pub(crate) const PLAN: &str = include_str!("../../server/cli/demo/plans/tray-40-van.toml");
pub(crate) const JOB: JobId = JobId(Uuid::from_u128(7));
pub(crate) const FITTER: PersonId = PersonId(Uuid::from_u128(1));
pub(crate) const MANAGER: PersonId = PersonId(Uuid::from_u128(2));
pub(crate) const METER: InstrumentId = InstrumentId(Uuid::from_u128(100));
/// A wrench for small screws, whose range ends where the large one's begins.
pub(crate) const SMALL_WRENCH: InstrumentId = InstrumentId(Uuid::from_u128(101));
/// 2026-11-25 08:00 UTC.
pub(crate) const MORNING: Moment = Moment(1_795_593_600_000);

pub(crate) fn kit() -> Kit {
    read_kit(KIT).unwrap()
}

pub(crate) fn plan() -> Plan {
    read_plan(PLAN, &kit()).unwrap()
}

pub(crate) fn sheet(edition: u32, plan: &Plan) -> Sheet {
    make_sheet(Making {
        kit: &kit(),
        plan,
        plan_edition: edition,
        edition,
        workshop: &WorkshopLimits::default(),
    })
}

pub(crate) fn person(id: PersonId, role: Role) -> Person {
    Person {
        id,
        workshop: WorkshopId(Uuid::from_u128(9)),
        name: role.word().to_owned(),
        sign_in: role.word().to_owned(),
        role,
        disabled: false,
    }
}

pub(crate) fn dec(text: &str) -> Decimal {
    text.parse().unwrap()
}

pub(crate) fn small_wrench() -> Instrument {
    let range = Range {
        unit: Unit::NewtonMetre,
        from: dec("0"),
        to: dec("5"),
        resolution: dec("0.01"),
        percent: dec("0"),
        digits: 0,
    };
    Instrument { id: SMALL_WRENCH, label: "Wrench S".to_owned(), ..instrument(vec![range]) }
}

/// An instrument that measures every unit without error, in calibration all year.
pub(crate) fn exact_instrument() -> Instrument {
    let ranges = Unit::ALL.map(|unit| Range {
        unit,
        from: dec("0"),
        to: dec(if unit == Unit::NewtonMetre { "25" } else { "100" }),
        resolution: dec("0.001"),
        percent: dec("0"),
        digits: 0,
    });
    instrument(ranges.into())
}

pub(crate) fn instrument(ranges: Vec<Range>) -> Instrument {
    Instrument {
        id: METER,
        label: "Meter 1".to_owned(),
        kind: "Meter".to_owned(),
        serial: "1".to_owned(),
        ranges,
        calibrations: vec![Calibration {
            id: CalibrationId(Uuid::from_u128(200)),
            done_on: "2026-01-01".to_owned(),
            due_on: "2026-12-31".to_owned(),
            certificate: "C-1".to_owned(),
        }],
        recalls: Vec::new(),
        retired: false,
    }
}

/// Writes entries in the order of a chain, a minute apart.
pub(crate) struct Pen {
    pub(crate) sheets: Vec<Sheet>,
    pub(crate) instruments: Vec<Instrument>,
    pub(crate) entries: Vec<Entry>,
    /// Steps of result entries name the results that stand, as a page would.
    pub(crate) knows: bool,
    /// How far the phone's clock is ahead.
    pub(crate) clock_ahead_ms: Option<i64>,
    /// Photos from before the job.
    pub(crate) early_photos: Vec<Digest>,
}

impl Pen {
    /// With a sheet made.
    pub(crate) fn with_sheet() -> Self {
        let mut pen = Self {
            sheets: vec![sheet(1, &plan())],
            instruments: vec![exact_instrument(), small_wrench()],
            entries: Vec::new(),
            knows: true,
            clock_ahead_ms: None,
            early_photos: Vec::new(),
        };
        pen.make_sheet(1);
        pen
    }

    pub(crate) fn make_sheet(&mut self, edition: u32) {
        let none = fusewright::domain::entry::Digest::of(b"");
        let plan = Payload::Plan { edition, sha256: none.clone() };
        self.write(MANAGER, "", plan);
        let sheet = Payload::Sheet {
            edition,
            plan: edition,
            kit_sha256: none.clone(),
            plan_sha256: none.clone(),
            sheet_sha256: none,
        };
        self.write(MANAGER, "", sheet);
    }

    pub(crate) fn write(&mut self, person: PersonId, step: &str, payload: Payload) -> EntryId {
        let seq = self.entries.len() as u64;
        let id = EntryId(Uuid::from_u128(1000 + u128::from(seq)));
        let at = Moment(MORNING.0 + i64::try_from(seq).unwrap() * 60_000);
        let state = self.state();
        let supersedes = state
            .step(step)
            .map(fusewright::domain::job::StepState::supersedes)
            .unwrap_or_default();
        let body = Body {
            v: BODY_VERSION,
            id,
            job: JOB,
            sheet: state.sheet.map_or(0, |sheet| sheet.edition),
            step: step.to_owned(),
            at: at.rfc3339(),
            supersedes: if self.knows && payload.is_result() { supersedes } else { Vec::new() },
            improbable: false,
            payload,
        };
        let device = DeviceId(Uuid::from_u128(5));
        let (clock_ahead_ms, hash) = (self.clock_ahead_ms, [0; 32]);
        self.entries.push(Entry { seq, device, person, received: at, clock_ahead_ms, body, hash });
        id
    }

    /// A good result for every step that has none.
    pub(crate) fn fill(&mut self) {
        let steps: Vec<Step> = self
            .state()
            .steps
            .iter()
            .filter(|state| !state.is_recorded())
            .map(|state| state.step.clone())
            .collect();
        for step in steps {
            self.write(FITTER, &step.key, good(&step));
        }
    }

    pub(crate) fn submit(&mut self) {
        self.write(FITTER, "", Payload::Submit { signature: signature("A. Fitter") });
    }

    pub(crate) fn release(&mut self) {
        let signature = signature("B. Manager");
        self.write(MANAGER, "", Payload::Release { signature, same_person: false });
    }

    pub(crate) fn state(&self) -> JobState {
        fold(
            &self.entries,
            Known {
                sheets: &self.sheets,
                instruments: &self.instruments,
                early_photos: &self.early_photos,
            },
        )
    }
}

pub(crate) fn signature(name: &str) -> Signature {
    Signature { name: name.to_owned(), strokes: String::new() }
}

/// What passes a step.
pub(crate) fn good(step: &Step) -> Payload {
    match &step.kind {
        StepKind::Confirm => Payload::Confirm {},
        StepKind::Photo => {
            Payload::Photo { photos: vec![fusewright::domain::entry::Digest::of(b"photo")] }
        }
        StepKind::Note => Payload::Note { text: "none".to_owned() },
        StepKind::Torque { limits } => {
            let value = within(limits);
            let instrument = if value < dec("5") { SMALL_WRENCH } else { METER };
            Payload::Torque { value, instrument }
        }
        StepKind::Fuse { rating_a, .. } => Payload::Fuse { rating_a: *rating_a },
        StepKind::Order { expected, .. } => Payload::Order { labels: expected.clone() },
        StepKind::Reading { limits, .. } => {
            Payload::Reading { value: within(limits), instrument: METER }
        }
        StepKind::PathDrop { planned_milliohm, .. } => Payload::PathDrop {
            drop_v: planned_milliohm * dec("10") / dec("1000"),
            current_a: dec("10"),
            instrument: METER,
            current_instrument: METER,
        },
        StepKind::SolarOpen { string_voc_v, .. } => Payload::SolarOpen {
            voltage_v: *string_voc_v,
            cell_c: dec("25"),
            instrument: METER,
            thermometer: METER,
        },
    }
}

/// A figure inside limits.
pub(crate) fn within(limits: &Limits) -> Decimal {
    match (limits.lower, limits.upper) {
        (Some(low), Some(high)) => (low + high) / dec("2"),
        (Some(low), None) => low * dec("2"),
        (None, Some(high)) => high / dec("2"),
        (None, None) => dec("0"),
    }
}
