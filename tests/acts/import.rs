//! An exported job in an empty installation: all as before, or nothing at all.

use std::path::PathBuf;

use fusewright::acts::import::{bring_in, look};
use fusewright::acts::{By, withdraw};
use fusewright::domain::archive::Member;
use fusewright::domain::ids::{DeviceId, JobId, WorkshopId};
use fusewright::storage::certificates::{self, CertificateRow, register_list};
use fusewright::storage::verify::verify;
use fusewright::storage::{Store, jobs, people, workshops};
use tempfile::TempDir;
use uuid::Uuid;

use super::packed::{Packed, archive_of, exported};
use crate::cli::demo::copy_of_the_demo;
use crate::cli::program::{Running, Said, ask, text};
use crate::documents::tools::words;
use crate::support::{Client, PASSWORD, SETUP_CODE, TestApp};

/// An archive as a file, and a folder that is not there yet.
struct Place {
    place: TempDir,
    archive: PathBuf,
}

impl Place {
    fn with(archive: &[u8]) -> Self {
        let place = TempDir::new().unwrap();
        let file = place.path().join("job.zip");
        std::fs::write(&file, archive).unwrap();
        Self { place, archive: file }
    }

    fn data(&self) -> PathBuf {
        self.place.path().join("data")
    }

    fn import(&self) -> Said {
        ask(&["import", text(&self.archive), "--data", text(&self.data())])
    }

    fn export(&self, job: usize, options: &[&str]) -> Vec<u8> {
        let (out, data, number) =
            (self.place.path().join("again.zip"), self.data(), job.to_string());
        let mut arguments = vec!["export", &number, "--out", text(&out), "--data", text(&data)];
        arguments.extend(options);
        let said = ask(&arguments);
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
        std::fs::read(&out).unwrap()
    }
}

#[test]
fn a_job_that_was_brought_in_is_whole_and_goes_out_again_byte_for_byte() {
    for job in [1, 2, 3, 9] {
        let archive = exported(job, &[]);
        let place = Place::with(&archive);
        let said = place.import();
        assert_eq!((said.code, said.err.as_str()), (0, ""), "{said:?}");
        assert!(said.out.contains("make an owner"), "{said:?}");
        let looked = ask(&["verify", "--data", text(&place.data())]);
        assert_eq!((looked.code, looked.err.as_str()), (0, ""), "{looked:?}");
        assert!(place.export(job, &[]) == archive, "job {job} comes out otherwise");
    }
}

#[test]
fn a_job_without_its_customer_comes_back_without() {
    let without = ["--without-customer"];
    let archive = exported(2, &without);
    let place = Place::with(&archive);
    assert_eq!(place.import().code, 0);
    assert!(place.export(2, &without) == archive);
}

#[test]
fn nothing_is_made_of_an_archive_that_does_not_hold() {
    let mut packed = Packed::of(1);
    let mut entries = packed.entries();
    entries.truncate(70);
    packed.rechain(entries);
    packed.resum();
    let place = Place::with(&packed.pack());
    let said = place.import();
    assert_eq!(said.code, 1);
    assert!(
        said.err.contains("it was made from 80 entries, and 70 are in the archive."),
        "{said:?}"
    );
    assert!(said.err.contains("Nothing was brought in"), "{said:?}");
    assert!(!place.data().exists());

    let place = Place::with(b"no archive");
    assert!(place.import().err.contains("is no archive of a job"));
    assert!(!place.data().exists());
}

#[tokio::test]
async fn a_text_that_this_program_could_not_show_is_not_stored() {
    // A job that is only planned, so that no certificate vouches for the kit; and no entry names its text yet.
    let mut packed = Packed::open(&exported(9, &[]));
    let mut kit = packed.file("kit.toml").to_vec();
    kit.extend_from_slice(b"strange = 1\n");
    let digest = fusewright::domain::entry::Digest::of(&kit).to_string();
    packed.set("kit.toml", kit);
    packed.change_job(|job| job["kit"]["sha256"] = digest.into());
    packed.resum();
    assert_eq!(packed.looked_at().unwrap().faults, [""; 0]);
    let place = Place::with(&packed.pack());
    let said = place.import();
    assert_eq!(said.code, 1, "{said:?}");
    let store = Store::open(&place.data()).await.unwrap();
    assert!(workshops::list(&store).await.unwrap().is_empty());
}

