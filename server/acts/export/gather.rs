//! Everything that is stored of a job, as its archive says it.

use std::collections::{BTreeMap, BTreeSet};

use super::Customer;
use crate::acts::ActError;
use crate::acts::archive::Contents;
use crate::documents::archive_file::seal_pem;
use crate::documents::verify::check_certificate;
use crate::domain::archive::{
    About, CertificateAbout, CustomerLine, DeviceAbout, EntryLine, FORMAT, Hex, JobAbout, KitAbout,
    Member, PersonAbout, PhotoAbout, PlanAbout, README, RegisterText, SheetAbout, WithdrawalAbout,
    WorkshopAbout,
};
use crate::domain::entry::{Body, Digest, Payload};
use crate::domain::ids::{DeviceId, InstrumentId, JobId, PersonId, WorkshopId};
use crate::domain::instrument::Instrument;
use crate::storage::certificates::{self, CertificateRow, Line};
use crate::storage::entries::{self, RawEntry};
use crate::storage::jobs::{self, JobRow};
use crate::storage::workshops::{self, Workshop};
use crate::storage::{
    Store, customers, devices, instruments, kits, people, photos, plans, sheets, withdrawals,
};

pub(super) async fn contents(
    store: &Store,
    workshop: WorkshopId,
    job: JobId,
    customer: Customer,
) -> Result<Contents, ActError> {
    let row = jobs::load(store, workshop, job).await?.ok_or(ActError::NoJob)?;
    let raw = entries::raw_list(store, workshop, job).await?;
    let mut gathering = Gathering {
        store,
        workshop,
        files: BTreeMap::from([(Member::Readme, README.as_bytes().to_vec())]),
        acted: [row.opened_by].into_iter().chain(row.technician).collect(),
        used: BTreeSet::new(),
        photographed: BTreeSet::new(),
        numbers: BTreeSet::new(),
    };
    let entries = gathering.entries(&raw)?;
    let about = gathering.about(&row, &raw).await?;
    let register = register(store, workshop, &gathering.numbers).await?;
    let customer = match customer {
        Customer::Included => customer_line(store, workshop, &row).await?,
        Customer::LeftOut => None,
    };
    let (files, photo_bytes) = (gathering.files, BTreeMap::new());
    Ok(Contents { about, customer, entries, register, files, photo_bytes })
}

struct Gathering<'s> {
    store: &'s Store,
    workshop: WorkshopId,
    files: BTreeMap<Member, Vec<u8>>,
    acted: BTreeSet<PersonId>,
    used: BTreeSet<InstrumentId>,
    photographed: BTreeSet<Digest>,
    /// Of the job's certificates.
    numbers: BTreeSet<String>,
}

