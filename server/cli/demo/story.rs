//! What happened in the invented workshop lately: eleven jobs, one for every place a job can be in.

mod days;
mod done;
mod found;
mod open;

use std::sync::Arc;

use super::cast::{Cast, Hand, WORKSHOP_DAYS, assemble};
use super::job::{Job, Opening};
use super::phones::{self, Pins};
use crate::acts::ActError;
use crate::documents::sign::SealKey;
use crate::domain::ids::Moment;
use crate::storage::Store;

const HOUR_MS: i64 = 3_600_000;

/// What the jobs show, in the order of their numbers.
pub(super) const SHOWS: [&str; 11] = [
    "released, with certificate: a fastener failed, was put right and passed",
    "released, with certificate: one step conceded in writing",
    "for review, and something wants eyes: a fail, a lapsed meter, an unexplained pass",
    "for review, all clean",
    "sent back: two steps due again, one of them done",
    "in the bays: two phones recorded the same step, which clashes",
    "in the bays, half way: one fail and one inconclusive",
    "ready for the vehicle: the sheet is made",
    "to plan: a caution waits to be accepted",
    "to plan: findings say stop",
    "re-inspection of job 1 after a bump, under way: each value beside its first",
];

const OPENINGS: [Opening; 10] = [
    Opening {
        customer: "Bramble Row Joinery",
        contact: "joinery@bramble-row.example",
        vehicle: "Panel van, medium roof, 2021",
        registration: "HP 21 KLN",
        vin_tail: "K4073318",
        odometer_km: 48_210,
        kit: "TRAY-40",
        plan: include_str!("plans/tray-40-van.toml"),
        technician: "tomasz",
    },
    Opening {
        customer: "Corrigan Haulage",
        contact: "yard@corrigan-haulage.example",
        vehicle: "Tractor unit, sleeper cab, 2020",
        registration: "TW 20 ORD",
        vin_tail: "X8120446",
        odometer_km: 402_900,
        kit: "DUO-24",
        plan: include_str!("plans/duo-24-truck.toml"),
        technician: "ines",
    },
    Opening {
        customer: "Alder Mobile Farriers",
        contact: "00 0000 017 311",
        vehicle: "Panel van, high roof, 2020",
        registration: "NR 20 FEX",
        vin_tail: "C2288190",
        odometer_km: 77_450,
        kit: "TRAY-40",
        plan: include_str!("plans/tray-40-van.toml"),
        technician: "owen",
    },
    Opening {
        customer: "Marit Solheim",
        contact: "marit@solheim.example",
        vehicle: "Coach-built camper, 2023",
        registration: "PF 23 WLD",
        vin_tail: "N7714052",
        odometer_km: 15_880,
        kit: "COOL-12",
        plan: include_str!("plans/cool-12-camper.toml"),
        technician: "tomasz",
    },
    Opening {
        customer: "Gareth and Una Pell",
        contact: "00 0000 017 452",
        vehicle: "Coach-built camper, 2021",
        registration: "BL 21 OSK",
        vin_tail: "N6602917",
        odometer_km: 29_340,
        kit: "COOL-12",
        plan: include_str!("plans/cool-12-camper.toml"),
        technician: "ines",
    },
    Opening {
        customer: "Corrigan Haulage",
        contact: "yard@corrigan-haulage.example",
        vehicle: "Tractor unit, day cab, 2022",
        registration: "GD 22 RAM",
        vin_tail: "X9904173",
        odometer_km: 210_760,
        kit: "DUO-24",
        plan: include_str!("plans/duo-24-truck.toml"),
        technician: "ines",
    },
    Opening {
        customer: "Northgate Sound Hire",
        contact: "crew@northgate-sound.example",
        vehicle: "Crew van, 2019",
        registration: "ML 19 TOV",
        vin_tail: "C1175503",
        odometer_km: 98_015,
        kit: "TRAY-40",
        plan: include_str!("plans/tray-40-van.toml"),
        technician: "tomasz",
    },
    Opening {
        customer: "Sallow Bank Tree Care",
        contact: "office@sallow-bank.example",
        vehicle: "Panel van, long, 2024",
        registration: "SK 24 JUN",
        vin_tail: "K8850021",
        odometer_km: 6_120,
        kit: "TRAY-40",
        plan: include_str!("plans/tray-40-van.toml"),
        technician: "owen",
    },
    Opening {
        customer: "Dorothea Quill",
        contact: "00 0000 017 590",
        vehicle: "Caravan-bodied van, 2022",
        registration: "PF 22 MRS",
        vin_tail: "L5530871",
        odometer_km: 33_105,
        kit: "COOL-12",
        plan: include_str!("plans/cool-12-composite-caution.toml"),
        technician: "ines",
    },
    Opening {
        customer: "Henrik Ostrow",
        contact: "henrik@ostrow.example",
        vehicle: "Estate car, 2018",
        registration: "VE 18 TRM",
        vin_tail: "J0059127",
        odometer_km: 121_340,
        kit: "TRAY-40",
        plan: include_str!("plans/tray-40-estate-stop.toml"),
        technician: "owen",
    },
];

