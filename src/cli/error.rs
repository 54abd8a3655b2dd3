//! Everything that can keep a sheet from being made.

use std::io;
use std::path::PathBuf;

use thiserror::Error;

use crate::canvas::picture::LogoError;
use crate::desk::pipeline::PipelineError;
use crate::desk::place::PlaceError;
use crate::output::{OutputError, PngError, ReadBackError};
use crate::recipe::FieldError;
use crate::source::SourceError;

/// Why a command was not done; its message is one line: where, what, how to mend it.
#[derive(Debug, Error)]
pub enum CliError {
    /// The command line itself.
    #[error("{0}")]
    Usage(String),
    /// A recipe or a drill file.
    #[error(transparent)]
    Source(#[from] SourceError),
    /// Everything that is wrong with a drill file, a line each.
    #[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
    Drill(Vec<SourceError>),
    /// A field that cannot stand, wherever it came from.
    #[error("{origin}: {}", .error.line())]
    Field {
        /// The option, or the file and line.
        origin: String,
        /// What is wrong with it.
        error: FieldError,
    },
    /// No drill of that name.
    #[error("{origin}: unknown drill `{found}`; {mend}")]
    UnknownDrill {
        /// The option, or the file and line.
        origin: String,
        /// What was written.
        found: String,
        /// How to mend it.
        mend: String,
    },
    /// A recipe that names one drill and holds another.
    #[error(
        "{origin}: drill is `{drill}`, but template is that of `{template}`; \
         take one of the two out of the recipe"
    )]
    TwoDrills {
        /// The file.
        origin: String,
        /// The drill it names.
        drill: String,
        /// The drill whose template it holds.
        template: String,
    },
    /// A character that the text face has no glyph for.
    #[error(
        "{origin}: the text face cannot show `{found}` (U+{:04X}) in {field}; \
         write it in other letters", *.found as u32
    )]
    NoGlyph {
        /// The option, or the file and line.
        origin: String,
        /// The field.
        field: &'static str,
        /// The character.
        found: char,
    },
    /// A file that cannot be read.
    #[error("cannot read {}: {problem}; {mend}", .path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        problem: String,
        /// How to mend it.
        mend: &'static str,
    },
    /// A picture that cannot be printed.
    #[error("{origin}: {error}")]
    Logo {
        /// The picture's file, or the recipe that holds it.
        origin: String,
        /// What is wrong with it.
        error: LogoError,
    },
    /// A PDF without a recipe of ours.
    #[error("{}: {error}", .path.display())]
    ReadBack {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        error: ReadBackError,
    },
    /// A handout of nothing.
    #[error("a handout needs a key; write --key Eb, or name a recipe")]
    NoKey,
    /// A key where a recipe's file should stand.
    #[error(
        "there is no recipe {key}; for a handout in {key} write --key {key}",
        key = .0.display()
    )]
    KeyAsRecipe(PathBuf),
    /// A drill where a recipe's file should stand.
    #[error(
        "{drill} is a drill and no recipe; write --drill {drill}",
        drill = .0.display()
    )]
    DrillAsRecipe(PathBuf),
    /// A file of a name that no drill file has.
    #[error(
        "{origin}: the name of a drill file ends in .toml; rename {} to {}",
        .file.display(),
        .file.with_extension("toml").display()
    )]
    NotNamedAsDrill {
        /// The option, or the file and line.
        origin: String,
        /// The file.
        file: PathBuf,
    },
    /// Two drills of one name in a course, not both of the library.
    #[error("{origin}: {one} and {other} are both named `{name}`; change `name` in {mend}")]
    SameName {
        /// The option, or the file and line.
        origin: String,
        /// The name.
        name: String,
        /// Where the first comes from.
        one: String,
        /// Where the second comes from.
        other: String,
        /// Which of the two can be changed.
        mend: String,
    },
    /// A page that cannot become a picture.
    #[error("{0}")]
    Picture(#[from] PngError),
    /// A place where the sheet cannot be put.
    #[error(transparent)]
    Place(#[from] PlaceError),
    /// A recipe that cannot be engraved.
    #[error("{origin}: {error}")]
    Pipeline {
        /// The recipe or the drill.
        origin: String,
        /// What is wrong with it.
        error: PipelineError,
    },
    /// A document that cannot be written as PDF.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// Stdout that takes no more.
    #[error("cannot write to stdout: {0}")]
    Stdout(io::Error),
}
