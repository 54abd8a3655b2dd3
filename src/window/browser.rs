//! Starting the browser with an address.

use std::io;
use std::process::{Command, Stdio};
use std::thread;

/// What opens an address in the browser that the user has chosen, the usual one first.
const OPENERS: &[&[&str]] = if cfg!(windows) {
    // The empty word would be the title of a window.
    &[&["cmd", "/C", "start", ""]]
} else if cfg!(target_os = "macos") {
    &[&["/usr/bin/open"]]
} else {
    &[&["xdg-open"], &["gio", "open"], &["wslview"]]
};

/// Opens an address in the browser. Errors if nothing could be started that would.
pub(super) fn open(address: &str) -> io::Result<()> {
    started(OPENERS, address)
}

fn started(openers: &[&[&str]], address: &str) -> io::Result<()> {
    let mut failed = io::Error::from(io::ErrorKind::NotFound);
    for opener in openers {
        let Some((program, arguments)) = opener.split_first() else { continue };
        let mut command = Command::new(program);
        command.args(arguments).arg(address);
        command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        // Ctrl-C ends this program, and no browser that it started.
        #[cfg(unix)]
        std::os::unix::process::CommandExt::process_group(&mut command, 0);
        match command.spawn() {
            Ok(mut child) => {
                // Somebody must take note of its end, and it may go on as long as the browser does.
                thread::spawn(move || child.wait());
                return Ok(());
            }
            Err(error) => failed = error,
        }
    }
    Err(failed)
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;
    use std::time::{Duration, Instant};

    #[test]
    fn the_first_that_is_there_is_given_the_address() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("opened");
        let address = file.to_str().unwrap();
        started(&[&["/no/such/opener"], &["touch"]], address).unwrap();
        let start = Instant::now();
        while !file.exists() {
            assert!(start.elapsed() < Duration::from_secs(10));
            thread::sleep(Duration::from_millis(5));
        }
        assert!(started(&[&["/no/such/opener"]], address).is_err());
    }
}
