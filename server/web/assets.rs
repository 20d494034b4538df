//! `/a/{build}/…`: style, scripts, fonts and icons, packed into the program by `build.rs`.
//!
//! An address holds the build it belongs to, so a browser may keep a file for ever and never mixes
//! two builds. Templates write no address themselves; they ask `href`.

use axum::Json;
use axum::extract::Path;
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Response};

use super::error::WebError;

struct Asset {
    path: &'static str,
    content_type: &'static str,
    plain: &'static [u8],
    gzip: Option<&'static [u8]>,
    brotli: Option<&'static [u8]>,
}

include!(concat!(env!("OUT_DIR"), "/assets.rs"));

/// The name of this set of files.
pub(super) fn build() -> &'static str {
    BUILD
}

/// Names the files that belong together; made here, and no file in `static/`.
const SHELL_LIST: &str = "list.json";
const FOR_EVER: &str = "public, max-age=31536000, immutable";

/// The addresses of a module and of everything it imports, so that a page can ask for all of them at once
/// and not for one after the other.
pub(super) fn modules(entry: &str) -> Vec<String> {
    let mut found = vec![entry];
    let mut looked_at = 0;
    while let Some(path) = found.get(looked_at) {
        looked_at += 1;
        for import in imports(path) {
            if !found.contains(&import) {
                found.push(import);
            }
        }
    }
    found.into_iter().map(href).collect()
}

/// What a module names at its head; what it fetches later, when it is needed, is not among them.
fn imports(path: &str) -> impl Iterator<Item = &'static str> + use<> {
    let text =
        find(path).and_then(|asset| std::str::from_utf8(asset.plain).ok()).unwrap_or_default();
    text.lines()
        .filter_map(|line| line.split_once(" from './"))
        .filter_map(|(_, path)| path.strip_suffix("';"))
}

/// What a phone needs to show every page: all but the licences and the icons that only an installer reads.
fn shell() -> Vec<String> {
    let shown = |asset: &&Asset| {
        let is_for_installers =
            asset.path.starts_with("icons/") && asset.content_type == "image/png";
        !is_for_installers && !asset.content_type.starts_with("text/plain")
    };
    ASSETS.iter().filter(shown).map(|asset| href(asset.path)).collect()
}

/// The address of a file in `static/`. A file that is not there is a mistake in a template.
pub(super) fn href(path: &str) -> String {
    debug_assert!(find(path).is_some(), "static/{path} does not exist");
    format!("/a/{BUILD}/{path}")
}

pub(super) async fn asset(
    Path((build, path)): Path<(String, String)>,
    headers: HeaderMap,
) -> Response {
    if build != BUILD {
        return WebError::NotFound.into_response();
    }
    if path == SHELL_LIST {
        return ([(header::CACHE_CONTROL, FOR_EVER)], Json(shell())).into_response();
    }
    let Some(asset) = find(&path) else {
        return WebError::NotFound.into_response();
    };
    let always = [
        (header::CONTENT_TYPE, asset.content_type),
        (header::CACHE_CONTROL, FOR_EVER),
        (header::VARY, "Accept-Encoding"),
    ];
    match choose(asset, &headers) {
        (Some(encoding), bytes) => {
            (always, [(header::CONTENT_ENCODING, encoding)], bytes).into_response()
        }
        (None, bytes) => (always, bytes).into_response(),
    }
}

fn find(path: &str) -> Option<&'static Asset> {
    let place = ASSETS.binary_search_by(|asset| asset.path.cmp(path)).ok()?;
    ASSETS.get(place)
}

fn choose(asset: &Asset, headers: &HeaderMap) -> (Option<&'static str>, &'static [u8]) {
    match (asset.brotli, asset.gzip) {
        (Some(bytes), _) if accepts(headers, "br") => (Some("br"), bytes),
        (_, Some(bytes)) if accepts(headers, "gzip") => (Some("gzip"), bytes),
        _ => (None, asset.plain),
    }
}

/// Whether the browser names this encoding and does not refuse it with a weight of nought.
fn accepts(headers: &HeaderMap, encoding: &str) -> bool {
    headers
        .get_all(header::ACCEPT_ENCODING)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(','))
        .any(|choice| {
            let (name, weight) = choice.split_once(';').unwrap_or((choice, "q=1"));
            let weight = weight.trim().strip_prefix("q=").unwrap_or("1");
            name.trim().eq_ignore_ascii_case(encoding)
                && weight.trim().parse::<f32>().is_ok_and(|weight| weight > 0.0)
        })
}

#[cfg(test)]
mod tests {
    use std::path::PathBuf;
    use std::{fs, str};

    use axum::body::to_bytes;
    use axum::http::{HeaderValue, StatusCode};

    use super::*;

    const BODY_BYTES_MAX: usize = 1 << 20;

    fn accepting(encodings: &'static str) -> HeaderMap {
        HeaderMap::from_iter([(header::ACCEPT_ENCODING, HeaderValue::from_static(encodings))])
    }

    async fn get(path: &str, headers: HeaderMap) -> Response {
        asset(Path((BUILD.to_owned(), path.to_owned())), headers).await
    }

