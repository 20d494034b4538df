//! The file of a calibration's paper is told by what is in it.

use fusewright::domain::calibration_paper::{PAPER_MIB_MAX, Paper, PaperKind, PaperRefused};

const PNG_END: &[u8] = b"IEND\xae\x42\x60\x82";

fn pdf(bytes: usize) -> Vec<u8> {
    let mut pdf = b"%PDF-1.7\n".to_vec();
    pdf.resize(bytes - 6, b' ');
    pdf.extend(b"%%EOF\n");
    pdf
}

fn read(bytes: &[u8]) -> Result<PaperKind, PaperRefused> {
    Paper::read(bytes.to_vec()).map(|paper| paper.kind())
}

#[test]
fn a_pdf_a_png_and_a_jpeg_are_told_by_their_first_and_last_bytes() {
    let png = [b"\x89PNG\r\n\x1a\n....".as_slice(), PNG_END].concat();
    let jpeg = b"\xff\xd8\xff\xe0....\xff\xd9";
    assert_eq!(read(&pdf(100)), Ok(PaperKind::Pdf));
    assert_eq!(read(&png), Ok(PaperKind::Png));
    assert_eq!(read(jpeg), Ok(PaperKind::Jpeg));
    for kind in [PaperKind::Pdf, PaperKind::Png, PaperKind::Jpeg] {
        assert_eq!(PaperKind::of_ending(kind.ending()), Some(kind));
    }
}

#[test]
fn what_broke_off_or_is_something_else_is_refused() {
    let half = pdf(2000)[..1500].to_vec();
    for other in [
        half.as_slice(),
        b"\x89PNG\r\n\x1a\n....".as_slice(),
        b"\xff\xd8\xff\xe0....".as_slice(),
        b"<html><script>alert(1)</script>%PDF-1.7 %%EOF".as_slice(),
        b"MZ\x90\x00".as_slice(),
    ] {
        assert_eq!(read(other), Err(PaperRefused::OtherKind));
    }
    assert_eq!(read(b""), Err(PaperRefused::Empty));
}

#[test]
fn a_file_may_have_ten_mebibytes_and_not_a_byte_more() {
    let most = PAPER_MIB_MAX * 1024 * 1024;
    assert_eq!(read(&pdf(most)), Ok(PaperKind::Pdf));
    assert_eq!(read(&pdf(most + 1)), Err(PaperRefused::TooLarge));
}
