//! Takes from the crate `typst-assets` the four text faces that the program shows: as a
//! dependency of the program itself that crate would leave all seventeen in it, at four times
//! their size.

use std::error::Error;
use std::path::Path;
use std::{env, fs};

/// PostScript names of the cuts of the text family.
const FACES: [&str; 4] = [
    "LibertinusSerif-Regular",
    "LibertinusSerif-Italic",
    "LibertinusSerif-Semibold",
    "LibertinusSerif-Bold",
];

fn main() -> Result<(), Box<dyn Error>> {
    println!("cargo::rerun-if-changed=build.rs");
    let folder = env::var_os("OUT_DIR").ok_or("cargo gives a build script a folder")?;
    for name in FACES {
        let face = typst_assets::fonts().find(|face| postscript_name(face) == Some(name));
        let face = face.ok_or_else(|| format!("typst-assets has no face named {name}"))?;
        fs::write(Path::new(&folder).join(name).with_extension("otf"), face)?;
    }
    Ok(())
}

/// The name that an OpenType face with cubic outlines gives itself at the head of its table
/// `CFF`; `None` for another kind of file.
///
/// Source: Adobe Technical Note 5176, *The Compact Font Format Specification*, sections 4 to 7:
/// a header that says its own length, then an index of names with a count in two bytes, the size
/// of offsets in one (1 for so short a list), and offsets from 1.
fn postscript_name(face: &[u8]) -> Option<&str> {
    let tables = usize::from(u16::from_be_bytes(*face.get(4..6)?.first_chunk()?));
    let records = face.get(12..12 + tables * 16)?.chunks_exact(16);
    let record = records.into_iter().find(|record| record.starts_with(b"CFF "))?;
    let table = face.get(u32::from_be_bytes(*record[8..12].first_chunk()?) as usize..)?;
    let [0, 1, 1, 1, end, names @ ..] = table.get(usize::from(*table.get(2)?)..)? else {
        return None;
    };
    str::from_utf8(names.get(..usize::from(end.checked_sub(1)?))?).ok()
}
