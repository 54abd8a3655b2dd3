//! A drill of a teacher's own over the changes of a tune: where a passage says `changes`, the tune's
//! chords take the place of its degrees, and what the hands do is cut to their lengths.

use toml::{Table, Value};

use super::OverTune;
use super::form::{BarRun, sheets};
use super::rhythm::spelled;
use crate::chart::{Chart, analyse_in};
use crate::drill::language::comping::Comping;
use crate::drill::language::judge::MOST_BARS;
use crate::drill::language::value::VALUES;
use crate::score::{Metre, QUARTER, Ticks};
use crate::source::{Complaint, DrillField as Field};

/// The text of a drill with the changes of the tunes in it that it names; none where it names none,
/// or cannot be read at all, which is for its judge to say. `fetch` reads a tune by its path.
///
/// Errors where a tune cannot be had, has no chord, or does not go with the drill.
pub fn expanded(
    text: &str,
    mut fetch: impl FnMut(&str) -> Result<Chart, Complaint>,
) -> Result<Option<String>, Complaint> {
    let Ok(mut drill) = text.parse::<Table>() else { return Ok(None) };
    let Some(Value::Array(passages)) = drill.get(Field::Passage.name()).cloned() else {
        return Ok(None);
    };
    let named = |passage: &Value| passage.get(CHANGES).is_some();
    if !passages.iter().any(named) {
        return Ok(None);
    }
    let mut all = Vec::new();
    for passage in passages {
        match (passage.get(CHANGES), passage.as_table()) {
            (Some(Value::String(path)), Some(table)) => {
                let chart = fetch(path)?;
                all.extend(passages_of(&mut drill, table, &chart)?);
            }
            (Some(_), _) => {
                let complaint = wrong(format!("field `{CHANGES}` is no path"));
                return Err(
                    complaint.mend("write the path of a chart, as in changes = \"tune.toml\"")
                );
            }
            (None, _) => all.push(passage),
        }
    }
    drill.insert(Field::Passage.name().to_owned(), Value::Array(all));
    Ok(Some(drill.to_string()))
}

/// The field that names a tune.
const CHANGES: &str = Field::Changes.name();

fn wrong(problem: String) -> Complaint {
    Complaint::of(Field::Changes, problem)
}

/// The passages that one over a tune becomes.
fn passages_of(drill: &mut Table, passage: &Table, chart: &Chart) -> Result<Vec<Value>, Complaint> {
    let title = &chart.title;
    for field in [Field::Degrees, Field::Progression, Field::Beats, Field::Key] {
        if passage.contains_key(field.name()) {
            let problem = format!("a passage has `{}` or `{CHANGES}`, not both", field.name());
            let mend = format!("leave `{}` out: the tune says it", field.name());
            return Err(wrong(problem).mend(mend));
        }
    }
    let metre = chart.metre.to_string();
    let own = drill.get(Field::Metre.name()).and_then(Value::as_str).map(str::trim);
    if own.is_some_and(|own| own != metre) {
        let problem =
            format!("the drill is in {}, and {title} in {metre}", own.unwrap_or_default());
        return Err(wrong(problem).mend(format!("write metre = \"{metre}\"")));
    }
    let Some(analysis) = analyse_in(&chart.unfolded(), chart.key) else {
        return Err(wrong(format!("{title} has no chord")).mend("write one into its bars"));
    };
    let over = OverTune { chart, analysis: &analysis };
    let mode = over.home().mode().word().to_owned();
    drill.insert(Field::Mode.name().to_owned(), Value::String(mode));
    drill.entry(Field::Metre.name()).or_insert(Value::String(metre));
    if let Some(words) = over.pick_up() {
        drill.entry(Field::Listen.name()).or_insert(Value::String(words));
    }
    let sheets = sheets(chart, MOST_BARS as usize);
    if sheets.len() > 1 {
        let problem = format!("{title} is longer than the {MOST_BARS} bars of a drill");
        return Err(wrong(problem).mend("write each part of it as a chart of its own"));
    }
    let runs = sheets.into_iter().flatten().flat_map(|run| over.parted(run));
    let runs = runs.filter(|run| run.stands.iter().any(|it| it.chord.is_some()));
    runs.map(|run| passage_of(&over, passage, &run)).collect()
}

