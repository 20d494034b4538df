//! One job of the demo, driven through the acts as people do it: hand by hand, minute by minute.

mod again;
mod defect;

use std::fmt::Write as _;
use std::sync::Arc;

use super::cast::{Cast, Hand};
use super::figures::Bench;
use super::pictures::{self, Scene};
use crate::acts::job::JobFile;
use crate::acts::record::compose;
use crate::acts::{ActError, By, certificate, decide, plan, record};
use crate::documents::sign::SealKey;
use crate::domain::entry::{Body, Digest, Payload, Signature};
use crate::domain::ids::{CustomerId, EntryId, InstrumentId, JobId, Moment};
use crate::domain::instrument::Instrument;
use crate::domain::job::StepState;
use crate::domain::seal::sha256;
use crate::domain::step::{Phase, Step, StepKind};
use crate::storage::customers::{self, Customer};
use crate::storage::jobs::{self, NewJob};
use crate::storage::photos::{self, NewPhoto};
use crate::storage::{Store, picture};
use crate::world::new_id;

/// Longest and shortest time between two entries, in minutes.
const MINUTES: std::ops::Range<i64> = 2..7;
/// Between recording and arriving, with signal.
const ARRIVES_AFTER_MS: i64 = 1_400;
/// Entries that wait together for the next bit of signal.
const TOGETHER: usize = 6;

/// What a job begins with.
pub(super) struct Opening {
    pub(super) customer: &'static str,
    pub(super) contact: &'static str,
    pub(super) vehicle: &'static str,
    pub(super) registration: &'static str,
    pub(super) vin_tail: &'static str,
    pub(super) odometer_km: u32,
    pub(super) kit: &'static str,
    /// Plan text whose vehicle lines are replaced by these.
    pub(super) plan: &'static str,
    pub(super) technician: &'static str,
}

/// A job with its clock.
pub(super) struct Job<'a> {
    store: &'a Store,
    cast: &'a Cast,
    opening: &'a Opening,
    id: JobId,
    number: u64,
    pub(super) now: Moment,
    file: Option<JobFile>,
}

impl<'a> Job<'a> {
    pub(super) async fn open(
        store: &'a Store,
        cast: &'a Cast,
        opening: &'a Opening,
        now: Moment,
    ) -> Result<Self, ActError> {
        let id = JobId(new_id(now)?);
        let customer = Customer {
            id: CustomerId(id.0),
            name: opening.customer.to_owned(),
            contact: opening.contact.to_owned(),
            address: String::new(),
        };
        customers::append(store, cast.workshop, customer).await?;
        let new = NewJob {
            id,
            customer: CustomerId(id.0),
            kit: cast.kit(opening.kit)?,
            vehicle: opening.vehicle.to_owned(),
            registration: opening.registration.to_owned(),
            technician: Some(cast.hand(opening.technician)?.person.id),
            opened: now,
            opened_by: cast.hand("rosalind")?.person.id,
        };
        let number = jobs::append(store, cast.workshop, new).await?;
        Ok(Self { store, cast, opening, id, number, now, file: None })
    }

    fn by(&self, hand: &Hand) -> By {
        By { person: hand.person.clone(), device: hand.device, now: self.now }
    }

    fn file(&self) -> Result<&JobFile, ActError> {
        self.file.as_ref().ok_or_else(|| ActError::Ours("the demo job was not planned".to_owned()))
    }

    pub(super) fn pass_minutes(&mut self, minutes: i64) {
        self.now = Moment(self.now.0 + minutes * 60_000);
    }

    pub(super) fn step(&self, key: &str) -> Result<Step, ActError> {
        let found = self.file()?.state.step(key).map(|state| state.step.clone());
        found.ok_or_else(|| ActError::Ours(format!("the demo sheet has no step {key}")))
    }

    // --- at the desk

    pub(super) async fn plan(&mut self, who: &Hand) -> Result<(), ActError> {
        self.pass_minutes(14);
        let text = self.plan_text();
        self.file = Some(plan::save(self.store, &self.by(who), self.id, &text).await?);
        Ok(())
    }

    fn plan_text(&self) -> String {
        let opening = self.opening;
        let line = |line: &str| match line.split_once(" = ").map(|(key, _)| key) {
            Some("description") => format!("description = \"{}\"", opening.vehicle),
            Some("registration") => format!("registration = \"{}\"", opening.registration),
            Some("vin_tail") => format!("vin_tail = \"{}\"", opening.vin_tail),
            Some("odometer_km") => format!("odometer_km = {}", opening.odometer_km),
            _ => line.to_owned(),
        };
        let kept = opening.plan.lines().filter(|line| !line.starts_with('#'));
        kept.map(line).collect::<Vec<_>>().join("\n") + "\n"
    }

    /// Accepts the open cautions but the last `leaving`, each with its reason.
    pub(super) async fn accept_cautions(
        &mut self,
        who: &Hand,
        leaving: usize,
    ) -> Result<(), ActError> {
        let open: Vec<String> =
            self.file()?.open_cautions().iter().map(|finding| finding.id.clone()).collect();
        let count = open.len().saturating_sub(leaving);
        for id in open.into_iter().take(count) {
            self.pass_minutes(3);
            let reason = "Looked at on the vehicle together with the technician; acceptable here.";
            let by = self.by(who);
            self.file = Some(plan::acknowledge(self.store, &by, self.id, &id, reason).await?);
        }
        Ok(())
    }

