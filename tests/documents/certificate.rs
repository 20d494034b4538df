//! The certificate as paper: complete, numbered, archival, the same every time.

use fusewright::documents::certificate::{DRAWINGS_MAX, PHOTOS_MAX, certificate};
use fusewright::documents::paper::{CertificatePaper, DrawnSignature, PaperKind, PaperPhoto};
use fusewright::documents::typeset::TypesetError;

use super::sample::paper;
use super::sealed::{RECORD, SEALED, photos};
use super::tools::{Desk, words};

fn set(paper: &CertificatePaper) -> Vec<u8> {
    certificate(paper, RECORD, &[]).unwrap()
}

#[test]
fn every_measurement_stands_on_the_paper_with_value_unit_limit_and_verdict() {
    let words = words(&SEALED.pdf);
    let lines: Vec<_> = paper().measurements.into_iter().flat_map(|group| group.lines).collect();
    assert!(lines.len() > 40, "the sample has only {} measurements", lines.len());
    for line in &lines {
        let reading = format!("{} {}", line.value, line.unit);
        let reading = reading.trim();
        let same =
            |other: &&_| format!("{} {}", value_of(other).0, value_of(other).1).trim() == reading;
        let times = lines.iter().filter(same).count();
        let found = words.matches(reading).count();
        assert!(found >= times, "{reading} of {} stands {found} of {times} times", line.title);
        assert!(words.contains(&line.title), "{} is missing", line.title);
        assert!(words.contains(&line.limit), "{} is missing", line.limit);
    }
    assert!(words.matches("Pass").count() >= lines.len());
}

fn value_of(line: &fusewright::documents::paper::MeasurementLine) -> (&str, &str) {
    (&line.value, &line.unit)
}

#[test]
fn every_page_carries_number_and_count_and_the_last_one_the_end_mark() {
    let desk = Desk::with("paper.pdf", &SEALED.pdf);
    let facts = desk.print("pdfinfo", &["paper.pdf"]);
    let pages = facts.lines().find_map(|line| line.strip_prefix("Pages:")).unwrap().trim();
    let count: u32 = pages.parse().unwrap();
    assert!(count >= 4, "{facts}");
    for page in 1..=count {
        let number = page.to_string();
        let arguments = ["-raw", "-f", &number, "-l", &number, "paper.pdf", "-"];
        let text = desk.print("pdftotext", &arguments);
        assert!(text.contains("HB-2026-00417-K"), "no number on page {page}");
        assert!(text.contains(&format!("Page {page} of {count}")), "no count on page {page}");
        let end = text.contains("End of certificate");
        assert_eq!(end, page == count, "end mark on page {page}");
    }
}

#[test]
fn the_file_is_archival_accessible_and_holds_all_its_fonts() {
    let desk = Desk::with("paper.pdf", &SEALED.pdf);
    assert!(desk.print("pdfinfo", &["paper.pdf"]).contains("Tagged:          yes"));
    let claims = desk.print("pdfinfo", &["-meta", "paper.pdf"]);
    for claim in ["<pdfaid:part>3<", "<pdfaid:conformance>A<", "<pdfuaid:part>1<"] {
        assert!(claims.contains(claim), "{claim} is missing in {claims}");
    }
    let fonts = desk.print("pdffonts", &["paper.pdf"]);
    let fonts: Vec<_> = fonts.lines().skip(2).collect();
    assert!(fonts.iter().any(|font| font.contains("AtkinsonHyperlegibleNext")), "{fonts:?}");
    assert!(fonts.iter().any(|font| font.contains("MartianMono")), "{fonts:?}");
    assert!(fonts.iter().all(|font| font.contains("yes yes yes")), "{fonts:?}");
}

#[test]
fn qpdf_finds_nothing_wrong() {
    for pdf in [&SEALED.plain, &SEALED.pdf] {
        let output = Desk::with("paper.pdf", pdf).run("qpdf", &["--check", "paper.pdf"]);
        assert!(output.status.success(), "{output:?}");
    }
}

#[test]
fn the_record_is_attached_unchanged() {
    let desk = Desk::with("paper.pdf", &SEALED.pdf);
    desk.run("pdfdetach", &["-save", "1", "-o", "out.json", "paper.pdf"]);
    assert_eq!(std::fs::read(desk.path("out.json")).unwrap(), RECORD);
}

