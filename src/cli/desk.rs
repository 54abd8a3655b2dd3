//! `quintfall desk`: the page in the browser.

use clap::Args;

use super::{CliError, Report, report};
use crate::window::Window;

/// Open a page in the browser, to choose, look, print and keep a class without typing
///
/// The page is on this machine alone and nothing leaves it. The program ends when the page has been
/// closed for a while, or by Ctrl-C.
#[derive(Args)]
#[command(after_help = "\
Examples:
  quintfall desk
  quintfall desk --no-browser --port 4000")]
pub(super) struct DeskOrder {
    /// Say the address of the page and open no browser
    #[arg(long)]
    no_browser: bool,

    /// The port to listen on; without it, one that is free
    #[arg(long, value_name = "NUMBER", value_parser = port)]
    port: Option<u16>,
}

impl DeskOrder {
    pub(super) fn serve(&self) -> Result<Report, CliError> {
        let window = Window::open(self.port)?;
        report::answer(&Report::from(format!("the page is at {}\n", window.address())))?;
        if !self.no_browser
            && let Err(complaint) = window.show()
        {
            report::complain(&complaint.into());
        }
        window.serve()?;
        Ok(Report::from(String::new()))
    }
}

fn port(text: &str) -> Result<u16, String> {
    let refused = || format!("port is `{text}`; write a whole number from 1 to {}", u16::MAX);
    text.trim().parse().ok().filter(|port| *port > 0).ok_or_else(refused)
}
