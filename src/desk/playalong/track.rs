//! One track: played, and made into a file of a kind.

use std::fs::File;
use std::io::{self, BufWriter, Cursor, Seek, Write};
use std::path::Path;

use super::ErrandTags;
use super::subject::Subject;
use crate::desk::commission::counted;
use crate::desk::place::Matter;
use crate::desk::product::Product;
use crate::desk::spool::{Spool, Spooled};
use crate::output::WriteError;
use crate::sound::synth::{self, Font, SoundError, SoundForm, SoundOptions};
use crate::sound::{self, MarkKind, Performance, TrackOptions};
use crate::source::Complaint;
use crate::theory::Key;

/// A track that has been played.
pub(super) struct TrackFile {
    performance: Performance,
    tempo: u16,
    /// Its key, where it has one alone.
    key: Option<Key>,
    /// What it is, in a line.
    pub(super) about: String,
}

/// A file that is made and not yet in its place.
pub(crate) enum FileBody {
    /// Notes in time are small.
    Bytes(Vec<u8>),
    /// Sound is large: it waits in a file without a name.
    Spool(Spool),
}

impl TrackFile {
    /// Plays a subject.
    pub(super) fn played(
        subject: &Subject<'_>,
        tempo: u16,
        options: &TrackOptions,
    ) -> Result<Self, Complaint> {
        let performance = subject.played(tempo, options).map_err(|error| {
            let complaint = Complaint::from(error);
            Complaint { problem: format!("{}: {}", subject.name(), complaint.problem), ..complaint }
        })?;
        let parts: Vec<&str> = performance.tracks.iter().map(|it| it.part.word()).collect();
        let keys = counted(subject.keys(), "key");
        let seconds = performance.seconds().ceil() as u64;
        let lasting = format!("{}:{:02}", seconds / 60, seconds % 60);
        let about = format!("{keys} at {tempo}, {lasting}, {}", parts.join(", "));
        let told = performance.marks.iter().find_map(|mark| match mark.kind {
            MarkKind::Key(key) => Some(key),
            _ => None,
        });
        let key = told.filter(|_| subject.keys() == 1);
        Ok(Self { performance, tempo, key, about })
    }

    /// How long it takes.
    pub(super) fn minutes(&self) -> f64 {
        self.performance.seconds() / 60.0
    }

    /// Its line in a playlist, with the name of its file.
    pub(super) fn listed(&self, name: &str) -> String {
        let seconds = self.performance.seconds().ceil();
        format!("#EXTINF:{seconds},{}\n{name}\n", self.title())
    }

    fn title(&self) -> String {
        let key = self.key.map(|key| format!(", {}", key.words())).unwrap_or_default();
        format!("{}{key}, {}", self.performance.title, self.tempo)
    }

    /// The file of a kind, to wait in a folder if it is large. `file` is what it will be called.
    pub(super) fn made(
        &self,
        (kind, tags, font): (Product, &ErrandTags, Option<&Font>),
        (folder, file): (&Path, &Path),
    ) -> Result<FileBody, Complaint> {
        let Some(form) = form(kind) else {
            return Ok(FileBody::Bytes(sound::midi(&self.performance)));
        };
        let of_file = |source| Complaint::from(WriteError::system(file, folder, source));
        let spool = Spool::begin(folder).map_err(of_file)?;
        let mut out = BufWriter::new(spool.handle().map_err(of_file)?);
        let made = self.rendered((form, tags, font), &mut out);
        made.and_then(|()| Ok(out.flush()?)).map_err(|error| match error {
            SoundError::Write(source) => of_file(source),
            error => error.into(),
        })?;
        drop(out);
        Ok(FileBody::Spool(spool))
    }

    /// The file of a kind in memory, for standard output.
    pub(super) fn bytes(
        &self,
        (kind, tags, font): (Product, &ErrandTags, Option<&Font>),
    ) -> Result<Vec<u8>, Complaint> {
        let Some(form) = form(kind) else { return Ok(sound::midi(&self.performance)) };
        let mut bytes = Cursor::new(Vec::new());
        self.rendered((form, tags, font), &mut bytes)?;
        Ok(bytes.into_inner())
    }

    /// It is made audible, with our instruments or with those of a file.
    fn rendered(
        &self,
        (form, tags, font): (SoundForm, &ErrandTags, Option<&Font>),
        out: &mut (impl Write + Seek),
    ) -> Result<(), SoundError> {
        let options = self.options(form, tags);
        match font {
            Some(font) => synth::render_with(font, &self.performance, &options, out),
            None => synth::render(&self.performance, &options, out),
        }
    }

    fn options(&self, form: SoundForm, tags: &ErrandTags) -> SoundOptions {
        let first = self.performance.tempi.first().map(|tempo| tempo.quarters);
        let tags = synth::TrackTags {
            title: Some(self.title()),
            artist: tags.student.clone(),
            album: tags.title.clone(),
            tempo: first,
        };
        SoundOptions { form, tags }
    }
}

/// The form of sound that a kind of file has, if it is one.
fn form(kind: Product) -> Option<SoundForm> {
    match kind {
        Product::Wav => Some(SoundForm::Wav),
        Product::Flac => Some(SoundForm::Flac),
        _ => None,
    }
}

impl FileBody {
    fn spooled(spool: &Spool) -> io::Result<Spooled<'_>> {
        spool.whole()
    }
}

impl Matter for FileBody {
    fn len(&self) -> u64 {
        match self {
            Self::Bytes(bytes) => Matter::len(bytes),
            Self::Spool(spool) => Self::spooled(spool).map_or(0, |all| all.len()),
        }
    }

    fn write(&self, file: &mut File) -> io::Result<()> {
        match self {
            Self::Bytes(bytes) => Matter::write(bytes, file),
            Self::Spool(spool) => Self::spooled(spool)?.write(file),
        }
    }

    fn is_at(&self, path: &Path) -> bool {
        match self {
            Self::Bytes(bytes) => bytes.is_at(path),
            Self::Spool(spool) => Self::spooled(spool).is_ok_and(|all| all.is_at(path)),
        }
    }
}
