//! Pictures that a teacher puts on her sheets: checked, carried as base64, read back as pixels.

mod jpeg;
mod png;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use image::metadata::Orientation;
use image::{DynamicImage, RgbImage};
use thiserror::Error;

use crate::canvas::Picture;

/// Most bytes of a picture file: 8 MiB, far beyond any logo.
pub const MOST_BYTES: u64 = 8 * 1024 * 1024;

/// Most pixels of a picture across or down; 600 dots an inch across the width of A4 are 4960,
/// and no logo is as wide as the page.
pub const MOST_PIXELS: u32 = 4096;

/// Most memory that the pixels of a picture may take while it is read, in bytes: 72 MiB.
///
/// Three bytes for each of [`MOST_PIXELS`] each way are 48 MiB, and what is stored so that it can
/// only be put together whole, or lies on its side, takes about twice its pixels: 12 million of
/// them, as a camera gives, still go in.
const MOST_MEMORY: u64 = 72 * 1024 * 1024;

/// Why a picture cannot stand on a sheet.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum LogoError {
    /// Neither PNG nor JPEG.
    #[error("it is no PNG or JPEG picture")]
    NoPicture,
    /// Begins as a picture but cannot be read to its end.
    #[error("the picture cannot be read ({reason})")]
    Broken {
        /// What the decoder says.
        reason: String,
    },
    /// More bytes than [`MOST_BYTES`].
    #[error("it is {found} bytes large")]
    TooManyBytes {
        /// Its size in bytes.
        found: u64,
    },
    /// More pixels than [`MOST_PIXELS`] across or down.
    #[error("the picture is {width} by {height} pixels")]
    TooManyPixels {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// Stored in a way that takes more memory to read than any logo needs.
    #[error(
        "the picture, of {width} by {height} pixels, is stored in a way that takes too much memory \
         to read"
    )]
    TooMuchMemory {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The text that should carry the picture is not base64.
    #[error("logo_data is not base64")]
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
    decoded(&bytes)
}

/// The picture in `bytes`, on white paper and turned as its camera meant it.
fn decoded(bytes: &[u8]) -> Result<Picture, LogoError> {
    if bytes.len() as u64 > MOST_BYTES {
        return Err(LogoError::TooManyBytes { found: bytes.len() as u64 });
    }
    if bytes.starts_with(png::SIGNATURE) {
        png::read(bytes)
    } else if bytes.starts_with(jpeg::SIGNATURE) {
        jpeg::read(bytes)
    } else {
        Err(LogoError::NoPicture)
    }
}

/// A picture that will be read in pieces or whole.
#[derive(Clone, Copy, Debug)]
struct Size {
    width: u32,
    height: u32,
}

impl Size {
    /// The size, if no picture of it is too large.
    fn checked(width: u32, height: u32) -> Result<Self, LogoError> {
        if width > MOST_PIXELS || height > MOST_PIXELS {
            return Err(LogoError::TooManyPixels { width, height });
        }
        Ok(Self { width, height })
    }

    fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// Errors if the reading takes too much memory; `beside` is what is needed in bytes beside the
    /// pixels that are read into, which `is_turned` doubles.
    fn pays(self, beside: u64, is_turned: bool) -> Result<(), LogoError> {
        let own = 3 * self.pixels();
        let most = own + beside.max(if is_turned { own } else { 0 });
        if most > MOST_MEMORY {
            return Err(LogoError::TooMuchMemory { width: self.width, height: self.height });
        }
        Ok(())
    }
}

/// The picture of a size with these pixels, turned upright.
fn upright(size: Size, rgb: Vec<u8>, orientation: Orientation) -> Result<Picture, LogoError> {
    let image = RgbImage::from_raw(size.width, size.height, rgb);
    let reason = || LogoError::Broken { reason: "some of its pixels are missing".to_owned() };
    let mut image = DynamicImage::from(image.ok_or_else(reason)?);
    image.apply_orientation(orientation);
    let (width, height) = (image.width(), image.height());
    Ok(Picture { width, height, rgb: image.into_rgb8().into_raw() })
}

/// Whether a picture that lies like this takes a second one to be turned.
fn is_turned(orientation: Orientation) -> bool {
    !matches!(
        orientation,
        Orientation::NoTransforms
            | Orientation::Rotate180
            | Orientation::FlipHorizontal
            | Orientation::FlipVertical
    )
}

/// A pixel as it looks on white paper.
fn on_white([r, g, b, alpha]: [u8; 4]) -> [u8; 3] {
    let alpha = u32::from(alpha);
    // The quotient is at most 255.
    [r, g, b].map(|channel| ((u32::from(channel) * alpha + 255 * (255 - alpha) + 127) / 255) as u8)
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use image::{ImageFormat, Rgba, RgbaImage};

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
        assert_eq!(on_white([10, 20, 30, 0]), [255, 255, 255]);
        assert_eq!(on_white([0, 0, 0, 51]), [204, 204, 204]);
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
