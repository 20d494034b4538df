//! Papers in each language: they are set in it, say so to those who read aloud, and leave no fixed sentence in another.

use fusewright::documents::certificate::certificate;
use fusewright::documents::handover::handover;
use fusewright::documents::paper::{Logo, PaperKind};
use fusewright::documents::voice::Told;
use fusewright::documents::words::{Words, files, message_ids};
use fusewright::domain::paper_style::Language;

use super::sample;
use super::sealed::photos;
use super::tools::{Desk, words};

/// Fixed sentences of a file, up to their first argument, that the other language has in other words.
fn sentences(file: &str, of: Language, beside: Language) -> Vec<String> {
    let (of, beside) = (Words::of_language(of), Words::of_language(beside));
    let (_, text) = files(Language::English).iter().find(|(name, _)| *name == file).unwrap();
    message_ids(text)
        .map(|id| (of.say(id), beside.say(id)))
        .filter(|(one, other)| one != other)
        .filter_map(|(one, _)| one.split('{').next().map(|part| part.trim().to_owned()))
        .filter(|part| part.len() > 14 && part.contains(' '))
        .collect()
}

fn told(language: Language) -> Told {
    Told { language, recorded: Some("Steps stand in English.".to_owned()), other_units: true }
}

/// Without hyphens that end a line.
fn text(pdf: &[u8]) -> String {
    words(pdf).replace("\u{ad} ", "").replace("- ", "")
}

#[track_caller]
fn is_in(language: Language, pdf: &[u8], files: &[&str]) {
    let other = match language {
        Language::English => Language::German,
        Language::German => Language::English,
    };
    let text = text(pdf);
    let told = files.iter().flat_map(|file| sentences(file, other, language));
    let left: Vec<String> = told.filter(|part| text.contains(part.as_str())).collect();
    assert_eq!(left, Vec::<String>::new());
    let info = Desk::with("paper.pdf", pdf).print("pdfinfo", &["paper.pdf"]);
    assert!(info.contains("Tagged:          yes"), "{info}");
    let marked = format!("/Lang({})", language.word());
    let spaced = format!("/Lang ({})", language.word());
    let raw = String::from_utf8_lossy(pdf);
    assert!(
        raw.contains(&marked)
            || raw.contains(&spaced)
            || raw.contains(&format!("/Lang ({}-", language.word()))
            || raw.contains(&format!("/Lang({}-", language.word())),
        "no language"
    );
}

#[test]
fn both_kinds_of_certificate_are_set_in_each_language() {
    for language in Language::ALL {
        for kind in [PaperKind::Certificate, PaperKind::WithoutCertificate] {
            let mut paper = sample::paper();
            paper.told = told(language);
            paper.kind = kind;
            let pdf = certificate(&paper, b"{}", &photos(3)).unwrap();
            is_in(language, &pdf, &["certificate.ftl", "papers.ftl"]);
        }
    }
}

#[test]
fn the_handover_is_set_in_each_language_and_carries_the_mark() {
    let mut png = std::io::Cursor::new(Vec::new());
    image::RgbImage::new(40, 20).write_to(&mut png, image::ImageFormat::Png).unwrap();
    for language in Language::ALL {
        let mut paper = super::handover::paper();
        paper.told = told(language);
        paper.logo = Some(Logo(png.get_ref().clone()));
        // The sample draws in English.
        paper.wiring.clear();
        let pdf = handover(&paper, &photos(3)).unwrap();
        is_in(language, &pdf, &["handover.ftl", "papers.ftl"]);
        let pictures = Desk::with("paper.pdf", &pdf).print("pdfimages", &["-list", "paper.pdf"]);
        assert!(pictures.contains(" 40 "), "{pictures}");
    }
}
