//! Drill templates: TOML in the trade's terms, read and judged.

use serde::Deserialize;
use toml::Spanned;

use crate::recipe::Feel;
use crate::score::{Metre, QUARTER, Ticks};
use crate::theory::Mode;
use crate::toml_source::{SourceError, from_toml};

/// A drill, before any key is chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// The short name that commands use.
    pub name: String,
    /// The title that a sheet bears.
    pub title: String,
    /// What the drill is.
    pub about: String,
    /// What to listen for.
    pub listen: Option<String>,
    /// The metre of every bar.
    pub metre: Metre,
    /// The scale that degrees count in.
    pub mode: Mode,
    /// How eighths are played unless the recipe says otherwise.
    pub feel: Feel,
    /// Its passages, in playing order.
    pub passages: Vec<Passage>,
}

/// A run of chords played the same way.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// Scale degrees of the chords; 8 is the tonic an octave up.
    pub degrees: Vec<i32>,
    /// The length of each chord.
    pub chord_length: Ticks,
    /// What the right hand plays on each chord.
    pub figure: Figure,
    /// The value of each step of the figure.
    pub step: StepValue,
    /// How the left hand lays out the chord.
    pub voicing: Voicing,
    /// When the left hand strikes.
    pub comping: Comping,
    /// How the first chord of the passage enters.
    pub entry: Entry,
    /// Whether the last chord is held at will.
    pub fermata: bool,
}

/// A right-hand figure: steps of one or more chord tones struck together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The chord tones of each step, low to high: 0 the root, 1 the third, 2 the fifth, 3 the
    /// seventh, 4 the root an octave up.
    pub steps: Vec<Vec<i32>>,
}

/// The note values that a figure may move in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
#[expect(missing_docs, reason = "note values name themselves")]
pub enum StepValue {
    Eighth,
    Quarter,
    Half,
    Whole,
}

impl StepValue {
    /// Its length.
    pub const fn ticks(self) -> Ticks {
        match self {
            Self::Eighth => QUARTER / 2,
            Self::Quarter => QUARTER,
            Self::Half => 2 * QUARTER,
            Self::Whole => 4 * QUARTER,
        }
    }
}

/// Left-hand layouts of a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Voicing {
    /// All four notes within an octave, the root lowest.
    Close,
}

/// When the left hand strikes a chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Comping {
    /// With the first note of the figure, held to the next chord.
    OnBeat,
    /// An eighth early, held to the next chord.
    Push,
}

/// How the first chord of a passage enters.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Entry {
    /// On its beat, held to the next chord.
    #[default]
    Held,
    /// On its beat, an eighth long.
    Short,
    /// An eighth early, out of the passage before.
    Push,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTemplate {
    name: Spanned<String>,
    title: Spanned<String>,
    #[serde(default)]
    about: String,
    listen: Option<String>,
    metre: Metre,
    #[serde(default)]
    mode: Mode,
    feel: Option<Feel>,
    #[serde(default)]
    passage: Vec<Spanned<RawPassage>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawPassage {
    degrees: Spanned<Vec<Spanned<i64>>>,
    beats: Spanned<i64>,
    figure: Spanned<String>,
    note: Spanned<StepValue>,
    voicing: Voicing,
    comping: Comping,
    #[serde(default)]
    entry: Option<Spanned<Entry>>,
    #[serde(default)]
    fermata: bool,
}

/// Chords in one passage beyond which a sheet could not hold them.
const MOST_CHORDS: usize = 64;
/// Bars in a drill beyond which it could not stand on one page.
const MOST_BARS: Ticks = 32;

impl Template {
    /// Reads and judges a template. `origin` names it in errors.
    pub fn parse(text: &str, origin: &str) -> Result<Self, SourceError> {
        let raw: RawTemplate = from_toml(text, origin)?;
        let judge = Judge { text, origin };
        judge.not_empty(&raw.name, "name")?;
        judge.not_empty(&raw.title, "title")?;
        if raw.passage.is_empty() {
            return Err(judge
                .error(raw.name.span(), "the drill has no passage".into())
                .mend("add at least one [[passage]]"));
        }
        let passages = raw
            .passage
            .into_iter()
            .enumerate()
            .map(|(index, passage)| judge.passage(passage, index, raw.metre))
            .collect::<Result<Vec<_>, _>>()?;
        let bars = passages.iter().map(Passage::length).sum::<Ticks>() / raw.metre.bar();
        if bars > MOST_BARS {
            let problem = format!("the drill is {bars} bars long, a page holds {MOST_BARS}");
            return Err(judge.error(raw.name.span(), problem).mend("split it into two drills"));
        }
        Ok(Self {
            name: raw.name.into_inner(),
            title: raw.title.into_inner(),
            about: raw.about,
            listen: raw.listen,
            metre: raw.metre,
            mode: raw.mode,
            feel: raw.feel.unwrap_or(Feel::Even),
            passages,
        })
    }
}

impl Passage {
    /// The length of the whole passage.
    pub fn length(&self) -> Ticks {
        self.chord_length * self.degrees.len() as Ticks
    }
}

/// Judges a template against its own text, so that errors know their line.
struct Judge<'a> {
    text: &'a str,
    origin: &'a str,
}

