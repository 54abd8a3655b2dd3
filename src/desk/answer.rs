//! What the desk hands over.

/// What a command has to hand over.
#[derive(Debug, PartialEq, Eq)]
pub struct Answer {
    /// What goes to stdout: what was asked for, or else what is said of it.
    pub out: Vec<u8>,
    /// What is said on stderr, since stdout has better to carry.
    pub aside: String,
}

impl Answer {
    /// What is said on stdout, or beside a sheet that goes there.
    pub(crate) fn of(said: String, sheet: Option<Vec<u8>>) -> Self {
        match sheet {
            Some(out) => Self { out, aside: said },
            None => Self { out: said.into_bytes(), aside: String::new() },
        }
    }

    /// The same without a word on what was done.
    pub(crate) fn quiet(self) -> Self {
        let out = if self.aside.is_empty() { Vec::new() } else { self.out };
        Self { out, aside: String::new() }
    }
}

impl From<String> for Answer {
    fn from(said: String) -> Self {
        Self::of(said, None)
    }
}
