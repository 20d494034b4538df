//! The handover as paper: the two pages that matter come first, long and hostile names do no harm, and
//! it says what it is not.

use std::collections::BTreeSet;
use std::sync::LazyLock;

use fusewright::documents::drawing::{
    CIRCUITS_DRAWN_MAX, CONDUCTOR_COLOURS, PaperDrawing, wiring_on_paper,
};
use fusewright::documents::handover::{
    CareLine, FuseRow, HandoverPaper, ResultGroup, ResultLine, SafeStep, WatchLine, handover,
};
use fusewright::documents::typeset::TypesetError;
use fusewright::documents::voice::{Told, Voice};
use fusewright::domain::certificate::PaperSize;
use fusewright::domain::kit::{Circuit, Kit};
use fusewright::domain::kit_check::colour_name;
use fusewright::domain::paper_style::PaperStyle;
use fusewright::domain::plan::{Back, CircuitPlan, Plan};
use fusewright::domain::wiring::wiring;
use roxmltree::Document;

use super::sample;
use super::sealed::photos;
use super::tools::{Desk, words};
use crate::domain::cast::{Pen, kit, plan};

const HOSTILE: &str = "#panic(1) *x* $y^2$ @ref <lbl> `z` // &amp;";

/// The tray with twelve circuits under long names: every second one comes back by the body, every third
/// has no fuse.
fn many() -> (Kit, Plan) {
    let (mut kit, mut plan) = (kit(), plan());
    let (circuit, run) = (kit.circuits[0].clone(), plan.circuits[0].clone());
    kit.circuits.clear();
    plan.circuits.clear();
    for number in 1..=12 {
        let id = format!("feed_{number}");
        let title =
            format!("Feed {number} of the refrigerated compartment behind the partition {HOSTILE}");
        let mut run = CircuitPlan { circuit: id.clone(), ..run.clone() };
        if number % 2 == 0 {
            run.back = Back::Chassis { bond_milliohm: "2".parse().unwrap() };
        }
        let mut circuit = Circuit { id, title, ..circuit.clone() };
        if number % 3 == 0 {
            circuit.fuse = None;
        }
        kit.circuits.push(circuit);
        plan.circuits.push(run);
    }
    for terminal in kit.terminals.iter_mut().take(2) {
        "feed_1".clone_into(&mut terminal.circuit);
    }
    "GNYE".clone_into(&mut kit.terminals[0].colour);
    (kit, plan)
}

fn drawn(kit: &Kit, plan: &Plan) -> Vec<PaperDrawing> {
    let state = Pen::with_sheet().state();
    wiring_on_paper(&wiring(kit, plan, &state).circuits, &Voice::new(PaperStyle::default()))
}

fn results() -> Vec<ResultGroup> {
    let groups = sample::paper().measurements.into_iter().map(|group| ResultGroup {
        phase: group.phase,
        lines: group
            .lines
            .into_iter()
            .map(|line| ResultLine {
                number: line.number,
                title: line.title,
                plain: "Inside its limits.".to_owned(),
                value: line.value,
                unit: line.unit,
                limit: line.limit,
                remark: line.remark,
            })
            .collect(),
    });
    groups.collect()
}

fn fuses() -> Vec<FuseRow> {
    let row = |number: u32| FuseRow {
        number: number.to_string(),
        place: format!("{number}0 mm along the cable from the vehicle battery"),
        rating: format!("{number}5 A"),
        form: "blade fuse, medium".to_owned(),
        standard: "ISO 8820-3".to_owned(),
        protects: format!("Feed {number}, {HOSTILE}: the cable from vehicle battery to gear"),
        replace: format!("{number}5 A, blade fuse, medium. Never a larger one."),
    };
    (1..=12).map(row).collect()
}

pub(super) fn paper() -> HandoverPaper {
    let from = sample::paper();
    let (kit, plan) = many();
    HandoverPaper {
        size: PaperSize::A4,
        told: Told::default(),
        title: "Handover".to_owned(),
        number: from.number,
        job: from.job,
        issued: "2026-11-20".to_owned(),
        issued_at: from.issued_at,
        workshop: from.workshop,
        logo: from.logo,
        call: vec!["0500 555 0142".to_owned()],
        customer: from.customer,
        vehicle: from.vehicle,
        fitted: from.fitted[0].clone(),
        supply: from.supply,
        summary: vec!["A dock was fitted to this vehicle.".to_owned()],
        fuses: fuses(),
        finished_photo: Some(1),
        unfused: vec!["Circuit 3, Feed 3, has no fuse of its own in this kit.".to_owned()],
        safe: vec![SafeStep { what: "Switch every load off".to_owned(), how: HOSTILE.to_owned() }],
        wiring: drawn(&kit, &plan),
        circuits: from.circuits,
        terminals: from.terminals,
        watch: vec![WatchLine { sign: "Smell".to_owned(), act: "Make it safe.".to_owned() }],
        care: vec![CareLine {
            when: "2026-12-18, or after 1000 km".to_owned(),
            what: "Every fastener checked".to_owned(),
            why: "Joints settle.".to_owned(),
        }],
        next_inspection: from.next_inspection,
        results: results(),
        again: None,
        cautions: from.findings,
        concessions: from.concessions,
        photos_left_out: Some("3 of 4 photos are shown.".to_owned()),
        address: from.proof.address,
    }
}

