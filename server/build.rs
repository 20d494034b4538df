//! Packs `static/` into the program: every file as it is, and smaller where packing pays.
//!
//! The style sheets of `static/css` become one `css/app.css`, so that a page waits for one file.
//! The modules are joined into one script for pages and one for the worker; comments stay in the source.
//! `static/fonts/paper` belongs to the documents and is left out. All files share one build name,
//! made from their names and bytes: a changed file changes every address, an unchanged set none.

use std::error::Error;
use std::fmt::Write as _;
use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

#[path = "build/join.rs"]
mod join;

type Outcome<T> = Result<T, Box<dyn Error>>;

const LEFT_OUT: &str = "fonts/paper/";
const LAYERS: &str = "@layer reset, base, layout, component, print;\n";
/// Twelve digits of the address.
const BUILD_BYTES: usize = 6;
/// The best of 0 to 11 costs seconds in an unoptimised build and saves a hundredth more.
const BROTLI_QUALITY: u32 = 9;
const BROTLI_WINDOW: u32 = 20;
const BUFFER_BYTES: usize = 1 << 16;

struct File {
    path: String,
    bytes: Vec<u8>,
}

fn main() -> Outcome<()> {
    let root = directory("CARGO_MANIFEST_DIR")?.join("static");
    let out = directory("OUT_DIR")?;
    println!("cargo::rerun-if-changed={}", root.display());
    // The migrations are read by a macro, which cargo does not look into.
    println!("cargo::rerun-if-changed={}", root.with_file_name("migrations").display());
    let files = bundle_styles(read_all(&root)?).into_iter().map(lean).collect::<Outcome<_>>()?;
    let files = join::join_scripts(files)?;
    let mut table = format!("const BUILD: &str = {:?};\n", build_name(&files));
    writeln!(table, "static ASSETS: [Asset; {}] = [", files.len())?;
    for (number, file) in files.iter().enumerate() {
        table.push_str(&entry(&out, number, file)?);
    }
    table.push_str("];\n");
    fs::write(out.join("assets.rs"), table)?;
    Ok(())
}

fn directory(name: &str) -> Outcome<PathBuf> {
    Ok(std::env::var_os(name).ok_or_else(|| format!("cargo did not set {name}"))?.into())
}

/// All files below `root`, in the order of their names.
fn read_all(root: &Path) -> Outcome<Vec<File>> {
    let mut files = Vec::new();
    let mut open = vec![root.to_path_buf()];
    while let Some(folder) = open.pop() {
        for child in fs::read_dir(folder)? {
            let place = child?.path();
            if place.is_dir() {
                open.push(place);
                continue;
            }
            let path = place.strip_prefix(root)?.to_string_lossy().replace('\\', "/");
            if !path.starts_with(LEFT_OUT) {
                files.push(File { path, bytes: fs::read(place)? });
            }
        }
    }
    files.sort_by(|one, other| one.path.cmp(&other.path));
    Ok(files)
}

/// Layers make the order of the sheets meaningless, so the order of their names will do.
fn bundle_styles(files: Vec<File>) -> Vec<File> {
    let (styles, mut others): (Vec<_>, Vec<_>) =
        files.into_iter().partition(|file| file.path.starts_with("css/"));
    let mut bytes = LAYERS.as_bytes().to_vec();
    for style in styles {
        bytes.extend(style.bytes);
    }
    others.push(File { path: "css/app.css".to_owned(), bytes });
    others.sort_by(|one, other| one.path.cmp(&other.path));
    others
}

/// A script or style sheet without its comments.
fn lean(file: File) -> Outcome<File> {
    let has_comments = [".js", ".css"].iter().any(|ending| file.path.ends_with(ending));
    if !has_comments {
        return Ok(file);
    }
    let text = without_comments(std::str::from_utf8(&file.bytes)?);
    Ok(File { bytes: text.into_bytes(), ..file })
}

