//! Reading the key of a passage, and the scales that its figures count in.

use toml::Spanned;

use super::frame::{TemplateFrame, modes};
use super::words::turns;
use crate::drill::language::degree_words;
use crate::drill::language::harmony::{self, PassageHome};
use crate::source::DrillField as Field;
use crate::source::fields::{Fields, Mistakes, one_of};
use crate::theory::{BorrowedTarget, Interval, Key, Letter, Mode, NamedScale, NoteName};

/// The key of the passage at an index, and whether its signature is printed. `None` where it is not to be known.
pub(super) fn home(
    fields: &mut Fields<'_>,
    index: usize,
    frame: TemplateFrame,
    mistakes: &mut Mistakes<'_>,
) -> Option<(PassageHome, bool)> {
    let key = fields.text(Field::Key, mistakes);
    let mode_text = fields.text(Field::Mode, mistakes);
    let mode = mode_text.as_ref().map(|text| one_of("mode", text, &modes(), mistakes));
    let signature = fields.flag(Field::Signature, mistakes);
    let has_signature = signature.as_ref().is_some_and(|flag| *flag.get_ref());
    if let Some(flag) = signature.as_ref().filter(|_| has_signature && index == 0) {
        let problem = "the first passage has the signature of the drill's own key";
        let mend = "leave `signature` out of it, or begin with a passage in the drill's own key";
        mistakes.add(flag.span(), problem, mend);
    }
    let Some(key) = key else {
        if let Some(flag) = signature {
            let problem = "field `signature` has no `key` beside it";
            mistakes.add(flag.span(), problem, "leave it out, or write a key, as in key = \"IV\"");
        }
        let mode = match mode {
            Some(mode) => mode.filter(|mode| {
                let is_own = mode.signature() == frame.mode.signature();
                if let (false, Some(text)) = (is_own, &mode_text) {
                    other_signature(text, *mode, frame.mode, mistakes);
                }
                is_own
            }),
            None => Some(frame.mode),
        };
        return mode.map(|mode| (PassageHome::own(mode), false));
    };
    let Some((tonic, is_minor)) = degree_words::key_of(key.get_ref()) else {
        let problem = format!("`{}` is no key of a passage", key.get_ref().trim());
        let mend = "write its tonic as a numeral, large for major and small for minor, as in \
                    \"IV\", \"bIII\" or \"vi\"";
        mistakes.add(key.span(), problem, mend);
        return None;
    };
    let usual = if is_minor { Mode::NaturalMinor } else { Mode::Major };
    let mode = match (mode, &mode_text) {
        (Some(mode), Some(text)) => {
            let mode = mode?;
            if mode.is_minor() != is_minor {
                let letters = if is_minor { "small" } else { "large" };
                let problem = format!("a key in {letters} letters is not {}", mode.words());
                let mend = "write large letters for a major key and small ones for a minor one";
                mistakes.add(text.span(), problem, mend);
                return None;
            }
            mode
        }
        _ => usual,
    };
    if let Some(twin) = without_signature(tonic, mode) {
        let problem = format!("no key has the signature of `{}`", key.get_ref().trim());
        let mend = format!("write the key that sounds the same, as in {twin}");
        mistakes.add(key.span(), problem, mend);
        return None;
    }
    let of = (!has_signature && tonic != Interval::UNISON).then(|| target(tonic, is_minor));
    Some((PassageHome { tonic, mode, of }, has_signature))
}

fn other_signature(text: &Spanned<&str>, mode: Mode, home: Mode, mistakes: &mut Mistakes<'_>) {
    let problem = format!("a passage in {} in a drill in {}", mode.words(), home.words());
    let mend = "let these be two drills, each with its own key signature, or give the passage a \
                key of its own, as in key = \"i\"";
    mistakes.add(text.span(), problem, mend);
}

/// What the numerals of another key are counted from.
fn target(tonic: Interval, is_minor: bool) -> BorrowedTarget {
    let degree = tonic.steps.rem_euclid(7) + 1;
    let major = harmony::scale(Mode::Major).interval(degree);
    let alter = tonic.semitones.rem_euclid(12) - major.semitones;
    BorrowedTarget { degree, alter, is_minor }
}

/// The numeral of the key that sounds like one on an interval above C, where no signature serves
/// that one.
fn without_signature(tonic: Interval, mode: Mode) -> Option<String> {
    let name = NoteName::new(Letter::C, 0).up(tonic);
    let twin = Key::on(name, mode).tonic();
    if twin == name {
        return None;
    }
    let letters = ["I", "II", "III", "IV", "V", "VI", "VII"];
    let step = Letter::ALL.iter().position(|letter| *letter == twin.letter)?;
    let sign = if twin.alter < 0 { "b" } else { "#" };
    let numeral = format!("{}{}", sign.repeat(twin.alter.unsigned_abs() as usize), letters[step]);
    Some(if mode.is_minor() { numeral.to_lowercase() } else { numeral })
}

/// The scales that figures count in, if there are any.
pub(super) fn scales(
    fields: &mut Fields<'_>,
    mistakes: &mut Mistakes<'_>,
) -> Option<Vec<NamedScale>> {
    let Some(value) = fields.value(Field::Scale) else { return Some(Vec::new()) };
    let mut known: Vec<(&str, NamedScale)> =
        NamedScale::all().map(|scale| (scale.word, scale)).collect();
    // The names that keys have are understood too.
    for (word, own) in [("major", "ionian"), ("natural-minor", "aeolian")] {
        known.extend(NamedScale::all().find(|scale| scale.word == own).map(|scale| (word, scale)));
    }
    turns(value, (Field::Scale, "\"dorian\""), mistakes, |text, mistakes| {
        one_of("scale", text, &known, mistakes)
    })
}