#[test]
fn the_same_paper_gives_the_same_bytes() {
    assert_eq!(certificate(&paper(), RECORD, &photos(3)).unwrap(), SEALED.plain);
}

#[test]
fn markup_in_any_name_is_only_text() {
    let hostile = "#panic(1) *x* $y^2$ @ref <lbl> #read(\"/record.json\") `z` // ]]> &amp;";
    let mut paper = paper();
    paper.customer.name = hostile.to_owned();
    paper.vehicle.description = hostile.to_owned();
    paper.measurements[0].lines[0].title = hostile.to_owned();
    paper.concessions[0].reason = hostile.to_owned();
    assert!(words(&set(&paper)).matches(hostile).count() >= 4);
}

#[test]
fn nothing_runs_over_the_edge_of_the_page() {
    let mut paper = paper();
    paper.workshop.name = "Werkstatt für Fahrzeugelektrik und Aufbauten Süd ".repeat(3);
    paper.workshop.lines = vec!["w".repeat(300)];
    paper.customer.name = "Maximiliane-Alexandrine ".repeat(5);
    paper.customer.lines = vec!["x".repeat(200), "Ω".repeat(90)];
    paper.signatures[1].name = "Maximiliane-Alexandrine von und zu Hohenstein".to_owned();
    paper.measurements[0].lines[1].title = "y".repeat(120);
    paper.measurements[0].lines[2].remark = Some("a long note ".repeat(300));
    paper.instruments[0].certificate = "z".repeat(80);
    paper.proof.address = format!("https://{}.example/c/1", "long-name".repeat(15));
    let boxes =
        Desk::with("paper.pdf", &set(&paper)).print("pdftotext", &["-bbox", "paper.pdf", "-"]);
    // A4 is 595.28 points wide; the margin is 16 mm, 45.35 points.
    let edges = boxes.match_indices("xMax=\"").map(|(place, found)| {
        let text = &boxes[place + found.len()..];
        text[..text.find('"').unwrap()].parse::<f64>().unwrap()
    });
    let widest = edges.fold(0.0, f64::max);
    assert!((300.0..=550.5).contains(&widest), "a word ends at {widest} points");
}

#[test]
fn every_finding_stands_with_its_working_and_its_sources() {
    let words = words(&SEALED.pdf);
    for finding in paper().findings {
        for part in [&finding.title, &finding.value, &finding.formula, &finding.source] {
            assert!(words.contains(part.as_str()), "{part} is missing");
        }
        let working = format!("{} {} {}", finding.title, finding.formula, finding.source);
        let working = working.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains(&working), "{working} does not stand together");
    }
}

#[test]
fn what_is_below_zero_has_a_minus_sign_on_paper() {
    let mut paper = paper();
    paper.measurements[0].lines[0].value = "-0.0405".to_owned();
    paper.measurements[0].lines[0].limit = "-0.5 to 0.5 V".to_owned();
    paper.findings[1].formula = "28 A - 78 A = -50 A".to_owned();
    let words = words(&set(&paper));
    for printed in ["\u{2212}0.0405", "\u{2212}0.5 to 0.5 V", "28 A - 78 A = \u{2212}50 A"] {
        assert!(words.contains(printed), "{printed} is missing");
    }
}

/// The drawings are text and lines, not a picture of them, and are described for who cannot see them.
#[test]
fn the_drawings_of_the_plan_stand_on_the_paper_with_caption_and_description() {
    let words = words(&SEALED.pdf);
    let drawings = paper().drawings;
    assert_eq!(drawings.len(), DRAWINGS_MAX);
    for drawing in &drawings {
        assert!(words.contains(&drawing.caption), "{} is missing", drawing.caption);
    }
    for within in ["cable harmed", "fuse opens", "weakest: fastener 1"] {
        assert!(words.contains(within), "{within} is missing");
    }
    let mut none = paper();
    none.drawings.clear();
    let without = certificate(&none, RECORD, &photos(3)).unwrap();
    assert!(!self::words(&without).contains("Drawings of the plan"));
    assert_eq!(descriptions(&SEALED.plain), descriptions(&without) + drawings.len());
}