    /// Plan, cautions and sheet, as it mostly goes.
    pub(super) async fn prepare(&mut self, who: &Hand) -> Result<(), ActError> {
        self.plan(who).await?;
        self.accept_cautions(who, 0).await?;
        self.pass_minutes(4);
        self.file = Some(plan::make(self.store, &self.by(who), self.id).await?);
        self.pass_minutes(25);
        Ok(())
    }

    pub(super) async fn send_back(
        &mut self,
        who: &Hand,
        steps: &[&str],
        remark: &str,
    ) -> Result<(), ActError> {
        self.pass_minutes(50);
        let steps = steps.iter().map(|key| (*key).to_owned()).collect();
        let by = self.by(who);
        self.file = Some(decide::send_back(self.store, &by, self.id, steps, remark).await?);
        self.pass_minutes(20);
        Ok(())
    }

    pub(super) async fn concede(
        &mut self,
        who: &Hand,
        step: &str,
        reason: &str,
    ) -> Result<(), ActError> {
        self.pass_minutes(9);
        let by = self.by(who);
        self.file = Some(decide::concede(self.store, &by, self.id, step, reason).await?);
        Ok(())
    }

    /// Releases the vehicle and issues its certificate.
    pub(super) async fn release(
        &mut self,
        who: &Hand,
        seal: &Arc<SealKey>,
        origin: &str,
    ) -> Result<(), ActError> {
        self.pass_minutes(18);
        let by = self.by(who);
        let signature = signature(&who.person.name);
        self.file = Some(decide::release(self.store, &by, self.id, signature).await?);
        let sealer = certificate::Sealer { key: Arc::clone(seal), stamps: None };
        certificate::issue(self.store, &sealer, origin, &by, self.id).await?;
        Ok(())
    }

    // --- at the vehicle

    /// Records every step of these phases that has no result yet, but those left out.
    pub(super) async fn work(
        &mut self,
        who: &Hand,
        phases: &[Phase],
        leaving_out: &[&str],
    ) -> Result<(), ActError> {
        let wanted =
            |step: &Step| phases.contains(&step.phase) && !leaving_out.contains(&step.key.as_str());
        let due = self.file()?.state.steps.iter().filter(|state| !state.is_recorded());
        let steps: Vec<Step> =
            due.map(|state| state.step.clone()).filter(|step| wanted(step)).collect();
        for together in steps.chunks(TOGETHER) {
            let mut bodies = Vec::new();
            for step in together {
                let payload = self.good(who, step).await?;
                bodies.push(self.body(who, &step.key, payload)?);
                self.pass_minutes(self.pace(&step.key));
            }
            self.bring(who, bodies).await?;
        }
        Ok(())
    }

    /// Records all that is left.
    pub(super) async fn finish(&mut self, who: &Hand) -> Result<(), ActError> {
        self.work(who, &Phase::ALL, &[]).await
    }

    /// Records one step as it should be.
    pub(super) async fn well(&mut self, who: &Hand, key: &str) -> Result<(), ActError> {
        let step = self.step(key)?;
        let payload = self.good(who, &step).await?;
        self.enter(who, key, payload).await
    }

    /// Tightens one joint well, with this wrench.
    pub(super) async fn well_with(
        &mut self,
        who: &Hand,
        key: &str,
        label: &str,
    ) -> Result<(), ActError> {
        let Payload::Torque { value, .. } = self.bench()?.good(&self.step(key)?)? else {
            return Err(ActError::Ours(format!("{key} is no torque step")));
        };
        let instrument = self.instrument(|wrench| wrench.label == label)?;
        self.enter(who, key, Payload::Torque { value, instrument }).await
    }

    /// Records one figure as it was read, right or wrong, with the best instrument for it.
    pub(super) async fn read_as(
        &mut self,
        who: &Hand,
        key: &str,
        value: crate::domain::number::Decimal,
    ) -> Result<(), ActError> {
        let payload = self.bench()?.read_as(&self.step(key)?, value)?;
        self.enter(who, key, payload).await
    }

    /// Records whatever is given.
    pub(super) async fn enter(
        &mut self,
        who: &Hand,
        key: &str,
        payload: Payload,
    ) -> Result<(), ActError> {
        let body = self.body(who, key, payload)?;
        self.bring(who, vec![body]).await?;
        self.pass_minutes(self.pace(key));
        Ok(())
    }

    /// Words and a picture about a step.
    pub(super) async fn remark(
        &mut self,
        who: &Hand,
        key: &str,
        text: &str,
        scene: Option<Scene>,
    ) -> Result<(), ActError> {
        let photos = match scene {
            Some(scene) => vec![self.photo(who, scene).await?],
            None => Vec::new(),
        };
        self.enter(who, key, Payload::Remark { text: text.to_owned(), photos }).await
    }

