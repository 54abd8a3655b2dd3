//! Reading JPEG (ISO/IEC 10918-1), after a look at how it is built.

mod scans;

use std::io::Cursor;

use image::codecs::jpeg::JpegDecoder;
use image::{DynamicImage, ImageDecoder as _, ImageError};

use scans::Scans;

use super::{LogoError, Size, is_turned, upright};
use crate::canvas::Picture;

/// How a JPEG begins: the start of image, and the start of the next marker.
pub(super) const SIGNATURE: &[u8] = b"\xff\xd8\xff";

/// Most scans; pictures that come from coarse to fine have about ten, and each one runs over all
/// pixels again.
const MOST_SCANS: usize = 32;

/// A start of frame of a picture that comes from coarse to fine; of what comes at once below.
const PROGRESSIVE: u8 = 0xc2;
/// Tables of codes; how often a marker stands between them; a start of scan.
const CODES: u8 = 0xc4;
const RESTART: u8 = 0xdd;
const SCAN: u8 = 0xda;

const MISSING: &str = "some of its pixels are missing";

/// The picture in a JPEG.
pub(super) fn read(bytes: &[u8]) -> Result<Picture, LogoError> {
    let build = Build::of(bytes)?;
    let size = Size::checked(build.width.into(), build.height.into())?;
    let mut decoder = JpegDecoder::new(Cursor::new(bytes)).map_err(broken)?;
    let orientation = decoder.orientation().map_err(broken)?;
    if decoder.dimensions() != (size.width, size.height) {
        return Err(told("its size stands there twice"));
    }
    size.pays(build.waiting(size), is_turned(orientation))?;
    let image = DynamicImage::from_decoder(decoder).map_err(broken)?;
    upright(size, image.into_rgb8().into_raw(), orientation)
}

/// How a JPEG is built.
#[derive(Default)]
struct Build {
    width: u16,
    height: u16,
    /// Samples in the smallest block of pixels that has some of each component, and how many
    /// pixels that block has.
    samples: u64,
    block: u64,
    scans: usize,
    packed: Scans,
}

impl Build {
    /// Reads the markers from first to last. Errors if the last one, the end, or some of the packed
    /// pixels are missing: what is not there would be printed grey.
    fn of(bytes: &[u8]) -> Result<Self, LogoError> {
        let cut = || told("its end is missing");
        let mut build = Self::default();
        let mut rest = &bytes[2..];
        loop {
            // Between segments stand no more than fillers; between scans, packed pixels.
            let at = memchr::memchr(0xff, rest).ok_or_else(cut)?;
            let marker = *rest.get(at + 1).ok_or_else(cut)?;
            rest = &rest[at + 1..];
            match marker {
                // A filler, whose second byte may begin a marker.
                0xff => continue,
                // A byte among pixels that looks like a marker; a marker of itself alone.
                0x00 | 0x01 | 0xd0..=0xd8 => {
                    rest = &rest[1..];
                    continue;
                }
                0xd9 => break,
                _ => {}
            }
            let length = rest.get(1..3).map(|two| usize::from(two[0]) << 8 | usize::from(two[1]));
            let length = length.filter(|length| *length >= 2).ok_or_else(cut)?;
            let segment = rest.get(3..1 + length).ok_or_else(cut)?;
            build.note(marker, segment)?;
            rest = &rest[1 + length..];
            if marker == SCAN {
                let whole = build.packed.scan(segment, rest);
                whole.ok_or_else(|| told(MISSING))?;
            }
        }
        if build.scans == 0 || build.block == 0 {
            return Err(told("it has no pixels"));
        }
        if !build.packed.is_whole() {
            return Err(told(MISSING));
        }
        Ok(build)
    }

    fn note(&mut self, marker: u8, segment: &[u8]) -> Result<(), LogoError> {
        // A start of frame; the three others are tables.
        if matches!(marker, 0xc0..=0xcf) && !matches!(marker, 0xc4 | 0xc8 | 0xcc) {
            let &[_, h0, h1, w0, w1, _, ref components @ ..] = segment else {
                return Err(told("its size is missing"));
            };
            self.height = u16::from_be_bytes([h0, h1]);
            self.width = u16::from_be_bytes([w0, w1]);
            Size::checked(self.width.into(), self.height.into())?;
            // Three kinds pack their pixels in codes of whole bits; the others nobody writes.
            let size = (self.width, self.height);
            let whole = self.packed.frame(marker == PROGRESSIVE, size, components);
            whole.filter(|()| marker <= PROGRESSIVE).ok_or_else(|| told("it is of a rare kind"))?;
            let sampling = components
                .chunks_exact(3)
                .map(|three| (u64::from(three[1] >> 4).max(1), u64::from(three[1] & 15).max(1)));
            self.samples = sampling.clone().map(|(across, down)| across * down).sum();
            let across = sampling.clone().map(|(across, _)| across).max().unwrap_or(0);
            let down = sampling.map(|(_, down)| down).max().unwrap_or(0);
            self.block = across * down;
        }
        let whole = match marker {
            CODES => self.packed.tables(segment),
            RESTART => self.packed.restart(segment),
            _ => Some(()),
        };
        whole.ok_or_else(|| told("its tables are broken"))?;
        if marker == SCAN {
            self.scans += 1;
            if self.scans > MOST_SCANS {
                return Err(told("it has more scans than any picture needs"));
            }
        }
        Ok(())
    }

