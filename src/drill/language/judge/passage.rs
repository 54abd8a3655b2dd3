//! Judges a passage: reads its fields, and says what does not go together in it.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeValue;

use super::degrees::degrees;
use super::fit::{self, WrittenFigure};
use super::form::form;
use super::frame::TemplateFrame;
use super::key::{home, scales};
use super::places::Places;
use super::words::{of_turns, required_word, turns, word};
use crate::drill::compose::USUAL_SEED;
use crate::drill::language::comping::Comping;
use crate::drill::language::value::VALUES;
use crate::drill::language::voicing::Voicing;
use crate::drill::template::{Entry, Passage};
use crate::score::{Metre, QUARTER, Ticks};
use crate::source::DrillField as Field;
use crate::source::fields::{Fields, Mistakes, as_text, as_whole, one_of};

/// Beats that a chord may last.
const MOST_BEATS: i64 = 32;

const ENTRIES: [(&str, Entry); 3] =
    [("held", Entry::Held), ("short", Entry::Short), ("push", Entry::Push)];
const HANDS: [(&str, bool); 2] = [("as-usual", false), ("swapped", true)];

/// Reads the passage at an index of the drill.
pub(super) fn passage(
    value: &Spanned<DeValue<'_>>,
    index: usize,
    frame: TemplateFrame,
    mistakes: &mut Mistakes<'_>,
) -> Option<(Passage, Places)> {
    let Some(table) = value.get_ref().as_table() else {
        mistakes.add(value.span(), "a passage is a table of its own", "write [[passage]] above it");
        return None;
    };
    let mut fields = Fields::of(table, value.span());
    let home = home(&mut fields, index, frame, mistakes);
    let mode = home.map_or(frame.mode, |(home, _)| home.mode);
    let degrees = degrees(&mut fields, mode, mistakes);
    let beats = beats(&mut fields, mistakes);
    let right = figures(&mut fields, mistakes);
    let scales = scales(&mut fields, mistakes);
    let other = other_hand(&mut fields, frame.metre, mistakes);
    let leads = fields.flag(Field::VoiceLeading, mistakes);
    let entry_text = fields.text(Field::Entry, mistakes);
    let entry = entry_text.as_ref().and_then(|text| one_of("entry", text, &ENTRIES, mistakes));
    let fermata = fields.flag(Field::Fermata, mistakes).is_some_and(Spanned::into_inner);
    let is_swapped = word(&mut fields, Field::Hands, &HANDS, mistakes).unwrap_or(false);
    let (form, form_places) = form(&mut fields, mistakes);
    let whole = fields.span();
    fields.finish(mistakes);

    let (degrees, degrees_span) = degrees?;
    let lengths: Vec<Ticks> = beats?.iter().map(|beats| beats * frame.metre.count_unit()).collect();
    let (Melody { figures, line, line_at }, other) = (right?, other?);
    let (home, has_signature) = home?;
    let passage = Passage {
        home,
        has_signature,
        degrees,
        lengths,
        figures: figures.iter().map(|written| written.figure.clone()).collect(),
        line,
        scales: scales?,
        voicings: other.voicings,
        leads_voices: leads.is_some_and(Spanned::into_inner),
        comping: other.comping,
        entry: entry.unwrap_or_default(),
        fermata,
        is_swapped,
        form,
    };
    fit::lengths(&passage, &figures, &other.lines, frame.metre, mistakes);
    if !fit::fills_bars(&passage, frame.metre, degrees_span, mistakes) {
        return None;
    }
    let places = Places {
        whole,
        figures: match line_at {
            Some(at) => vec![at],
            None => figures.iter().map(|written| written.at.clone()).collect(),
        },
        voicings: other.voicing_spans,
        comping: other.comping_span,
        lines: other.lines.iter().map(|written| written.at.clone()).collect(),
        form: form_places,
    };
    fit::entry(&passage, index, entry_text.map(|text| text.span()), &places, mistakes);
    fit::voicings(&passage, &places, mistakes);
    fit::hands(&passage, &figures, &places, mistakes);
    fit::strokes(&passage, frame.metre, &places, mistakes);
    fit::composed(&passage, frame.metre, &places, mistakes);
    Some((passage, places))
}

/// How many beats each chord lasts; several numbers take turns.
fn beats(fields: &mut Fields<'_>, mistakes: &mut Mistakes<'_>) -> Option<Vec<Ticks>> {
    let value = fields.required(Field::Beats, "2")?;
    let one = |value: &Spanned<DeValue<'_>>, mistakes: &mut Mistakes<'_>| {
        let beats = as_whole(value.get_ref()).filter(|beats| (1..=MOST_BEATS).contains(beats));
        if beats.is_none() {
            let mend = format!("write how many beats each chord lasts, 1 to {MOST_BEATS}");
            mistakes.add(value.span(), "field `beats` is no number of beats", mend);
        }
        beats.and_then(|beats| Ticks::try_from(beats).ok())
    };
    of_turns(value, Field::Beats, "[4, 2, 2]", mistakes, one)
}

/// What the playing hand has: figures that take turns, or a line that is composed.
struct Melody<'a> {
    figures: Vec<WrittenFigure<'a>>,
    line: Option<u64>,
    line_at: Option<Range<usize>>,
}

