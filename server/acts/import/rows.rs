//! What an archive says, as the rows that are stored.

use crate::acts::ActError;
use crate::acts::archive::Contents;
use crate::domain::archive::{
    CertificateAbout, CustomerLine, EntryLine, Member, PersonAbout, RegisterText, WithdrawalAbout,
    WorkshopAbout,
};
use crate::domain::certificate::PaperSize;
use crate::domain::entry::Body;
use crate::domain::ids::{JobId, Moment, WorkshopId};
use crate::domain::kit_check::read_kit;
use crate::domain::person::Person;
use crate::domain::plan_file::read_plan;
use crate::domain::seal::sha256;
use crate::domain::sheet::Sheet;
use crate::storage::certificates::{CertificateRow, Line};
use crate::storage::customers::Customer;
use crate::storage::devices::Device;
use crate::storage::entries::RawEntry;
use crate::storage::imports::Import;
use crate::storage::jobs::NewJob;
use crate::storage::kits::NewKit;
use crate::storage::people::NewPerson;
use crate::storage::photos::PhotoRow;
use crate::storage::plans::NewPlan;
use crate::storage::sheets::SheetText;
use crate::storage::withdrawals::Withdrawal;
use crate::storage::workshops::{Papers, Workshop};

/// What stands in place of a customer who was left out.
const LEFT_OUT: &str = "Not in the archive";
/// No password has this hash: whoever came along may not sign in.
const NO_PASSWORD: &str = "-";

pub(super) fn of(contents: &Contents, now: Moment) -> Result<Import, ActError> {
    let about = &contents.about;
    let workshop = about.workshop.id;
    check_plans(contents)?;
    Ok(Import {
        workshop: house(&about.workshop),
        people: about.people.iter().map(|about| person(workshop, about, now)).collect(),
        devices: devices(contents),
        customer: customer(contents),
        kit: kit(contents)?,
        instruments: about.instruments.clone(),
        job: job(contents),
        number: about.job.number,
        plans: plans(contents),
        sheets: sheets(contents)?,
        entries: contents.entries.iter().map(entry).collect::<Result<_, _>>()?,
        photos: photos(contents)?,
        register: contents.register.iter().map(line).collect(),
        certificates: certificates(contents)?,
        withdrawals: withdrawals(contents)?,
        at: now,
    })
}

fn house(about: &WorkshopAbout) -> Workshop {
    Workshop {
        id: about.id,
        name: about.name.clone(),
        address: about.address.clone(),
        phone: about.phone.clone(),
        email: about.email.clone(),
        certificate_prefix: about.certificate_prefix.clone(),
        place: about.place.clone(),
        one_person_release: about.one_person_release,
        insulation_least_megohm: about.insulation_least_megohm,
        paper: PaperSize::default(),
        papers: Papers::default(),
        created: about.created_ms,
    }
}

/// With their name, which the record has, and without the right to sign in.
fn person(workshop: WorkshopId, about: &PersonAbout, now: Moment) -> NewPerson {
    let person = Person {
        id: about.id,
        workshop,
        name: about.name.clone(),
        sign_in: format!("from-archive-{}", about.id),
        role: about.role,
        disabled: true,
    };
    NewPerson { person, password_hash: NO_PASSWORD.to_owned(), created: now }
}

fn devices(contents: &Contents) -> Vec<Device> {
    let devices = contents.about.devices.iter();
    let device = devices.map(|about| Device {
        id: about.id,
        first_seen: about.first_seen_ms,
        label: about.label.clone(),
    });
    device.collect()
}

fn customer(contents: &Contents) -> Customer {
    let id = contents.about.job.customer;
    let left_out = || CustomerLine {
        name: LEFT_OUT.to_owned(),
        contact: String::new(),
        address: String::new(),
    };
    let CustomerLine { name, contact, address } =
        contents.customer.clone().unwrap_or_else(left_out);
    Customer { id, name, contact, address }
}

fn kit(contents: &Contents) -> Result<NewKit, ActError> {
    let (about, source) = (&contents.about.kit, contents.file(&Member::Kit));
    let text = std::str::from_utf8(source).map_err(ActError::ours)?;
    let kit = read_kit(text).map_err(ActError::Document)?;
    Ok(NewKit {
        id: about.id,
        code: kit.code,
        edition: kit.edition,
        title: kit.title,
        source: source.to_vec(),
        imported: about.imported_ms,
        imported_by: about.imported_by,
    })
}

fn job(contents: &Contents) -> NewJob {
    let about = &contents.about.job;
    NewJob {
        id: about.id,
        customer: about.customer,
        kit: contents.about.kit.id,
        vehicle: about.vehicle.clone(),
        registration: about.registration.clone(),
        technician: about.technician,
        opened: about.opened_ms,
        opened_by: about.opened_by,
    }
}

