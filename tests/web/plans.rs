//! The plan's page: figures tried without saving, the smallest change typed in, faults with what was typed
//! kept.

use std::collections::BTreeSet;

use fusewright::acts::plan::save;
use fusewright::domain::change::{Change, smallest_change};
use fusewright::domain::findings::findings;
use fusewright::domain::ids::{CustomerId, JobId, KitId};
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::plan_form::{form_to_toml, toml_to_form};
use fusewright::storage::customers::{self, Customer};
use fusewright::storage::jobs::{self, NewJob};
use fusewright::storage::kits::{self, NewKit};
use fusewright::storage::{entries, plans};
use roxmltree::Document;
use uuid::Uuid;

use crate::domain::cast::PLAN;
use crate::support::{Client, KIT_TEXT, MANAGER, Reply, TestApp, WORKSHOP};

/// What was typed under each field of the form.
type Typed = Vec<(String, String)>;

/// The van's plan, with some figures typed over.
fn typed(over: &[(&str, &str)]) -> Typed {
    let mut form = toml_to_form(PLAN);
    for (key, value) in over {
        form.retain(|(name, _)| name != key);
        form.push(((*key).to_owned(), (*value).to_owned()));
    }
    form
}

async fn post(client: &Client, path: &str, form: &Typed) -> Reply {
    let fields: Vec<(&str, &str)> =
        form.iter().map(|(key, value)| (key.as_str(), value.as_str())).collect();
    client.post(path, &fields).await
}

/// Editions of the plan and entries of the job.
async fn stored(app: &TestApp, job: JobId) -> (usize, usize) {
    let plans = plans::list(&app.store, WORKSHOP, job).await.unwrap();
    let entries = entries::list(&app.store, WORKSHOP, job).await.unwrap();
    (plans.len(), entries.len())
}

/// A job with a saved plan of the van.
async fn planned(app: &TestApp) -> JobId {
    let job = app.job().await;
    save(&app.store, &app.by(MANAGER), job, PLAN).await.unwrap();
    job
}

/// The value that a field holds on the page: of an input as typed, of a choice the selected one.
fn held(reply: &Reply, key: &str) -> String {
    let start = reply.text.find(&format!("name=\"{key}\"")).unwrap_or_else(|| panic!("no {key}"));
    let rest = &reply.text[start..];
    let rest = match rest.find("<select").min(rest.find("</select>")) {
        Some(end) if rest[..end].contains("<option") => {
            let selected = rest[..end].find("selected").unwrap_or_else(|| panic!("{key} is unset"));
            let option = rest[..selected].rfind("value=\"").unwrap();
            &rest[option..]
        }
        _ => &rest[rest.find("value=\"").unwrap()..],
    };
    let value = rest.trim_start_matches("value=\"");
    value[..value.find('"').unwrap()].to_owned()
}

/// By hand: (9.5 + 3.6) m · 0.780 mΩ/m · 1.1041 + 1 mΩ = 12.28 mΩ, times 40 A 0.491 V; as saved 0.281 V.
#[tokio::test]
async fn typed_figures_are_worked_out_and_nothing_is_stored() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let before = stored(&app, job).await;
    let manager = app.manager().await;
    let plan = format!("/jobs/{job}/plan");
    let saved = manager.get(&plan).await;
    saved.has_status(200).says("0.281 V").is_silent_about("Nothing is saved yet");
    let longer = typed(&[("circuits.supply.length_out_m", "9,5")]);
    let tried = post(&manager, &format!("{plan}/preview"), &longer).await;
    tried.has_status(200).says("Nothing is saved yet").says("0.491 <small>V").says("finding--stop");
    tried.is_silent_about("0.281 V").is_silent_about("Make the sheet");
    assert_eq!(held(&tried, "circuits.supply.length_out_m"), "9,5");
    assert_eq!(stored(&app, job).await, before);
    let again = manager.get(&plan).await;
    assert_eq!(held(&again, "circuits.supply.length_out_m"), "3.4");
    again.says("0.281 V");
}

/// The smallest change of the van's plan with these figures typed over.
fn change_for(over: &[(&str, &str)], id: &str) -> Change {
    let kit = read_kit(KIT_TEXT).unwrap();
    let plan = read_plan(&form_to_toml(&kit, &typed(over)), &kit).unwrap();
    let finding = findings(&kit, &plan).into_iter().find(|finding| finding.id == id).unwrap();
    smallest_change(&kit, &plan, &finding).unwrap()
}