fn figures<'a>(fields: &mut Fields<'a>, mistakes: &mut Mistakes<'_>) -> Option<Melody<'a>> {
    let example = "\"1 3 5 7\"";
    let value = fields.required(Field::Figure, example);
    let seed = fields.value(Field::Seed);
    let at = value.map(Spanned::span);
    let is_line = value.and_then(|value| value.get_ref().as_str()).map(str::trim) == Some("line");
    if is_line {
        let note = fields.text(Field::Note, mistakes);
        if let Some(note) = note.filter(|note| note.get_ref().trim() != "eighth") {
            let problem = "a composed line goes in eighths";
            mistakes.add(note.span(), problem, "write note = \"eighth\", or leave it out");
        }
        let seed = match seed {
            None => USUAL_SEED,
            Some(value) => {
                let seed = as_whole(value.get_ref()).and_then(|seed| u64::try_from(seed).ok());
                if seed.is_none() {
                    let mend = "write a whole number: each gives another line";
                    mistakes.add(value.span(), "field `seed` is no whole number", mend);
                }
                seed?
            }
        };
        return Some(Melody { figures: Vec::new(), line: Some(seed), line_at: at });
    }
    if let Some(value) = seed {
        let problem = "field `seed` has no composed line beside it";
        mistakes.add(value.span(), problem, "leave it out, or write figure = \"line\"");
    }
    let usual = required_word(fields, (Field::Note, "\"eighth\""), &VALUES, mistakes);
    let figures = turns(value?, (Field::Figure, example), mistakes, |text, mistakes| {
        WrittenFigure::read(text, usual?, mistakes)
    })?;
    Some(Melody { figures, line: None, line_at: None })
}

/// What the other hand has.
struct OtherHand<'a> {
    voicings: Vec<Voicing>,
    voicing_spans: Vec<Range<usize>>,
    comping: Comping,
    comping_span: Range<usize>,
    /// The figures of a line of its own.
    lines: Vec<WrittenFigure<'a>>,
}

/// Reads what the other hand has: voicings and when it strikes them, or a line of its own.
fn other_hand<'a>(
    fields: &mut Fields<'a>,
    metre: Metre,
    mistakes: &mut Mistakes<'_>,
) -> Option<OtherHand<'a>> {
    let left = fields.value(Field::Left);
    let note = fields.text(Field::LeftNote, mistakes);
    let usual = match &note {
        Some(word) => one_of("note value", word, &VALUES, mistakes),
        None => Some(QUARTER),
    };
    let voicing = match left {
        Some(_) => fields.value(Field::Voicing),
        None => fields.required(Field::Voicing, "\"close\""),
    };
    let voicings = voicing.map(|value| {
        turns(value, (Field::Voicing, "\"close\""), mistakes, |text, mistakes| {
            Some((Voicing::parse(text.get_ref(), &text.span(), mistakes)?, text.span()))
        })
    });
    let comping = match left {
        Some(_) => fields.value(Field::Comping),
        None => fields.required(Field::Comping, "\"on-beat\""),
    };
    let comping = comping.and_then(|value| as_text(Field::Comping, value, mistakes));
    let Some(left) = left else {
        if let Some(note) = note {
            let mend = "leave it out, or write the line of the left hand, as in left = \"1 5 8 5\"";
            mistakes.add(note.span(), "field `left-note` has no `left` beside it", mend);
        }
        let comping = comping.and_then(|text| {
            let comping = Comping::parse(text.get_ref(), &text.span(), metre, mistakes)?;
            Some((comping, text.span()))
        });
        let (voicings, voicing_spans) = voicings??.into_iter().unzip();
        let (comping, comping_span) = comping?;
        return Some(OtherHand { voicings, voicing_spans, comping, comping_span, lines: vec![] });
    };
    if let Some(text) = comping {
        let problem = "a passage has `comping` or a line of the left hand, not both";
        mistakes.add(text.span(), problem, "leave `comping` or `left` out");
    }
    let comping_span = left.span();
    let is_walking = left.get_ref().as_str().is_some_and(|word| word.trim() == "walking");
    let (voicings, voicing_spans) = match voicings {
        Some(voicings) => voicings?.into_iter().unzip(),
        None => (vec![Voicing::usual()], vec![comping_span.clone()]),
    };
    if is_walking {
        let comping = Comping::Walking;
        return Some(OtherHand { voicings, voicing_spans, comping, comping_span, lines: vec![] });
    }
    let mut are_named = true;
    let lines = turns(left, (Field::Left, "\"1 5 8 5\""), mistakes, |text, mistakes| {
        let word = text.get_ref().trim();
        match Comping::line_named(word) {
            Some(line) => WrittenFigure::named(line, text.span(), QUARTER, mistakes),
            None => {
                are_named = false;
                WrittenFigure::read(text, usual?, mistakes)
            }
        }
    })?;
    let figures = lines.iter().map(|written| written.figure.clone()).collect();
    let comping = if are_named { Comping::Bass(figures) } else { Comping::Line(figures) };
    Some(OtherHand { voicings, voicing_spans, comping, comping_span, lines })
}
