//! Every address of the server, how it is called and who may call it. There is no other way in:
//! the router is built from this table, and each route passes the guard of its row.

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::Method;
use axum::middleware::from_fn_with_state;
use axum::routing::{MethodRouter, get, post};

use super::app::App;
use super::session::{Access, Guard, guard};
use super::{
    again, assets, audit, board, calendar, certificates, checking, customer, defects, desk, due,
    entries, exports, front, handovers, instruments, jobs, kits, labels, links, offline,
    outbox_file, parts, people, phones, photos, plans, reviews, seals, search, settings, sheets,
    sign_in, status_list, switch, trends, vehicles, verify, withdrawals,
};
use crate::domain::person::Role;
use crate::storage::incoming::PIECE_KIB_MAX;

/// One row of the table.
pub struct Route {
    pub method: Method,
    pub path: &'static str,
    pub access: Access,
    handler: MethodRouter<App>,
}

const ANYONE: Access = Access::Anyone;
const TECHNICIAN: Access = Access::AtLeast(Role::Technician);
const MANAGER: Access = Access::AtLeast(Role::Manager);
const OWNER: Access = Access::AtLeast(Role::Owner);

fn reads(path: &'static str, access: Access, handler: MethodRouter<App>) -> Route {
    Route { method: Method::GET, path, access, handler }
}

fn acts(path: &'static str, access: Access, handler: MethodRouter<App>) -> Route {
    Route { method: Method::POST, path, access, handler }
}

/// The whole table.
pub fn table() -> Vec<Route> {
    let mut routes = open_to_all();
    routes.extend(about_jobs());
    routes.extend(about_defects_and_days());
    routes.extend(about_papers());
    routes.extend(about_kits());
    routes.extend(about_instruments());
    routes.extend(about_the_workshop());
    routes.extend(about_settings());
    routes
}

fn open_to_all() -> Vec<Route> {
    vec![
        reads("/", ANYONE, get(front::home)),
        reads("/livez", ANYONE, get(front::alive)),
        reads("/readyz", ANYONE, get(front::ready)),
        reads("/a/{build}/{*path}", ANYONE, get(assets::asset)),
        reads("/sw.js", ANYONE, get(offline::worker)),
        reads("/offline", ANYONE, get(offline::offline)),
        reads("/waiting", ANYONE, get(offline::waiting)),
        reads("/first-run", ANYONE, get(sign_in::first_run_page)),
        acts("/first-run", ANYONE, post(sign_in::first_run)),
        reads("/sign-in", ANYONE, get(sign_in::sign_in_page)),
        acts("/sign-in", ANYONE, post(sign_in::sign_in)),
        reads("/switch", ANYONE, get(switch::show)),
        acts("/switch", ANYONE, post(switch::switch)),
        reads("/enrol", ANYONE, get(phones::enrol_page)),
        acts("/enrol", ANYONE, post(phones::enrol)),
        reads("/invited", ANYONE, get(people::invited_page)),
        acts("/invited", ANYONE, post(people::join)),
        acts("/sign-out", TECHNICIAN, post(sign_in::sign_out)),
        reads("/verify", ANYONE, get(verify::ask)),
        reads("/verify/by-hand", ANYONE, get(checking::by_hand)),
        reads("/verify/{number}", ANYONE, get(verify::by_number)),
        reads("/verify/{number}/{code}", ANYONE, get(verify::by_code)),
        reads("/verify/{number}/{code}/safe", ANYONE, get(customer::roadside)),
        reads("/handover/open/{token}", ANYONE, get(customer::open)),
        reads("/handover", ANYONE, get(customer::show)),
        reads("/handover/paper.pdf", ANYONE, get(customer::paper)),
        reads("/handover/certificate.pdf", ANYONE, get(customer::certificate)),
        reads("/handover/photos/{sha256}", ANYONE, get(customer::photo)),
        reads("/handover/wiring/{part}", ANYONE, get(customer::wiring)),
        reads("/status-list", ANYONE, get(status_list::list)),
        reads("/status-list/signature", ANYONE, get(status_list::signature)),
        reads("/status-list/certificate", ANYONE, get(status_list::certificate)),
        reads("/calendar/{file}", ANYONE, get(calendar::show)),
        reads("/seals", ANYONE, get(seals::list)),
        reads("/seals/{fingerprint}", ANYONE, get(seals::certificate)),
        reads("/seals/{fingerprint}/change", ANYONE, get(seals::change)),
        reads("/seals/{fingerprint}/change/old-signature", ANYONE, get(seals::old_signature)),
        reads("/seals/{fingerprint}/change/new-signature", ANYONE, get(seals::new_signature)),
    ]
}

