//! `quintfall drills`: the library, as a list or one drill at a time.

use std::fmt::Write as _;

use clap::Args;

use super::CliError;
use super::sheet::unknown_drill;
use crate::drill::{Template, library};

/// List the drills of the library, or show the text of one
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall drills
  quintfall drills pushed > mine.toml
then edit mine.toml, and
  quintfall handout --key C --drill mine.toml")]
pub(super) struct Order {
    /// The drill to show
    #[arg(value_name = "NAME")]
    name: Option<String>,
}

impl Order {
    pub(super) fn show(&self) -> Result<String, CliError> {
        match &self.name {
            None => list(),
            Some(name) => match library::find(name) {
                Some(text) => Ok(text.to_owned()),
                None => Err(unknown_drill("drills".to_owned(), name)),
            },
        }
    }
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
