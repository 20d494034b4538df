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

    fn sources() -> Vec<(String, String)> {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("static");
        let files = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
        let scripts = files.filter(|file| file.extension().is_some_and(|ending| ending == "js"));
        scripts
            .map(|file| {
                let name = file.file_name().unwrap().to_str().unwrap().to_owned();
                (name, fs::read_to_string(file).unwrap())
            })
            .collect()
    }

    /// Lines of our comments begin with a star or with two slashes; those that import, or hold a type in their
    /// midst, are written anew.
    fn is_sent_as_it_is(line: &str) -> bool {
        let line = line.trim_start();
        !(["//", "/*", "* ", "import "].iter().any(|begin| line.starts_with(begin))
            || line == "*"
            || line == "*/"
            || line.contains("/** @")
            || line.contains("import('"))
    }

    /// Comments alone are left out: every line of code is there, in its order.
    #[test]
    fn scripts_are_joined_without_comments_and_with_all_of_their_code() {
        let joined = ["app.js", "worker.js"].map(text_of);
        let sources = sources();
        assert!(sources.len() > joined.len());
        for (name, source) in &sources {
            let own = if name == "early.js" { vec![text_of("early.js")] } else { joined.to_vec() };
            let lines = || after_imports(source).lines().filter(|line| is_sent_as_it_is(line));
            let holds = |text: &'static str| {
                lines().try_fold(text, move |rest, line| {
                    let line = line.strip_prefix("export ").unwrap_or(line);
                    rest.get(rest.find(line)? + line.len()..)
                })
            };
            assert!(lines().count() > 1, "{name}");
            assert!(own.iter().any(|text| holds(text).is_some()), "{name}");
        }
        for text in joined {
            for banned in ["/**", "\n *", "\n//", " // ", "\nimport ", "\nexport const", "import("]
            {
                assert!(!text.contains(banned), "{banned:?}");
            }
        }
        assert!(!text_of("css/app.css").contains("/*"));
    }

    /// What follows the last line that imports.
    fn after_imports(source: &str) -> &str {
        let ends = source
            .rfind("} from './")
            .map_or(0, |start| start + source[start..].find('\n').unwrap());
        &source[ends..]
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
    fn the_style_and_the_manifest_refer_only_to_files_that_exist() {
        for path in between(text_of("css/app.css"), "url(\"../", "\")") {
            assert!(find(path).is_some(), "static/{path}");
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
