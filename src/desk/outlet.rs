//! What is typed after `-o`: a file that can be a sheet, or a hyphen for standard output.

use std::path::{Path, PathBuf};

use super::product::{Product, TRACKS};
use crate::source::{Advice, AdvicePart, Complaint};

/// Where a sheet was told to go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Outlet {
    /// Standard output.
    Stdout,
    /// A file of this name.
    File(PathBuf),
}

/// A file beside the sheet that is no page: of notes or of sound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Companion {
    /// Where it goes.
    pub(crate) outlet: Outlet,
    /// What it is.
    pub(crate) product: Product,
}

impl Outlet {
    /// The file, if it is one.
    pub(crate) fn file(&self) -> Option<&Path> {
        match self {
            Self::Stdout => None,
            Self::File(path) => Some(path),
        }
    }
}

/// Where a sheet goes of which this was typed. A name without an ending gets ours; another ending
/// than ours is refused, since what is in the file would not be what its name says.
pub(crate) fn outlet(typed: PathBuf) -> Result<Outlet, Complaint> {
    let (outlet, _) = outlet_of(typed, &[Product::Pdf], "a sheet is a PDF")?;
    Ok(outlet)
}

/// Where a file beside the sheet goes of which this was typed, one of some kinds by its ending. The
/// first of them is what a name without an ending gets, and what goes to standard output; `are` says
/// what they are.
pub(crate) fn companion(
    typed: PathBuf,
    kinds: &[Product],
    are: &str,
) -> Result<Companion, Complaint> {
    let (outlet, product) = outlet_of(typed, kinds, are)?;
    Ok(Companion { outlet, product })
}

/// Where tracks beside the sheet go of which this was typed, and of which kind they are. A name
/// without an ending stays as it is, since it may be that of a folder for several.
pub(crate) fn track_companion(
    typed: PathBuf,
    kinds: &[Product],
    are: &str,
) -> Result<Companion, Complaint> {
    let found = companion(typed.clone(), kinds, are)?;
    match found.outlet {
        Outlet::File(_) => Ok(Companion { outlet: Outlet::File(typed), ..found }),
        Outlet::Stdout => Ok(found),
    }
}

fn outlet_of(typed: PathBuf, kinds: &[Product], are: &str) -> Result<(Outlet, Product), Complaint> {
    let first = kinds.first().copied().unwrap_or(Product::Pdf);
    let ours = first.row().ending;
    if typed == Path::new("-") {
        return Ok((Outlet::Stdout, first));
    }
    // What is there and no plain file is refused where places are judged, in better words.
    if typed.file_name().is_none() || ends_in_slash(&typed) || (typed.exists() && !typed.is_file())
    {
        return Ok((Outlet::File(typed), first));
    }
    let Some(ending) = typed.extension() else {
        let mut named = typed.into_os_string();
        named.push(format!(".{ours}"));
        return Ok((Outlet::File(named.into()), first));
    };
    let is_own = |kind: &&Product| kind.has_ending(ending);
    if let Some(kind) = kinds.iter().find(is_own) {
        return Ok((Outlet::File(typed), *kind));
    }
    let pictures = ["png", "jpg", "jpeg"].iter().any(|p| ending.eq_ignore_ascii_case(p));
    let notes = [Product::MusicXml, Product::Mxl].iter().any(|kind| kind.has_ending(ending));
    let mend = if pictures {
        Advice::words("for pictures of its pages write ").part(AdvicePart::Draw)
    } else if notes {
        Advice::words("for its notes write ").part(AdvicePart::Notes(typed.display().to_string()))
    } else {
        Advice::words(format!("write {}", typed.with_extension(ours).display()))
    };
    let problem = format!("{} cannot be its name, since {are}", typed.display());
    Err(Complaint::new(problem).mend(mend))
}

/// Where one track goes of which this was typed, and what kind of file it is: by its ending, as it
/// was `asked` for without one, and else the usual kind.
pub(crate) fn outlet_of_track(
    typed: &Path,
    asked: Option<Product>,
) -> Result<(PathBuf, Product), Complaint> {
    let kind = asked.unwrap_or(TRACKS[0]);
    let ours = kind.row().ending;
    if typed.file_name().is_none() || ends_in_slash(typed) || (typed.exists() && !typed.is_file()) {
        return Ok((typed.to_owned(), kind));
    }
    let Some(ending) = typed.extension() else {
        let mut named = typed.as_os_str().to_owned();
        named.push(format!(".{ours}"));
        return Ok((named.into(), kind));
    };
    match Product::of_track_ending(ending) {
        Some(found) if asked.is_none_or(|asked| asked == found) => Ok((typed.to_owned(), found)),
        _ => {
            let kinds = asked.as_ref().map_or(&TRACKS[..], std::slice::from_ref);
            let words: Vec<&str> = kinds.iter().map(|kind| kind.row().word).collect();
            let name = typed.display();
            let problem =
                format!("{name} cannot be its name, since a track is a {}", words.join(" or a "));
            let mend = format!("write {}", typed.with_extension(ours).display());
            Err(Complaint::new(problem).mend(mend))
        }
    }
}

/// Whether a path is written as that of a folder.
pub(crate) fn ends_in_slash(path: &Path) -> bool {
    path.as_os_str().to_string_lossy().ends_with(['/', '\\'])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_that_can_be_a_sheet() {
        for (typed, file) in
            [("a.pdf", "a.pdf"), ("A.PDF", "A.PDF"), ("of/a", "of/a.pdf"), ("a/", "a/"), ("/", "/")]
        {
            assert_eq!(outlet(typed.into()), Ok(Outlet::File(file.into())), "{typed}");
        }
        assert_eq!(outlet("-".into()), Ok(Outlet::Stdout));
    }

    #[test]
    fn the_ending_of_a_companion_says_what_it_is() {
        let kinds = [Product::MusicXml, Product::Mxl];
        for (typed, file, product) in [
            ("a", "a.musicxml", Product::MusicXml),
            ("a.MusicXML", "a.MusicXML", Product::MusicXml),
            ("a.xml", "a.xml", Product::MusicXml),
            ("of/a.mxl", "of/a.mxl", Product::Mxl),
        ] {
            let outlet = Outlet::File(file.into());
            let found = companion(typed.into(), &kinds, "notes are MusicXML");
            assert_eq!(found, Ok(Companion { outlet, product }), "{typed}");
        }
        let refusal = companion("a.pdf".into(), &kinds, "notes are MusicXML").unwrap_err();
        assert!(refusal.to_string().ends_with("since notes are MusicXML; write a.musicxml"));
    }

    #[test]
    fn names_that_cannot() {
        for (typed, mend) in [
            ("practise.mid", "write practise.pdf"),
            ("of/a.toml", "write of/a.pdf"),
            ("a.xml", "for its notes write a.xml as the file of notes"),
            ("a.PNG", "for pictures of its pages write a folder for pictures"),
        ] {
            let refusal = outlet(typed.into()).unwrap_err().to_string();
            assert!(refusal.ends_with(&format!("; {mend}")), "{refusal}");
        }
    }
}
