//! Plain http leads on to the origin, and does nothing else.

use reqwest::Method;
use reqwest::redirect::Policy;
use tokio::io::{AsyncReadExt as _, AsyncWriteExt as _};
use tokio::net::{TcpListener, TcpStream};

use crate::support::{Authority, Reply, send};

async fn redirecting() -> String {
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let at = listener.local_addr().unwrap().to_string();
    tokio::spawn(fusewright::web::redirect(listener, "https://jobs.example".to_owned()));
    at
}

async fn ask(method: Method, path: &str) -> Reply {
    let at = redirecting().await;
    let trusted = Authority::new("Root").trusted();
    let browser = reqwest::Client::builder().tls_backend_preconfigured(trusted);
    let browser = browser.redirect(Policy::none()).build().unwrap();
    send(browser.request(method, format!("http://{at}{path}"))).await
}

#[tokio::test]
async fn looking_is_led_on_with_path_and_question() {
    for method in [Method::GET, Method::HEAD] {
        for path in ["/", "/jobs/7?next=%2Fkits&a=b", "//other.example/"] {
            let reply = ask(method.clone(), path).await;
            assert_eq!(reply.status, 308, "{method} {path}");
            assert_eq!(reply.location(), format!("https://jobs.example{path}"));
        }
    }
}

#[tokio::test]
async fn nothing_else_is_taken_or_led_on() {
    for method in [Method::POST, Method::PUT, Method::DELETE, Method::OPTIONS] {
        let reply = ask(method.clone(), "/sign-in").await;
        assert_eq!((reply.status, reply.location()), (405, ""), "{method}");
        assert_eq!(reply.header("allow"), "GET, HEAD");
    }
}

#[tokio::test]
async fn whose_host_a_request_names_does_not_matter() {
    let mut stream = TcpStream::connect(redirecting().await).await.unwrap();
    let request = "GET http://other.example/jobs HTTP/1.1\r\nhost: other.example\r\n\
                   connection: close\r\n\r\n";
    stream.write_all(request.as_bytes()).await.unwrap();
    let mut answer = String::new();
    stream.read_to_string(&mut answer).await.unwrap();
    assert!(answer.starts_with("HTTP/1.1 308 "), "{answer}");
    assert!(answer.contains("location: https://jobs.example/jobs\r\n"), "{answer}");
}