fn about_jobs() -> Vec<Route> {
    vec![
        reads("/along", TECHNICIAN, get(offline::along)),
        reads("/jobs", TECHNICIAN, get(desk::list)),
        reads("/jobs/new", MANAGER, get(jobs::new_page)),
        acts("/jobs/new", MANAGER, post(jobs::open)),
        reads("/jobs/{job}", TECHNICIAN, get(jobs::show)),
        acts("/jobs/{job}/assign", MANAGER, post(jobs::assign)),
        reads("/jobs/{job}/plan", TECHNICIAN, get(plans::show)),
        acts("/jobs/{job}/plan", MANAGER, post(plans::save)),
        acts("/jobs/{job}/plan/preview", TECHNICIAN, post(plans::preview)),
        acts("/jobs/{job}/plan/acknowledge", MANAGER, post(plans::acknowledge)),
        reads("/jobs/{job}/sheet", TECHNICIAN, get(sheets::show)),
        acts("/jobs/{job}/sheet", MANAGER, post(plans::make_sheet)),
        acts("/jobs/{job}/steps/{step}", TECHNICIAN, post(entries::record)),
        reads("/jobs/{job}/steps/{step}/search", TECHNICIAN, get(search::show)),
        acts("/jobs/{job}/submit", TECHNICIAN, post(entries::submit)),
        acts("/sync", TECHNICIAN, post(entries::sync::sync)),
        reads("/photos/{sha256}", TECHNICIAN, get(photos::photo)),
        reads("/photos/{sha256}/thumb", TECHNICIAN, get(photos::thumb)),
        reads("/photos/{sha256}/upload", TECHNICIAN, get(photos::upload::progress)),
        acts("/photos/{sha256}/upload", TECHNICIAN, post(photos::upload::take)),
        reads("/jobs/{job}/review", MANAGER, get(reviews::show)),
        acts("/jobs/{job}/return", MANAGER, post(reviews::send_back)),
        acts("/jobs/{job}/concession", MANAGER, post(reviews::concede)),
        acts("/jobs/{job}/release", MANAGER, post(reviews::release)),
        acts("/jobs/{job}/certificate", MANAGER, post(certificates::make)),
        reads("/jobs/{job}/again", MANAGER, get(again::show)),
        acts("/jobs/{job}/again", MANAGER, post(again::act)),
        reads("/vehicles/{job}", TECHNICIAN, get(vehicles::show)),
    ]
}

fn about_defects_and_days() -> Vec<Route> {
    vec![
        reads("/defects", TECHNICIAN, get(defects::list)),
        reads("/jobs/{job}/defects/new", MANAGER, get(defects::new_page)),
        acts("/jobs/{job}/defects", MANAGER, post(defects::open)),
        reads("/jobs/{job}/defects/{defect}", TECHNICIAN, get(defects::show)),
        acts("/jobs/{job}/defects/{defect}/rework", TECHNICIAN, post(defects::rework)),
        acts("/jobs/{job}/defects/{defect}/confirm", MANAGER, post(defects::confirm)),
        acts("/jobs/{job}/defects/{defect}/assign", MANAGER, post(defects::assign)),
        reads("/board", MANAGER, get(board::show)),
        acts("/board/away", MANAGER, post(board::note_away)),
        acts("/board/away/back", MANAGER, post(board::take_back)),
        reads("/jobs/{job}/day", MANAGER, get(board::day_page)),
        acts("/jobs/{job}/day", MANAGER, post(board::move_job)),
    ]
}

fn about_papers() -> Vec<Route> {
    vec![
        reads("/jobs/{job}/handover", TECHNICIAN, get(handovers::show)),
        reads("/jobs/{job}/links", TECHNICIAN, get(links::list)),
        acts("/jobs/{job}/links", TECHNICIAN, post(links::append)),
        acts("/jobs/{job}/language", MANAGER, post(links::change_language)),
        acts("/jobs/{job}/links/{link}/revoke", TECHNICIAN, post(links::revoke)),
        reads("/jobs/{job}/labels", TECHNICIAN, get(labels::show)),
        reads("/jobs/{job}/labels.pdf", TECHNICIAN, get(labels::file)),
        reads("/jobs/{job}/archive", OWNER, get(exports::archive)),
        reads("/certificates/{number}", TECHNICIAN, get(certificates::pdf)),
        acts("/certificates/{number}/withdraw", MANAGER, post(withdrawals::ask)),
        acts("/certificates/{number}/withdraw/confirm", MANAGER, post(withdrawals::confirm)),
        acts("/certificates/{number}/withdraw/drop", MANAGER, post(withdrawals::leave)),
    ]
}

fn about_kits() -> Vec<Route> {
    vec![
        reads("/parts", MANAGER, get(parts::show)),
        reads("/parts.csv", MANAGER, get(parts::csv_file)),
        reads("/kits", MANAGER, get(kits::list)),
        acts("/kits", MANAGER, post(kits::import)),
        reads("/kits/{kit}", MANAGER, get(kits::show)),
        reads("/kits/{kit}/file", MANAGER, get(kits::export)),
        reads("/kits/{kit}/compare", MANAGER, get(kits::compare::show)),
        reads("/kits/{kit}/edit", MANAGER, get(kits::edit::show)),
        acts("/kits/{kit}/edit", MANAGER, post(kits::edit::save)),
        acts("/kits/{kit}/edit/check", MANAGER, post(kits::edit::check)),
        acts("/kits/{kit}/edit/drop", MANAGER, post(kits::edit::leave)),
    ]
}

