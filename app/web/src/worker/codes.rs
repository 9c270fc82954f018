//! Codes that two phones show each other (QR, ISO/IEC 18004), as modules. No
//! picture is made here.

use super::error::Error;
use super::open::Core;
use super::passes::own_fingerprint;
use crate::device::sync_messages::Answer;
use qrcode::{Color, EcLevel, QrCode};

/// The code that carries `bytes`. Of the levels of error correction the second:
/// a screen is clean, and a smaller code is read from further off.
///
/// # Errors
/// When they are too many for one code.
pub fn code(core: &Core, bytes: &[u8]) -> Result<Answer, Error> {
    let limit = 2_331;
    let code = QrCode::with_error_correction_level(bytes, EcLevel::M)
        .map_err(|_| notebook::sync::Error::TooLarge { limit })?;
    let dark = code.to_colors().into_iter();
    Ok(Answer::Code {
        side: code.width(),
        dark: dark
            .map(|color| if color == Color::Dark { '1' } else { '0' })
            .collect(),
        fingerprint: own_fingerprint(core),
    })
}

/// The bytes of a code in a grey picture, row by row; `None` when there is none, or
/// none that can be read.
pub fn look(grey: &[u8], width: u32, height: u32) -> Option<Vec<u8>> {
    let width = usize::try_from(width).ok()?;
    let height = usize::try_from(height).ok()?;
    if width.checked_mul(height)? != grey.len() || grey.is_empty() {
        return None;
    }
    let mut picture =
        rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| grey[y * width + x]);
    picture.detect_grids().iter().find_map(|grid| {
        let mut bytes = Vec::new();
        grid.decode_to(&mut bytes).ok()?;
        Some(bytes)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A picture of a code: four light modules around it, `scale` pixels a module.
    fn picture(bytes: &[u8], scale: usize) -> (Vec<u8>, u32) {
        let code = QrCode::with_error_correction_level(bytes, EcLevel::M).unwrap();
        let (side, colors) = (code.width(), code.to_colors());
        let all = (side + 8) * scale;
        let dark = |x: usize, y: usize| {
            let inside = (4..side + 4).contains(&x) && (4..side + 4).contains(&y);
            inside && colors[(y - 4) * side + x - 4] == Color::Dark
        };
        let pixels = (0..all * all).map(|at| {
            let (x, y) = (at % all / scale, at / all / scale);
            if dark(x, y) { 20 } else { 230 }
        });
        (pixels.collect(), u32::try_from(all).unwrap())
    }

    #[test]
    fn a_code_of_any_bytes_is_read_back_from_its_picture() {
        let bytes: Vec<u8> = (0..=255).chain(0..=20).collect();
        let (grey, side) = picture(&bytes, 4);
        assert_eq!(look(&grey, side, side), Some(bytes));
    }

    #[test]
    fn a_picture_without_a_code_or_of_another_size_gives_none() {
        assert_eq!(look(&vec![200; 64 * 64], 64, 64), None);
        assert_eq!(look(&[0; 10], 64, 64), None);
        assert_eq!(look(&[], 0, 0), None);
    }
}