#[test]
fn a_folder_with_a_workshop_in_it_is_left_alone() {
    let demo = copy_of_the_demo();
    let place = Place::with(archive_of(1));
    let said = ask(&["import", text(&place.archive), "--data", text(demo.path())]);
    said.refused(1, "holds the workshop Thorne-Vale Vehicle Electrics already");
    assert_eq!(place.import().code, 0);
    place.import().refused(1, "name a folder that is not there yet");
    let looked = ask(&["verify", "--data", text(&place.data())]);
    assert!(looked.out.contains("1 jobs with 80 entries"), "{looked:?}");
}

#[test]
fn the_server_starts_on_it_with_a_seal_of_its_own_and_asks_for_an_owner() {
    let place = Place::with(archive_of(1));
    assert_eq!(place.import().code, 0);
    let data = place.data();
    let server = Running::start(&["serve", "--data", text(&data), "--listen", "127.0.0.1:0"]);
    assert!(server.greeting.contains("First start"), "{}", server.greeting);
    assert_eq!(server.get("/first-run"), "HTTP/1.1 200 OK");
    assert_eq!(server.stop().code, 0);
    assert!(data.join("keys/seal.key.pem").exists());
}

/// A server that nobody has set up, with a job of the demo brought in.
async fn brought_in(archive: &[u8]) -> (TestApp, JobId, Client) {
    let (app, place) = (TestApp::empty().await, Place::with(archive));
    let sound = look(&place.archive).unwrap_or_else(|faults| panic!("{faults:?}"));
    let job = sound.contents.about.job.id;
    bring_in(&app.store, sound, app.now()).await.unwrap();
    let owner = app.nobody();
    let page = owner.get("/first-run").await;
    page.has_status(200).says("value=\"Thorne-Vale Vehicle Electrics\"").says("value=\"TV\"");
    let start = |prefix: &'static str| {
        [
            ("code", SETUP_CODE),
            ("workshop", "Thorne-Vale Vehicle Electrics"),
            ("prefix", prefix),
            ("person", "Ada Lark"),
            ("sign_in", "ada"),
            ("password", PASSWORD),
            ("repeat", PASSWORD),
        ]
    };
    let refused = owner.post("/first-run", &start("XY")).await;
    refused.has_status(422).says("has these letters: they stay");
    owner.post("/first-run", &start("TV")).await.has_status(303);
    (app, job, owner)
}

#[tokio::test]
async fn pages_papers_photos_and_the_public_check_work_as_before() {
    let (app, job, owner) = brought_in(archive_of(1)).await;
    let packed = Packed::of(1);
    let here = format!("/jobs/{job}");
    owner.get(&here).await.has_status(200).says("Job 1").says("Bramble Row Joinery");
    owner.get(&format!("{here}/sheet")).await.has_status(200);
    owner.get(&format!("{here}/plan")).await.has_status(200);
    owner.get(&format!("{here}/review?show=all")).await.has_status(200).says("Tomasz Brandl");
    owner.get("/jobs").await.has_status(200).says(&here);
    let handover = owner.get(&format!("{here}/handover")).await;
    assert!(words(&handover.has_status(200).bytes).contains("Find the fuse"));
    let noted = packed.job()["certificates"][0].clone();
    let (number, code) = (noted["number"].as_str().unwrap(), noted["code"].as_str().unwrap());
    let pdf = owner.get(&format!("/certificates/{number}")).await;
    assert!(
        pdf.has_status(200).bytes == packed.file(&Member::Paper(number.to_owned()).to_string())
    );
    for photo in packed.job()["photos"].as_array().unwrap() {
        let (sent, kept) = (photo["sha256"].as_str().unwrap(), photo["file"].as_str().unwrap());
        let reply = owner.get(&format!("/photos/{sent}")).await;
        assert!(reply.has_status(200).bytes == packed.file(&format!("photos/{kept}.jpg")));
        owner.get(&format!("/photos/{sent}/thumb")).await.has_status(200);
    }
    for page in [format!("/verify/{number}"), format!("/verify/{number}/{code}")] {
        let page = app.nobody().get(&page).await;
        page.has_status(200).says("Genuine").says("from the archive of its job");
        page.is_silent_about("was issued here and is in force");
    }
    // The new seal vouches for nothing that it did not see.
    app.nobody().get("/status-list").await.has_status(200).is_silent_about("in-force");
    assert!(owner.get(&format!("{here}/archive")).await.bytes == archive_of(1));
}

#[tokio::test]
async fn those_who_came_along_have_names_and_no_way_in() {
    let (app, _, owner) = brought_in(archive_of(1)).await;
    owner.get("/people").await.has_status(200).says("Tomasz Brandl").says("Disabled");
    let tomasz = Packed::of(1).job()["people"].as_array().unwrap().clone();
    for person in tomasz {
        let name = format!("from-archive-{}", person["id"].as_str().unwrap());
        for password in ["-", "", PASSWORD] {
            let reply =
                app.nobody().post("/sign-in", &[("name", &name), ("password", password)]).await;
            assert_ne!(reply.status, 303, "{name}");
        }
    }
}