/// Everybody who acts in it, and what they need.
struct Stage<'a> {
    store: &'a Store,
    seal: &'a Arc<SealKey>,
    origin: &'a str,
    cast: &'a Cast,
    now: Moment,
    rosalind: Hand,
    dmitri: Hand,
    tomasz: Hand,
    ines: Hand,
    owen: Hand,
}

impl Stage<'_> {
    /// Opens job `number`, so many hours ago.
    async fn open(&self, number: usize, hours_ago: i64) -> Result<Job<'_>, ActError> {
        let opening = OPENINGS.get(number - 1);
        let opening = opening.ok_or_else(|| ActError::Ours(format!("no job {number}")))?;
        let at = Moment(self.now.0 - hours_ago * HOUR_MS);
        Job::open(self.store, self.cast, opening, at).await
    }

    /// Opens the re-inspection of job `number`, so many hours ago.
    async fn inspect_again(&self, number: usize, hours_ago: i64) -> Result<Job<'_>, ActError> {
        let opening = OPENINGS.get(number - 1);
        let opening = opening.ok_or_else(|| ActError::Ours(format!("no job {number}")))?;
        let at = Moment(self.now.0 - hours_ago * HOUR_MS);
        let earlier = u64::try_from(number).unwrap_or_default();
        Box::pin(Job::inspect_again(self.store, self.cast, (opening, earlier), at)).await
    }
}

/// Makes the workshop and lets the last days pass in it.
pub(super) async fn tell(
    store: &Store,
    seal: &Arc<SealKey>,
    origin: &str,
    now: Moment,
) -> Result<Pins, ActError> {
    let cast = assemble(store, now.plus_days(-WORKSHOP_DAYS)).await?;
    let stage = Stage {
        store,
        seal,
        origin,
        cast: &cast,
        now,
        rosalind: cast.hand("rosalind")?,
        dmitri: cast.hand("dmitri")?,
        tomasz: cast.hand("tomasz")?,
        ines: cast.hand("ines")?,
        owen: cast.hand("owen")?,
    };
    Box::pin(eleven_jobs(&stage)).await?;
    days::plan_the_week(&stage).await?;
    found::all(&stage).await?;
    phones::share(store, &cast, now.plus_days(-WORKSHOP_DAYS)).await
}

async fn eleven_jobs(stage: &Stage<'_>) -> Result<(), ActError> {
    done::released_after_rework(stage).await?;
    done::released_with_concession(stage).await?;
    done::review_that_wants_eyes(stage).await?;
    done::clean_review(stage).await?;
    open::sent_back(stage).await?;
    open::clash(stage).await?;
    open::half_way(stage).await?;
    open::ready(stage).await?;
    open::caution(stage).await?;
    open::stop(stage).await?;
    Box::pin(open::inspected_again(stage)).await
}