/// Takes out what our files have: lines that begin a comment, to its end, and types in the midst of a line.
/// No text of ours looks like one of these; the tests of `assets.rs` hold what is sent against its source.
fn without_comments(text: &str) -> String {
    let (mut lean, mut is_within) = (String::with_capacity(text.len()), false);
    for line in text.lines() {
        let begins = line.trim_start();
        let is_comment = is_within || begins.starts_with("/*") && !begins.starts_with("/** @type");
        is_within = is_comment && !line.contains("*/");
        if is_comment || begins.starts_with("//") {
            continue;
        }
        let plain = without_types(line);
        if !plain.trim().is_empty() {
            lean.push_str(&plain);
            lean.push('\n');
        }
    }
    lean
}

/// `/** @type {Element} */ (found)` is `(found)` to a browser.
fn without_types(line: &str) -> String {
    let mut parts = line.split("/** @");
    let mut plain = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        plain.push_str(part.split_once("*/").map_or(part, |(_, rest)| rest.trim_start()));
    }
    plain
}

fn build_name(files: &[File]) -> String {
    let mut hash = Sha256::new();
    for file in files {
        hash.update(file.path.as_bytes());
        hash.update([0]);
        hash.update(u64::try_from(file.bytes.len()).unwrap_or(u64::MAX).to_be_bytes());
        hash.update(&file.bytes);
    }
    hash.finalize().iter().take(BUILD_BYTES).fold(String::new(), |mut name, byte| {
        // Writing to a string cannot fail.
        let _ = write!(name, "{byte:02x}");
        name
    })
}

/// One line of the table; writes the bytes that it points at.
fn entry(out: &Path, number: usize, file: &File) -> Outcome<String> {
    fs::write(out.join(format!("asset-{number}")), &file.bytes)?;
    let packed = [("gzip", gzip(&file.bytes)?), ("brotli", brotli(&file.bytes)?)];
    let kind = content_type(&file.path)?;
    let mut line = format!("    Asset {{ path: {:?}, content_type: {kind:?}, ", file.path);
    write!(line, "plain: {}", included(&format!("asset-{number}")))?;
    for (name, bytes) in packed {
        // A twentieth saved is not worth the unpacking: fonts and pictures go out as they are.
        if bytes.len() * 20 > file.bytes.len() * 19 {
            write!(line, ", {name}: None")?;
            continue;
        }
        fs::write(out.join(format!("asset-{number}.{name}")), bytes)?;
        write!(line, ", {name}: Some({})", included(&format!("asset-{number}.{name}")))?;
    }
    line.push_str(" },\n");
    Ok(line)
}

fn included(file: &str) -> String {
    format!("include_bytes!(concat!(env!(\"OUT_DIR\"), \"/{file}\"))")
}

fn content_type(path: &str) -> Outcome<&'static str> {
    let ending = path.rsplit('.').next().unwrap_or_default();
    Ok(match ending {
        "css" => "text/css; charset=utf-8",
        "js" => "text/javascript; charset=utf-8",
        "svg" => "image/svg+xml",
        "png" => "image/png",
        "woff2" => "font/woff2",
        "txt" => "text/plain; charset=utf-8",
        "webmanifest" => "application/manifest+json",
        _ => return Err(format!("no content type is known for static/{path}").into()),
    })
}

fn gzip(bytes: &[u8]) -> Outcome<Vec<u8>> {
    let mut writer = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    writer.write_all(bytes)?;
    Ok(writer.finish()?)
}

fn brotli(bytes: &[u8]) -> Outcome<Vec<u8>> {
    let mut packed = Vec::new();
    let mut writer =
        brotli::CompressorWriter::new(&mut packed, BUFFER_BYTES, BROTLI_QUALITY, BROTLI_WINDOW);
    writer.write_all(bytes)?;
    writer.flush()?;
    drop(writer);
    Ok(packed)
}
