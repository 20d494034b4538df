//! What was fitted into what, as the record says it.

use serde::Serialize;

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
