//! Who may add and disable whom.

use fusewright::domain::ids::PersonId;
use fusewright::domain::person::Role;
use fusewright::storage::people;

use crate::support::{Client, MANAGER, OWNER, PASSWORD, Reply, TECHNICIAN, TestApp, WORKSHOP};

fn new_person<'a>(name: &'a str, sign_in: &'a str, role: &'a str) -> [(&'a str, &'a str); 4] {
    [("name", name), ("sign_in", sign_in), ("role", role), ("password", PASSWORD)]
}

#[tokio::test]
async fn a_manager_adds_a_technician_who_can_then_sign_in() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    let reply = manager.post("/people", &new_person("Ivo Brandt", "Ivo", "technician")).await;
    let page = manager.get(reply.has_status(303).location()).await;
    page.has_status(200).says("Ivo Brandt").says("Tell them their name and password");
    app.signed_in("ivo").await;
}

#[tokio::test]
async fn a_manager_adds_no_manager_and_an_owner_does() {
    let app = TestApp::start().await;
    let (manager, owner) = (app.manager().await, app.owner().await);
    manager.get("/people").await.is_silent_about("value=\"owner\"");
    manager.post("/people", &new_person("Ivo Brandt", "ivo", "manager")).await.has_status(403);
    manager.post("/people", &new_person("Ivo Brandt", "ivo", "owner")).await.has_status(403);
    owner.post("/people", &new_person("Ivo Brandt", "ivo", "manager")).await.has_status(303);
    let (ivo, _) = people::find(&app.store, WORKSHOP, "ivo").await.unwrap().unwrap();
    assert_eq!(ivo.role, Role::Manager);
}

#[tokio::test]
async fn a_person_with_faults_is_not_added_and_the_form_comes_back() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let typed =
        [("name", "Ivo Brandt"), ("sign_in", "i v"), ("role", "cook"), ("password", "too short")];
    let reply = owner.post("/people", &typed).await;
    reply.has_status(422).says("value=\"Ivo Brandt\"").says("value=\"i v\"");
    reply.says("without spaces").says("Choose one of the roles").says("at least 15 characters");
    reply.is_silent_about("too short");
    let reply = owner.post("/people", &new_person("Ivo Brandt", "tove", "technician")).await;
    reply.has_status(422).says("Somebody here signs in with this name");
    assert_eq!(people::list(&app.store, WORKSHOP).await.unwrap().len(), 3);
}

#[tokio::test]
async fn disabling_signs_somebody_out_and_enabling_lets_them_in_again() {
    let app = TestApp::start().await;
    let (manager, technician) = (app.manager().await, app.technician().await);
    let path = format!("/people/{TECHNICIAN}");
    let done = manager.post(&format!("{path}/disable"), &[]).await;
    manager.get(done.has_status(303).location()).await.says("signed out everywhere");
    technician.get("/instruments").await.has_status(303);
    manager.post(&format!("{path}/enable"), &[]).await.has_status(303);
    app.technician().await;
}

#[tokio::test]
async fn a_manager_disables_technicians_alone() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    for person in [OWNER, MANAGER] {
        manager.post(&format!("/people/{person}/disable"), &[]).await.has_status(403);
    }
}

#[tokio::test]
async fn nobody_disables_themselves_or_the_last_owner() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let themselves = owner.post(&format!("/people/{OWNER}/disable"), &[]).await;
    themselves.has_status(422).says("You cannot disable yourself");
    owner.post("/people", &new_person("Second Owner", "second", "owner")).await.has_status(303);
    let second = app.signed_in("second").await;
    second.post(&format!("/people/{OWNER}/disable"), &[]).await.has_status(303);
    owner.get("/settings").await.has_status(303);
    let left = people::list(&app.store, WORKSHOP).await.unwrap();
    assert_eq!(left.iter().filter(|p| p.role == Role::Owner && !p.disabled).count(), 1);
}

#[tokio::test]
async fn two_owners_who_disable_each_other_at_once_leave_one() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.post("/people", &new_person("Second Owner", "second", "owner")).await.has_status(303);
    let (second, _) = people::find(&app.store, WORKSHOP, "second").await.unwrap().unwrap();
    let other = app.signed_in("second").await;
    let (one, two) = (format!("/people/{}/disable", second.id), format!("/people/{OWNER}/disable"));
    let _ = tokio::join!(owner.post(&one, &[]), other.post(&two, &[]));
    let left = people::list(&app.store, WORKSHOP).await.unwrap();
    assert_eq!(left.iter().filter(|p| p.role == Role::Owner && !p.disabled).count(), 1);
}

#[tokio::test]
async fn somebody_who_does_not_exist_is_not_there() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let stranger = PersonId(uuid::Uuid::from_u128(0x99));
    owner.post(&format!("/people/{stranger}/disable"), &[]).await.has_status(404);
    owner.post("/people/7/enable", &[]).await.has_status(404);
}

#[tokio::test]
async fn a_name_is_text_and_never_markup() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let name = "<script>alert(1)</script>\"'><img src=x>";
    owner.post("/people", &new_person(name, "mallory", "technician")).await.has_status(303);
    let page = owner.get("/people").await;
    page.says("&#60;script&#62;alert(1)").is_silent_about("<script>alert");
    page.is_silent_about("<img src=x");
    app.signed_in("mallory").await.get("/instruments").await.is_silent_about("<script>alert");
}