/// How many parts of the document have a text in their place.
fn descriptions(pdf: &[u8]) -> usize {
    let desk = Desk::with("paper.pdf", pdf);
    desk.run("qpdf", &["--qdf", "--object-streams=disable", "paper.pdf", "plain.pdf"]);
    let plain = std::fs::read(desk.path("plain.pdf")).unwrap();
    String::from_utf8_lossy(&plain).matches("\n  /Alt ").count()
}

/// What stands on each line of the paper, in reading order.
fn printed_lines(pdf: &[u8]) -> Vec<String> {
    let text = Desk::with("paper.pdf", pdf).print("pdftotext", &["-raw", "paper.pdf", "-"]);
    text.lines().map(|line| line.replace('\u{a0}', " ").trim().to_owned()).collect()
}

#[test]
fn a_figure_and_its_unit_stand_on_one_line() {
    // Each of these starts where the other ends: one of them would break between figure and unit.
    for lead in 0..12 {
        let mut paper = paper();
        paper.supply.source = format!("{}, 92 Ah", "Battery ".repeat(4) + &"x".repeat(lead));
        let lines = printed_lines(&set(&paper));
        assert!(lines.iter().any(|line| line.ends_with("92 Ah")), "{lead}: {lines:?}");
        assert!(!lines.iter().any(|line| line == "Ah"), "{lead}: {lines:?}");
    }
}

#[test]
fn an_address_breaks_only_behind_a_slash() {
    let mut paper = paper();
    paper.proof.address =
        "https://hollow-bay.example:8443/verify/HB260000417/1510JHHYJG".to_owned();
    let lines = printed_lines(&set(&paper));
    let host = lines.iter().position(|line| line.ends_with("https://hollow-bay.example:8443/"));
    let rest = host.and_then(|host| lines.get(host + 1..host + 3)).unwrap();
    assert_eq!(rest, ["verify/HB260000417/", "1510JHHYJG"]);
    let whole = format!("Public page {}", paper.proof.address);
    assert!(lines.contains(&whole), "the table has room for all of it");
}

#[test]
fn a_record_without_certificate_says_so_and_names_what_is_open() {
    let mut paper = paper();
    paper.kind = PaperKind::WithoutCertificate;
    paper.title = "Record without certificate".to_owned();
    paper.open_points = vec!["Step 47 is above its limit.".to_owned()];
    let words = words(&set(&paper));
    assert!(words.contains("Not released: points are open"));
    assert!(words.contains("Step 47 is above its limit."));
    assert!(words.contains("End of record"));
    assert!(!words.contains("Every measurement passes"));
}

#[test]
fn a_drawn_signature_of_nonsense_leaves_the_typed_name() {
    let mut paper = paper();
    paper.signatures[0].drawn = Some(DrawnSignature {
        width: f32::NAN,
        height: 10.0,
        strokes: vec![vec![], vec![[f32::INFINITY, 1.0], [2.0, f32::NAN]]],
    });
    assert!(words(&set(&paper)).matches("Runa Lindqvist").count() >= 2);
}

#[test]
fn photos_beyond_the_limit_and_broken_ones_are_refused() {
    let many = photos(u8::try_from(PHOTOS_MAX).unwrap() + 1);
    let refused = certificate(&paper(), RECORD, &many);
    assert!(matches!(refused, Err(TypesetError::TooManyPhotos { count: 25, max: 24 })));
    let broken = PaperPhoto { caption: "torn".to_owned(), jpeg: vec![0xFF, 0xD8, 0xFF, 0xE0] };
    let refused = certificate(&paper(), RECORD, &[broken]);
    assert!(matches!(refused, Err(TypesetError::Refused(_))));
}

#[test]
fn only_a_web_address_becomes_a_link() {
    for address in ["javascript:alert(1)", "file:///x", "https://a b", "https://ä.example"] {
        let mut paper = paper();
        paper.proof.address = address.to_owned();
        let refused = certificate(&paper, RECORD, &[]);
        assert!(matches!(refused, Err(TypesetError::Address(_))), "{address}");
    }
}
