//! `quintfall drills`: the library, as a list or one drill at a time.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};

use super::sheet::unknown_drill;
use super::{CliError, files, trial};
use crate::drill::{Template, library};
use crate::recipe::LARGEST_TEMPLATE;

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
pub(super) struct Order {
    /// The drill to show
    #[arg(value_name = "NAME")]
    name: Option<String>,

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

impl Order {
    pub(super) fn show(&self) -> Result<String, CliError> {
        match (&self.action, &self.name) {
            (Some(Action::Check { file }), _) => check(file),
            (None, None) => list(),
            (None, Some(name)) => match library::find(name) {
                Some(text) => Ok(text.to_owned()),
                None => Err(unknown_drill("drills".to_owned(), name)),
            },
        }
    }
}

/// Judges a drill file.
fn check(file: &Path) -> Result<String, CliError> {
    let bytes = files::read(file, LARGEST_TEMPLATE as u64)?;
    let text = files::text(file, bytes)?;
    let origin = file.display().to_string();
    let template = Template::judge(&text, &origin).map_err(CliError::Drill)?;
    let refusals = trial::refusals(&text, &template, &origin);
    if !refusals.is_empty() {
        return Err(CliError::Drill(refusals));
    }
    let bars = template.length() / template.metre.bar();
    let chords: usize = template.passages.iter().map(|passage| passage.degrees.len()).sum();
    let mut said = format!(
        "{origin}: {} is a drill: {bars} bars of {}, {chords} chords, {}\n",
        template.name,
        template.metre,
        template.mode.words()
    );
    if library::find(&template.name).is_some_and(|own| own != text) {
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
