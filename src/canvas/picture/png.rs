//! Reading PNG (ISO/IEC 15948) row by row, so that no more is held than the pixels wanted.

use std::io::Cursor;

use image::metadata::Orientation;
use png::{BitDepth, ColorType, Decoder, DecodingError, Limits, Reader, Transformations};

use super::{DAMAGED, LogoError, Size, is_turned, on_white, upright};
use crate::canvas::Picture;

/// How a PNG begins.
pub(super) const SIGNATURE: &[u8] = b"\x89PNG\r\n\x1a\n";

/// Most memory for what stands beside the pixels, in bytes.
const BESIDE: usize = 16 * 1024 * 1024;

type File<'a> = Reader<Cursor<&'a [u8]>>;

/// The picture in a PNG.
pub(super) fn read(bytes: &[u8]) -> Result<Picture, LogoError> {
    let mut decoder = Decoder::new_with_limits(Cursor::new(bytes), Limits { bytes: BESIDE });
    // Neither does anything to the pixels, and both can be packed a thousandfold.
    decoder.set_ignore_iccp_chunk(true);
    decoder.set_ignore_text_chunk(true);
    decoder.set_transformations(Transformations::EXPAND);
    let head = decoder.read_header_info().map_err(broken)?;
    let size = Size::checked(head.width, head.height)?;
    let mut file = decoder.read_info().map_err(broken)?;
    let exif = file.info().exif_metadata.as_deref();
    let orientation = exif.and_then(Orientation::from_exif_chunk);
    let orientation = orientation.unwrap_or(Orientation::NoTransforms);
    let rgb = if file.info().interlaced {
        let whole = file.output_buffer_size().unwrap_or(usize::MAX);
        size.pays(whole as u64, is_turned(orientation))?;
        interlaced(&mut file, size, whole)?
    } else {
        size.pays(0, is_turned(orientation))?;
        in_rows(&mut file, size)?
    };
    upright(size, rgb, orientation)
}

/// The pixels of a picture that is stored row after row.
fn in_rows(file: &mut File<'_>, size: Size) -> Result<Vec<u8>, LogoError> {
    let kind = file.output_color_type();
    let mut rgb = Vec::with_capacity(3 * size.pixels() as usize);
    while let Some(row) = file.next_row().map_err(broken)? {
        flatten(row.data(), kind, &mut rgb);
    }
    Ok(rgb)
}

/// The pixels of a picture that is stored from coarse to fine, and takes `whole` bytes.
fn interlaced(file: &mut File<'_>, size: Size, whole: usize) -> Result<Vec<u8>, LogoError> {
    let kind = file.output_color_type();
    let mut samples = vec![0; whole];
    file.next_frame(&mut samples).map_err(broken)?;
    let mut rgb = Vec::with_capacity(3 * size.pixels() as usize);
    flatten(&samples, kind, &mut rgb);
    Ok(rgb)
}

/// Adds the pixels of `samples`, on white paper, to `rgb`.
fn flatten(samples: &[u8], (colour, depth): (ColorType, BitDepth), rgb: &mut Vec<u8>) {
    // Of two bytes to the nearest one byte.
    let wide = |high: u8, low: u8| {
        let sample = u32::from(u16::from_be_bytes([high, low]));
        ((sample * 255 + 32767) / 65535) as u8
    };
    let mut add = |pixel: [u8; 4]| rgb.extend(on_white(pixel));
    match (colour, depth) {
        (ColorType::Grayscale, BitDepth::Sixteen) => samples.chunks_exact(2).for_each(|s| {
            let grey = wide(s[0], s[1]);
            add([grey, grey, grey, 255]);
        }),
        (ColorType::GrayscaleAlpha, BitDepth::Sixteen) => samples.chunks_exact(4).for_each(|s| {
            let grey = wide(s[0], s[1]);
            add([grey, grey, grey, wide(s[2], s[3])]);
        }),
        (ColorType::Rgb, BitDepth::Sixteen) => samples.chunks_exact(6).for_each(|s| {
            add([wide(s[0], s[1]), wide(s[2], s[3]), wide(s[4], s[5]), 255]);
        }),
        (ColorType::Rgba, BitDepth::Sixteen) => samples.chunks_exact(8).for_each(|s| {
            add([wide(s[0], s[1]), wide(s[2], s[3]), wide(s[4], s[5]), wide(s[6], s[7])]);
        }),
        (ColorType::Grayscale | ColorType::Indexed, _) => {
            samples.iter().for_each(|grey| add([*grey, *grey, *grey, 255]));
        }
        (ColorType::GrayscaleAlpha, _) => {
            samples.chunks_exact(2).for_each(|s| add([s[0], s[0], s[0], s[1]]));
        }
        (ColorType::Rgb, _) => {
            samples.chunks_exact(3).for_each(|s| add([s[0], s[1], s[2], 255]));
        }
        (ColorType::Rgba, _) => {
            samples.chunks_exact(4).for_each(|s| add([s[0], s[1], s[2], s[3]]));
        }
    }
}

