//! An address as a QR code, drawn as SVG.

use qrcode::{EcLevel, QrCode, render::svg};

use super::typeset::TypesetError;

/// Longer addresses make a code too fine for a phone held over paper.
pub const ADDRESS_BYTES_MAX: usize = 200;

/// The code as SVG text, in ink on white with its quiet zone, readable with a quarter of it spoilt.
pub fn qr_svg(address: &str) -> Result<String, TypesetError> {
    check_address(address)?;
    let fits = address.len() <= ADDRESS_BYTES_MAX;
    let code = QrCode::with_error_correction_level(address, EcLevel::Q)
        .ok()
        .filter(|_| fits)
        .ok_or_else(|| TypesetError::Address(address.to_owned()))?;
    Ok(code
        .render::<svg::Color<'_>>()
        .min_dimensions(200, 200)
        .dark_color(svg::Color("#141c17"))
        .light_color(svg::Color("#ffffff"))
        .build())
}

/// Only a plain web address may become a link: other schemes would pass straight into the PDF.
fn check_address(address: &str) -> Result<(), TypesetError> {
    let scheme = address.starts_with("https://") || address.starts_with("http://");
    if scheme && address.bytes().all(|byte| byte.is_ascii_graphic()) {
        Ok(())
    } else {
        Err(TypesetError::Address(address.to_owned()))
    }
}
