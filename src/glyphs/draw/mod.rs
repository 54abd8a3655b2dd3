//! The music face drawn by our own pen and packed as an OpenType face.
//!
//! Each sign is drawn in staff spaces by the file of its family: strokes of a pen along a smooth
//! curve through a few knots, discs, ellipses and straight-sided shapes, merged into clean
//! contours. [`pack()`] writes them to an OpenType file and [`metadata()`] describes it as SMuFL
//! prescribes.

mod accidentals;
mod articulations;
mod brace;
mod chord_signs;
mod clefs;
mod digits;
mod drawing;
mod flags;
mod heads;
mod ink;
mod metadata;
mod pack;
mod pen;
mod rests;
mod spline;
mod text_notes;
mod weight;

pub use metadata::metadata;
pub use pack::pack;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::glyphs::MusicFace;
    use std::fs;
    use std::path::Path;

    #[test]
    fn the_files_are_what_the_drawings_give() {
        let fonts = Path::new(env!("CARGO_MANIFEST_DIR")).join("fonts");
        let bytes = pack().expect("the face packs");
        let rebuild = "run `cargo run --features draw --bin build_face`";
        assert!(fs::read(fonts.join("Quintfall.otf")).unwrap() == bytes, "stale face; {rebuild}");
        let text = metadata(&MusicFace::read(&bytes).unwrap());
        let kept = fs::read_to_string(fonts.join("Quintfall.json")).unwrap();
        assert!(kept == text, "stale metadata; {rebuild}");
    }
}