#[tokio::test]
async fn the_smallest_change_is_offered_and_typed_in_where_it_is_asked_for() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let before = stored(&app, job).await;
    let manager = app.manager().await;
    let preview = format!("/jobs/{job}/plan/preview");
    for (over, id) in [
        (vec![("circuits.supply.length_out_m", "9.5")], "supply.drop"),
        (vec![("circuits.supply.fuse_a", "200")], "supply.fuse_cable"),
        (vec![("circuits.sense.fuse_distance_mm", "900")], "sense.fuse_place"),
        (vec![("solar.in_series", "9")], "solar.cold_voltage"),
    ] {
        let change = change_for(&over, id);
        let shown = post(&manager, &preview, &typed(&over)).await;
        shown.has_status(200).says(&change.words).says(&format!("value=\"{id}\">Try it"));
        let mut asked = typed(&over);
        asked.push(("apply".to_owned(), id.to_owned()));
        let mended = post(&manager, &preview, &asked).await;
        mended.has_status(200).says("Nothing is saved yet");
        for (key, value) in &change.fields {
            assert_eq!(held(&mended, key), *value, "{id}");
        }
        mended.is_silent_about(&format!("value=\"{id}\">Try it"));
    }
    assert_eq!(stored(&app, job).await, before);
}

#[tokio::test]
async fn a_change_that_there_is_none_of_leaves_the_figures_as_typed() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let manager = app.manager().await;
    for apply in ["supply.drop", "mount.panel", "no.such", "", "<script>"] {
        let mut asked = typed(&[("mounting.removable", "true")]);
        asked.push(("apply".to_owned(), apply.to_owned()));
        let reply = post(&manager, &format!("/jobs/{job}/plan/preview"), &asked).await;
        reply.has_status(200).says("A panel that comes off or moves");
        reply.is_silent_about("<script>\"");
        assert_eq!(held(&reply, "mounting.removable"), "true");
        assert_eq!(held(&reply, "circuits.supply.cable"), "25 mm²");
    }
}

#[tokio::test]
async fn faults_are_answered_with_422_and_what_was_typed_stays() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let before = stored(&app, job).await;
    let manager = app.manager().await;
    let mut form = typed(&[
        ("circuits.supply.length_out_m", "about 6"),
        ("vehicle.description", "<b>Van</b> \"long\""),
        ("mounting.own_side_g", "8"),
    ]);
    form.push(("apply".to_owned(), "supply.drop".to_owned()));
    for path in ["plan", "plan/preview"] {
        let reply = post(&manager, &format!("/jobs/{job}/{path}"), &form).await;
        reply.has_status(422).says("This cannot be worked out or saved yet");
        reply.says("href=\"#f-circuits-supply-length_out_m\"").says("is not a number.");
        reply.says("The class brings its own levels. Leave it out.");
        assert_eq!(held(&reply, "circuits.supply.length_out_m"), "about 6");
        assert_eq!(held(&reply, "mounting.own_side_g"), "8");
        assert_eq!(held(&reply, "circuits.supply.cable"), "25 mm²");
        reply.says("&#60;b&#62;Van&#60;/b&#62;").is_silent_about("<b>Van");
        reply.is_silent_about("finding--stop").is_silent_about("Make the sheet");
    }
    assert_eq!(stored(&app, job).await, before);
}

#[tokio::test]
async fn an_empty_form_and_strange_keys_are_answered_at_the_fields() {
    let app = TestApp::start().await;
    let job = app.job().await;
    let manager = app.manager().await;
    let preview = format!("/jobs/{job}/plan/preview");
    for form in [
        vec![],
        vec![("kit".to_owned(), "OTHER".to_owned())],
        vec![(String::new(), "1".to_owned())],
    ] {
        let reply = post(&manager, &preview, &form).await;
        reply.has_status(422).says("href=\"#f-vehicle-description\"");
    }
    assert_eq!(stored(&app, job).await.0, 0);
}

#[tokio::test]
async fn of_a_figure_that_comes_twice_the_last_one_counts_and_is_shown() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let mut form = typed(&[]);
    form.push(("circuits.supply.length_out_m".to_owned(), "9.5".to_owned()));
    let preview = format!("/jobs/{job}/plan/preview");
    let reply = post(&app.manager().await, &preview, &form).await;
    reply.has_status(200).says("0.491 <small>V");
    assert_eq!(held(&reply, "circuits.supply.length_out_m"), "9.5");
}

