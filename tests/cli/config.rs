//! Which addresses the server may be reached by.

use std::net::SocketAddr;

use fusewright::config::{SettingFault, host, origin};

fn listen(text: &str) -> SocketAddr {
    text.parse().unwrap()
}

#[test]
fn without_an_origin_the_address_on_this_machine_is_the_origin() {
    assert_eq!(origin(listen("127.0.0.1:8080"), None).unwrap(), "http://127.0.0.1:8080");
    assert_eq!(origin(listen("[::1]:99"), None).unwrap(), "http://[::1]:99");
}

#[test]
fn without_an_origin_nobody_else_may_reach_the_server() {
    for address in ["0.0.0.0:8080", "192.0.2.7:80", "[::]:8080"] {
        let refused = origin(listen(address), None);
        assert_eq!(refused, Err(SettingFault::PlainHttp(listen(address))));
    }
}

#[test]
fn behind_https_any_listening_address_will_do() {
    for address in ["0.0.0.0:8080", "127.0.0.1:8080"] {
        let given = origin(listen(address), Some("https://Jobs.Example/"));
        assert_eq!(given.unwrap(), "https://jobs.example");
    }
}

#[test]
fn the_standard_port_is_left_out_as_browsers_do() {
    let at = listen("127.0.0.1:8080");
    assert_eq!(origin(at, Some("https://jobs.example:443")).unwrap(), "https://jobs.example");
    assert_eq!(origin(at, Some("https://jobs.example:8443")).unwrap(), "https://jobs.example:8443");
    assert_eq!(origin(at, Some("http://localhost:80")).unwrap(), "http://localhost");
    assert_eq!(origin(at, Some("http://[::1]:8080")).unwrap(), "http://[::1]:8080");
}

#[test]
fn plain_http_stays_on_this_machine() {
    let far = origin(listen("127.0.0.1:8080"), Some("http://jobs.example"));
    assert!(matches!(far, Err(SettingFault::PlainOrigin(_))), "{far:?}");
    let near = origin(listen("127.0.0.1:8080"), Some("http://localhost:8080"));
    assert_eq!(near.unwrap(), "http://localhost:8080");
    let open = origin(listen("0.0.0.0:8080"), Some("http://localhost:8080"));
    assert!(matches!(open, Err(SettingFault::PlainHttp(_))), "{open:?}");
}

#[test]
fn an_origin_is_scheme_and_host_and_nothing_behind() {
    for text in [
        "jobs.example",
        "ftp://jobs.example",
        "https://",
        "https://jobs.example/work",
        "https://jobs.example?a",
        "https://someone@jobs.example",
        "https://jobs example",
        "https://jobs.example:port",
        "https://[::g]",
    ] {
        let refused = origin(listen("127.0.0.1:8080"), Some(text));
        assert_eq!(refused, Err(SettingFault::Origin(text.to_owned())));
    }
}

#[test]
fn the_host_of_an_origin_stands_alone() {
    for (origin, name) in [
        ("https://jobs.example", "jobs.example"),
        ("https://jobs.example:8443", "jobs.example"),
        ("https://192.0.2.7:8443", "192.0.2.7"),
        ("https://[2001:db8::7]", "2001:db8::7"),
        ("https://[2001:db8::7]:8443", "2001:db8::7"),
    ] {
        assert_eq!(host(origin), name);
    }
}
