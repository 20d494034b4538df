//! The engine reaches nothing but what it is handed.

use fusewright::documents::qr::qr_svg;
use fusewright::documents::typeset::{Files, Imprint, TypesetError, typeset};
use time::macros::datetime;

fn set(template: &'static str) -> Result<Vec<u8>, TypesetError> {
    let imprint = Imprint { ident: "x".to_owned(), at: datetime!(2026-01-01 0:00 UTC) };
    typeset(template, Files::default(), &imprint)
}

#[test]
fn a_template_reads_no_file_no_package_and_no_clock() {
    for template in [
        "#read(\"/etc/passwd\")",
        "#read(\"../../etc/passwd\")",
        "#import \"@preview/example:0.1.0\": add",
        "#datetime.today()",
        "#plugin(\"/x.wasm\")",
    ] {
        let refused = set(template);
        assert!(matches!(refused, Err(TypesetError::Refused(_))), "{template}");
    }
}

#[test]
fn a_document_without_title_or_with_an_undescribed_picture_is_refused() {
    assert!(matches!(set("Text"), Err(TypesetError::Refused(_))));
    assert!(set("#set document(title: \"x\")\nText").is_ok());
}

#[test]
fn a_qr_code_is_drawn_for_an_address_and_refused_for_a_novel() {
    assert!(qr_svg("https://hollowbay.example/c/1").unwrap().contains("<svg"));
    let novel = format!("https://a.example/{}", "x".repeat(300));
    assert!(matches!(qr_svg(&novel), Err(TypesetError::Address(_))));
}