fn passage_of(over: &OverTune<'_>, passage: &Table, run: &BarRun) -> Result<Value, Complaint> {
    let mut table = passage.clone();
    table.remove(CHANGES);
    let metre = over.chart.metre;
    let form = over.form(run);
    let Ok(form) = form.join("\n").parse::<Table>() else {
        // What is written above reads again.
        return Err(wrong(format!("{} cannot be played over", over.chart.title)));
    };
    table.extend(form);
    if run.has_silence() {
        rested(&mut table, run, metre);
        return Ok(Value::Table(table));
    }
    let lengths = run.beats();
    for (field, note, usual) in
        [(Field::Figure, Field::Note, None), (Field::Left, Field::LeftNote, Some("quarter"))]
    {
        let note = table.get(note.name()).and_then(Value::as_str).or(usual).map(str::to_owned);
        let (Some(value), Some(note)) = (table.get(field.name()), note) else { continue };
        let figures: Vec<&str> = match value {
            Value::String(figure) => vec![figure],
            Value::Array(figures) => figures.iter().filter_map(Value::as_str).collect(),
            _ => continue,
        };
        let cut = lengths.iter().zip(figures.iter().cycle()).map(|(length, figure)| {
            cut(figure, &note, *length).unwrap_or_else(|| (*figure).to_owned())
        });
        let is_named = figures.iter().any(|figure| !figure.contains(|c: char| c.is_ascii_digit()))
            && figures.iter().all(|figure| cut_steps(figure, &note).is_none());
        if !is_named && !figures.is_empty() {
            let cut = cut.map(Value::String).collect();
            table.insert(field.name().to_owned(), Value::Array(cut));
        }
    }
    Ok(Value::Table(table))
}

/// Whether a hand has a bass by name, which cannot rest.
fn has_bass(left: Option<&Value>) -> bool {
    let is_bass = |value: &Value| {
        let word = value.as_str().map(str::trim);
        word.is_some_and(|word| word == "walking" || Comping::line_named(word).is_some())
    };
    match left {
        Some(Value::Array(all)) => all.iter().any(is_bass),
        Some(value) => is_bass(value),
        None => false,
    }
}

/// What the hands do where the tune is silent in places: figures rest there, chords are struck as
/// they come, what is composed gives way to the tones of each chord, and a bass to its root.
fn rested(table: &mut Table, run: &BarRun, metre: Metre) {
    let word = |table: &Table, field: Field| {
        table.get(field.name()).and_then(Value::as_str).map(str::to_owned)
    };
    let has_figure = |table: &Table, field: Field| {
        table.get(field.name()).is_some_and(|value| {
            let words = match value {
                Value::String(figure) => vec![figure.as_str()],
                Value::Array(figures) => figures.iter().filter_map(Value::as_str).collect(),
                _ => Vec::new(),
            };
            words.iter().all(|figure| cut_steps(figure, "quarter").is_some())
        })
    };
    let note = word(table, Field::Note).unwrap_or_else(|| "eighth".to_owned());
    if !has_figure(table, Field::Figure) {
        let plain = Value::String("1 3 5 3".to_owned());
        table.insert(Field::Figure.name().to_owned(), plain);
        table.entry(Field::Note.name()).or_insert(Value::String("eighth".to_owned()));
    }
    let holds_roots = has_bass(table.get(Field::Left.name()));
    if !has_figure(table, Field::Left) {
        table.insert(Field::Left.name().to_owned(), Value::String("chord".to_owned()));
        table.insert(Field::LeftNote.name().to_owned(), Value::String("whole".to_owned()));
        for field in [Field::Comping, Field::Entry] {
            table.remove(field.name());
        }
    }
    let left_note = word(table, Field::LeftNote).unwrap_or_else(|| "quarter".to_owned());
    for (field, note) in [(Field::Figure, note), (Field::Left, left_note)] {
        let figures: Vec<String> = match table.get(field.name()) {
            Some(Value::String(figure)) => vec![figure.clone()],
            Some(Value::Array(all)) => {
                all.iter().filter_map(Value::as_str).map(str::to_owned).collect()
            }
            _ => continue,
        };
        let turns = run.units(metre).into_iter().zip(figures.iter().cycle());
        let rested = turns.map(|(chunks, figure)| {
            let own = chunks.iter().map(|chunk| match chunk.sounds {
                true if field == Field::Left && holds_roots => spelled("1", chunk.length),
                true => cut(figure, &note, chunk.length).unwrap_or_else(|| figure.clone()),
                false => spelled("rest", chunk.length),
            });
            Value::String(own.collect::<Vec<_>>().join(" "))
        });
        let rested: Vec<Value> = rested.collect();
        table.insert(field.name().to_owned(), Value::Array(rested));
    }
}