    pub(super) async fn submit(&mut self, who: &Hand) -> Result<(), ActError> {
        let payload = Payload::Submit { signature: signature(&who.person.name) };
        self.enter(who, "", payload).await
    }

    /// Records for what the sheet showed before somebody else's entries came in, `minutes` ago.
    pub(super) async fn late(
        &mut self,
        who: &Hand,
        key: &str,
        (payload, minutes): (Payload, i64),
    ) -> Result<(), ActError> {
        let mut body = self.body(who, key, payload)?;
        body.supersedes = Vec::new();
        body.at = Moment(self.now.0 - minutes * 60_000).rfc3339();
        self.bring(who, vec![body]).await
    }

    /// The body as the phone writes it.
    pub(super) fn body(&self, who: &Hand, key: &str, payload: Payload) -> Result<Body, ActError> {
        Ok(compose(&self.by(who), EntryId(new_id(self.now)?), self.file()?, key, payload))
    }

    /// Sends bodies; a refused one is a fault of the story.
    pub(super) async fn bring(&mut self, who: &Hand, bodies: Vec<Body>) -> Result<(), ActError> {
        let bytes: Vec<Vec<u8>> = bodies.iter().map(Body::write).collect::<Result<_, _>>()?;
        self.now = Moment(self.now.0 + ARRIVES_AFTER_MS);
        let (answers, file) = record::record(self.store, &self.by(who), self.id, bytes).await?;
        for answer in answers {
            answer?;
        }
        self.file = Some(file);
        Ok(())
    }

    /// The figure that stands at a step, without its unit.
    pub(super) fn value_of(&self, key: &str) -> Result<String, ActError> {
        let result = self.file()?.state.step(key).and_then(StepState::result);
        let judged = result.and_then(|result| result.judged.as_ref().ok());
        let figure = judged.and_then(|judgement| judgement.value.split(' ').next());
        figure.map(str::to_owned).ok_or_else(|| ActError::Ours(format!("no figure at {key}")))
    }

    pub(super) fn instrument(
        &self,
        wanted: impl Fn(&&Instrument) -> bool,
    ) -> Result<InstrumentId, ActError> {
        let found = self.file()?.instruments.iter().find(wanted).map(|instrument| instrument.id);
        found.ok_or_else(|| ActError::Ours("the demo has no such instrument".to_owned()))
    }

    pub(super) fn bench(&self) -> Result<Bench<'_>, ActError> {
        let instruments = &self.file()?.instruments;
        Ok(Bench { instruments, at: self.now, job: self.number })
    }

    async fn good(&mut self, who: &Hand, step: &Step) -> Result<Payload, ActError> {
        if step.kind == StepKind::Photo {
            let scene = pictures::scene(&step.key, self.opening, &self.file()?.kit);
            return Ok(Payload::Photo { photos: vec![self.photo(who, scene).await?] });
        }
        self.bench()?.good(step)
    }

    /// Draws, sends and keeps a photo, as the phone does before the entry that names it.
    async fn photo(&self, who: &Hand, scene: Scene) -> Result<Digest, ActError> {
        let stamp = format!("JOB {}  {}", self.number, self.now.date_and_minute());
        let made = tokio::task::spawn_blocking(move || {
            let sent = pictures::draw(&scene, &stamp)?;
            let kept = picture::reencode(&sent).map_err(|why| ActError::Ours(why.to_string()))?;
            Ok::<_, ActError>((Digest::of(&sent), kept))
        });
        let (sha256, picture) = made.await.map_err(|why| ActError::Ours(why.to_string()))??;
        let new = NewPhoto {
            sha256: sha256.clone(),
            picture,
            received: self.now,
            received_by: who.person.id,
        };
        photos::append(self.store, self.cast.workshop, new).await?;
        Ok(sha256)
    }

    /// Minutes that a step takes, the same at each start.
    fn pace(&self, key: &str) -> i64 {
        let chance = sha256(format!("{key} {}", self.number).as_bytes());
        let byte = i64::from(chance.first().copied().unwrap_or(0));
        MINUTES.start + byte % (MINUTES.end - MINUTES.start)
    }
}

/// A drawn signature: a line that rises and falls by the letters of the name.
fn signature(name: &str) -> Signature {
    let mut strokes = String::new();
    let mut x = 40;
    for word in name.split([' ', '-']) {
        for (at, letter) in word.bytes().enumerate() {
            let high =
                matches!(letter, b'b' | b'd' | b'f' | b'h' | b'k' | b'l' | b't' | b'A'..=b'Z');
            let low = matches!(letter, b'g' | b'j' | b'p' | b'q' | b'y');
            let lean = i32::from(letter % 5);
            let start = if at == 0 { 'M' } else { 'L' };
            let top = if high { 48 + lean } else { 92 + 2 * lean };
            let foot = if low { 164 - lean } else { 122 + lean };
            // Writing to a String cannot fail.
            let _ = write!(strokes, "{start} {x} {top} L {} {foot} ", x + 9 + lean);
            x += 18 + lean;
        }
        x += 24;
    }
    Signature { name: name.to_owned(), strokes: strokes.trim_end().to_owned() }
}
