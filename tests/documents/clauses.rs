//! Every paper, clause by clause of PDF/A-3a and PDF/UA-1, as a program reads them that has no part in
//! making papers; and whether that program finds each clause broken on purpose.

use fusewright::documents::certificate::certificate;
use fusewright::documents::comparison::{AgainPaper, ComparisonLine};
use fusewright::documents::handover::handover;
use fusewright::documents::labels::labels;
use fusewright::domain::certificate::PaperSize;

use super::sealed::{RECORD, SEALED, key, note, photos};
use super::tools::{Desk, by_script};
use super::{handover as customers, labels as stickers, sample};

#[track_caller]
fn keeps_every_clause(what: &str, pdf: &[u8]) {
    let desk = Desk::with("paper.pdf", pdf);
    let (holds, said) = by_script(&desk, "pdf_clauses.py", &["paper.pdf"]);
    assert!(holds && said.contains(" 0 clauses broken"), "{what}: {said}");
}

#[test]
fn the_sealed_certificate_keeps_every_clause() {
    keeps_every_clause("certificate, A4", &SEALED.pdf);
    let mut paper = sample::paper();
    paper.size = PaperSize::Letter;
    let plain = certificate(&paper, RECORD, &photos(3)).unwrap();
    let sealed = fusewright::documents::sign::seal(&plain, &key(7), &note()).unwrap();
    keeps_every_clause("certificate, US Letter", &sealed);
}

#[test]
fn handover_and_labels_keep_every_clause() {
    for size in PaperSize::ALL {
        let mut paper = customers::paper();
        paper.size = size;
        paper.again = Some(compared());
        keeps_every_clause("handover", &handover(&paper, &photos(2)).unwrap());
    }
    let sheet =
        stickers::sheet(&fusewright::documents::labels::FORMS[0], 1, vec![stickers::label("F1")]);
    keeps_every_clause("labels", &labels(&sheet).unwrap());
}

/// Of a re-inspection, with a name that is longer than its column.
fn compared() -> AgainPaper {
    let line = |last: Option<&str>| ComparisonLine {
        number: "50".to_owned(),
        title: "Drop, return path: ".repeat(4),
        first: "3.39 mΩ".to_owned(),
        first_on: "2026-11-18".to_owned(),
        last: last.map(str::to_owned),
        now: "3.61 mΩ".to_owned(),
        limit: "at most 4.14 mΩ".to_owned(),
        word: "Grown".to_owned(),
        sentence: "0.22 mΩ more (7 %), 30 % of the way to the limit.".to_owned(),
    };
    let words = "Re-inspection of certificate HB-26-00417-K".to_owned();
    AgainPaper { words, lines: vec![line(None), line(Some("3.50 mΩ on 2027-11-20"))] }
}

/// A check that cannot fail says nothing.
#[test]
fn each_clause_broken_on_purpose_is_found() {
    let desk = Desk::with("paper.pdf", &SEALED.pdf);
    let (holds, said) = by_script(&desk, "pdf_clauses.py", &["--spoil", "paper.pdf"]);
    assert!(holds && said.contains("29 clauses broken on purpose, 0 not found"), "{said}");
}