#[tokio::test]
async fn a_technician_may_try_figures_and_not_save_them() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let before = stored(&app, job).await;
    let technician = app.technician().await;
    let plan = format!("/jobs/{job}/plan");
    let page = technician.get(&plan).await;
    page.has_status(200).says("Work out only").is_silent_about("Save the plan");
    page.is_silent_about("Make the sheet").is_silent_about("Accept in writing");
    let longer = typed(&[("circuits.supply.length_out_m", "9.5"), ("mounting.supported", "false")]);
    let tried = post(&technician, &format!("{plan}/preview"), &longer).await;
    tried.has_status(200).says("0.491 <small>V").is_silent_about("Accept in writing");
    post(&technician, &plan, &longer).await.has_status(403);
    assert_eq!(stored(&app, job).await, before);
    app.nobody().post(&format!("{plan}/preview"), &[]).await.has_status(303);
}

/// A caution of figures that are only tried is not accepted: it would be one of another plan.
#[tokio::test]
async fn only_cautions_of_a_saved_plan_wait_for_a_word() {
    let app = TestApp::start().await;
    let job = planned(&app).await;
    let manager = app.manager().await;
    let bare = typed(&[("mounting.supported", "false")]);
    let plan = format!("/jobs/{job}/plan");
    let tried = post(&manager, &format!("{plan}/preview"), &bare).await;
    tried.has_status(200).says("finding--caution").is_silent_about("Accept in writing");
    post(&manager, &plan, &bare).await.has_status(303);
    manager.get(&plan).await.says("finding--caution").says("Accept in writing");
}

/// A job for a kit of another text.
async fn job_for(app: &TestApp, text: &str) -> JobId {
    let kit = read_kit(text).unwrap();
    let id = KitId(Uuid::from_u128(0x70));
    let new = NewKit {
        id,
        code: kit.code,
        edition: kit.edition,
        title: kit.title,
        source: text.as_bytes().to_vec(),
        imported: app.now(),
        imported_by: MANAGER,
    };
    kits::append(&app.store, WORKSHOP, new).await.unwrap();
    let customer = Customer {
        id: CustomerId(Uuid::from_u128(0x71)),
        name: "Jonas Weir".to_owned(),
        contact: String::new(),
        address: String::new(),
    };
    let job = NewJob {
        id: JobId(Uuid::from_u128(0x72)),
        customer: customer.id,
        kit: id,
        vehicle: "Van".to_owned(),
        registration: "HP 21 KLN".to_owned(),
        technician: None,
        opened: app.now(),
        opened_by: MANAGER,
    };
    customers::append(&app.store, WORKSHOP, customer).await.unwrap();
    let id = job.id;
    jobs::append(&app.store, WORKSHOP, job).await.unwrap();
    id
}

/// Every drawing of a page.
fn drawings(page: &str) -> Vec<&str> {
    page.split("<svg class=\"drawing\"")
        .skip(1)
        .map(|rest| &rest[..rest.find("</svg>").unwrap()])
        .collect()
}

fn ids(page: &str) -> Vec<&str> {
    page.split(" id=\"").skip(1).map(|rest| &rest[..rest.find('"').unwrap()]).collect()
}

#[tokio::test]
async fn a_page_of_three_circuits_names_nothing_twice_and_its_drawings_are_sound() {
    let app = TestApp::start().await;
    let text =
        KIT_TEXT.replace("Feed from the starter battery", "<script>alert(1)</script> & feed");
    let job = job_for(&app, &text).await;
    let worst = typed(&[
        ("circuits.supply.length_out_m", "9.5"),
        ("circuits.solar.cable", "0.5 mm²"),
        ("vehicle.battery_milliohm", "5"),
        ("mounting.supported", "false"),
        ("mounting.surface", "plywood"),
        ("mounting.thickness_mm", "12"),
    ]);
    let preview = format!("/jobs/{job}/plan/preview");
    for form in [typed(&[("vehicle.battery_milliohm", "5")]), worst] {
        let reply = post(&app.manager().await, &preview, &form).await;
        reply.has_status(200).is_silent_about("<script>alert");
        let all = ids(&reply.text);
        let distinct: BTreeSet<&str> = all.iter().copied().collect();
        let twice: Vec<&&str> =
            all.iter().filter(|id| all.iter().filter(|one| one == id).count() > 1).collect();
        assert_eq!(distinct.len(), all.len(), "{twice:?}");
        let drawn = drawings(&reply.text);
        assert!(drawn.len() >= 10, "{}", drawn.len());
        // What one circuit cannot take hides no other one.
        assert!(all.contains(&"path-supply-title") && all.contains(&"fuse-sense-title"));
        for svg in drawn {
            let whole = format!("<svg class=\"drawing\"{svg}</svg>");
            let read = Document::parse(&whole).unwrap_or_else(|error| panic!("{error}: {whole}"));
            let label = read.root_element().attribute("aria-labelledby").unwrap();
            assert!(label.split(' ').all(|id| distinct.contains(id)), "{label}");
        }
    }
}
