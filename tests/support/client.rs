//! A browser: keeps cookies, follows nothing by itself, and says where its requests come from.

use reqwest::header::{COOKIE, HeaderMap, LOCATION};
use reqwest::multipart::Form;
use reqwest::redirect::Policy;
use reqwest::{Method, RequestBuilder};
use rustls::RootCertStore;

use super::authority::client_config;

/// What came back.
pub(crate) struct Reply {
    pub(crate) status: u16,
    pub(crate) headers: HeaderMap,
    pub(crate) bytes: Vec<u8>,
    pub(crate) text: String,
}

impl Reply {
    /// Where it leads on to.
    pub(crate) fn location(&self) -> &str {
        self.header(LOCATION.as_str())
    }

    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    #[track_caller]
    pub(crate) fn says(&self, words: &str) -> &Self {
        assert!(self.text.contains(words), "{words:?} does not stand in:\n{}", self.main());
        self
    }

    #[track_caller]
    pub(crate) fn is_silent_about(&self, words: &str) -> &Self {
        assert!(!self.text.contains(words), "{words:?} stands in:\n{}", self.main());
        self
    }

    #[track_caller]
    pub(crate) fn has_status(&self, status: u16) -> &Self {
        assert_eq!(self.status, status, "{}", self.main());
        self
    }

    /// The part of a page that is its own.
    fn main(&self) -> &str {
        self.text.split_once("<main").map_or(&self.text, |(_, main)| main)
    }
}

#[derive(Clone)]
pub(crate) struct Client {
    address: String,
    http: reqwest::Client,
}

impl Client {
    pub(crate) fn new(address: &str) -> Self {
        let http = builder().cookie_store(true).redirect(Policy::none());
        Self { address: address.to_owned(), http: http.build().unwrap() }
    }

    /// The same with a cookie that no page gave it.
    pub(crate) fn with_cookie(self, cookie: &str) -> Self {
        let headers = HeaderMap::from_iter([(COOKIE, cookie.parse().unwrap())]);
        let http = builder().default_headers(headers).redirect(Policy::none());
        Self { http: http.build().unwrap(), ..self }
    }

    /// A request that says nothing about where it comes from.
    pub(crate) fn request(&self, method: Method, path: &str) -> RequestBuilder {
        self.http.request(method, format!("{}{path}", self.address))
    }

    pub(crate) async fn get(&self, path: &str) -> Reply {
        send(self.request(Method::GET, path)).await
    }

    /// A form, sent from one of the server's own pages.
    pub(crate) async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Reply {
        let request = self.request(Method::POST, path).header("sec-fetch-site", "same-origin");
        send(request.form(fields)).await
    }

    /// A form with files, from one of the server's own pages.
    pub(crate) async fn post_parts(&self, path: &str, form: Form) -> Reply {
        let request = self.request(Method::POST, path).header("sec-fetch-site", "same-origin");
        send(request.multipart(form)).await
    }
}

/// One that knows no root: looking up those of the machine takes its time, and nothing is asked of
/// anybody beyond it.
fn builder() -> reqwest::ClientBuilder {
    reqwest::Client::builder().tls_backend_preconfigured(client_config(RootCertStore::empty()))
}

pub(crate) async fn send(request: RequestBuilder) -> Reply {
    let response = request.send().await.unwrap();
    let (status, headers) = (response.status().as_u16(), response.headers().clone());
    let bytes = response.bytes().await.unwrap().to_vec();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    Reply { status, headers, bytes, text }
}
