//! The program serving HTTPS by itself: with files, with an authority's help, and what it refuses.

use std::net::SocketAddr;
use std::path::Path;

use reqwest::Version;
use tempfile::TempDir;

use super::program::{Running, Said, ask, command, text};
use crate::support::{AcmeServer, Authority, MORNING, Mood};

const ANY_PORT: &str = "127.0.0.1:0";
const HOST: &str = "jobs.example";
const ORIGIN: &str = "https://jobs.example";
const CONTACT: &str = "mailto:desk@jobs.example";

fn serve(data: &Path, more: &[&str]) -> Vec<String> {
    let start = ["serve", "--data", text(data), "--listen", ANY_PORT, "--origin", ORIGIN];
    start.iter().chain(more).map(|word| (*word).to_owned()).collect()
}

fn start(arguments: &[String]) -> Running {
    let mut program = command(&[]);
    program.args(arguments);
    Running::start_with(program)
}

fn listening(server: &Running) -> SocketAddr {
    server.told("Listening on").parse().unwrap()
}

/// The status and version of the answer to somebody who types the origin.
async fn livez(authority: &Authority, at: SocketAddr) -> reqwest::Result<(u16, Version)> {
    let browser = authority.browser(HOST, at).build().unwrap();
    let answer = browser.get(format!("{ORIGIN}:{}/livez", at.port())).send().await?;
    Ok((answer.status().as_u16(), answer.version()))
}

#[tokio::test]
async fn with_certificate_files_it_serves_https_and_leads_plain_http_there() {
    let place = TempDir::new().unwrap();
    let authority = Authority::new("Root");
    let pair = authority.issue_now(&[HOST]).lay_into(place.path());
    let server = start(&serve(
        &place.path().join("data"),
        &[
            "--tls-certificate",
            text(&pair.certificate),
            "--tls-key",
            text(&pair.key),
            "--redirect-from",
            ANY_PORT,
        ],
    ));
    assert_eq!(server.told("Open:"), ORIGIN);
    assert!(server.told("HTTPS:").starts_with("certificate from files, until 20"));
    let answer = livez(&authority, listening(&server)).await.unwrap();
    assert_eq!(answer, (200, Version::HTTP_2));
    let plain = server.told("Plain http on").strip_suffix(" leads there").unwrap();
    assert_eq!(server.ask_at(plain, "GET /jobs"), "HTTP/1.1 308 Permanent Redirect");
    let said = server.stop();
    assert_eq!(said.code, 0, "{said:?}");
}

/// A renewal may come any minute, and a clock may be wrong, so it starts; but it says so.
#[test]
fn a_certificate_that_has_ended_is_complained_of_and_served() {
    let place = TempDir::new().unwrap();
    let pair = Authority::new("Root").issue_for(&[HOST], -9000..-8000).lay_into(place.path());
    let files = ["--tls-certificate", text(&pair.certificate), "--tls-key", text(&pair.key)];
    let mut server = start(&serve(&place.path().join("data"), &files));
    let ended = MORNING.plus_days(-8000).date();
    server.logged(&format!("The certificate ended on {ended}, so browsers refuse this server."));
    assert_eq!(server.stop().code, 0);
}

#[track_caller]
fn refused(more: &[&str], words: &str) {
    let place = TempDir::new().unwrap();
    let data = place.path().join("data");
    let mut arguments = vec!["serve", "--data", text(&data), "--listen", ANY_PORT];
    arguments.extend(more);
    let said: Said = ask(&arguments);
    said.refused(1, words);
    assert!(!data.exists(), "something was made: {words}");
}