type ByteRange = std::ops::Range<usize>;

impl Judge<'_> {
    fn error(&self, span: ByteRange, problem: String) -> SourceError {
        SourceError::at(self.origin, self.text, Some(span), problem)
    }

    fn not_empty(&self, field: &Spanned<String>, name: &str) -> Result<(), SourceError> {
        if field.get_ref().trim().is_empty() {
            let problem = format!("field `{name}` is empty");
            return Err(self.error(field.span(), problem).mend("write a word or two"));
        }
        Ok(())
    }

    fn passage(
        &self,
        raw: Spanned<RawPassage>,
        index: usize,
        metre: Metre,
    ) -> Result<Passage, SourceError> {
        let whole = raw.span();
        let raw = raw.into_inner();
        let figure = self.figure(&raw.figure)?;
        let degrees = self.degrees(&raw.degrees)?;
        let beats = *raw.beats.get_ref();
        if !(1..=16).contains(&beats) {
            let problem = format!("field `beats` is {beats}");
            return Err(self.error(raw.beats.span(), problem).mend("write 1 to 16"));
        }
        let chord_length = beats as Ticks * QUARTER;
        let step = *raw.note.get_ref();
        let played = figure.steps.len() as Ticks * step.ticks();
        if played != chord_length {
            let problem = format!(
                "the figure lasts {} beats but its chord {beats}",
                f64::from(played) / f64::from(QUARTER)
            );
            return Err(self.error(raw.figure.span(), problem).mend(format!(
                "write {} steps, or change `beats` or `note`",
                f64::from(chord_length) / f64::from(step.ticks())
            )));
        }
        let entry = raw.entry.as_ref().map_or(Entry::Held, |entry| *entry.get_ref());
        if index == 0 && entry == Entry::Push {
            let span = raw.entry.map_or(whole.clone(), |entry| entry.span());
            return Err(self
                .error(span, "the first passage has nothing before it to push out of".into())
                .mend("write entry = \"short\" or entry = \"held\""));
        }
        let passage = Passage {
            degrees,
            chord_length,
            figure,
            step,
            voicing: raw.voicing,
            comping: raw.comping,
            entry,
            fermata: raw.fermata,
        };
        if passage.length() % metre.bar() != 0 {
            let problem = format!(
                "{} chords of {beats} beats do not fill whole bars of {metre}",
                passage.degrees.len()
            );
            return Err(self
                .error(raw.degrees.span(), problem)
                .mend("add or leave out chords, or change `beats`"));
        }
        Ok(passage)
    }

    fn degrees(&self, raw: &Spanned<Vec<Spanned<i64>>>) -> Result<Vec<i32>, SourceError> {
        let degrees = raw.get_ref();
        if degrees.is_empty() || degrees.len() > MOST_CHORDS {
            let problem = format!("field `degrees` has {} entries", degrees.len());
            return Err(self.error(raw.span(), problem).mend(format!("write 1 to {MOST_CHORDS}")));
        }
        let mut checked = Vec::new();
        for degree in degrees {
            let value = *degree.get_ref();
            if !(1..=8).contains(&value) {
                let problem = format!("degree {value} is not in a scale of seven notes");
                return Err(self
                    .error(degree.span(), problem)
                    .mend("write 1 to 7, or 8 for the octave"));
            }
            checked.push(value as i32);
        }
        Ok(checked)
    }

    fn figure(&self, raw: &Spanned<String>) -> Result<Figure, SourceError> {
        let step = |word: &str| -> Result<Vec<i32>, SourceError> {
            let mut tones = Vec::new();
            for tone in word.split('+') {
                let known = CHORD_TONES.iter().position(|(name, _)| *name == tone);
                let Some(row) = known else {
                    let names: Vec<&str> = CHORD_TONES.iter().map(|(name, _)| *name).collect();
                    return Err(self
                        .error(raw.span(), format!("`{tone}` is no chord tone"))
                        .mend(format!("write {}", names.join(", "))));
                };
                tones.push(CHORD_TONES[row].1);
            }
            tones.sort_unstable();
            tones.dedup();
            Ok(tones)
        };
        let steps = raw.get_ref().split_whitespace().map(step).collect::<Result<Vec<_>, _>>()?;
        if steps.is_empty() {
            return Err(self
                .error(raw.span(), "field `figure` is empty".into())
                .mend("write chord tones, as in \"1 3 5 7\""));
        }
        if let Some(crowded) = steps.iter().find(|tones| tones.len() > 5) {
            let problem = format!("a step of {} tones is more than a hand", crowded.len());
            return Err(self.error(raw.span(), problem).mend("write at most 5 in a step"));
        }
        Ok(Figure { steps })
    }
}

