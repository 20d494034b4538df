//! `/first-run`: the workshop and its owner, made once by whoever can read the server's console.

use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use tokio::sync::Mutex;

use super::{Caller, enter, settled_workshop};
use crate::domain::certificate::PaperSize;
use crate::domain::ids::{PersonId, WorkshopId};
use crate::domain::limits::INSULATION_LEAST_MEGOHM;
use crate::domain::person::{Person, Role};
use crate::domain::seal::sha256;
use crate::storage::imports;
use crate::storage::people::{self, NewPerson};
use crate::storage::workshops::{self, Papers, Workshop};
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::{Field, Filled, FormFault};
use crate::web::page::{Frame, page};
use crate::web::people::{PASSWORD_HINT, PERSON_CHARS_MAX, checked_sign_in, checked_twice};
use crate::web::settings::WORKSHOP_CHARS_MAX;

/// Two first runs at once would make two workshops.
static ONE_AT_A_TIME: Mutex<()> = Mutex::const_new(());

#[derive(Template)]
#[template(path = "pages/first_run.html")]
struct FirstRunPage {
    frame: Frame,
    code: Field,
    workshop: Field,
    prefix: Field,
    person: Field,
    sign_in: Field,
    passwords: [Field; 2],
    faults: Vec<FormFault>,
}

impl FirstRunPage {
    fn new(mut filled: Filled) -> Self {
        Self {
            frame: Frame::bare("Set up your workshop"),
            code: filled
                .field("code", "Set-up code")
                .hint("The server printed it to its console when it started."),
            workshop: filled
                .field("workshop", "Workshop")
                .hint("As it shall stand on certificates."),
            prefix: filled
                .field("prefix", "Letters of certificate numbers")
                .hint("Two to four. Left empty, they are suggested from the workshop's name."),
            person: filled.field("person", "Your name").hint("As you sign."),
            sign_in: filled
                .field("sign_in", "Name to sign in with")
                .hint("Short and easy to type, such as ada."),
            passwords: [
                filled.field("password", "Password").hint(PASSWORD_HINT).secret(),
                filled.field("repeat", "The same password again").secret(),
            ],
            faults: filled.into_faults(),
        }
    }
}

/// GET /first-run
pub(in crate::web) async fn first_run_page(State(app): State<App>) -> Result<Response, WebError> {
    if settled_workshop(&app).await?.is_some() {
        return Ok(Redirect::to("/").into_response());
    }
    Ok(page(&FirstRunPage::new(match waiting(&app).await? {
        Some(came) => Filled::with([("workshop", came.name), ("prefix", came.certificate_prefix)]),
        None => Filled::default(),
    })))
}

/// A workshop that came here with the archive of a job, and has no owner yet.
async fn waiting(app: &App) -> Result<Option<Workshop>, WebError> {
    for workshop in workshops::list(app.store()).await? {
        if imports::find(app.store(), workshop.id).await?.is_some() {
            return Ok(Some(workshop));
        }
    }
    Ok(None)
}