impl Gathering<'_> {
    /// What `job.json` says; people and instruments last, when it is known whom the rest names.
    async fn about(&mut self, row: &JobRow, raw: &[RawEntry]) -> Result<About, ActError> {
        let house = workshops::load(self.store, self.workshop).await?;
        let house = house.ok_or_else(|| ActError::ours("a job without workshop"))?;
        Ok(About {
            format: FORMAT.to_owned(),
            workshop: house_about(house),
            job: job_about(row),
            kit: self.kit(row).await?,
            plans: self.plans(row.id).await?,
            sheets: self.sheets(row.id).await?,
            photos: self.photos().await?,
            certificates: self.certificates(row.id).await?,
            withdrawals: self.withdrawals().await?,
            people: self.people().await?,
            devices: devices_of(self.store, self.workshop, raw).await?,
            instruments: self.instruments().await?,
        })
    }

    fn entries(&mut self, raw: &[RawEntry]) -> Result<Vec<EntryLine>, ActError> {
        raw.iter().map(|raw| self.entry(raw)).collect()
    }

    fn entry(&mut self, raw: &RawEntry) -> Result<EntryLine, ActError> {
        let body = Body::read(&raw.body)?;
        self.acted.insert(raw.person);
        if let Payload::Loaded { person, .. } = &body.payload {
            self.acted.insert(*person);
        }
        self.used.extend(body.payload.instruments());
        self.photographed.extend(body.payload.photos().iter().cloned());
        Ok(EntryLine {
            seq: raw.seq,
            prev: Hex(raw.prev),
            entry: raw.id,
            device: raw.device,
            person: raw.person,
            received_ms: raw.received,
            salt: Hex(raw.salt),
            commitment: Hex(raw.commitment),
            hash: Hex(raw.hash),
            clock_ahead_ms: raw.clock_ahead_ms,
            body: String::from_utf8(raw.body.clone()).map_err(ActError::ours)?,
        })
    }

    async fn kit(&mut self, row: &JobRow) -> Result<KitAbout, ActError> {
        let found = kits::load(self.store, self.workshop, row.kit).await?;
        let (kit, source) = found.ok_or_else(|| ActError::ours("a job without its kit"))?;
        self.files.insert(Member::Kit, source);
        self.acted.insert(kit.imported_by);
        Ok(KitAbout {
            id: kit.id,
            sha256: Digest::from_bytes(&kit.sha256),
            imported_ms: kit.imported,
            imported_by: kit.imported_by,
        })
    }

    async fn plans(&mut self, job: JobId) -> Result<Vec<PlanAbout>, ActError> {
        let rows = plans::list(self.store, self.workshop, job).await?;
        let about = rows.into_iter().map(|row| {
            self.files.insert(Member::Plan(row.edition), row.source);
            self.acted.insert(row.saved_by);
            PlanAbout {
                edition: row.edition,
                sha256: Digest::from_bytes(&row.sha256),
                saved_ms: row.saved,
                saved_by: row.saved_by,
            }
        });
        Ok(about.collect())
    }

    async fn sheets(&mut self, job: JobId) -> Result<Vec<SheetAbout>, ActError> {
        let texts = sheets::list_texts(self.store, self.workshop, job).await?;
        let about = texts.into_iter().map(|sheet| {
            let bytes = sheet.text.into_bytes();
            let sha256 = Digest::of(&bytes);
            self.files.insert(Member::Sheet(sheet.edition), bytes);
            SheetAbout { edition: sheet.edition, sha256, made_ms: sheet.made }
        });
        Ok(about.collect())
    }

    /// Those that arrived.
    async fn photos(&mut self) -> Result<Vec<PhotoAbout>, ActError> {
        let mut about = Vec::new();
        for digest in &self.photographed {
            let Some(row) = photos::load(self.store, self.workshop, digest).await? else {
                continue;
            };
            self.acted.insert(row.received_by);
            about.push(PhotoAbout {
                sha256: row.sha256,
                file: row.stored_sha256,
                width: row.width,
                height: row.height,
                received_ms: row.received,
                received_by: row.received_by,
            });
        }
        Ok(about)
    }

    async fn certificates(&mut self, job: JobId) -> Result<Vec<CertificateAbout>, ActError> {
        let mut about = Vec::new();
        for row in certificates::list(self.store, self.workshop, job).await? {
            let pdf = certificates::pdf(self.store, &row).await?;
            self.seal_of(&pdf);
            self.files.insert(Member::Paper(row.number.clone()), pdf);
            let CertificateRow { number, version, record, code, index, .. } = row;
            self.files.insert(Member::Record(number.clone()), record);
            self.numbers.insert(number.clone());
            about.push(CertificateAbout { number, version, code, register_index: index });
        }
        Ok(about)
    }

    /// What does not hold is found when the archive is checked.
    fn seal_of(&mut self, pdf: &[u8]) {
        if let Ok(carried) = check_certificate(pdf)
            && let Some(pem) = seal_pem(&carried.seal.certificate_der)
        {
            let fingerprint = Digest::from_bytes(&carried.seal.fingerprint);
            self.files.insert(Member::Seal(fingerprint), pem.into_bytes());
        }
    }

    async fn withdrawals(&mut self) -> Result<Vec<WithdrawalAbout>, ActError> {
        let mut about = Vec::new();
        for number in &self.numbers {
            let found = withdrawals::load(self.store, self.workshop, number).await?;
            let Some(withdrawal) = found else { continue };
            self.acted.extend([withdrawal.asked_by, withdrawal.confirmed_by]);
            about.push(WithdrawalAbout {
                number: withdrawal.number,
                reason: withdrawal.reason,
                asked_by: withdrawal.asked_by,
                confirmed_by: withdrawal.confirmed_by,
                register_index: withdrawal.index,
            });
        }
        Ok(about)
    }

    async fn people(&self) -> Result<Vec<PersonAbout>, ActError> {
        let all = people::list(self.store, self.workshop).await?;
        let acted = all.into_iter().filter(|person| self.acted.contains(&person.id));
        let mut about: Vec<PersonAbout> = acted
            .map(|person| PersonAbout { id: person.id, name: person.name, role: person.role })
            .collect();
        about.sort_by_key(|person| person.id);
        Ok(about)
    }

    async fn instruments(&self) -> Result<Vec<Instrument>, ActError> {
        let all = instruments::list(self.store, self.workshop).await?;
        let mut used: Vec<Instrument> =
            all.into_iter().filter(|instrument| self.used.contains(&instrument.id)).collect();
        used.sort_by_key(|instrument| instrument.id);
        Ok(used)
    }
}