async fn change_role(client: &Client, person: PersonId, role: &str) -> Reply {
    client.post(&format!("/people/{person}/role"), &[("role", role)]).await
}

async fn role_of(app: &TestApp, person: PersonId) -> Role {
    people::load(&app.store, WORKSHOP, person).await.unwrap().unwrap().role
}

#[tokio::test]
async fn an_owner_gives_somebody_another_role_who_then_signs_in_again() {
    let app = TestApp::start().await;
    let (owner, technician) = (app.owner().await, app.technician().await);
    let page = owner.get("/people").await;
    page.says(&format!("action=\"/people/{TECHNICIAN}/role\"")).says("technician\" selected>");
    let reply = change_role(&owner, TECHNICIAN, "manager").await;
    owner.get(reply.has_status(303).location()).await.says("The role is changed");
    technician.get("/jobs").await.has_status(303);
    app.technician().await.get("/kits").await.has_status(200);
}

#[tokio::test]
async fn the_same_role_again_signs_nobody_out() {
    let app = TestApp::start().await;
    let (owner, technician) = (app.owner().await, app.technician().await);
    change_role(&owner, TECHNICIAN, "technician").await.has_status(303);
    technician.get("/jobs").await.has_status(200);
}

#[tokio::test]
async fn a_manager_changes_no_role_and_sees_no_form_for_it() {
    let app = TestApp::start().await;
    let manager = app.manager().await;
    manager.get("/people").await.is_silent_about("/role\"");
    for person in [TECHNICIAN, MANAGER, OWNER] {
        change_role(&manager, person, "manager").await.has_status(403);
    }
    assert_eq!(role_of(&app, TECHNICIAN).await, Role::Technician);
}

#[tokio::test]
async fn the_last_owner_stays_one() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    let reply = change_role(&owner, OWNER, "manager").await;
    reply.has_status(422).says(&format!("href=\"#role-{OWNER}\">Role: A workshop needs an owner."));
    assert_eq!(role_of(&app, OWNER).await, Role::Owner);
    // One who may not sign in does not count.
    owner.post("/people", &new_person("Second Owner", "second", "owner")).await.has_status(303);
    let (second, _) = people::find(&app.store, WORKSHOP, "second").await.unwrap().unwrap();
    owner.post(&format!("/people/{}/disable", second.id), &[]).await.has_status(303);
    change_role(&owner, OWNER, "manager").await.has_status(422);
    owner.post(&format!("/people/{}/enable", second.id), &[]).await.has_status(303);
    change_role(&owner, OWNER, "manager").await.has_status(303);
    assert_eq!(role_of(&app, OWNER).await, Role::Manager);
    owner.get("/people").await.has_status(303);
}

#[tokio::test]
async fn two_owners_who_make_each_other_managers_at_once_leave_one() {
    let app = TestApp::start().await;
    let owner = app.owner().await;
    owner.post("/people", &new_person("Second Owner", "second", "owner")).await.has_status(303);
    let (second, _) = people::find(&app.store, WORKSHOP, "second").await.unwrap().unwrap();
    let other = app.signed_in("second").await;
    let _ = tokio::join!(
        change_role(&owner, second.id, "manager"),
        change_role(&other, OWNER, "manager")
    );
    let left = people::list(&app.store, WORKSHOP).await.unwrap();
    assert_eq!(left.iter().filter(|p| p.role == Role::Owner && !p.disabled).count(), 1);
}

#[tokio::test]
async fn a_role_that_does_not_exist_comes_back_with_the_form_open() {
    let app = TestApp::start().await;
    let reply = change_role(&app.owner().await, TECHNICIAN, "cook").await;
    reply.has_status(422).says("Role: Choose one of the roles.").says("class=\"working\" open>");
    assert_eq!(role_of(&app, TECHNICIAN).await, Role::Technician);
}

#[tokio::test]
async fn a_forgotten_password_is_set_anew_and_the_name_opened_that_guesses_had_closed() {
    let app = TestApp::start().await;
    let (manager, phone) = (app.manager().await, app.technician().await);
    for _ in 0..11 {
        let wrong = [("name", "tove"), ("password", "not the password at all")];
        app.nobody().post("/sign-in", &wrong).await;
    }
    let new = "six brown otters dive";
    let path = format!("/people/{TECHNICIAN}/password");
    let short = manager.post(&path, &[("password", "six otters")]).await;
    short.has_status(422).says(&format!("href=\"#password-{TECHNICIAN}\">New password: Use at"));
    phone.get("/jobs").await.has_status(200);
    let reply = manager.post(&path, &[("password", new)]).await;
    manager.get(reply.has_status(303).location()).await.says("Set, and signed out everywhere.");
    phone.get("/jobs").await.has_status(303);
    app.nobody().post("/sign-in", &[("name", "tove"), ("password", new)]).await.has_status(303);
}

#[tokio::test]
async fn nobody_sets_the_password_of_those_above_or_their_own_without_the_current_one() {
    let app = TestApp::start().await;
    let (manager, owner) = (app.manager().await, app.owner().await);
    let new = [("password", "six brown otters dive")];
    for person in [OWNER, MANAGER] {
        manager.post(&format!("/people/{person}/password"), &new).await.has_status(403);
    }
    let own = owner.post(&format!("/people/{OWNER}/password"), &new).await;
    own.has_status(422).says("Your password has a page of its own.");
    for name in ["mika", "olga"] {
        app.signed_in(name).await;
    }
}
