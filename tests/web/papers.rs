//! The text of certificate and handover beside the record: every measurement with value as typed, unit, limit
//! and instrument; none left out, none rounded into a pass.

use std::collections::BTreeMap;

use fusewright::acts::archive::check;
use fusewright::acts::handover::make;
use fusewright::domain::archive::{EntryLine, Member};
use fusewright::domain::entry::{Digest, Payload};
use fusewright::domain::number::Decimal;
use fusewright::domain::step::{Step, StepKind};
use fusewright::storage::photos::{self, NewPhoto};
use fusewright::storage::{Store, jobs, picture, workshops};
use serde_json::Value;
use uuid::Uuid;

use super::sync::{Phone, states};
use super::upload::jpeg;
use crate::acts::packed::archive_of;
use crate::cli::demo::copy_of_the_demo;
use crate::documents::tools::words;
use crate::domain::cast::{METER, dec, good};
use crate::support::{TECHNICIAN, WORKSHOP};

/// A released job: its record, its entries, and the text of both papers.
struct Job {
    record: Value,
    entries: Vec<EntryLine>,
    certificate: String,
    handover: String,
}

impl Job {
    fn of(archive: &[u8], handover: &[u8]) -> Self {
        let (contents, report) = check(std::io::Cursor::new(archive)).unwrap();
        assert_eq!(report.faults, [""; 0]);
        let number = contents.about.certificates[0].number.clone();
        let record = contents.file(&Member::Record(number.clone()));
        Self {
            record: serde_json::from_slice(record).unwrap(),
            certificate: plain(&words(contents.file(&Member::Paper(number)))),
            handover: plain(&words(handover)),
            entries: contents.entries,
        }
    }

    fn measured(&self) -> Vec<&Value> {
        let steps = self.record["steps"].as_array().unwrap().iter();
        let not_measured = ["confirm", "photo", "note"];
        steps.filter(|step| !not_measured.contains(&step["kind"].as_str().unwrap())).collect()
    }

    /// The figures of a step as they were typed, by their names in the body.
    fn typed(&self, step: &Value) -> BTreeMap<String, String> {
        let seq = usize::try_from(step["seq"].as_u64().unwrap()).unwrap();
        let body: Value = serde_json::from_str(&self.entries[seq].body).unwrap();
        let figures = ["value", "rating_a", "drop_v", "current_a", "voltage_v", "cell_c"];
        let typed = figures.iter().filter_map(|key| Some((key, body[key].as_str()?)));
        typed.map(|(key, value)| ((*key).to_owned(), value.to_owned())).collect()
    }

    fn labels(&self, step: &Value) -> String {
        let of = |id: &Value| {
            let all = self.record["instruments"].as_array().unwrap();
            let found = all.iter().find(|instrument| instrument["id"] == *id).unwrap();
            found["label"].as_str().unwrap().to_owned()
        };
        let labels: Vec<String> = step["instruments"].as_array().unwrap().iter().map(of).collect();
        if labels.is_empty() { String::new() } else { format!("{}, ", labels.join(", ")) }
    }

    /// How many measurements stand on both papers as they should.
    fn compare(&self) -> usize {
        for step in self.measured() {
            let typed = self.typed(step);
            if let Some(value) = typed.get("value") {
                assert_eq!(*value, step["figure"].as_str().unwrap(), "{step}");
            }
            for (paper, row) in [
                (&self.certificate, self.certificate_row(step)),
                (&self.handover, self.handover_row(step)),
            ] {
                assert!(paper.contains(&reading(step)), "{} is missing", reading(step));
                for figure in typed.values() {
                    assert!(row.contains(figure.as_str()), "{figure} is missing in {row}");
                }
                is_in_row(step, &row);
            }
        }
        self.measured().len()
    }

    /// From the number of the step to that of the next one.
    fn certificate_row(&self, step: &Value) -> String {
        let (number, title) = (&step["number"], step["title"].as_str().unwrap());
        let person = step["person"].as_str().unwrap();
        let by = format!(" {}{person}, ", self.labels(step));
        let row = row(&self.certificate, &format!("{number} {title}"), &by);
        let end = row.find(" Pass").unwrap_or_else(|| panic!("no verdict in {row}"));
        row[..end].to_owned()
    }

    fn handover_row(&self, step: &Value) -> String {
        let (number, title) = (&step["number"], step["title"].as_str().unwrap());
        row(&self.handover, &format!("{number} {title} "), "")
    }
}

/// Value and unit beside the limit, on the one paper before it and on the other behind it.
fn is_in_row(step: &Value, row: &str) {
    let limit = step["limit"].as_str().unwrap();
    if ["torque", "reading", "path_drop", "fuse"].contains(&step["kind"].as_str().unwrap()) {
        let (before, after) =
            (format!("{limit} {}", reading(step)), format!("{} {limit}", reading(step)));
        assert!(row.contains(&before) || row.contains(&after), "{before} is not in {row}");
    } else {
        assert!(row.contains(&reading(step)) || step["kind"] == "order", "{row}");
    }
}

/// A piece of the paper that begins so and has these words in it, as long as any row.
fn row(paper: &str, start: &str, has: &str) -> String {
    let from = |(at, _)| paper[at..].chars().take(400).collect::<String>();
    let found = paper.match_indices(start).map(from).find(|row| row.contains(has));
    found.unwrap_or_else(|| panic!("{start:?} with {has:?} is missing"))
}

/// The minus signs of paper as people type them.
fn plain(text: &str) -> String {
    text.replace('\u{2212}', "-")
}