    fn text_of(path: &str) -> &'static str {
        str::from_utf8(find(path).unwrap_or_else(|| panic!("{path} is missing")).plain).unwrap()
    }

    /// What stands between `open` and `close`, each time.
    fn between<'a>(text: &'a str, open: &'a str, close: &'a str) -> impl Iterator<Item = &'a str> {
        text.split(open).skip(1).filter_map(move |rest| rest.split(close).next())
    }

    fn templates() -> Vec<(PathBuf, String)> {
        let mut found = Vec::new();
        let mut open = vec![PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("templates")];
        while let Some(folder) = open.pop() {
            for place in fs::read_dir(folder).unwrap().map(|child| child.unwrap().path()) {
                if place.is_dir() {
                    open.push(place);
                } else if place.extension().is_some_and(|ending| ending == "html") {
                    found.push((place.clone(), fs::read_to_string(place).unwrap()));
                }
            }
        }
        found
    }

    #[tokio::test]
    async fn the_best_encoding_the_browser_takes_is_sent() {
        for (takes, sent) in [
            ("gzip, deflate, br, zstd", Some("br")),
            ("gzip;q=0.8, br;q=0", Some("gzip")),
            ("GZIP", Some("gzip")),
            ("identity", None),
        ] {
            let response = get("app.js", accepting(takes)).await;
            let encoding = response.headers().get(header::CONTENT_ENCODING);
            assert_eq!(encoding.map(|value| value.to_str().unwrap()), sent, "{takes}");
        }
    }

    /// Comments alone are left out: every line of code is there, in its order.
    #[test]
    fn scripts_and_styles_are_sent_without_comments_and_with_all_of_their_code() {
        for asset in ASSETS.iter().filter(|asset| asset.content_type.starts_with("text/javascript"))
        {
            let sent = text_of(asset.path);
            for banned in ["/**", "\n *", "\n//", " // "] {
                assert!(!sent.contains(banned), "{}: {banned:?}", asset.path);
            }
            let source = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("static").join(asset.path);
            let source = fs::read_to_string(source).unwrap();
            for sign in ["=>", "{", "}", "(", ";", "'", "`"] {
                let code = |text: &str| {
                    text.lines().filter(|line| is_code(line)).fold(0, |sum, line| {
                        sum + line.split("/** @").enumerate().fold(0, |sum, (at, part)| {
                            let part =
                                if at == 0 { part } else { part.split_once("*/").unwrap().1 };
                            sum + part.matches(sign).count()
                        })
                    })
                };
                assert_eq!(code(&source), sent.matches(sign).count(), "{}: {sign}", asset.path);
            }
        }
        assert!(!text_of("css/app.css").contains("/*"));
    }

    /// Lines of our comments begin with a star or with two slashes.
    fn is_code(line: &str) -> bool {
        let line = line.trim_start();
        let is_whole = line.starts_with("/**") && !line.starts_with("/** @type {");
        !(line.starts_with("//")
            || line.starts_with("* ")
            || line == "*"
            || line == "*/"
            || is_whole)
    }

    #[tokio::test]
    async fn a_file_is_sent_as_it_is_and_may_be_kept_for_ever() {
        let response = get("manifest.webmanifest", HeaderMap::new()).await;
        assert_eq!(response.headers()[header::CONTENT_TYPE], "application/manifest+json");
        assert_eq!(response.headers()[header::CACHE_CONTROL], FOR_EVER);
        assert_eq!(response.headers()[header::VARY], "Accept-Encoding");
        let body = to_bytes(response.into_body(), BODY_BYTES_MAX).await.unwrap();
        assert_eq!(
            body,
            fs::read(concat!(env!("CARGO_MANIFEST_DIR"), "/static/manifest.webmanifest")).unwrap()
        );
    }

    #[tokio::test]
    async fn another_build_and_an_unknown_file_are_not_found() {
        let other = Path(("0123456789ab".to_owned(), "app.js".to_owned()));
        assert_eq!(asset(other, HeaderMap::new()).await.status(), StatusCode::NOT_FOUND);
        assert_eq!(get("app.cs", HeaderMap::new()).await.status(), StatusCode::NOT_FOUND);
        assert_eq!(get("../Cargo.toml", HeaderMap::new()).await.status(), StatusCode::NOT_FOUND);
    }

    #[test]
    fn every_file_that_a_template_asks_for_exists() {
        let templates = templates();
        assert!(!templates.is_empty());
        for (place, text) in templates {
            for path in between(&text, "asset(\"", "\")") {
                assert!(find(path).is_some(), "{}: static/{path}", place.display());
            }
        }
    }

    #[test]
    fn no_template_holds_what_the_policy_or_the_house_forbids() {
        for (place, text) in templates() {
            for banned in ["|safe", "| safe", " style=", " onclick=", "<style", "javascript:"] {
                assert!(!text.contains(banned), "{}: {banned}", place.display());
            }
        }
    }

    #[test]
    fn style_and_scripts_refer_only_to_files_that_exist() {
        for path in between(text_of("css/app.css"), "url(\"../", "\")") {
            assert!(find(path).is_some(), "static/{path}");
        }
        for script in
            ASSETS.iter().filter(|asset| asset.content_type.starts_with("text/javascript"))
        {
            for path in between(text_of(script.path), "from './", "';") {
                assert!(find(path).is_some(), "{}: static/{path}", script.path);
            }
        }
        for path in between(text_of("manifest.webmanifest"), "\"src\": \"", "\"") {
            assert!(find(path).is_some(), "static/{path}");
        }
    }

    #[test]
    fn text_is_packed_and_the_fonts_of_documents_stay_out() {
        let style = find("css/app.css").unwrap();
        assert!(style.brotli.is_some_and(|bytes| bytes.len() * 4 < style.plain.len()));
        assert!(style.plain.starts_with(b"@layer reset, base, layout, component, print;"));
        assert!(!ASSETS.iter().any(|asset| asset.path.starts_with("fonts/paper")));
    }
}