    /// Most bytes that have to wait until the last scan is read, two for each sample.
    fn waiting(&self, size: Size) -> u64 {
        if self.scans == 1 { 0 } else { 2 * size.pixels() * self.samples / self.block }
    }
}

fn told(reason: &str) -> LogoError {
    LogoError::Broken { reason: reason.to_owned() }
}

fn broken(error: ImageError) -> LogoError {
    LogoError::Broken { reason: error.to_string() }
}

#[cfg(test)]
mod tests {
    use image::codecs::jpeg::JpegEncoder;
    use image::{Rgb, RgbImage};

    use super::*;

    fn jpeg() -> Vec<u8> {
        let shade = |x: u32, y: u32| Rgb([(x * 5) as u8, (y * 7) as u8, (x * y) as u8]);
        let image = RgbImage::from_fn(60, 40, shade);
        let mut bytes = Vec::new();
        JpegEncoder::new_with_quality(&mut bytes, 90).encode_image(&image).unwrap();
        bytes
    }

    #[test]
    fn a_whole_picture_is_read() {
        let whole = read(&jpeg()).unwrap();
        assert_eq!((whole.width, whole.height), (60, 40));
        let other = image::load_from_memory(&jpeg()).unwrap().into_rgb8();
        assert!(whole.rgb == other.into_raw());
        // What a camera adds after the end does not matter.
        assert!(read(&[&jpeg()[..], b"more"].concat()).is_ok());
    }

    #[test]
    fn a_picture_cut_short_is_refused_at_every_length() {
        let whole = jpeg();
        for length in 3..whole.len() {
            assert!(read(&whole[..length]).is_err(), "{length} of {} bytes", whole.len());
        }
    }

    /// Pictures of 37 by 29 pixels: from coarse to fine, and at once, with colours at half the width
    /// of brightness.
    const WHOLE: [&[u8]; 2] = [
        include_bytes!("../../../tests/data/pictures/coarse_to_fine.jpg"),
        include_bytes!("../../../tests/data/pictures/at_once.jpg"),
    ];

    #[test]
    fn an_end_behind_a_cut_does_not_hide_it() {
        for whole in WHOLE.map(<[u8]>::to_vec).into_iter().chain([jpeg()]) {
            let other = image::load_from_memory(&whole).unwrap().into_rgb8();
            assert!(read(&whole).unwrap().rgb == other.into_raw());
            for length in 3..whole.len() - 2 {
                let cut = [&whole[..length], b"\xff\xd9"].concat();
                assert!(read(&cut).is_err(), "{length} of {} bytes", whole.len());
            }
        }
    }

    #[test]
    fn blocks_that_are_counted_anew_are_all_there() {
        // One code for each table: no change of brightness, and no more in this block.
        let codes = |place| [&[0xff, 0xc4, 0, 20, place, 1][..], &[0; 15], &[0]].concat();
        let head = [
            &b"\xff\xd8\xff\xdb\0\x43\0"[..],
            &[1; 64],
            b"\xff\xc0\0\x0b\x08\0\x08\0\x18\x01\x01\x11\0",
            &codes(0),
            &codes(0x10),
            b"\xff\xdd\0\x04\0\x01\xff\xda\0\x08\x01\x01\0\0\x3f\0",
        ]
        .concat();
        let with = |blocks: &[u8]| read(&[&head, blocks, b"\xff\xd9"].concat());
        let whole = with(b"\x3f\xff\xd0\x3f\xff\xd1\x3f").unwrap();
        assert_eq!((whole.width, whole.height), (24, 8));
        assert!(with(b"\x3f\xff\xd0\x3f").is_err());
        assert!(with(b"\x3f\xff\xd0\x3f\xff\xd1").is_err());
        assert!(with(b"\x3f\x3f\x3f").is_err());
    }

    #[test]
    fn scan_upon_scan_is_refused() {
        let whole = jpeg();
        let start = whole.windows(2).position(|two| two == b"\xff\xda").unwrap();
        let (head, scan) = whole.split_at(start);
        let (scan, end) = scan.split_at(scan.len() - 2);
        let many = [head, &scan.repeat(MOST_SCANS + 1), end].concat();
        let error = read(&many).unwrap_err().to_string();
        assert!(error.contains("more scans"), "{error}");
    }
}