/// The chord tones that a figure may name, and how many thirds above the root each lies.
const CHORD_TONES: [(&str, i32); 6] = [("1", 0), ("3", 1), ("5", 2), ("7", 3), ("8", 4), ("10", 5)];

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = include_str!("../../templates/drills/pushed.toml");

    #[track_caller]
    fn fails(change: (&str, &str), expected: &str) {
        let text = GOOD.replacen(change.0, change.1, 1);
        assert_ne!(text, GOOD, "the change must change something");
        let error = Template::parse(&text, "my.toml").unwrap_err();
        assert_eq!(error.to_string(), expected);
    }

    #[test]
    fn a_ninth_degree_is_refused_with_its_line() {
        fails(
            ("6, 7, 8]", "6, 7, 9]"),
            "my.toml, line 11: degree 9 is not in a scale of seven notes; \
             write 1 to 7, or 8 for the octave",
        );
    }

    #[test]
    fn a_bar_that_does_not_fill_its_metre_is_refused() {
        fails(
            ("6, 7, 8]", "6, 7]"),
            "my.toml, line 11: 7 chords of 2 beats do not fill whole bars of 4/4; \
             add or leave out chords, or change `beats`",
        );
    }

    #[test]
    fn a_figure_longer_than_its_chord_is_refused() {
        fails(
            ("\"1 3 5 7\"", "\"1 3 5 7 5\""),
            "my.toml, line 13: the figure lasts 2.5 beats but its chord 2; \
             write 4 steps, or change `beats` or `note`",
        );
    }

    #[test]
    fn a_tone_outside_the_chord_is_refused() {
        fails(
            ("\"1 3 5 7\"", "\"1 3 4 7\""),
            "my.toml, line 13: `4` is no chord tone; write 1, 3, 5, 7, 8, 10",
        );
    }

    #[test]
    fn a_push_out_of_nothing_is_refused() {
        fails(
            ("entry = \"short\"", "entry = \"push\""),
            "my.toml, line 17: the first passage has nothing before it to push out of; \
             write entry = \"short\" or entry = \"held\"",
        );
    }

    #[test]
    fn a_misspelled_field_is_refused() {
        fails(
            ("comping =", "compping ="),
            "my.toml, line 16: unknown field `compping`; did you mean `comping`?",
        );
    }
}
