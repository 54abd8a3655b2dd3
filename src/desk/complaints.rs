//! What stages cannot do, as complaints: the one place where their errors are given a field and a
//! way to mend it.
//!
//! A stage says what is wrong as a type of its own, in words that any front may use. It knows
//! nothing of recipes and commands, which is what a way to mend it is told in.

use super::pipeline::PipelineError;
use super::place::PlaceError;
use crate::book::PageError;
use crate::canvas::picture::{LogoError, MOST_BYTES, MOST_PIXELS};
use crate::output::{OutputError, PngError, RESOLUTIONS, ReadBackError, WriteError};
use crate::sound::CannotPlay;
use crate::sound::synth::SoundError;
use crate::source::{Advice, AdvicePart, Complaint, RecipeField};

impl From<PipelineError> for Complaint {
    fn from(error: PipelineError) -> Self {
        let problem = error.to_string();
        match error {
            PipelineError::UnknownDrill { mend, .. } => Self::new(problem).mend(mend),
            PipelineError::SameName(_) => {
                Self::new(problem).mend("keep one of them, or name the other one anew")
            }
            PipelineError::NoSuchBar { bars, .. } => {
                Self::of(RecipeField::Watch, problem).mend(format!("write bars from 1 to {bars}"))
            }
            PipelineError::Template(complaint) | PipelineError::Keys(complaint) => complaint,
            PipelineError::Page(error) => error.into(),
            PipelineError::Output(error) => error.into(),
        }
    }
}

impl From<PageError> for Complaint {
    fn from(error: PageError) -> Self {
        let problem = error.to_string();
        match error {
            PageError::NoRoom { nearest: None, .. } => {
                Self::new(problem).mend("print it on larger paper, or upright")
            }
            PageError::NoRoom { nearest: Some(staff), .. } => {
                let words = format!("with staves of {staff} mm it has room: write ");
                Self::new(problem).mend(Advice::words(words).give(RecipeField::Staff, staff.mm()))
            }
            PageError::TooManyKeys { most, .. } => {
                let field = RecipeField::KeysAPage;
                let most = i64::try_from(most).unwrap_or(1);
                Self::of(field, problem).mend(Advice::words("write ").give(field, most))
            }
            PageError::TooManyBars { most, .. } => {
                let field = RecipeField::Bars;
                let most = i64::try_from(most).unwrap_or(1);
                Self::of(field, problem).mend(Advice::words("write ").give(field, most))
            }
            PageError::Unshowable { whose, .. } => {
                Self { field: whose.field(), ..Self::new(problem).mend("leave it out") }
            }
            PageError::TooLong { whose } => {
                Self { field: whose.field(), ..Self::new(problem).mend("shorten it") }
            }
            PageError::LongNote { .. } => Self::of(RecipeField::Note, problem).mend("shorten it"),
            PageError::InDrill { error, .. } => Self { problem, ..Self::from(*error) },
            PageError::Logo(error) => {
                Self { problem, field: Some(RecipeField::Logo.into()), ..error.into() }
            }
        }
    }
}

impl From<CannotPlay> for Complaint {
    fn from(error: CannotPlay) -> Self {
        let complaint = Self::new(error.to_string());
        match error {
            CannotPlay::TooLong { choruses: 0, .. } => {
                complaint.mend("choose fewer keys or a faster tempo")
            }
            CannotPlay::TooLong { choruses: 1, .. } => complaint.mend("ask for one chorus"),
            CannotPlay::TooLong { choruses, .. } => {
                complaint.mend(format!("ask for {choruses} choruses at most"))
            }
            CannotPlay::TooFast { fastest, rises: true, .. } => complaint.mend(format!(
                "have the tempo rise less, or ask for fewer choruses: at {fastest} it can be played"
            )),
            CannotPlay::RisesTooFar { choruses, .. } => {
                complaint.mend(format!("have it rise less, or {choruses} choruses at most"))
            }
            CannotPlay::TwoBasses => complaint.mend("leave out bass, or left"),
            CannotPlay::TooFast { fastest, .. } => {
                let words = format!("at {fastest} it can be played, or with less swing");
                complaint.mend(words)
            }
            CannotPlay::Groove { usual, .. } => {
                complaint.mend(format!("choose {} for it", usual.word()))
            }
            CannotPlay::NoBars => complaint.mend("write the form of the tune"),
            CannotPlay::NoParts => complaint.mend("choose one more part, such as bass"),
        }
    }
}

