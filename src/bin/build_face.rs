//! Draws the music face anew and writes it and its metadata to `fonts/`.

use quintfall::glyphs::MusicFace;
use quintfall::glyphs::draw::{metadata, pack};
use std::error::Error;
use std::fs;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let fonts = Path::new(env!("CARGO_MANIFEST_DIR")).join("fonts");
    let bytes = pack()?;
    let face = MusicFace::read(&bytes)?;
    fs::write(fonts.join("Quintfall.otf"), &bytes)?;
    fs::write(fonts.join("Quintfall.json"), metadata(&face))?;
    Ok(())
}
