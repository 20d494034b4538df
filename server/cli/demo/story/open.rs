//! Jobs that are still open: sent back, in the bays, ready, or being planned.

use super::Stage;
use crate::acts::ActError;
use crate::cli::demo::figures::beyond;
use crate::cli::demo::pictures::Scene;
use crate::domain::entry::Payload;
use crate::domain::step::{Phase, StepKind};

/// Job 5. A batch was corrected. Two steps were sent back; one of them is done again. A defect waits for a manager
/// to confirm it.
pub(super) async fn sent_back(stage: &Stage<'_>) -> Result<(), ActError> {
    const HOLDER: &str = "mount.kit.fuse_holder.batch";
    const BOX: [&str; 2] = ["route.supports", "protect.socket.label"];
    let mut job = stage.open(5, 30).await?;
    job.prepare(&stage.rosalind).await?;
    job.work(&stage.ines, &[Phase::Before, Phase::Mount], &[HOLDER]).await?;
    // Read off the wrong packing, and put right.
    job.enter(&stage.ines, HOLDER, Payload::Note { text: "FH-26-117".to_owned() }).await?;
    job.well(&stage.ines, HOLDER).await?;
    job.finish(&stage.ines).await?;
    job.submit(&stage.ines).await?;
    let remark = "On the photo of the run one clip is missing before the grommet, and the label of \
                  the bench socket cannot be read. Please put both right.";
    job.send_back(&stage.rosalind, &BOX, remark).await?;
    let [clip, _] = BOX;
    job.remark(&stage.ines, clip, "Clip added a hand's width before the grommet.", None).await?;
    job.well(&stage.ines, clip).await?;
    let wrong =
        "Swarf lies in the seat rail on the driver's side. It is not on the condition photo.";
    job.find_wrong(&stage.rosalind, wrong).await?;
    job.put_right(&stage.ines, "Rail vacuumed out and run from end to end.").await
}

/// Job 6. Two phones without signal recorded the same nut.
pub(super) async fn clash(stage: &Stage<'_>) -> Result<(), ActError> {
    const NUT: &str = "terminate.1_start_plus.torque";
    let mut job = stage.open(6, 27).await?;
    job.prepare(&stage.dmitri).await?;
    job.work(&stage.ines, &[Phase::Before, Phase::Mount, Phase::Route], &[]).await?;
    job.work(&stage.ines, &[Phase::Terminate], &[NUT]).await?;
    let owens = job.bench()?.good(&job.step(NUT)?)?;
    job.well(&stage.ines, NUT).await?;
    job.late(&stage.owen, NUT, (owens, 22)).await
}

/// Job 7. Half way: a nut that failed, and one whose reading lies too near to its limit.
pub(super) async fn half_way(stage: &Stage<'_>) -> Result<(), ActError> {
    const FAILED: &str = "terminate.1_in_plus.torque";
    const NEAR: &str = "terminate.2_in_minus.torque";
    const RESTED: &str = "before.battery_rested";
    let mut job = stage.open(7, 8).await?;
    job.prepare(&stage.rosalind).await?;
    let so_far = [Phase::Before, Phase::Mount, Phase::Route, Phase::Terminate];
    job.work(&stage.tomasz, &so_far, &[FAILED, NEAR, "terminate.cover"]).await?;
    for (key, by) in [(FAILED, 5), (NEAR, -2)] {
        let StepKind::Torque { limits } = job.step(key)?.kind else {
            return Err(ActError::Ours(format!("{key} is no torque step")));
        };
        job.read_as(&stage.tomasz, key, beyond(&limits, by)).await?;
    }
    let words = "Nut turned with the stud at first. Held it; will make the lug new.";
    job.remark(&stage.tomasz, FAILED, words, Some(Scene::Bolt)).await?;
    let figures = job.value_of(RESTED)?;
    let meter = Scene::Meter { figures, unit: "V".to_owned() };
    let words = "Read after a night on the hook; meter photographed.";
    job.remark(&stage.tomasz, RESTED, words, Some(meter)).await
}

/// Job 8. The sheet waits for the vehicle.
pub(super) async fn ready(stage: &Stage<'_>) -> Result<(), ActError> {
    stage.open(8, 5).await?.prepare(&stage.dmitri).await
}

/// Job 9. The last caution waits for a decision.
pub(super) async fn caution(stage: &Stage<'_>) -> Result<(), ActError> {
    let mut job = stage.open(9, 4).await?;
    job.plan(&stage.rosalind).await?;
    job.accept_cautions(&stage.rosalind, 1).await
}

/// Job 11. The van of job 1 hit a bollard; all but the proof is done.
pub(super) async fn inspected_again(stage: &Stage<'_>) -> Result<(), ActError> {
    let mut job = stage.inspect_again(1, 7).await?;
    let so_far = [Phase::Before, Phase::Mount, Phase::Route, Phase::Terminate, Phase::Protect];
    job.work(&stage.tomasz, &so_far, &[]).await?;
    job.work(&stage.tomasz, &[Phase::Energise], &[]).await?;
    job.well(&stage.tomasz, "prove.battery_charging").await?;
    job.well(&stage.tomasz, "prove.supply.drop_out").await
}

/// Job 10. This plan cannot become a sheet.
pub(super) async fn stop(stage: &Stage<'_>) -> Result<(), ActError> {
    stage.open(10, 2).await?.plan(&stage.dmitri).await
}
