//! Work to test with: a kit, a job, a plan, a sheet, a certificate.

use fusewright::acts::job::{JobFile, load};
use fusewright::acts::plan;
use fusewright::domain::certificate::{CertificateNumber, check_code};
use fusewright::domain::ids::{CalibrationId, CustomerId, InstrumentId, JobId, KitId};
use fusewright::domain::instrument::{Calibration, Instrument, Range};
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::number::Decimal;
use fusewright::domain::step::Unit;
use fusewright::storage::certificates::{self, CertificateRow, NewCertificate};
use fusewright::storage::customers::{self, Customer};
use fusewright::storage::instruments;
use fusewright::storage::jobs::{self, NewJob};
use fusewright::storage::kits::{self, NewKit};
use uuid::Uuid;

use super::{MANAGER, TECHNICIAN, TestApp, WORKSHOP};

pub(crate) const KIT_TEXT: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");
pub(crate) const PLAN_TEXT: &str = include_str!("../../server/cli/demo/plans/tray-40-van.toml");

impl TestApp {
    fn fresh(&self) -> Uuid {
        fusewright::world::new_id(self.now()).unwrap()
    }

    /// The sliding tray of the demo kits.
    pub(crate) async fn kit(&self) -> KitId {
        let kit = read_kit(KIT_TEXT).unwrap();
        let new = NewKit {
            id: KitId(self.fresh()),
            code: kit.code,
            edition: kit.edition,
            title: kit.title,
            source: KIT_TEXT.as_bytes().to_vec(),
            imported: self.now(),
            imported_by: MANAGER,
        };
        kits::append(&self.store, WORKSHOP, new).await.unwrap().id
    }

    /// A job for that kit, given to the technician, without a plan.
    pub(crate) async fn job(&self) -> JobId {
        self.job_named(JobId(self.fresh())).await
    }

    /// The same under another plate.
    pub(crate) async fn job_registered(&self, registration: &str) -> JobId {
        self.job_of(JobId(self.fresh()), ("Panel van, medium roof, 2021", registration)).await
    }

    /// The same for another vehicle.
    pub(crate) async fn job_for(&self, vehicle: &str, registration: &str) -> JobId {
        self.job_of(JobId(self.fresh()), (vehicle, registration)).await
    }

    async fn job_named(&self, id: JobId) -> JobId {
        self.job_of(id, ("Panel van, medium roof, 2021", "HP 21 KLN")).await
    }

    async fn job_of(&self, id: JobId, (vehicle, registration): (&str, &str)) -> JobId {
        let kit = self.kit().await;
        let customer = Customer {
            id: CustomerId(self.fresh()),
            name: "Jonas Weir".to_owned(),
            contact: "0100 555 071".to_owned(),
            address: "3 Mill Lane".to_owned(),
        };
        let new = NewJob {
            id,
            customer: customer.id,
            kit,
            vehicle: vehicle.to_owned(),
            registration: registration.to_owned(),
            technician: Some(TECHNICIAN),
            opened: self.now(),
            opened_by: MANAGER,
        };
        customers::append(&self.store, WORKSHOP, customer).await.unwrap();
        jobs::append(&self.store, WORKSHOP, new).await.unwrap();
        id
    }

    /// A job with a plan, whose cautions were accepted, and a sheet.
    pub(crate) async fn job_with_sheet(&self) -> JobFile {
        let job = self.job().await;
        self.with_sheet(job).await
    }

    /// The same under an id that stands in a recorded batch.
    pub(crate) async fn job_with_sheet_named(&self, id: JobId) -> JobFile {
        let job = self.job_named(id).await;
        self.with_sheet(job).await
    }

    async fn with_sheet(&self, job: JobId) -> JobFile {
        let by = self.by(MANAGER);
        let file = plan::save(&self.store, &by, job, PLAN_TEXT).await.unwrap();
        for caution in file.open_cautions() {
            let accept = plan::acknowledge(&self.store, &by, job, &caution.id, "Seen, and sound.");
            accept.await.unwrap();
        }
        plan::make(&self.store, &by, job).await.unwrap();
        load(&self.store, WORKSHOP, job).await.unwrap()
    }

    /// A multimeter in calibration from `done_on` to `due_on`.
    pub(crate) async fn meter(&self, label: &str, done_on: &str, due_on: &str) -> InstrumentId {
        let range = Range {
            unit: Unit::Volt,
            from: Decimal::ZERO,
            to: Decimal::from(60),
            resolution: Decimal::new(1, 2),
            percent: Decimal::new(5, 1),
            digits: 3,
        };
        self.calibrated(self.fresh(), label, range, (done_on, due_on)).await
    }

    /// An instrument of one range, in calibration all of 2026; its id as a form posts it.
    pub(crate) async fn instrument(&self, number: u128, label: &str, range: Range) -> String {
        let year = ("2026-01-01", "2026-12-31");
        self.calibrated(Uuid::from_u128(number), label, range, year).await.to_string()
    }

    async fn calibrated(
        &self,
        id: Uuid,
        label: &str,
        range: Range,
        (done_on, due_on): (&str, &str),
    ) -> InstrumentId {
        let calibration = Calibration {
            id: CalibrationId(id),
            done_on: done_on.to_owned(),
            due_on: due_on.to_owned(),
            certificate: "C-1".to_owned(),
        };
        let instrument = Instrument {
            id: InstrumentId(id),
            label: label.to_owned(),
            kind: "Multimeter".to_owned(),
            serial: "M-100".to_owned(),
            ranges: vec![range],
            calibrations: vec![calibration],
            recalls: Vec::new(),
            retired: false,
        };
        instruments::append(&self.store, WORKSHOP, instrument, self.now()).await.unwrap();
        InstrumentId(id)
    }

    /// A certificate of a job as it stands in the register, with a short record and file.
    pub(crate) async fn certificate(&self, job: JobId, pdf: &[u8]) -> CertificateRow {
        let next = certificates::next(&self.store, WORKSHOP, job).await.unwrap();
        let record = RECORD.as_bytes().to_vec();
        let new = NewCertificate {
            job,
            number: CertificateNumber::new("BY", 2026, next.index + 1).plain(),
            version: next.version,
            code: check_code(&record),
            record,
            pdf: pdf.to_vec(),
            issued: self.now(),
            expect_index: next.index,
        };
        certificates::append(&self.store, WORKSHOP, new).await.unwrap()
    }
}

/// What a record says, as far as the check page looks: three measurements in five steps.
const RECORD: &str = r#"{
  "format": "fusewright-record/1",
  "workshop": "Birch Yard Vehicle Electrics",
  "vehicle": { "description": "Panel van, medium roof, 2021", "registration": "HP 21 KLN" },
  "kit": { "code": "TRAY-40", "title": "Slide-out tray <for> a power pack" },
  "steps": [
    { "key": "a", "kind": "confirm" }, { "key": "b", "kind": "torque" },
    { "key": "c", "kind": "photo" }, { "key": "d", "kind": "reading" },
    { "key": "e", "kind": "path_drop" }
  ]
}"#;
