//! Pictures that a teacher puts on her sheets: checked, carried as base64, read back as pixels.

use std::io::Cursor;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use image::{DynamicImage, ImageDecoder as _, ImageFormat, ImageReader, Limits, Rgba};
use thiserror::Error;

use crate::canvas::Picture;

/// Most bytes of a picture file: 8 MiB, far beyond any logo.
pub const MOST_BYTES: u64 = 8 * 1024 * 1024;

/// Most pixels of a picture across or down; 600 dots an inch across the width of A4 are 4960,
/// and no logo is as wide as the page.
pub const MOST_PIXELS: u32 = 4096;

/// Most memory that the reading of a picture may take, in bytes: [`MOST_PIXELS`] each way at
/// four channels of 16 bits, twice over.
const MOST_MEMORY: u64 = 2 * 8 * (MOST_PIXELS as u64) * (MOST_PIXELS as u64);

/// Why a picture cannot stand on a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LogoError {
    /// Neither PNG nor JPEG.
    #[error("it is no PNG or JPEG picture; save it as PNG")]
    NoPicture,
    /// Begins as a picture but cannot be read to its end.
    #[error("the picture cannot be read ({reason}); save it anew as PNG")]
    Broken {
        /// What the decoder says.
        reason: String,
    },
    /// More bytes than [`MOST_BYTES`].
    #[error(
        "it is {found} bytes large; make it smaller, at most {} MiB",
        MOST_BYTES / (1024 * 1024)
    )]
    TooManyBytes {
        /// Its size in bytes.
        found: u64,
    },
    /// More pixels than [`MOST_PIXELS`] across or down.
    #[error(
        "the picture is {width} by {height} pixels; \
         make it smaller, at most {MOST_PIXELS} by {MOST_PIXELS}"
    )]
    TooManyPixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The text that should carry the picture is not base64.
    #[error("logo_data is not base64; take it out and name the picture by logo")]
    NotBase64,
}

/// The bytes of a picture file as the base64 that a recipe carries. Errors if [`picture`] could
/// not read them back.
pub fn carried(bytes: &[u8]) -> Result<String, LogoError> {
    decoded(bytes)?;
    Ok(STANDARD.encode(bytes))
}

/// The pixels of a picture that a recipe carries.
pub fn picture(carried: &str) -> Result<Picture, LogoError> {
    let bytes = STANDARD.decode(carried.trim()).map_err(|_| LogoError::NotBase64)?;
    let pixels = decoded(&bytes)?.into_rgba8();
    let rgb = pixels.pixels().flat_map(|pixel| on_white(*pixel)).collect();
    Ok(Picture { width: pixels.width(), height: pixels.height(), rgb })
}

/// The picture in `bytes`, turned as its camera meant it.
fn decoded(bytes: &[u8]) -> Result<DynamicImage, LogoError> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(LogoError::TooManyBytes { found: bytes.len() as u64 });
    }
    let broken = |error: image::ImageError| LogoError::Broken { reason: error.to_string() };
    let reader = || -> Result<_, LogoError> {
        let guessed = ImageReader::new(Cursor::new(bytes)).with_guessed_format();
        let mut reader = guessed.map_err(|_| LogoError::NoPicture)?;
        if !matches!(reader.format(), Some(ImageFormat::Png | ImageFormat::Jpeg)) {
            return Err(LogoError::NoPicture);
        }
        let mut limits = Limits::default();
        limits.max_alloc = Some(MOST_MEMORY);
        reader.limits(limits);
        Ok(reader)
    };
    // Its size first, so that an enormous picture is told from a broken one.
    let (width, height) = reader()?.into_dimensions().map_err(broken)?;
    if width > MOST_PIXELS || height > MOST_PIXELS {
        return Err(LogoError::TooManyPixels { width, height });
    }
    let mut decoder = reader()?.into_decoder().map_err(broken)?;
    let orientation = decoder.orientation().map_err(broken)?;
    let mut image = DynamicImage::from_decoder(decoder).map_err(broken)?;
    image.apply_orientation(orientation);
    Ok(image)
}

/// A pixel as it looks on white paper.
fn on_white(Rgba([r, g, b, alpha]): Rgba<u8>) -> [u8; 3] {
    let alpha = u32::from(alpha);
    // The quotient is at most 255.
    [r, g, b].map(|channel| ((u32::from(channel) * alpha + 255 * (255 - alpha) + 127) / 255) as u8)
}

#[cfg(test)]
mod tests {
    use image::RgbaImage;

    use super::*;

    fn png(width: u32, height: u32, pixel: [u8; 4]) -> Vec<u8> {
        let image = RgbaImage::from_pixel(width, height, Rgba(pixel));
        let mut bytes = Cursor::new(Vec::new());
        image.write_to(&mut bytes, ImageFormat::Png).unwrap();
        bytes.into_inner()
    }

    #[test]
    fn a_picture_comes_back_with_its_pixels_blended_on_white() {
        let carried = carried(&png(3, 2, [10, 20, 30, 255])).unwrap();
        let solid = picture(&carried).unwrap();
        assert_eq!((solid.width, solid.height), (3, 2));
        assert_eq!(solid.rgb, [10, 20, 30].repeat(6));
        assert_eq!(on_white(Rgba([10, 20, 30, 0])), [255, 255, 255]);
        assert_eq!(on_white(Rgba([0, 0, 0, 51])), [204, 204, 204]);
    }

    #[test]
    fn what_is_no_picture_is_refused() {
        for bytes in [&b""[..], b"hello", b"GIF89a\x01\x00\x01\x00", b"BM000000"] {
            assert_eq!(carried(bytes), Err(LogoError::NoPicture), "{bytes:?}");
        }
        assert_eq!(picture("!"), Err(LogoError::NotBase64));
    }

    #[test]
    fn a_picture_cut_short_is_refused_at_every_length() {
        let whole = png(5, 5, [1, 2, 3, 4]);
        for length in 0..whole.len() - 12 {
            assert!(carried(&whole[..length]).is_err(), "{length} of {} bytes", whole.len());
        }
    }

    #[test]
    fn an_enormous_picture_is_told_by_its_size() {
        let wide = png(MOST_PIXELS + 1, 1, [0; 4]);
        let found = LogoError::TooManyPixels { width: MOST_PIXELS + 1, height: 1 };
        assert_eq!(carried(&wide), Err(found));
        let mut large = png(1, 1, [0; 4]);
        large.resize(MOST_BYTES as usize + 1, 0);
        assert!(matches!(carried(&large), Err(LogoError::TooManyBytes { .. })));
    }

    #[test]
    fn a_header_that_claims_a_vast_picture_is_refused_without_reading_it() {
        let mut claim = png(1, 1, [0; 4]);
        claim[16..24].copy_from_slice(&[0x7f, 0xff, 0xff, 0xff, 0x7f, 0xff, 0xff, 0xff]);
        // The length of the header is followed by its checksum, so mend that too.
        let checksum = crc(&claim[12..29]);
        claim[29..33].copy_from_slice(&checksum.to_be_bytes());
        let found = carried(&claim).unwrap_err();
        assert!(!matches!(found, LogoError::NoPicture), "{found}");
    }

    /// The CRC of a PNG chunk (ISO/IEC 15948, annex D).
    fn crc(bytes: &[u8]) -> u32 {
        let step = |crc: u32, byte: &u8| {
            (0..8).fold(crc ^ u32::from(*byte), |crc, _| {
                if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 }
            })
        };
        !bytes.iter().fold(u32::MAX, step)
    }
}
