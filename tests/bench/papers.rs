//! How long certificate and handover of a demo job take, the first time in a process and from then on.
//!
//! `cargo bench --bench papers`. Each certificate is a real one: the one before is withdrawn by two people,
//! then record, paper, seal, file on the disk and register line are made anew. Only the issue is timed.

#![expect(clippy::print_stdout, reason = "a benchmark prints")]

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use fusewright::acts::certificate::{Sealer, issue};
use fusewright::acts::handover::make;
use fusewright::acts::{By, withdraw};
use fusewright::documents::sign::SealKey;
use fusewright::domain::ids::{DeviceId, JobId, Moment};
use fusewright::storage::{Store, certificates, jobs, people, workshops};
use uuid::Uuid;

mod running;

use running::{make_demo, must};

const ORIGIN: &str = "https://jobs.example";
/// A released job of the demo, with photos and a concession.
const JOB: u64 = 2;
const ROUNDS: i64 = 20;
/// After everything that happens in the demo.
const NOW: Moment = Moment(1_900_000_000_000);

fn main() {
    let folder = must(tempfile::tempdir());
    make_demo(folder.path());
    must(tokio::runtime::Runtime::new()).block_on(measure(folder.path()));
}

async fn measure(folder: &Path) {
    let store = must(Store::open(folder).await);
    let workshop = must(must(workshops::list(&store).await).pop().ok_or("no workshop"));
    let job = must(must(jobs::find(&store, workshop.id, JOB).await).ok_or("no job"));
    let staff = must(people::list(&store, workshop.id).await);
    let named = |name: &str| {
        let person = staff.iter().find(|person| person.sign_in == name).cloned();
        By { person: must(person.ok_or(name)), device: DeviceId(Uuid::nil()), now: NOW }
    };
    let (one, other) = (named("imogen"), named("rosalind"));
    let pem = |name: &str| must(std::fs::read_to_string(folder.join("keys").join(name)));
    let key = must(SealKey::from_pem(&pem("seal.key.pem"), &pem("seal.cert.pem")));
    let sealer = Sealer { key: Arc::new(key), stamps: None };
    let (mut papers, mut handovers) = (Vec::new(), Vec::new());
    for round in 0..ROUNDS {
        let now = Moment(NOW.0 + round * 60_000);
        let (one, other) = (By { now, ..one.clone() }, By { now, ..other.clone() });
        withdraw_newest(&store, (&one, &other), job.id).await;
        let began = Instant::now();
        must(issue(&store, &sealer, ORIGIN, &one, job.id).await);
        papers.push(began.elapsed());
        let began = Instant::now();
        must(make(&store, ORIGIN, (workshop.id, job.id), None).await);
        handovers.push(began.elapsed());
    }
    tell("certificate, sealed and durable", papers);
    tell("handover", handovers);
}

async fn withdraw_newest(store: &Store, (one, other): (&By, &By), job: JobId) {
    let newest = must(certificates::list(store, one.workshop(), job).await).pop();
    let row = must(newest.ok_or("no certificate"));
    let asked = must(withdraw::ask(store, one, &row, "Withdrawn to make it anew.").await);
    must(withdraw::confirm(store, other, &row, asked.asked).await);
}

fn tell(what: &str, mut times: Vec<Duration>) {
    let first = times.remove(0);
    times.sort_unstable();
    let median = times.get(times.len() / 2).copied().unwrap_or_default();
    let most = times.last().copied().unwrap_or_default();
    println!("{what}: first {first:.1?}, then median {median:.1?}, at most {most:.1?}");
}
