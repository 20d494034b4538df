//! How long a phone's batch takes until it is durable: sixty entries of one job, into a data folder.
//!
//! `cargo bench --bench sync`. The first takes new entries, the second the same ones again.

use std::sync::atomic::{AtomicU64, Ordering};

use divan::Bencher;
use fusewright::acts::By;
use fusewright::acts::record::record;
use fusewright::domain::certificate::PaperSize;
use fusewright::domain::entry::{BODY_VERSION, Body, Payload};
use fusewright::domain::ids::WorkshopId;
use fusewright::domain::ids::{CustomerId, DeviceId, EntryId, JobId, KitId, Moment, PersonId};
use fusewright::domain::limits::INSULATION_LEAST_MEGOHM;
use fusewright::domain::person::{Person, Role};
use fusewright::storage::customers::{self, Customer};
use fusewright::storage::devices::{self, Device};
use fusewright::storage::jobs::{self, NewJob};
use fusewright::storage::kits::{self, NewKit};
use fusewright::storage::people::{self, NewPerson};
use fusewright::storage::workshops::{self, Papers, Workshop};
use fusewright::storage::{StorageError, Store};
use tokio::runtime::Runtime;
use uuid::Uuid;

const KIT: &str = include_str!("../../server/cli/demo/kits/tray-40.toml");
const ENTRIES: u64 = 60;
const WORKSHOP: WorkshopId = WorkshopId(Uuid::from_u128(1));
const PERSON: PersonId = PersonId(Uuid::from_u128(2));
const DEVICE: DeviceId = DeviceId(Uuid::from_u128(3));
const KIT_ID: KitId = KitId(Uuid::from_u128(4));
const CUSTOMER: CustomerId = CustomerId(Uuid::from_u128(5));
/// 2026-11-25 08:00 UTC.
const NOW: Moment = Moment(1_795_593_600_000);

fn main() {
    divan::main();
}

fn must<T, E: std::fmt::Debug>(done: Result<T, E>) -> T {
    match done {
        Ok(value) => value,
        Err(error) => panic!("the bench could not be set up: {error:?}"),
    }
}

/// A workshop on a disk, and jobs that are opened one after the other.
struct Shop {
    runtime: Runtime,
    store: Store,
    by: By,
    next: AtomicU64,
    _folder: tempfile::TempDir,
}

impl Shop {
    fn open() -> Self {
        let (runtime, folder) = (must(Runtime::new()), must(tempfile::tempdir()));
        let store = must(runtime.block_on(Store::open(folder.path())));
        let person = Person {
            id: PERSON,
            workshop: WORKSHOP,
            name: "Tove Lind".to_owned(),
            sign_in: "tove".to_owned(),
            role: Role::Technician,
            disabled: false,
        };
        must(runtime.block_on(staff(&store, person.clone())));
        let by = By { person, device: DEVICE, now: NOW };
        Self { runtime, store, by, next: AtomicU64::new(100), _folder: folder }
    }

    fn id(&self) -> Uuid {
        Uuid::from_u128(u128::from(self.next.fetch_add(1, Ordering::Relaxed)))
    }

    /// A new job and what a phone has for it.
    fn batch(&self) -> (JobId, Vec<Vec<u8>>) {
        let job = JobId(self.id());
        let new = NewJob {
            id: job,
            customer: CUSTOMER,
            kit: KIT_ID,
            vehicle: "Panel van".to_owned(),
            registration: "HP 21 KLN".to_owned(),
            technician: Some(PERSON),
            opened: NOW,
            opened_by: PERSON,
        };
        must(self.runtime.block_on(jobs::append(&self.store, WORKSHOP, new)));
        (job, (0..ENTRIES).map(|nth| self.body(job, nth)).collect())
    }

    fn body(&self, job: JobId, nth: u64) -> Vec<u8> {
        let body = Body {
            v: BODY_VERSION,
            id: EntryId(self.id()),
            job,
            sheet: 1,
            step: format!("prove.step_{nth}"),
            at: NOW.rfc3339(),
            supersedes: Vec::new(),
            improbable: false,
            payload: Payload::Note { text: format!("Note {nth}, about as long as a reading is.") },
        };
        must(body.write())
    }

    fn send(&self, job: JobId, bodies: Vec<Vec<u8>>) -> usize {
        let (answers, _) = must(self.runtime.block_on(record(&self.store, &self.by, job, bodies)));
        answers.into_iter().map(must).count()
    }
}

async fn staff(store: &Store, person: Person) -> Result<(), StorageError> {
    workshops::append(
        store,
        &Workshop {
            id: WORKSHOP,
            name: "Birch Yard".to_owned(),
            address: String::new(),
            phone: String::new(),
            email: String::new(),
            certificate_prefix: "BY".to_owned(),
            place: String::new(),
            one_person_release: false,
            insulation_least_megohm: INSULATION_LEAST_MEGOHM,
            paper: PaperSize::A4,
            papers: Papers::default(),
            created: NOW,
        },
    )
    .await?;
    let password_hash = "none".to_owned();
    people::append(store, NewPerson { person, password_hash, created: NOW }).await?;
    let label = "Bench".to_owned();
    devices::append(store, WORKSHOP, Device { id: DEVICE, first_seen: NOW, label }).await?;
    let (contact, address) = (String::new(), String::new());
    let customer = Customer { id: CUSTOMER, name: "Jonas Weir".to_owned(), contact, address };
    customers::append(store, WORKSHOP, customer).await?;
    let kit = NewKit {
        id: KIT_ID,
        code: "TRAY-40".to_owned(),
        edition: 1,
        title: "Tray".to_owned(),
        source: KIT.as_bytes().to_vec(),
        imported: NOW,
        imported_by: PERSON,
    };
    kits::append(store, WORKSHOP, kit).await?;
    Ok(())
}

#[divan::bench(sample_count = 40, sample_size = 1)]
fn sixty_new_entries_durable(bencher: Bencher<'_, '_>) {
    let shop = Shop::open();
    bencher.with_inputs(|| shop.batch()).bench_local_values(|(job, bodies)| shop.send(job, bodies));
}

#[divan::bench(sample_count = 40, sample_size = 1)]
fn sixty_entries_that_are_there(bencher: Bencher<'_, '_>) {
    let shop = Shop::open();
    let (job, bodies) = shop.batch();
    shop.send(job, bodies.clone());
    bencher.with_inputs(|| bodies.clone()).bench_local_values(|bodies| shop.send(job, bodies));
}

/// What sixty requests of one entry each take, for comparison.
#[divan::bench(sample_count = 10, sample_size = 1)]
fn sixty_new_entries_one_by_one(bencher: Bencher<'_, '_>) {
    let shop = Shop::open();
    bencher.with_inputs(|| shop.batch()).bench_local_values(|(job, bodies)| {
        for body in bodies {
            shop.send(job, vec![body]);
        }
    });
}
