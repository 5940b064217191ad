//! An address as a code that a tablet's camera reads, for the terminal.

use qrcode::render::unicode::Dense1x2;
use qrcode::{EcLevel, QrCode};

/// The code as lines of text, dark modules left blank for terminals with light letters; `None` for an overlong address.
pub fn qr_text(address: &str) -> Option<String> {
    let code = QrCode::with_error_correction_level(address, EcLevel::L).ok()?;
    Some(
        code.render::<Dense1x2>()
            .dark_color(Dense1x2::Dark)
            .light_color(Dense1x2::Light)
            .quiet_zone(true)
            .build(),
    )
}