/// Set once: setting type is slow in a test build.
static SET: LazyLock<Vec<u8>> = LazyLock::new(|| handover(&paper(), &photos(3)).unwrap());

fn page(pdf: &[u8], number: &str) -> String {
    let desk = Desk::with("paper.pdf", pdf);
    let text = desk.print("pdftotext", &["-raw", "-f", number, "-l", number, "paper.pdf", "-"]);
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn the_first_page_leads_to_the_fuses_and_to_making_it_safe_and_says_who_to_call() {
    let first = page(&SET, "1");
    for stands in ["Handover", "Find the fuse", "Make it safe", "page 2", "0500 555 0142"] {
        assert!(first.contains(stands), "{stands} is missing in {first}");
    }
    let paper = paper();
    assert!(first.contains(&paper.number) && first.contains(&paper.vehicle.registration));
    assert!(first.contains("This paper is not sealed"), "{first}");
    assert!(first.replace(' ', "").contains(&paper.address.replace(' ', "")), "{first}");
}

#[test]
fn every_fuse_stands_under_find_the_fuse_with_place_rating_form_and_what_replaces_it() {
    let second = page(&SET, "2");
    assert!(second.contains("Find the fuse"), "{second}");
    let words = words(&SET);
    for row in fuses() {
        for part in [&row.place, &row.rating, &row.form, &row.replace] {
            assert!(words.contains(part.as_str()), "{part} is missing");
        }
    }
    assert!(words.contains("Never a larger one, never foil or wire"), "{words}");
    assert!(words.contains("Circuit 3, Feed 3, has no fuse of its own"));
}

#[test]
fn fire_comes_before_every_other_step_of_making_it_safe() {
    let words = words(&SET);
    let fire = words.find("Smoke, fire, or a battery").unwrap();
    let emergency = words.find("Call the emergency number").unwrap();
    assert!(fire < emergency && emergency < words.find("Switch every load off").unwrap());
}

#[test]
fn every_result_stands_with_its_value_unit_limit_and_words() {
    let words = words(&SET);
    for line in results().iter().flat_map(|group| &group.lines) {
        let reading = format!("{} {}", line.value, line.unit);
        assert!(words.contains(reading.trim()), "{reading} of {} is missing", line.title);
        assert!(words.contains(&line.title) && words.contains(&line.limit), "{}", line.title);
    }
}

#[test]
fn twelve_circuits_take_two_drawings_that_are_text_and_described() {
    let drawings = paper().wiring;
    assert_eq!(drawings.len(), 12_usize.div_ceil(CIRCUITS_DRAWN_MAX));
    let words = words(&SET);
    for drawing in &drawings {
        assert!(words.contains(&drawing.caption), "{}", drawing.caption);
    }
    assert!(drawings[1].description.contains("12: Feed 12 of the"), "{}", drawings[1].description);
    assert!(
        drawings[0].description.contains("fuse 50 A, strip fuse, 30 mm, 140 mm from the source")
    );
    assert!(
        drawings[0].description.contains("no fuse")
            && drawings[0].description.contains("by the body")
    );
    for within in ["back by the body of the vehicle", "GNYE green-yellow", "140 mm from the source"]
    {
        assert!(words.contains(within), "{within} is missing");
    }
}

#[test]
fn the_file_is_archival_accessible_and_sound() {
    let desk = Desk::with("paper.pdf", &SET);
    assert!(desk.print("pdfinfo", &["paper.pdf"]).contains("Tagged:          yes"));
    let claims = desk.print("pdfinfo", &["-meta", "paper.pdf"]);
    for claim in ["<pdfaid:part>3<", "<pdfaid:conformance>A<", "<pdfuaid:part>1<"] {
        assert!(claims.contains(claim), "{claim} is missing in {claims}");
    }
    let output = desk.run("qpdf", &["--check", "paper.pdf"]);
    assert!(output.status.success(), "{output:?}");
    assert_eq!(handover(&paper(), &photos(3)).unwrap(), *SET, "the same paper, other bytes");
}

#[test]
fn names_of_any_script_and_with_markup_in_them_are_only_text() {
    let mut paper = paper();
    paper.customer.name = format!("שלום مرحبا 山田 श्री Ꭳ {HOSTILE}");
    paper.vehicle.description = HOSTILE.to_owned();
    paper.fitted.title = HOSTILE.to_owned();
    paper.results[0].lines[0].title = HOSTILE.to_owned();
    let words = words(&handover(&paper, &photos(1)).unwrap());
    assert!(words.matches(HOSTILE).count() >= 4, "{words}");
    for name in ["שלום", "مرحبا", "山田", "श्री"] {
        assert!(words.contains(name), "{name} is missing in {words}");
    }
    // No bundled face has this one: a visible box, and nothing lost silently.
    assert!(words.contains(&format!("□ {HOSTILE}")), "{words}");
}

#[test]
fn nothing_runs_over_the_edge_of_either_paper() {
    for (size, name, width) in
        [(PaperSize::A4, "(A4)", 595.28), (PaperSize::Letter, "(letter)", 612.0)]
    {
        let mut paper = paper();
        paper.size = size;
        paper.customer.name = "Maximiliane-Alexandrine ".repeat(5);
        paper.customer.lines = vec!["x".repeat(200)];
        paper.fuses[0].place = "y".repeat(120);
        paper.fuses[1].replace = "z".repeat(90);
        paper.safe[0].what = "w".repeat(120);
        paper.address = format!("https://{}.example/c/1", "long-name".repeat(15));
        let desk = Desk::with("paper.pdf", &handover(&paper, &[]).unwrap());
        let boxes = desk.print("pdftotext", &["-bbox", "paper.pdf", "-"]);
        let edges = boxes.match_indices("xMax=\"").map(|(place, found)| {
            let text = &boxes[place + found.len()..];
            text[..text.find('"').unwrap()].parse::<f64>().unwrap()
        });
        let widest = edges.fold(0.0, f64::max);
        // The margin is 16 mm, 45.35 points.
        assert!((300.0..=width - 44.7).contains(&widest), "{size:?}: a word ends at {widest}");
        let facts = desk.print("pdfinfo", &["paper.pdf"]);
        assert!(facts.contains(name), "{facts}");
    }
}

#[test]
fn too_many_photos_and_what_is_no_web_address_are_refused() {
    let refused = handover(&paper(), &photos(25));
    assert!(matches!(refused, Err(TypesetError::TooManyPhotos { count: 25, max: 24 })));
    let mut paper = paper();
    paper.address = "javascript:alert(1)".to_owned();
    assert!(matches!(handover(&paper, &[]), Err(TypesetError::Address(_))));
}

/// A shape without a colour of its own would be black.
#[test]
fn the_drawings_are_sound_stay_on_their_ground_and_colour_every_shape() {
    let (many_kit, many_plan) = many();
    for drawing in drawn(&many_kit, &many_plan).into_iter().chain(drawn(&kit(), &plan())) {
        let read = Document::parse(&drawing.svg).unwrap();
        let ground: Vec<f64> = read
            .root_element()
            .attribute("viewBox")
            .unwrap()
            .split(' ')
            .map(|n| n.parse().unwrap())
            .collect();
        let style = drawing.svg.split_once("<style>").unwrap().1.split_once("</style>").unwrap().0;
        for node in read.descendants().filter(roxmltree::Node::is_element) {
            for (name, most) in [
                ("x", ground[2]),
                ("x1", ground[2]),
                ("x2", ground[2]),
                ("y", ground[3]),
                ("y1", ground[3]),
                ("y2", ground[3]),
            ] {
                let at = node.attribute(name).map_or(0.0, |at| at.parse().unwrap());
                assert!((0.0..=most).contains(&at), "{name} {at}: {}", &drawing.svg[node.range()]);
            }
            if let Some(class) = node.attribute("class") {
                let known =
                    style.contains(&format!(".{class}{{")) || style.contains(&format!(".{class},"));
                assert!(known, "{class} has no colour");
            }
        }
    }
}

#[test]
fn conductors_have_one_colour_on_all_papers() {
    let terminals = include_str!("../../templates/documents/terminals.typ");
    let codes: BTreeSet<&str> = CONDUCTOR_COLOURS.iter().map(|(code, _)| *code).collect();
    assert_eq!(codes.len(), terminals.matches(": rgb(\"").count());
    for (code, paint) in CONDUCTOR_COLOURS {
        assert!(terminals.contains(&format!("{code}: rgb(\"{paint}\")")), "{code} {paint}");
        assert!(colour_name(code).is_some(), "{code} has no name");
    }
}
