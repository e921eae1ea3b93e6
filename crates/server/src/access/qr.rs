//! An address as a square that a phone reads: for a terminal, and for a page.

use qrcode::render::{svg, unicode};
use qrcode::{EcLevel, QrCode};

/// The square for a terminal, two rows of modules to a line: what is dark on paper is a letter here.
#[must_use]
pub fn qr_text(link: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(link, EcLevel::L).ok()?;
    let render = code
        .render::<unicode::Dense1x2>()
        .dark_color(unicode::Dense1x2::Dark)
        .light_color(unicode::Dense1x2::Light)
        .build();
    Some(render)
}

/// The square as a drawing for a page.
pub(crate) fn qr_svg(link: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(link, EcLevel::M).ok()?;
    let render = code
        .render::<svg::Color<'_>>()
        .min_dimensions(240, 240)
        .dark_color(svg::Color("#000"))
        .light_color(svg::Color("#fff"))
        .build();
    Some(render)
}

#[cfg(test)]
mod tests {
    use super::{qr_svg, qr_text};

    #[test]
    fn an_address_fits_and_what_is_too_long_is_refused() {
        let link = "http://192.168.178.120:4280/pair#ABCD-EFGH-JKMN-PQRS";
        let text = qr_text(link).expect("it fits");
        assert!(text.lines().count() <= 24, "it fits a terminal");
        assert!(text.lines().all(|line| line.chars().count() <= 80));
        assert!(qr_svg(link).expect("it fits").starts_with("<?xml"));
        assert!(qr_text(&"x".repeat(5000)).is_none());
    }
}
