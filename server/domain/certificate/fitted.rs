//! What was fitted into what, as the record says it.

use serde::Serialize;

use crate::domain::job::JobState;
use crate::domain::kit::Kit;
use crate::domain::plan::Plan;
use crate::domain::sheet::again::odometer_read;

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct KitLine {
    pub code: String,
    pub edition: u32,
    pub title: String,
    pub maker: String,
    pub sha256: String,
}

#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VehicleLine {
    pub description: String,
    pub registration: String,
    pub vin_tail: String,
    pub odometer_km: Option<String>,
}

impl KitLine {
    /// `sha256` is that of the kit's file.
    pub fn of(kit: &Kit, sha256: String) -> Self {
        Self {
            code: kit.code.clone(),
            edition: kit.edition,
            title: kit.title.clone(),
            maker: kit.maker.clone(),
            sha256,
        }
    }
}

impl VehicleLine {
    pub fn of(plan: &Plan, state: &JobState) -> Self {
        let vehicle = &plan.vehicle;
        Self {
            description: vehicle.description.clone(),
            registration: vehicle.registration.clone(),
            vin_tail: vehicle.vin_tail.clone(),
            odometer_km: odometer_read(state).or(vehicle.odometer_km.map(|km| km.to_string())),
        }
    }
}
