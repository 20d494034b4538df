//! One kit edition, as a page: terminals in order, circuits, mounting, where it is used.

use askama::Template;

use super::used::{EditionLine, Uses, editions, uses};
use crate::domain::ids::JobId;
use crate::domain::kit::{
    Circuit, Clearance, FuseAsk, Joint, Kit, Pole, Terminal, Torque, TracedPart,
};
use crate::domain::kit_check::colour_name;
use crate::domain::wiring::colour_codes;
use crate::storage::kits::KitRow;
use crate::web::app::App;
use crate::web::error::WebError;
use crate::web::form::day_words;
use crate::web::page::Frame;
use crate::web::session::Who;

const NOTHING: &str = "–";

struct TerminalLine {
    place: usize,
    label: String,
    circuit: String,
    pole: &'static str,
    conductor: String,
    stud: String,
    torque: String,
    page: String,
}

struct CircuitLine {
    title: String,
    purpose: &'static str,
    current: String,
    drop: String,
    size: String,
    fuse: String,
    page: String,
}

struct JointLine {
    title: String,
    torque: String,
    page: String,
}

/// A name and what stands under it.
struct Fact {
    name: String,
    value: String,
}

impl Fact {
    fn new(name: &str, value: impl Into<String>) -> Self {
        Self { name: name.to_owned(), value: value.into() }
    }
}

#[derive(Template)]
#[template(path = "pages/kit.html")]
pub(super) struct KitPage {
    frame: Frame,
    title: String,
    lede: String,
    file: String,
    edit: String,
    terminals: Vec<TerminalLine>,
    circuits: Vec<CircuitLine>,
    joints: Vec<JointLine>,
    mounting: Vec<Fact>,
    facts: Vec<Fact>,
    clearances: Vec<Fact>,
    parts: Vec<Fact>,
    editions: Vec<EditionLine>,
    used: Uses,
}

pub(super) async fn kit_page(
    app: &App,
    who: &Who,
    row: KitRow,
    kit: &Kit,
    before: Option<JobId>,
) -> Result<KitPage, WebError> {
    let editions = editions(app, who, &row).await?;
    let used = uses(app, who, row.id, before).await?;
    let imported = day_words(&row.imported.date());
    Ok(KitPage {
        frame: Frame::new(kit.title.clone(), who, "/kits"),
        title: kit.title.clone(),
        lede: format!(
            "Edition {}, imported on {imported}. An edition never changes; a correction makes the \
             next one.",
            row.edition
        ),
        file: format!("/kits/{}/file", row.id),
        edit: format!("/kits/{}/edit", row.id),
        terminals: (1..).zip(&kit.terminals).map(|(place, t)| terminal(kit, place, t)).collect(),
        circuits: kit.circuits.iter().map(circuit).collect(),
        joints: joints(kit),
        mounting: mounting(kit),
        facts: facts(kit),
        clearances: clearances(kit),
        parts: parts(kit),
        editions,
        used,
    })
}

fn terminal(kit: &Kit, place: usize, terminal: &Terminal) -> TerminalLine {
    let circuit = kit.circuit(&terminal.circuit);
    let colour = colour_words(&terminal.colour);
    let strip = terminal.strip_mm.map(|mm| format!(", stripped {mm} mm")).unwrap_or_default();
    TerminalLine {
        place,
        label: terminal.label.clone(),
        circuit: circuit.map_or_else(String::new, |circuit| circuit.title.clone()),
        pole: match terminal.pole {
            Pole::Positive => "positive",
            Pole::Negative => "negative",
            Pole::Signal => "signal",
        },
        conductor: format!("{} {colour}{strip}", terminal.colour),
        stud: terminal.stud.clone().unwrap_or_else(|| "Clamp".to_owned()),
        torque: terminal.torque.as_ref().map_or_else(|| NOTHING.to_owned(), torque_words),
        page: terminal.page.clone(),
    }
}

/// `GNYE`: `green and yellow`.
fn colour_words(letters: &str) -> String {
    let names = colour_codes(letters);
    let names: Vec<&str> =
        names.iter().map(|code| colour_name(code).unwrap_or("unknown")).collect();
    names.join(" and ")
}

fn torque_words(torque: &Torque) -> String {
    format!("{} N·m ± {} %", torque.target_nm, torque.tolerance_percent)
}

fn circuit(circuit: &Circuit) -> CircuitLine {
    let peak = circuit.peak_a.map(|peak| format!(", peak {peak} A")).unwrap_or_default();
    CircuitLine {
        title: circuit.title.clone(),
        purpose: circuit.purpose.word(),
        current: format!("{} A{peak}", circuit.continuous_a),
        drop: format!("{} %", circuit.allowed_drop_percent),
        size: circuit.least_size.map_or_else(|| NOTHING.to_owned(), |size| size.to_string()),
        fuse: circuit.fuse.as_ref().map_or_else(|| "none".to_owned(), fuse_words),
        page: circuit.page.clone(),
    }
}

fn fuse_words(fuse: &FuseAsk) -> String {
    let FuseAsk { form, rating_a, distance_max_mm } = fuse;
    format!("{rating_a} A, {form}, within {distance_max_mm} mm")
}

fn joints(kit: &Kit) -> Vec<JointLine> {
    let line = |joint: &Joint| JointLine {
        title: joint.title.clone(),
        torque: torque_words(&joint.torque),
        page: joint.page.clone(),
    };
    kit.joints.iter().map(line).collect()
}

fn mounting(kit: &Kit) -> Vec<Fact> {
    let held = &kit.mounting;
    let mut facts = vec![
        Fact::new("Fasteners", format!("{} × {}, class {}", held.count, held.thread, held.class)),
        Fact::new("Torque", torque_words(&held.torque)),
        Fact::new("Pattern", format!("{} × {} mm", held.pattern_length_mm, held.pattern_width_mm)),
        Fact::new("Washers", format!("{} mm", held.washer_mm)),
        Fact::new("Surface", format!("at least {} mm thick", held.least_thickness_mm)),
    ];
    if let Some(rating) = held.least_surface_rating_kg {
        facts.push(Fact::new("Surface rating", format!("at least {rating} kg")));
    }
    facts.push(Fact::new("Page", held.page.clone()));
    facts
}

fn facts(kit: &Kit) -> Vec<Fact> {
    let mut facts = vec![
        Fact::new("Code", format!("{}, edition {}", kit.code, kit.edition)),
        Fact::new("Maker", kit.maker.clone()),
        Fact::new("Manual", kit.manual.clone()),
        Fact::new("Nominal", format!("{} V", kit.nominal_voltage_v)),
        Fact::new("Mass", format!("{} kg", kit.mass_kg)),
    ];
    if let Some(current) = kit.standing_current_ma {
        facts.push(Fact::new("Standing current", format!("{current} mA")));
    }
    if let Some(megohm) = kit.insulation_least_megohm {
        facts.push(Fact::new("Insulation", format!("at least {megohm} MΩ")));
    }
    facts
}

fn clearances(kit: &Kit) -> Vec<Fact> {
    let fact = |side: &Clearance| Fact::new(&side.side, format!("at least {} mm", side.least_mm));
    kit.clearances.iter().map(fact).collect()
}

fn parts(kit: &Kit) -> Vec<Fact> {
    let fact = |part: &TracedPart| {
        let marks: Vec<&str> = part.marks.iter().map(|mark| mark.word()).collect();
        Fact::new(&part.name, format!("{}, {}", part.number, marks.join(" and ")))
    };
    kit.parts.iter().map(fact).collect()
}