/// POST /first-run
pub(in crate::web) async fn first_run(
    State(app): State<App>,
    caller: Caller,
    mut filled: Filled,
) -> Result<Response, WebError> {
    let _alone = ONE_AT_A_TIME.lock().await;
    if settled_workshop(&app).await?.is_some() {
        return Err(WebError::NotFound);
    }
    app.setup_tries().count(&caller.address, app.now())?;
    if is_setup_code(&app, filled.text("code")) {
        app.setup_tries().clear(&caller.address);
    } else {
        filled.fault("code", "This is not the code that the server printed when it started.");
    }
    if let Some(came) = waiting(&app).await? {
        keeps_its_letters(&mut filled, &came.certificate_prefix);
    }
    let Some(start) = checked(&mut filled) else {
        let again = page(&FirstRunPage::new(filled));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    let owner = make(&app, start).await?;
    enter(&app, &owner, &caller, ("/sign-in", "/kits")).await
}

/// The certificates that came along carry them.
fn keeps_its_letters(filled: &mut Filled, letters: &str) {
    if filled.text("prefix").to_uppercase() != letters {
        filled.suggest("prefix", letters.to_owned());
        filled.fault("prefix", "The job that was brought in has these letters: they stay.");
    }
}

/// What the form says, found sound.
struct Start {
    workshop: String,
    prefix: String,
    person: String,
    sign_in: String,
    password: String,
}

fn checked(filled: &mut Filled) -> Option<Start> {
    let workshop = filled.line("workshop", WORKSHOP_CHARS_MAX);
    let prefix = prefix(filled, &workshop);
    let person = filled.line("person", PERSON_CHARS_MAX);
    let sign_in = checked_sign_in(filled, "sign_in");
    let password = checked_twice(filled, &sign_in);
    filled.is_sound().then_some(Start { workshop, prefix, person, sign_in, password })
}

/// Compared as digests, so that the time tells nothing about how much was right.
fn is_setup_code(app: &App, typed: &str) -> bool {
    let plain = |text: &str| {
        let letters = text.chars().filter(char::is_ascii_alphanumeric);
        sha256(letters.collect::<String>().to_ascii_uppercase().as_bytes())
    };
    plain(typed) == plain(app.setup_code())
}

/// The letters cannot be changed later, so suggested ones are shown before they are taken.
fn prefix(filled: &mut Filled, workshop: &str) -> String {
    let typed = filled.text("prefix").to_uppercase();
    let fits = (2..=4).contains(&typed.len()) && typed.bytes().all(|b| b.is_ascii_uppercase());
    if typed.is_empty() {
        filled.suggest("prefix", suggested(workshop));
        filled.fault("prefix", "Keep these letters or choose others: they stay for good.");
    } else if !fits {
        filled.fault("prefix", "Write two to four letters from A to Z.");
    }
    typed
}

/// The first letters of the words of a name, or of the name.
fn suggested(workshop: &str) -> String {
    let capitals = |text: &str| {
        let letters = text.chars().filter(char::is_ascii_alphabetic);
        letters.collect::<String>().to_ascii_uppercase()
    };
    let words: Vec<String> = workshop.split_whitespace().map(capitals).collect();
    let firsts: String = words.iter().filter_map(|word| word.chars().next()).take(4).collect();
    if firsts.len() >= 2 { firsts } else { words.concat().chars().take(3).collect() }
}

async fn make(app: &App, start: Start) -> Result<Person, WebError> {
    let password_hash = app.hash_password(start.password).await?;
    let id = make_workshop(app, start.workshop, start.prefix).await?;
    let person = Person {
        id: PersonId(app.new_id()?),
        workshop: id,
        name: start.person,
        sign_in: start.sign_in,
        role: Role::Owner,
        disabled: false,
    };
    let new = NewPerson { person: person.clone(), password_hash, created: app.now() };
    people::append(app.store(), new).await?;
    Ok(person)
}

/// Takes up a workshop again that was left without people when a server ended in between.
async fn make_workshop(app: &App, name: String, prefix: String) -> Result<WorkshopId, WebError> {
    let all = workshops::list(app.store()).await?;
    if let Some(left) = all.into_iter().find(|workshop| workshop.certificate_prefix == prefix) {
        let id = left.id;
        workshops::change(app.store(), &Workshop { name, ..left }).await?;
        return Ok(id);
    }
    let workshop = Workshop {
        id: WorkshopId(app.new_id()?),
        name,
        address: String::new(),
        phone: String::new(),
        email: String::new(),
        certificate_prefix: prefix,
        place: String::new(),
        one_person_release: false,
        insulation_least_megohm: INSULATION_LEAST_MEGOHM,
        paper: PaperSize::A4,
        papers: Papers::default(),
        created: app.now(),
    };
    workshops::append(app.store(), &workshop).await?;
    Ok(workshop.id)
}