/// Up to the last line about one of these numbers: the chain is only checked from its beginning.
async fn register(
    store: &Store,
    workshop: WorkshopId,
    numbers: &BTreeSet<String>,
) -> Result<Vec<RegisterText>, ActError> {
    let mut lines = certificates::register_list(store, workshop).await?;
    let last = lines.iter().rposition(|line| numbers.contains(&line.number));
    lines.truncate(last.map_or(0, |last| last + 1));
    Ok(lines.into_iter().map(register_text).collect())
}

fn register_text(line: Line) -> RegisterText {
    RegisterText {
        index: line.index,
        prev: Hex(line.prev),
        kind: line.kind,
        number: line.number,
        record_sha256: Hex(line.record_sha256),
        pdf_sha256: Hex(line.pdf_sha256),
        time_ms: line.at,
        hash: Hex(line.hash),
    }
}

async fn devices_of(
    store: &Store,
    workshop: WorkshopId,
    raw: &[RawEntry],
) -> Result<Vec<DeviceAbout>, ActError> {
    let used: BTreeSet<DeviceId> = raw.iter().map(|raw| raw.device).collect();
    let mut about = Vec::new();
    for id in used {
        let device = devices::load(store, workshop, id).await?;
        let device = device.ok_or_else(|| ActError::ours("an entry without its device"))?;
        about.push(DeviceAbout { id, label: device.label, first_seen_ms: device.first_seen });
    }
    Ok(about)
}

fn house_about(house: Workshop) -> WorkshopAbout {
    WorkshopAbout {
        id: house.id,
        name: house.name,
        address: house.address,
        phone: house.phone,
        email: house.email,
        certificate_prefix: house.certificate_prefix,
        place: house.place,
        one_person_release: house.one_person_release,
        insulation_least_megohm: house.insulation_least_megohm,
        created_ms: house.created,
    }
}

fn job_about(row: &JobRow) -> JobAbout {
    JobAbout {
        id: row.id,
        number: row.number,
        vehicle: row.vehicle.clone(),
        registration: row.registration.clone(),
        customer: row.customer,
        technician: row.technician,
        opened_ms: row.opened,
        opened_by: row.opened_by,
    }
}

async fn customer_line(
    store: &Store,
    workshop: WorkshopId,
    row: &JobRow,
) -> Result<Option<CustomerLine>, ActError> {
    let found = customers::load(store, workshop, row.customer).await?;
    Ok(found.map(|customer| CustomerLine {
        name: customer.name,
        contact: customer.contact,
        address: customer.address,
    }))
}