impl From<SoundError> for Complaint {
    fn from(error: SoundError) -> Self {
        let complaint = Self::new(error.to_string());
        match error {
            SoundError::TooLong { .. } => complaint.mend("ask for fewer choruses or keys"),
            SoundError::Tempo { .. } => complaint.mend("choose another tempo"),
            SoundError::Pitch { part, .. } => {
                complaint.mend(format!("leave {} out, or write notes alone (.mid)", part.word()))
            }
            SoundError::NoProgramme { part, .. } => {
                let mend = format!("choose another SoundFont, or leave {} out", part.word());
                complaint.mend(mend)
            }
            SoundError::NoFont(_) => complaint.mend("name a file that ends in .sf2"),
            SoundError::NoTempo | SoundError::Write(_) => complaint,
        }
    }
}

impl From<LogoError> for Complaint {
    fn from(error: LogoError) -> Self {
        let mend = match error {
            LogoError::NoPicture => "save it as PNG".to_owned(),
            LogoError::Broken { .. } => "save it anew as PNG".to_owned(),
            LogoError::TooManyBytes { .. } => {
                format!("make it smaller, at most {} MiB", MOST_BYTES >> 20)
            }
            LogoError::TooManyPixels { .. } => {
                format!("make it smaller, at most {MOST_PIXELS} by {MOST_PIXELS}")
            }
            LogoError::TooMuchMemory { .. } => "make it smaller, at most 2000 by 2000".to_owned(),
            LogoError::NotBase64 => "take it out and name the picture by logo".to_owned(),
        };
        Self::new(error.to_string()).mend(mend)
    }
}

impl From<OutputError> for Complaint {
    fn from(error: OutputError) -> Self {
        let complaint = Self::new(error.to_string());
        match error {
            OutputError::NoPages => complaint.mend("choose at least one key"),
            OutputError::LargeRecipe { .. } => complaint.mend("use smaller pictures in it"),
            OutputError::NoGlyph { .. } => complaint.mend("write it in another way"),
            // Faults of ours, which nobody can mend by writing otherwise.
            OutputError::NotFinite { .. }
            | OutputError::NoSuchPage { .. }
            | OutputError::NoSuchPicture { .. }
            | OutputError::PictureSize { .. }
            | OutputError::Font { .. }
            | OutputError::Structure(_) => complaint,
        }
    }
}

impl From<PngError> for Complaint {
    fn from(error: PngError) -> Self {
        let complaint = Self::new(error.to_string());
        match error {
            PngError::Resolution { .. } => {
                let (least, most) = (RESOLUTIONS.start(), RESOLUTIONS.end());
                complaint.mend(format!("ask for {least} to {most}"))
            }
            PngError::Encode(_) => complaint,
        }
    }
}

impl From<ReadBackError> for Complaint {
    fn from(error: ReadBackError) -> Self {
        let mend = match error {
            ReadBackError::NotPdf => "name a sheet that Quintfall made",
            ReadBackError::Encrypted => "save it without a password and try again",
            ReadBackError::SeveralRecipes => {
                "name one sheet as Quintfall made it, before it was put together with others"
            }
            ReadBackError::NoRecipe => {
                "either Quintfall did not make it, or it is the stack of a class, or another program \
                 saved it again and dropped its attachments: use the original sheet of one student"
            }
            ReadBackError::TooInvolved | ReadBackError::TooLarge => {
                "use the sheet as Quintfall made it"
            }
            ReadBackError::Broken(_) | ReadBackError::NotText => "use another copy of the sheet",
            ReadBackError::NotJson { .. } => "use another copy",
        };
        Self::new(error.to_string()).mend(mend)
    }
}

impl From<WriteError> for Complaint {
    fn from(error: WriteError) -> Self {
        let complaint = Self::new(error.to_string());
        match error {
            WriteError::NoFolder { .. } => complaint.mend("make it first"),
            WriteError::FileForFolder { .. } => complaint.mend("name a folder"),
            WriteError::IsFolder { .. } => complaint.mend("name a file in it"),
            WriteError::NotPermitted { .. } => complaint.mend("choose another folder"),
            WriteError::NoRoom { .. } => complaint.mend("make room or choose another folder"),
            WriteError::Circle { .. } => complaint.mend("remove it"),
            WriteError::System { .. } => complaint,
        }
    }
}

impl From<PlaceError> for Complaint {
    fn from(error: PlaceError) -> Self {
        let problem = error.to_string();
        match error {
            PlaceError::Write(error) => error.into(),
            PlaceError::NoFile(_) => Self::new(problem).mend("choose another name"),
            PlaceError::Other(..) => {
                let mend = Advice::words("choose another name, or replace it with ");
                Self::new(problem).mend(mend.part(AdvicePart::Replace))
            }
            PlaceError::Partly { error, .. } => Self { problem, ..Self::from(*error) },
            PlaceError::Full(_) => Self::new(problem)
                .mend(Advice::words("clear the folder, or choose ").part(AdvicePart::Name)),
        }
    }
}