#[test]
fn what_makes_no_sense_together_is_refused_before_anything_is_made() {
    let files = ["--tls-certificate", "chain.pem", "--tls-key", "key.pem"];
    let acme = ["--acme-contact", CONTACT];
    let with = |start: &[&'static str], more: &[&'static str]| [start, more].concat();
    let to_origin = ["--origin", ORIGIN];
    for (options, words) in [
        (vec!["--tls-certificate", "a.pem"], "--tls-certificate needs --tls-key beside it"),
        (vec!["--tls-key", "a.pem"], "--tls-key needs --tls-certificate beside it"),
        ([&files[..], &acme, &to_origin].concat(), "Give one of them"),
        (vec!["--acme-directory", "https://ca.example/"], "--acme-directory says something about"),
        (vec!["--acme-root", "a.pem"], "--acme-root says something about"),
        (files.to_vec(), "HTTPS needs the address that people type"),
        (acme.to_vec(), "HTTPS needs the address that people type"),
        (with(&files, &["--origin", "http://localhost"]), "--tls-certificate is about HTTPS, but"),
        (with(&acme, &["--origin", "http://localhost"]), "--acme-contact is about HTTPS, but"),
        (vec!["--redirect-from", ANY_PORT], "--redirect-from is about HTTPS, but the origin is"),
        (
            with(&acme, &["--origin", "https://jobs.yard.lan"]),
            "jobs.yard.lan is a name for private",
        ),
        (with(&acme, &["--origin", "https://jobs"]), "jobs is a name for private use"),
        (with(&acme, &["--origin", "https://192.0.2.7"]), "gives a certificate for 192.0.2.7"),
        (with(&acme, &["--origin", "https://[2001:db8::7]"]), "certificate for 2001:db8::7 by"),
        (with(&acme, &["--origin", "https://localhost"]), "gives a certificate for localhost"),
        (
            with(&acme, &["--origin", "https://jobs.yard.org:8443"]),
            "looks at port 443 and no other",
        ),
        (
            [&acme[..], &["--acme-directory", "http://ca.example/"], &to_origin].concat(),
            "The directory http://ca.example/ is not",
        ),
        (with(&files, &to_origin), "chain.pem cannot be read"),
    ] {
        refused(&options, words);
    }
    for wrong in
        ["desk@jobs.example", "mailto:desk", "mailto:@a", "mailto:a@b?c=d", "mailto:a@b,c@d"]
    {
        refused(&["--acme-contact", wrong, "--origin", ORIGIN], &format!("The contact {wrong} is"));
    }
}

#[test]
fn a_port_for_plain_http_that_is_in_use_is_named_with_its_option() {
    let taken = std::net::TcpListener::bind(ANY_PORT).unwrap();
    let address = taken.local_addr().unwrap().to_string();
    let words = "choose another port with --redirect-from";
    refused(&["--origin", ORIGIN, "--redirect-from", &address], words);
}

#[test]
fn behind_a_proxy_plain_http_may_be_led_on_too() {
    let place = TempDir::new().unwrap();
    let server = start(&serve(place.path(), &["--redirect-from", ANY_PORT]));
    assert!(server.told("Plain http on").ends_with("leads there"));
    assert_eq!(server.stop().code, 0);
}

fn with_authority<'a>(server: &'a AcmeServer, root: &'a str, directory: &'a str) -> [&'a str; 6] {
    assert!(server.root().exists());
    ["--acme-contact", CONTACT, "--acme-directory", directory, "--acme-root", root]
}

#[tokio::test(flavor = "multi_thread")]
async fn a_certificate_is_got_from_an_authority_and_outlasts_a_restart() {
    let place = TempDir::new().unwrap();
    let authority = AcmeServer::start(Mood::Willing).await;
    let (root, directory) = (authority.root(), authority.directory());
    let arguments = serve(place.path(), &with_authority(&authority, text(&root), &directory));
    let mut server = start(&arguments);
    assert!(server.told("HTTPS:").starts_with(&format!("asking {directory} for a certificate")));
    let at = listening(&server);
    authority.lead_to(at);
    server.logged("The certificate for jobs.example was obtained; it ends on 20");
    assert_eq!(livez(authority.authority(), at).await.unwrap(), (200, Version::HTTP_2));
    assert_eq!(server.stop().code, 0);
    let server = start(&arguments);
    let kept = format!("certificate from {directory}, until 20");
    assert!(server.told("HTTPS:").starts_with(&kept), "{}", server.greeting);
    let answer = livez(authority.authority(), listening(&server)).await.unwrap();
    assert_eq!(answer, (200, Version::HTTP_2));
    assert_eq!(server.stop().code, 0);
    assert_eq!(authority.accounts_and_orders(), (1, 1));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_order_that_is_refused_leaves_the_server_up() {
    let place = TempDir::new().unwrap();
    let authority = AcmeServer::start(Mood::RefusesOrders).await;
    let (root, directory) = (authority.root(), authority.directory());
    let options = with_authority(&authority, text(&root), &directory);
    let mut server = start(&serve(place.path(), &options));
    let said = server.logged("The policy forbids this name.");
    assert!(said.contains("ERROR") && said.contains("The next try is in 1 min."), "{said}");
    // It answers, though it has nothing to show.
    let why = livez(authority.authority(), listening(&server)).await.unwrap_err();
    assert!(format!("{why:?}").contains("AlertReceived"), "{why:?}");
    assert_eq!(server.stop().code, 0);
}