/// The steps of a figure, each with its length; none where it is a word for something else.
pub(super) fn cut_steps<'a>(figure: &'a str, note: &str) -> Option<Vec<(&'a str, Ticks)>> {
    let value = |word: &str| VALUES.iter().find(|(known, _)| *known == word.trim());
    let step = |word: &'a str| {
        let (what, length) = word.split_once(':').unwrap_or((word, note));
        let is_step = ["rest", "tied", "chord", "upper"].contains(&what)
            || what.contains(|c: char| c.is_ascii_digit());
        value(length).filter(|_| is_step).map(|(_, ticks)| (what, *ticks))
    };
    figure.split_whitespace().map(step).collect()
}

/// A figure that goes over a chord again and again and ends with it.
pub(super) fn cut(figure: &str, note: &str, length: Ticks) -> Option<String> {
    let steps = cut_steps(figure, note).filter(|steps| !steps.is_empty())?;
    let mut left = length;
    let mut words = Vec::new();
    for (what, ticks) in steps.iter().cycle() {
        if left <= 0 {
            break;
        }
        let own = (*ticks).min(left);
        let is_value = VALUES.iter().find(|(_, value)| *value == own);
        words.push(match is_value {
            Some((word, _)) => format!("{what}:{word}"),
            None if own % (QUARTER / 4) == 0 => spelled(what, own),
            None => return None,
        });
        left -= own;
    }
    Some(words.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::{ChartBar, analyse, demos};
    use crate::drill::{Choices, Template, realise};
    use crate::fingering::FingeringMarks;

    #[test]
    fn a_figure_ends_with_its_chord() {
        let half = cut("1 3 5 7", "eighth", 2 * QUARTER).unwrap();
        assert_eq!(half, "1:eighth 3:eighth 5:eighth 7:eighth");
        assert_eq!(cut("1:half 5", "quarter", QUARTER).unwrap(), "1:quarter");
        assert_eq!(cut("chord", "whole", 5 * QUARTER).unwrap(), "chord:whole chord:quarter");
        assert_eq!(cut("walking", "quarter", QUARTER), None);
    }

    /// A drill of one passage goes over every demo tune of its metre, and says nothing of a file
    /// any more.
    #[test]
    fn a_drill_goes_over_any_tune() {
        let mut met = 0;
        for (name, text) in demos() {
            let chart = Chart::parse(text, name).unwrap();
            for hands in [
                "figure = \"1 3 5 7 9 7 5 3\"\nnote = \"eighth\"\nvoicing = \"shell-7\"\ncomping = \"on-beat\"",
                "figure = \"chord\"\nnote = \"half\"\nvoicing = \"guide-tones\"\nleft = \"1 8\"",
                "figure = \"line\"\nvoicing = \"shell-7\"\ncomping = \"push\"\nvoice-leading = true",
            ] {
                let drill = format!(
                    "name = \"own\"\ntitle = \"Own\"\nmetre = \"{}\"\n[[passage]]\nchanges = \"x\"\n{hands}\n",
                    chart.metre
                );
                let fetch = |path: &str| {
                    assert_eq!(path, "x");
                    Ok(chart.clone())
                };
                let own = expanded(&drill, fetch).unwrap().unwrap();
                assert!(!own.contains("changes"), "{own}");
                let read = Template::parse(&own, name);
                let template = read.unwrap_or_else(|error| panic!("{error}\n{own}"));
                assert!(template.bars() >= chart.written_bars(), "{name}");
                rests_where_the_tune_is_silent(&template, &chart);
                met += 1;
            }
        }
        assert_eq!(met, 30);
    }

    /// No hand strikes anything in a bar that the tune leaves without a chord.
    fn rests_where_the_tune_is_silent(template: &Template, chart: &Chart) {
        let home = OverTune { chart, analysis: &analyse(&chart.unfolded()).unwrap() }.home();
        let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
        let score = realise(template, home, choices);
        let sections = chart.sections.iter().flat_map(|section| &section.bars);
        let is_silent = |bar: &ChartBar| {
            !bar.changes.is_empty() && bar.changes.iter().all(|stand| stand.chord.is_none())
        };
        for (bar, written) in score.bars.iter().zip(sections) {
            let sounds = bar.staves.iter().flat_map(|staff| &staff.events);
            let sounds = sounds.filter(|event| !event.notes.is_empty()).count();
            assert!(!is_silent(written) || sounds == 0, "{}: {bar:?}", chart.title);
        }
    }

    /// A tune of 64 bars is a drill; one of more is told about.
    #[test]
    fn a_tune_of_64_bars_is_a_drill() {
        let of = |bars: usize| {
            let section = |name: usize| {
                let bars = "| Cmaj7 | A7 | Dm7 | G7/F ".repeat(bars / 16);
                format!("[[section]]\nname = \"{name}\"\nbars = \"{bars}|\"\n")
            };
            let sections: String = (1..=4).map(section).collect();
            let chart = format!("title = \"Long\"\nmetre = \"4/4\"\nkey = \"C\"\n{sections}");
            let drill = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\nchanges = \"x\"\n\
                         figure = \"1 3 5 7\"\nvoicing = \"shell-7\"\nnote = \"eighth\"\ncomping = \"on-beat\"\n";
            expanded(drill, |_| Ok(Chart::parse(&chart, "x").unwrap()))
        };
        let own = of(64).unwrap().unwrap();
        assert_eq!(Template::parse(&own, "own").unwrap().bars(), 64);
        assert!(of(80).unwrap_err().to_string().contains("longer than the 64 bars"));
    }

    #[test]
    fn what_does_not_go_with_a_tune_is_told() {
        let (name, text) = demos().next().unwrap();
        let chart = || Ok(Chart::parse(text, name).unwrap());
        let drill = |fields: &str| {
            format!("name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\n{fields}\n")
        };
        let told = |fields: &str| expanded(&drill(fields), |_| chart()).unwrap_err().to_string();
        let both = told("changes = \"x\"\ndegrees = [1]");
        assert!(both.contains("`degrees` or `changes`, not both"), "{both}");
        assert!(told("changes = 3").contains("is no path"));
        let waltz = drill("changes = \"x\"").replace("4/4", "3/4");
        let told = expanded(&waltz, |_| chart()).unwrap_err().to_string();
        assert!(told.contains("the drill is in 3/4"), "{told}");
        assert_eq!(expanded(&drill("degrees = [1]"), |_| chart()).unwrap(), None);
    }
}
