//! What the vehicle may still carry, as far as somebody looked it up.

use crate::domain::document::Section;
use crate::domain::plan::{AxlePlan, WeightPlan};

pub(super) fn weights(section: &Section<'_>) -> WeightPlan {
    WeightPlan {
        payload_left_kg: section.maybe_decimal("payload_left_kg", "0 to 40000"),
        further_kg: section.maybe_decimal("further_kg", "0 to 5000"),
        axles: axles(section),
    }
}

/// The lever wants both lengths; what is left on the axles means nothing without them.
fn axles(section: &Section<'_>) -> Option<AxlePlan> {
    let wheelbase_mm = section.maybe_decimal("wheelbase_mm", "1000 to 9000");
    let behind_front_mm = section.maybe_decimal("behind_front_mm", "-2000 to 12000");
    let front_left_kg = section.maybe_decimal("front_left_kg", "0 to 20000");
    let rear_left_kg = section.maybe_decimal("rear_left_kg", "0 to 40000");
    let any = ["wheelbase_mm", "behind_front_mm", "front_left_kg", "rear_left_kg"];
    if any.iter().any(|key| section.has(key)) {
        for key in ["wheelbase_mm", "behind_front_mm"].iter().filter(|key| !section.has(key)) {
            section.missing(key, "Write it, or leave all four figures of the axles out.");
        }
    }
    Some(AxlePlan {
        wheelbase_mm: wheelbase_mm?,
        behind_front_mm: behind_front_mm?,
        front_left_kg,
        rear_left_kg,
    })
}
