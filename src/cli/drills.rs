//! `quintfall drills`: the library, as a list or one drill at a time.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::CliError;
use crate::desk::{Judged, judge, unknown_drill};
use crate::drill::{Template, library};
use crate::source::{Place, nearest};

/// List the drills of the library, show the text of one, or judge a drill file of your own
#[derive(Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "\
Examples:
  quintfall drills
  quintfall drills pushed > mine.toml
then edit mine.toml, and
  quintfall drills check mine.toml
  quintfall handout --key C --drill mine.toml"
)]
pub(super) struct DrillsOrder {
    /// The drill to show
    #[arg(value_name = "NAME")]
    name: Option<String>,

    /// Words too many, taken so that it can be said what was probably meant
    #[arg(hide = true)]
    rest: Vec<String>,

    #[command(subcommand)]
    action: Option<Action>,
}

#[derive(Subcommand)]
enum Action {
    /// Say, line by line, what is wrong with a drill file and how to mend it
    #[command(after_help = "Example: quintfall drills check mine.toml")]
    Check {
        /// The drill file (TOML)
        #[arg(value_name = "FILE.toml")]
        file: PathBuf,
    },
}

impl DrillsOrder {
    pub(super) fn show(&self) -> Result<String, CliError> {
        match (&self.action, &self.name) {
            (Some(Action::Check { file }), _) => check(file),
            (None, None) => list(),
            (None, Some(name)) if !self.rest.is_empty() => Err(too_many(name, &self.rest)),
            (None, Some(name)) => match library::find(name) {
                Some(text) => Ok(text.to_owned()),
                None if Path::new(name).is_file() => Err(CliError::usage(format!(
                    "{name} is a file and no drill of the library; to judge it write `quintfall \
                     drills check {name}`, to print it `quintfall workbook --drill {name}`"
                ))),
                None => Err(unknown_drill(Place::Typed("drills".to_owned()), name).into()),
            },
        }
    }
}

/// The error for more than one word, of which the first may be a misspelled command.
fn too_many(first: &str, rest: &[String]) -> CliError {
    let rest = rest.join(" ");
    CliError::usage(match nearest(first, ["check"].into_iter()) {
        Some(meant) => {
            format!("unknown word `{first}`; did you mean `quintfall drills {meant} {rest}`?")
        }
        None => format!(
            "`{rest}` is too many; name one drill to show it, or write `quintfall drills check \
             FILE.toml` to judge a file"
        ),
    })
}

/// Judges a drill file.
fn check(file: &Path) -> Result<String, CliError> {
    let Judged { template, is_namesake } = judge(file).map_err(CliError::Judged)?;
    let bars = template.length() / template.metre.bar();
    let chords: usize = template.passages.iter().map(|passage| passage.degrees.len()).sum();
    let mut said = format!(
        "{}: {} is a drill: {bars} bars of {}, {chords} chords, {}\n",
        file.display(),
        template.name,
        template.metre,
        template.mode.words()
    );
    if is_namesake {
        said.push_str(
            "The library has another drill of that name; give yours a name of its own.\n",
        );
    }
    Ok(said)
}

/// Each drill with its title, and below them what it is.
fn list() -> Result<String, CliError> {
    let mut text = String::new();
    for (name, template) in library::all() {
        let template = Template::parse(template, name)?;
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{name}: {}\n    {}", template.title, template.about);
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_has_every_drill_with_its_title() {
        let list = list().unwrap();
        for (name, text) in library::all() {
            let title = Template::parse(text, name).unwrap().title;
            assert!(list.contains(&format!("{name}: {title}\n")), "{list}");
        }
    }
}
