//! Joins the modules of `static/` into one script for pages and one for the service worker.
//!
//! Forty small files are packed each for itself and asked for each by itself; a phone on a bad line waits for
//! every one. Each module becomes a function that is called once and hands out what the module exports, so that
//! names stay apart. Only the forms of import and export that our modules have are known: any other stops the build.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::{File, Outcome};

/// What a page and the worker start with.
const ENTRIES: [&str; 2] = ["app.js", "worker.js"];
/// Runs before the page is drawn, and is no module.
const CLASSIC: &str = "early.js";
const LATER: &str = "await import('./";

/// A module: what it takes from others, and its own text without those lines.
struct Module {
    imports: Vec<(String, String)>,
    later: Vec<String>,
    exports: Vec<String>,
    body: String,
}

/// Every file that is no module as it is, and the joined scripts in place of the modules.
pub(super) fn join_scripts(files: Vec<File>) -> Outcome<Vec<File>> {
    let (scripts, mut others): (Vec<_>, Vec<_>) =
        files.into_iter().partition(|file| is_script(&file.path) && file.path != CLASSIC);
    let mut modules = BTreeMap::new();
    for script in scripts {
        modules.insert(script.path.clone(), parse(&script)?);
    }
    let mut used = Vec::new();
    for entry in ENTRIES {
        let mut order = Vec::new();
        visit(entry, &modules, &mut Vec::new(), &mut order)?;
        let mut text = order.iter().map(|(path, module)| called(path, module)).collect::<String>();
        let names = order.iter().map(|(path, _)| name(path)).collect::<Vec<_>>().join(", ");
        // Whoever looks for a fault, in a test or a console, reaches each module as the page has it.
        let _ = writeln!(text, "export {{ {names} }};");
        others.push(File { path: entry.to_owned(), bytes: text.into_bytes() });
        used.extend(order.into_iter().map(|(path, _)| path));
    }
    if let Some(path) = modules.keys().find(|path| !used.contains(&path.as_str())) {
        return Err(format!("no script imports static/{path}").into());
    }
    others.sort_by(|one, other| one.path.cmp(&other.path));
    Ok(others)
}

fn is_script(path: &str) -> bool {
    std::path::Path::new(path).extension().is_some_and(|ending| ending == "js")
}

fn parse(script: &File) -> Outcome<Module> {
    let text = std::str::from_utf8(&script.bytes)?;
    let mut module =
        Module { imports: Vec::new(), later: Vec::new(), exports: Vec::new(), body: String::new() };
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let unknown = || format!("static/{}: this form is not known here: {line}", script.path);
        if line.starts_with("import ") {
            let mut whole = line.to_owned();
            while !whole.ends_with(';') {
                whole.push_str(lines.next().ok_or_else(unknown)?);
            }
            module.imports.push(imported(&whole).ok_or_else(unknown)?);
        } else if let Some(rest) = line.strip_prefix("export ") {
            module.exports.push(exported(rest).ok_or_else(unknown)?);
            module.body.push_str(rest);
            module.body.push('\n');
        } else {
            module.body.push_str(line);
            module.body.push('\n');
        }
    }
    take_later(&mut module).ok_or_else(|| {
        format!("static/{}: what it fetches later is no file beside it", script.path)
    })?;
    Ok(module)
}

/// `import { one, two as other } from './file.js';`
fn imported(statement: &str) -> Option<(String, String)> {
    let (names, path) =
        statement.strip_prefix("import {")?.strip_suffix("';")?.split_once("} from './")?;
    Some((names.trim().trim_end_matches(',').replace(" as ", ": "), path.to_owned()))
}

/// The name that follows `function`, `async function`, `const` or `class`.
fn exported(declaration: &str) -> Option<String> {
    let declaration = declaration.strip_prefix("async ").unwrap_or(declaration);
    let rest = ["function* ", "function ", "const ", "class "]
        .iter()
        .find_map(|kind| declaration.strip_prefix(kind))?;
    let end = rest.find(|sign: char| !(sign.is_alphanumeric() || sign == '_'))?;
    Some(rest.get(..end)?.to_owned())
}

/// What was to be fetched later is here already. Nothing where it is fetched in another form.
fn take_later(module: &mut Module) -> Option<()> {
    let body = std::mem::take(&mut module.body);
    let mut parts = body.split(LATER);
    module.body.push_str(parts.next().unwrap_or_default());
    for part in parts {
        let (path, rest) = part.split_once("')")?;
        module.later.push(path.to_owned());
        module.body.push_str(&name(path));
        module.body.push_str(rest);
    }
    (!module.body.contains("import(")).then_some(())
}

/// Puts a module behind those that it needs.
fn visit<'a>(
    path: &'a str,
    modules: &'a BTreeMap<String, Module>,
    open: &mut Vec<&'a str>,
    order: &mut Vec<(&'a str, &'a Module)>,
) -> Outcome<()> {
    if open.contains(&path) {
        return Err(format!("static/{path} imports itself by way of {}", open.join(", ")).into());
    }
    if order.iter().any(|(there, _)| *there == path) {
        return Ok(());
    }
    let module = modules.get(path).ok_or_else(|| format!("static/{path} does not exist"))?;
    open.push(path);
    for needed in module.imports.iter().map(|(_, path)| path).chain(&module.later) {
        visit(needed, modules, open, order)?;
    }
    open.pop();
    order.push((path, module));
    Ok(())
}

/// `judge.js` is `$judge` in the joined script.
fn name(path: &str) -> String {
    format!("${}", path.trim_end_matches(".js").replace('-', "_"))
}

/// The module as a function, called once.
fn called(path: &str, module: &Module) -> String {
    let mut text = format!("const {} = (() => {{\n", name(path));
    for (names, from) in &module.imports {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "const {{ {names} }} = {};", name(from));
    }
    text.push_str(&module.body);
    let _ = writeln!(text, "return {{ {} }};\n}})();", module.exports.join(", "));
    text
}