/// What the decoder says is for those who write decoders.
fn broken(_: DecodingError) -> LogoError {
    LogoError::Broken { reason: DAMAGED.to_owned() }
}

#[cfg(test)]
mod tests {
    use std::io::Write as _;

    use flate2::Compression;
    use flate2::write::ZlibEncoder;
    use image::DynamicImage;
    use png::{Encoder, chunk};

    use super::*;

    /// A PNG of noise, of a colour type and depth.
    fn noise(colour: ColorType, depth: BitDepth) -> Vec<u8> {
        let (width, height) = (13, 9);
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, width, height);
        encoder.set_color(colour);
        encoder.set_depth(depth);
        if colour == ColorType::Indexed {
            encoder.set_palette((0..48).map(|n| n * 5).collect::<Vec<u8>>());
            encoder.set_trns(vec![0, 40, 80, 120]);
        }
        let line = (width as usize * colour.samples() * depth as usize).div_ceil(8);
        let mut seed = 7_u32;
        let samples = std::iter::repeat_with(|| {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            seed.to_be_bytes()[0]
        });
        let samples: Vec<u8> = samples.take(line * height as usize).collect();
        encoder.write_header().unwrap().write_image_data(&samples).unwrap();
        bytes
    }

    #[test]
    fn pixels_of_every_kind_are_those_that_another_reader_finds() {
        use BitDepth::{Eight, Four, One, Sixteen, Two};
        use ColorType::{Grayscale, GrayscaleAlpha, Indexed, Rgb, Rgba};
        let few = [One, Two, Four];
        let all =
            [(Grayscale, Sixteen), (GrayscaleAlpha, Sixteen), (Rgb, Sixteen), (Rgba, Sixteen)]
                .into_iter()
                .chain([Grayscale, GrayscaleAlpha, Rgb, Rgba].map(|colour| (colour, Eight)))
                .chain(few.map(|depth| (Grayscale, depth)))
                .chain([(Indexed, Four)]);
        for (colour, depth) in all {
            let bytes = noise(colour, depth);
            let other: DynamicImage = image::load_from_memory(&bytes).unwrap();
            let other: Vec<u8> =
                other.into_rgba8().pixels().flat_map(|pixel| on_white(pixel.0)).collect();
            let own = read(&bytes).unwrap();
            assert_eq!((own.width, own.height), (13, 9));
            assert!(own.rgb == other, "{colour:?} {depth:?}");
        }
    }

    #[test]
    fn a_packed_profile_of_colours_is_left_packed() {
        let mut packed = ZlibEncoder::new(b"profile\0\0".to_vec(), Compression::best());
        let zeros = vec![0; 1 << 20];
        for _ in 0..256 {
            packed.write_all(&zeros).unwrap();
        }
        let packed = packed.finish().unwrap();
        let mut bytes = Vec::new();
        let mut encoder = Encoder::new(&mut bytes, 2, 1);
        encoder.set_color(ColorType::Grayscale);
        let mut writer = encoder.write_header().unwrap();
        writer.write_chunk(chunk::iCCP, &packed).unwrap();
        writer.write_image_data(&[10, 20]).unwrap();
        drop(writer);
        assert_eq!(read(&bytes).unwrap().rgb, [10, 10, 10, 20, 20, 20]);
    }
}