/// The figure that was judged with its unit, or the words where there is none.
fn reading(step: &Value) -> String {
    match (step["figure"].as_str(), step["unit"].as_str()) {
        (Some(figure), Some(unit)) => format!("{figure} {unit}"),
        _ if step["kind"] == "order" => "as read back".to_owned(),
        _ => step["value"].as_str().unwrap().to_owned(),
    }
}

#[tokio::test]
async fn every_measurement_of_the_demos_released_jobs_stands_on_both_papers() {
    let demo = copy_of_the_demo();
    let store = Store::open(demo.path()).await.unwrap();
    let workshop = workshops::list(&store).await.unwrap().remove(0);
    for number in [1, 2] {
        let row = jobs::find(&store, workshop.id, number).await.unwrap().unwrap();
        let of = (workshop.id, row.id);
        let handover = make(&store, "https://x.example", of, None).await.unwrap();
        let job = Job::of(archive_of(usize::try_from(number).unwrap()), &handover.pdf);
        assert!(job.compare() > 20, "job {number}");
    }
}

/// Just inside of a limit, with more digits than the limit has.
fn at_the_limit(step: &Step) -> Option<Payload> {
    let little = dec("0.0004");
    match &step.kind {
        StepKind::Torque { limits } => {
            let value = limits.upper? - little;
            let instrument = match good(step) {
                Payload::Torque { instrument, .. } => instrument,
                _ => METER,
            };
            Some(Payload::Torque { value, instrument })
        }
        StepKind::Reading { limits, .. } => {
            let value = limits.upper.map(|upper| upper - little);
            let value = value.or(limits.lower.map(|lower| lower + little))?;
            Some(Payload::Reading { value, instrument: METER })
        }
        _ => None,
    }
}

fn value_of(payload: &Payload) -> Decimal {
    match payload {
        Payload::Torque { value, .. } | Payload::Reading { value, .. } => *value,
        other => panic!("{other:?} has no value"),
    }
}

/// The step that is first read just beyond its limit: a torque, as most are.
fn first_torque(steps: &[Step]) -> &Step {
    steps.iter().find(|step| matches!(step.kind, StepKind::Torque { .. })).unwrap()
}

/// Everything recorded, each reading as near to its limit as a hair; one was a hair beyond before.
async fn recorded_at_the_limits(phone: &Phone) -> (Decimal, Decimal) {
    let picture = jpeg(3);
    let sent = NewPhoto {
        sha256: Digest::of(&picture),
        picture: picture::kept(&picture).unwrap(),
        received: phone.app.now(),
        received_by: TECHNICIAN,
    };
    photos::append(&phone.app.store, WORKSHOP, sent).await.unwrap();
    let states_now = phone.file().await.state.steps;
    let steps: Vec<Step> = states_now.iter().map(|state| state.step.clone()).collect();
    let torque = first_torque(&steps).clone();
    let pass = at_the_limit(&torque).unwrap();
    let (inside, beyond) = (value_of(&pass), value_of(&pass) + dec("0.0008"));
    let fail = match pass {
        Payload::Torque { instrument, .. } => Payload::Torque { value: beyond, instrument },
        other => other,
    };
    let done =
        Payload::Remark { text: "Loosened, tightened again.".to_owned(), photos: Vec::new() };
    let mut texts = vec![phone.text(400, &torque.key, fail), phone.text(401, &torque.key, done)];
    for (id, step) in (500..).zip(&steps) {
        let payload = match good(step) {
            Payload::Photo { .. } => Payload::Photo { photos: vec![Digest::of(&picture)] },
            plain => at_the_limit(step).unwrap_or(plain),
        };
        let mut body: Value = serde_json::from_str(&phone.text(id, &step.key, payload)).unwrap();
        if step.key == torque.key {
            body["supersedes"] = serde_json::json!([Uuid::from_u128(400)]);
        }
        texts.push(body.to_string());
    }
    texts.push(phone.submit(1));
    for batch in texts.chunks(20) {
        let rows = phone.send(batch).await;
        assert!(states(&rows).iter().all(|state| *state == "recorded"), "{rows:?}");
    }
    (inside, beyond)
}

#[tokio::test]
async fn a_value_just_at_its_limit_is_printed_as_typed_and_one_beyond_is_not_rounded_into_a_pass() {
    let phone = Phone::new().await;
    let (inside, beyond) = recorded_at_the_limits(&phone).await;
    let (manager, owner) = (phone.app.manager().await, phone.app.owner().await);
    let release = format!("/jobs/{}/release", phone.job);
    manager.post(&release, &[("name", "Mika Saari")]).await.has_status(303);
    let archive = owner.get(&format!("/jobs/{}/archive", phone.job)).await;
    let handover = owner.get(&format!("/jobs/{}/handover", phone.job)).await;
    let job = Job::of(&archive.has_status(200).bytes, &handover.has_status(200).bytes);
    assert!(job.compare() > 20);

    let hairs = job.measured().into_iter().filter(|step| {
        let figure = step["figure"].as_str().unwrap_or_default();
        figure.ends_with("96") || figure.ends_with("04")
    });
    assert!(hairs.count() > 15, "most readings lie a hair inside of their limit");
    assert!(job.certificate.contains(&format!("{inside} N·m")));
    let (_, replaced) = job.certificate.split_once("replaced").unwrap();
    assert!(replaced.contains(&format!("{beyond} N·m")), "{beyond} is missing: {replaced}");
    assert_eq!(job.certificate.matches(&format!("{} N·m Pass", beyond.round_dp(2))).count(), 0);
}
