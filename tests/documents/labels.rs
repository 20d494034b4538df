//! Labels: on their sheet, in their order, with nothing that people wrote coming to life.

use fusewright::documents::labels::{FORMS, Label, LabelForm, LabelSheet, labels};
use fusewright::domain::paper_style::Language;
use time::macros::datetime;

use super::tools::{Desk, words};

pub(super) fn label(headline: &str) -> Label {
    let lines = vec!["12 V DC, gear to load".to_owned(), "16 mm² Cu, 3.4 m".to_owned()];
    Label { is_fuse: true, headline: headline.to_owned(), lines, foot: "Job 7".to_owned() }
}

pub(super) fn sheet(form: &'static LabelForm, first: u32, labels: Vec<Label>) -> LabelSheet {
    LabelSheet {
        language: Language::English,
        title: "Labels, job 7".to_owned(),
        workshop: "Hollow Bay".to_owned(),
        logo: None,
        form,
        first,
        labels,
        address: Some("https://jobs.example/verify/HB2600001X/0123456789ABCDEF".to_owned()),
        at: datetime!(2026-11-20 15:32:10 UTC),
    }
}

fn pages(pdf: &[u8]) -> u32 {
    let said = Desk::with("labels.pdf", pdf).print("pdfinfo", &["labels.pdf"]);
    let line = said.lines().find_map(|line| line.strip_prefix("Pages:")).unwrap();
    line.trim().parse().unwrap()
}

#[test]
fn every_sheet_holds_its_labels_and_no_two_lie_on_each_other() {
    for form in &FORMS {
        let (across, down) = (f64::from(form.across - 1), f64::from(form.down - 1));
        let right = form.first_mm.0 + across * form.step_mm.0 + form.label_mm.0;
        let foot = form.first_mm.1 + down * form.step_mm.1 + form.label_mm.1;
        assert!(right <= form.page_mm.0 && foot <= form.page_mm.1, "{}", form.word);
        let apart = form.step_mm.0 >= form.label_mm.0 && form.step_mm.1 >= form.label_mm.1;
        assert!(apart, "{}", form.word);
        assert_eq!(LabelForm::find(form.word), Some(form));
        // What is left over is the same on both sides, to a tenth of a millimetre.
        assert!((form.page_mm.0 - right - form.first_mm.0).abs() < 0.1, "{}", form.word);
    }
}

#[test]
fn a_begun_sheet_goes_on_at_its_first_free_label_and_turns_the_page_when_full() {
    for form in &FORMS {
        let each = form.each_page();
        let all: Vec<Label> = (0..each).map(|at| label(&format!("Fuse {at} A"))).collect();
        assert_eq!(pages(&labels(&sheet(form, 1, all.clone())).unwrap()), 1, "{}", form.word);
        if each > 1 {
            let pdf = labels(&sheet(form, 2, all)).unwrap();
            assert_eq!(pages(&pdf), 2, "{}", form.word);
            assert!(words(&pdf).contains(&format!("Fuse {} A", each - 1)));
        }
    }
}

#[test]
fn what_people_wrote_is_printed_and_nothing_else() {
    let hostile = "#panic(1) *x* $y^2$ @ref <lbl> `z` // ]]>";
    let pdf = labels(&sheet(&FORMS[0], 1, vec![label(hostile)])).unwrap();
    assert!(words(&pdf).contains(hostile), "{}", words(&pdf));
    let mut long = label(&"Feed ".repeat(60));
    long.foot = "אור ים".to_owned();
    for form in &FORMS {
        let boxes = labels(&sheet(form, 1, vec![long.clone(), label("Next")])).unwrap();
        assert!(words(&boxes).contains("Next"), "{}", form.word);
    }
}
