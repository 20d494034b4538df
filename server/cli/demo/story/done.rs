//! Jobs whose work is done: released with a certificate, or waiting for a manager.

use super::Stage;
use crate::acts::ActError;
use crate::cli::demo::cast::{DROPPED_WRENCH, LAPSED_METER};
use crate::cli::demo::figures::beyond;
use crate::cli::demo::pictures::Scene;
use crate::domain::entry::Payload;
use crate::domain::instrument::Instrument;
use crate::domain::number::Decimal;
use crate::domain::step::{Limits, Phase, Step, StepKind};

const FASTENER: &str = "mount.fastener_3.torque";
/// Read with the wrench that was found out of tolerance later.
const DOUBTED: &str = "mount.fastener_2.torque";

fn limits(step: &Step) -> Result<&Limits, ActError> {
    match &step.kind {
        StepKind::Torque { limits } | StepKind::Reading { limits, .. } => Ok(limits),
        _ => Err(ActError::Ours(format!("{} has no limits", step.key))),
    }
}

/// Job 1. A fastener was pulled too far; it was made new and passed.
pub(super) async fn released_after_rework(stage: &Stage<'_>) -> Result<(), ActError> {
    let mut job = stage.open(1, 9 * 24).await?;
    job.prepare(&stage.rosalind).await?;
    job.work(&stage.tomasz, &[Phase::Before, Phase::Mount], &[FASTENER, DOUBTED]).await?;
    job.well_with(&stage.tomasz, DOUBTED, DROPPED_WRENCH).await?;
    let too_tight = beyond(limits(&job.step(FASTENER)?)?, 8);
    job.read_as(&stage.tomasz, FASTENER, too_tight).await?;
    let words = "Bolt, washer and nut replaced, thread looked at, tightened again in one pull.";
    job.remark(&stage.tomasz, FASTENER, words, Some(Scene::Bolt)).await?;
    job.well(&stage.tomasz, FASTENER).await?;
    job.finish(&stage.tomasz).await?;
    job.submit(&stage.tomasz).await?;
    job.pass_minutes(16 * 60);
    job.release(&stage.rosalind, stage.seal, stage.origin).await
}

/// Job 2. The driver was away; the manager accepted that he is shown later.
pub(super) async fn released_with_concession(stage: &Stage<'_>) -> Result<(), ActError> {
    const SHOWN: &str = "hand_over.shown";
    let mut job = stage.open(2, 6 * 24).await?;
    job.prepare(&stage.dmitri).await?;
    job.work(&stage.ines, &Phase::ALL, &[SHOWN]).await?;
    let reason =
        "The driver is on the road until Friday; the yard collects the vehicle.".to_owned();
    job.enter(&stage.ines, SHOWN, Payload::Unable { reason }).await?;
    job.submit(&stage.ines).await?;
    let accepted = "The yard's foreman was shown instead and will show the driver.";
    job.concede(&stage.dmitri, SHOWN, accepted).await?;
    job.release(&stage.dmitri, stage.seal, stage.origin).await
}

/// Job 3. Submitted, but: one fail, one entry with a lapsed meter, one pass after a fail without a
/// word, one figure kept though improbable, one phone whose clock runs ahead.
pub(super) async fn review_that_wants_eyes(stage: &Stage<'_>) -> Result<(), ActError> {
    const RESTED: &str = "before.battery_rested";
    const NUT: &str = "terminate.2_in_minus.torque";
    const RISE: &str = "prove.supply.rise";
    const STANDING: &str = "prove.standing";
    const COVER: &str = "terminate.cover";
    let owen = &stage.owen;
    let mut job = stage.open(3, 3 * 24 + 5).await?;
    job.prepare(&stage.rosalind).await?;

    let lapsed = |instrument: &&Instrument| instrument.label == LAPSED_METER;
    let payload =
        Payload::Reading { value: Decimal::new(1284, 2), instrument: job.instrument(lapsed)? };
    job.enter(owen, RESTED, payload).await?;
    job.well(owen, RESTED).await?;
    job.well_with(owen, DOUBTED, DROPPED_WRENCH).await?;
    job.well(owen, DOUBTED).await?;
    job.work(owen, &Phase::ALL, &[NUT, RISE, STANDING, COVER]).await?;

    let too_tight = beyond(limits(&job.step(NUT)?)?, 6);
    job.read_as(owen, NUT, too_tight).await?;
    job.well(owen, NUT).await?;

    let mut ahead = job.body(owen, COVER, Payload::Confirm {})?;
    ahead.at = crate::domain::ids::Moment(job.now.0 + 11 * 60_000).rfc3339();
    job.bring(owen, vec![ahead]).await?;

    let warm = beyond(limits(&job.step(RISE)?)?, 14);
    job.read_as(owen, RISE, warm).await?;

    let asleep = beyond(limits(&job.step(STANDING)?)?, 480);
    let payload = job.bench()?.read_as(&job.step(STANDING)?, asleep)?;
    let mut kept = job.body(owen, STANDING, payload)?;
    kept.improbable = true;
    job.bring(owen, vec![kept]).await?;
    job.submit(owen).await
}

/// Job 4. Nothing to say against it.
pub(super) async fn clean_review(stage: &Stage<'_>) -> Result<(), ActError> {
    let mut job = stage.open(4, 2 * 24 + 2).await?;
    job.prepare(&stage.dmitri).await?;
    job.finish(&stage.tomasz).await?;
    job.submit(&stage.tomasz).await
}