fn about_instruments() -> Vec<Route> {
    vec![
        reads("/instruments", TECHNICIAN, get(instruments::list)),
        acts("/instruments", MANAGER, post(instruments::append)),
        reads("/instruments/{instrument}", MANAGER, get(instruments::show)),
        acts("/instruments/{instrument}/calibrations", MANAGER, post(instruments::calibrate)),
        acts(
            "/instruments/{instrument}/calibrations/{calibration}/files",
            MANAGER,
            post(instruments::attach),
        ),
        reads(
            "/instruments/{instrument}/calibrations/{calibration}/files/{sha256}",
            MANAGER,
            get(instruments::file),
        ),
        acts("/instruments/{instrument}/recall", MANAGER, post(instruments::recall)),
        reads("/instruments/{instrument}/recalls/{recall}", MANAGER, get(instruments::show_recall)),
        reads(
            "/instruments/{instrument}/recalls/{recall}/readings.csv",
            MANAGER,
            get(instruments::csv_file),
        ),
        acts("/instruments/{instrument}/retire", MANAGER, post(instruments::retire)),
    ]
}

fn about_the_workshop() -> Vec<Route> {
    vec![
        reads("/due", MANAGER, get(due::list)),
        acts("/due/calendar", MANAGER, post(due::make_address)),
        acts("/due/calendar/revoke", MANAGER, post(due::revoke_address)),
        reads("/trends", MANAGER, get(trends::show)),
        reads("/trends.csv", MANAGER, get(trends::csv_file)),
        reads("/trends.xlsx", MANAGER, get(trends::spreadsheet_file)),
        reads("/outbox-file", MANAGER, get(outbox_file::ask)),
        acts("/outbox-file", MANAGER, post(outbox_file::show)),
        acts("/outbox-file/record", MANAGER, post(outbox_file::record)),
        reads("/people", MANAGER, get(people::list)),
        acts("/people", MANAGER, post(people::append)),
        acts("/people/invitations", MANAGER, post(people::invite)),
        acts("/people/invitations/{invitation}/revoke", MANAGER, post(people::revoke_invitation)),
        acts("/people/{person}/disable", MANAGER, post(people::disable)),
        acts("/people/{person}/enable", MANAGER, post(people::enable)),
        acts("/people/{person}/password", MANAGER, post(people::reset_password)),
        acts("/people/{person}/role", OWNER, post(people::change_role)),
        acts("/people/{person}/pin", MANAGER, post(people::give_pin)),
        acts("/people/{person}/pin/take", MANAGER, post(people::take_pin)),
        reads("/phones", MANAGER, get(phones::list)),
        acts("/phones/codes", MANAGER, post(phones::make_code)),
        acts("/phones/{device}/rename", MANAGER, post(phones::rename)),
        acts("/phones/{device}/revoke", MANAGER, post(phones::revoke)),
        reads("/password", TECHNICIAN, get(sign_in::password_page)),
        acts("/password", TECHNICIAN, post(sign_in::change_password)),
        reads("/audit", OWNER, get(audit::show)),
    ]
}

fn about_settings() -> Vec<Route> {
    vec![
        reads("/settings", OWNER, get(settings::page)),
        acts("/settings", OWNER, post(settings::change)),
        reads("/settings/rules", MANAGER, get(settings::rules::show)),
        acts("/settings/rules", OWNER, post(settings::rules::choose)),
        reads("/settings/retention", OWNER, get(settings::retention::show)),
        acts("/settings/retention", OWNER, post(settings::retention::change)),
        reads("/settings/logo", OWNER, get(settings::logo::show)),
        acts("/settings/logo", OWNER, post(settings::logo::change)),
        acts("/settings/logo/remove", OWNER, post(settings::logo::remove)),
    ]
}

/// How much a request may carry [KiB]: photos, a phone's batch, a piece of a photo; all others are forms.
fn kib_max(path: &str) -> usize {
    match path {
        "/jobs/{job}/steps/{step}" | "/jobs/{job}/defects" => super::REQUEST_MIB_MAX * 1024,
        "/sync" => super::BATCH_KIB_MAX,
        "/instruments/{instrument}/calibrations"
        | "/instruments/{instrument}/calibrations/{calibration}/files" => {
            instruments::REQUEST_KIB_MAX
        }
        "/outbox-file" => outbox_file::REQUEST_KIB_MAX,
        "/photos/{sha256}/upload" => PIECE_KIB_MAX,
        _ => super::FORM_KIB_MAX,
    }
}

/// The router, made from the table and nothing else.
pub(super) fn router(app: &App) -> Router<App> {
    table().into_iter().fold(Router::new(), |router, route| {
        let bytes_max = kib_max(route.path) * 1024;
        let guarded =
            route.handler.layer(DefaultBodyLimit::max(bytes_max)).layer(from_fn_with_state(
                Guard { app: app.clone(), access: route.access, path: route.path },
                guard,
            ));
        router.route(route.path, guarded)
    })
}