/// What could not be shown afterwards is not stored.
fn check_plans(contents: &Contents) -> Result<(), ActError> {
    let text = |member: Member| std::str::from_utf8(contents.file(&member)).map_err(ActError::ours);
    let kit = read_kit(text(Member::Kit)?).map_err(ActError::Document)?;
    for plan in &contents.about.plans {
        read_plan(text(Member::Plan(plan.edition))?, &kit).map_err(ActError::Document)?;
    }
    Ok(())
}

fn plans(contents: &Contents) -> Vec<NewPlan> {
    let plan = contents.about.plans.iter().map(|about| NewPlan {
        job: contents.about.job.id,
        edition: about.edition,
        source: contents.file(&Member::Plan(about.edition)).to_vec(),
        saved: about.saved_ms,
        saved_by: about.saved_by,
    });
    plan.collect()
}

fn sheets(contents: &Contents) -> Result<Vec<SheetText>, ActError> {
    let sheets = contents.about.sheets.iter().map(|about| {
        let bytes = contents.file(&Member::Sheet(about.edition)).to_vec();
        serde_json::from_slice::<Sheet>(&bytes).map_err(|why| {
            ActError::Rule(format!("{} cannot be read ({why}).", Member::Sheet(about.edition)))
        })?;
        let text = String::from_utf8(bytes).map_err(ActError::ours)?;
        Ok(SheetText { edition: about.edition, text, made: about.made_ms })
    });
    sheets.collect()
}

fn entry(line: &EntryLine) -> Result<RawEntry, ActError> {
    let body = Body::read(line.body.as_bytes())?;
    Ok(RawEntry {
        seq: line.seq,
        id: line.entry,
        sheet: body.sheet,
        kind: body.payload.word().to_owned(),
        recorded: body.recorded(),
        step: body.step,
        device: line.device,
        person: line.person,
        received: line.received_ms,
        clock_ahead_ms: line.clock_ahead_ms,
        salt: line.salt.0,
        body: line.body.clone().into_bytes(),
        commitment: line.commitment.0,
        prev: line.prev.0,
        hash: line.hash.0,
    })
}

fn photos(contents: &Contents) -> Result<Vec<PhotoRow>, ActError> {
    let lengths = &contents.photo_bytes;
    let photo = contents.about.photos.iter().map(|about| {
        let bytes = lengths.get(&about.file).copied();
        Ok(PhotoRow {
            sha256: about.sha256.clone(),
            stored_sha256: about.file.clone(),
            bytes: bytes.ok_or_else(|| ActError::ours("a photo without a length"))?,
            width: about.width,
            height: about.height,
            received: about.received_ms,
            received_by: about.received_by,
        })
    });
    photo.collect()
}

fn line(text: &RegisterText) -> Line {
    Line {
        index: text.index,
        prev: text.prev.0,
        kind: text.kind.clone(),
        number: text.number.clone(),
        record_sha256: text.record_sha256.0,
        pdf_sha256: text.pdf_sha256.0,
        at: text.time_ms,
        hash: text.hash.0,
    }
}

/// When the line was added, which is when it was done.
fn time_of(contents: &Contents, index: u64) -> Result<Moment, ActError> {
    let at = usize::try_from(index).map_err(ActError::ours)?;
    let line = contents.register.get(at);
    line.map(|line| line.time_ms).ok_or_else(|| ActError::ours("a paper without its line"))
}

fn certificates(contents: &Contents) -> Result<Vec<CertificateRow>, ActError> {
    let (workshop, job) = (contents.about.workshop.id, contents.about.job.id);
    let certificates = contents.about.certificates.iter();
    certificates.map(|about| certificate(contents, (workshop, job), about)).collect()
}

fn certificate(
    contents: &Contents,
    (workshop, job): (WorkshopId, JobId),
    about: &CertificateAbout,
) -> Result<CertificateRow, ActError> {
    let number = about.number.clone();
    Ok(CertificateRow {
        workshop,
        job,
        version: about.version,
        record: contents.file(&Member::Record(number.clone())).to_vec(),
        pdf_sha256: sha256(contents.file(&Member::Paper(number.clone()))),
        number,
        code: about.code.clone(),
        issued: time_of(contents, about.register_index)?,
        index: about.register_index,
        replaced_by: None,
        withdrawn: None,
    })
}

fn withdrawals(contents: &Contents) -> Result<Vec<Withdrawal>, ActError> {
    let withdrawal = |about: &WithdrawalAbout| {
        Ok(Withdrawal {
            number: about.number.clone(),
            reason: about.reason.clone(),
            asked_by: about.asked_by,
            confirmed_by: about.confirmed_by,
            at: time_of(contents, about.register_index)?,
            index: about.register_index,
        })
    };
    contents.about.withdrawals.iter().map(withdrawal).collect()
}