/// The demo with both certificates withdrawn, the second job's first: a line of the register that stands for
/// something elsewhere.
async fn withdrawn_demo() -> (TempDir, Store, WorkshopId) {
    let demo = copy_of_the_demo();
    let store = Store::open(demo.path()).await.unwrap();
    let workshop = workshops::list(&store).await.unwrap().remove(0).id;
    for number in [2, 1] {
        let row = certificate_of(&store, workshop, number).await;
        let asks = by(&store, workshop, "rosalind", &row).await;
        let confirms = by(&store, workshop, "dmitri", &row).await;
        let reason = "The earth joint was read at the wrong stud.";
        let asked = withdraw::ask(&store, &asks, &row, reason).await.unwrap();
        withdraw::confirm(&store, &confirms, &row, asked.asked).await.unwrap();
    }
    (demo, store, workshop)
}

async fn certificate_of(store: &Store, workshop: WorkshopId, number: u64) -> CertificateRow {
    let job = jobs::find(store, workshop, number).await.unwrap().unwrap().id;
    certificates::list(store, workshop, job).await.unwrap().remove(0)
}

async fn by(store: &Store, workshop: WorkshopId, sign_in: &str, row: &CertificateRow) -> By {
    let (person, _) = people::find(store, workshop, sign_in).await.unwrap().unwrap();
    By { person, device: DeviceId(Uuid::from_u128(1)), now: row.issued.plus_days(1) }
}

#[tokio::test]
async fn the_part_of_the_register_that_came_along_stays_sound_as_new_lines_follow() {
    let (demo, store, workshop) = withdrawn_demo().await;
    store.close().await;
    let out = demo.path().join("out.zip");
    let said = ask(&["export", "1", "--data", text(demo.path()), "--out", text(&out)]);
    assert_eq!(said.code, 0, "{said:?}");
    let (app, job, owner) = brought_in(&std::fs::read(&out).unwrap()).await;
    let kinds = |lines: Vec<certificates::Line>| -> Vec<String> {
        lines.into_iter().map(|line| line.kind).collect()
    };
    let lines = register_list(&app.store, workshop).await.unwrap();
    assert_eq!(kinds(lines), ["issue", "issue", "withdraw", "withdraw"]);
    assert_eq!(verify(&app.store, workshop).await.unwrap().faults, []);
    let number = certificate_of(&app.store, workshop, 1).await.number;
    app.nobody().get(&format!("/verify/{number}")).await.has_status(200).says("Withdrawn");
    app.nobody().get("/status-list").await.says(" withdrawn ").is_silent_about("TV-26-00002");

    // Another certificate in its place, under the seal of this installation.
    owner.post(&format!("/jobs/{job}/certificate"), &[]).await.has_status(303);
    let lines = register_list(&app.store, workshop).await.unwrap();
    assert_eq!(kinds(lines)[4..], ["replace"]);
    assert_eq!(verify(&app.store, workshop).await.unwrap().faults, []);
    app.nobody().get("/status-list").await.says("in-force");
    let again = owner.get(&format!("/jobs/{job}/archive")).await;
    let report = super::packed::looked_at(&again.has_status(200).bytes).unwrap();
    assert_eq!((report.faults.len(), report.seals.len()), (0, 2));
}

/// Taking away what stands for a line of one's own is still found.
#[tokio::test]
async fn a_withdrawal_that_came_along_and_was_taken_away_is_missed() {
    let (_demo, store, workshop) = withdrawn_demo().await;
    let file = store.folder().join("fusewright.db");
    let options = sqlx::sqlite::SqliteConnectOptions::new().filename(file);
    let mut db = sqlx::ConnectOptions::connect(&options).await.unwrap();
    for change in ["drop trigger withdrawal_is_not_deleted", "delete from withdrawal"] {
        sqlx::raw_sql(change).execute(&mut db).await.unwrap();
    }
    assert_eq!(verify(&store, workshop).await.unwrap().faults.len(), 2);
}

#[test]
fn a_photo_of_another_size_than_told_is_not_stored() {
    let mut packed = Packed::of(1);
    packed.change_job(|job| job["photos"][0]["width"] = 7.into());
    packed.resum();
    let place = Place::with(&packed.pack());
    place.import().refused(1, "has another size than job.json says");
}
