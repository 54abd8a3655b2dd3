//! Drills over the changes of a tune.
//!
//! A tune becomes the text of a drill, as a teacher would write it: `form` says which bars stand on
//! which sheet, with repeats and endings, `numeral` what each chord is in the home key, `way` what
//! the hands do, `rhythm` how long; `cadences` are a drill of their own, `expand` puts a tune into a
//! drill that a teacher wrote, and `in_time` a drill into the metre and feel of a tune. So whatever
//! is true of a drill is true of these, in any key; and what travels in a sheet holds the changes
//! themselves and names no file.

mod cadences;
mod expand;
mod form;
mod in_time;
mod numeral;
mod rhythm;
mod way;

pub use cadences::cadences;
pub use expand::expanded;
pub use in_time::in_time;
pub use way::OverWay;

use self::form::{BarRun, RunStand};
use self::numeral::NumeralHome;
use crate::chart::{Analysis, Chart, ChordStand};
use crate::drill::language::harmony::{Degree, PassageHome};
use crate::score::{Feel, Ticks};
use crate::source::usual;
use crate::theory::{Key, NumeralStyle, SymbolStyle, plain_text};

/// The text of a drill, with the name that it gives itself.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// Its name, which is a word.
    pub name: String,
    /// Its title.
    pub title: String,
    /// The whole.
    pub text: String,
}

/// A tune that is played over: its chart, and what its changes say of keys.
#[derive(Clone, Copy, Debug)]
pub struct OverTune<'a> {
    /// The chart.
    pub chart: &'a Chart,
    /// Its analysis.
    pub analysis: &'a Analysis,
}

impl OverTune<'_> {
    /// The home key: what the chart says, or else the analysis. A mode keeps its own signature.
    pub fn home(&self) -> Key {
        self.chart.key.unwrap_or(self.analysis.home)
    }

    /// The drills that play the tune in a way: one, or several where a sheet does not hold it.
    pub fn drills(&self, way: OverWay) -> Vec<Text> {
        let way = way.fitting(self.chart.metre);
        let parted = |runs: Vec<BarRun>| -> Vec<BarRun> {
            runs.into_iter().flat_map(|run| self.parted(run)).collect()
        };
        let sheets: Vec<Vec<BarRun>> =
            form::sheets(self.chart, form::MOST_BARS).into_iter().map(parted).collect();
        let count = sheets.len();
        let own = sheets.iter().enumerate().filter(|(_, runs)| runs.iter().any(BarRun::has_chords));
        let text = |(index, runs): (usize, &Vec<BarRun>)| {
            let part = (count > 1).then_some(index + 1);
            let number = part.map_or_else(String::new, |part| format!("-{part}"));
            let name = format!("{}-{}{number}", slug(&self.chart.title), way.word());
            let words = part.map_or_else(String::new, |part| format!(", part {part}"));
            let title = format!("{}: {}{words}", self.chart.title, way.title());
            let about = format!("{} {}", way.about(), self.played());
            let mut runs: Vec<BarRun> =
                runs.iter().filter(|run| run.has_chords()).cloned().collect();
            // Over the first bar the form is told, where it is not as it is written.
            if let (Some(first), Some(form)) = (runs.first_mut(), self.form_in_words()) {
                let both = match &first.title {
                    Some(title) => format!("{title}; {form}"),
                    None => form,
                };
                if both.chars().count() <= form::LONGEST_TITLE {
                    first.title = Some(both);
                }
            }
            let passages: Vec<String> = runs.iter().map(|run| self.passage(run, way)).collect();
            let mut head = self.head(&name, &title, &about);
            if let Some(words) = self.pick_up().filter(|_| index == 0) {
                head.push_str(&format!("listen = {}\n", usual::text(&words)));
            }
            let text = format!("{head}\n{}", passages.join("\n"));
            Text { name, title, text }
        };
        own.map(text).collect()
    }

    /// The same in few words.
    fn form_in_words(&self) -> Option<String> {
        let Chart { form, sections, .. } = self.chart;
        if form.iter().copied().eq(0..sections.len()) {
            return None;
        }
        let names = form.iter().filter_map(|place| sections.get(*place));
        let names: Vec<&str> = names.map(|section| section.name.as_str()).collect();
        Some(format!("form {}", names.join(" ")))
    }

    /// In which order the sections are played, where that is not as they are written.
    fn played(&self) -> String {
        let Chart { form, sections, .. } = self.chart;
        if form.iter().copied().eq(0..sections.len()) {
            return String::new();
        }
        let names = form.iter().filter_map(|place| sections.get(*place));
        let names: Vec<&str> = names.map(|section| section.name.as_str()).collect();
        format!("The tune goes {}.", names.join(" "))
    }

    /// The chords before the first bar, in words that hold in any key: a sheet begins with bar 1.
    fn pick_up(&self) -> Option<String> {
        let home = self.home();
        let chart = self.chart;
        let of = |(written, stand): (usize, &ChordStand)| {
            let word = numeral::word(stand.chord?, self.analysis.reading(written), home);
            let plan = Degree::parse(&word).ok()?.chord(PassageHome::own(home.mode()))?;
            Some(plain_text(&plan.numeral.parts(NumeralStyle::On, SymbolStyle::Letters)))
        };
        let chords: Vec<String> = chart.pick_up.iter().enumerate().filter_map(of).collect();
        let beats = -chart.pick_up.first()?.at / chart.metre.count_unit();
        let beats = if beats == 1 { "one beat".to_owned() } else { format!("{beats} beats") };
        (!chords.is_empty())
            .then(|| format!("Before bar 1 comes a pick-up of {beats}: {}.", chords.join(", ")))
    }

    /// What stands above the passages.
    fn head(&self, name: &str, title: &str, about: &str) -> String {
        let Chart { metre, feel, .. } = self.chart;
        let feel = match feel {
            Feel::Swing => "swing",
            Feel::Even => "even",
        };
        format!(
            "name = {}\ntitle = {}\nabout = {}\nmetre = \"{metre}\"\nmode = \"{}\"\nfeel = \"{feel}\"\nphrase = 4\n",
            usual::text(name),
            usual::text(title),
            usual::text(about.trim()),
            self.home().mode().word(),
        )
    }

    /// A run in as many as are counted in one key each and play on or are silent.
    fn parted(&self, run: BarRun) -> Vec<BarRun> {
        let bar = self.chart.metre.bar();
        let runs = run.parted_by(bar, |stand| self.visit(stand)).into_iter();
        runs.flat_map(|run| run.parted_at_silence(bar)).collect()
    }

    /// The key of a church mode that a chord is read in, where the tune is not at home in it.
    fn visit(&self, stand: &RunStand) -> Option<Key> {
        let key = self.analysis.reading(stand.written).filter(|_| stand.chord.is_some())?.key;
        (key.is_of_church_mode() && key != self.home()).then_some(key)
    }

    /// What the numerals of a run are counted in, with the word for it where that is a mode of its own:
    /// what is composed over it, or added to its chords, then has the notes of the mode.
    fn counted_in(&self, run: &BarRun) -> (Option<String>, NumeralHome) {
        let home = self.home();
        let sounding = run.stands.iter().filter(|stand| stand.chord.is_some());
        let mut keys = sounding.map(|stand| self.visit(stand));
        let first = keys.next().flatten().filter(|first| keys.all(|it| it == Some(*first)));
        match first.and_then(|key| NumeralHome::visited(key, home)) {
            Some((word, at)) => (Some(word), at),
            None => (None, NumeralHome::own(home)),
        }
    }

    /// The words of the chords of a run.
    fn words(&self, run: &BarRun) -> Vec<String> {
        let (_, at) = self.counted_in(run);
        let word = |stand: &RunStand| {
            let reading = self.analysis.reading(stand.written);
            stand.chord.map(|chord| numeral::word_in(chord, reading, at))
        };
        run.stands.iter().filter_map(word).collect()
    }

    /// A passage of the tune.
    fn passage(&self, run: &BarRun, way: OverWay) -> String {
        let words = self.words(run);
        let (_, at) = self.counted_in(run);
        let mut lines = vec!["[[passage]]".to_owned()];
        lines.extend(self.form(run));
        lines.extend(way.fields(run, &words, at.passage, self.chart.metre));
        lines.push(String::new());
        lines.join("\n")
    }

    /// The fields of a run that the tune says: its chords, how long they last, and its form.
    fn form(&self, run: &BarRun) -> Vec<String> {
        let unit = self.chart.metre.count_unit();
        let beats = run.beats().into_iter().map(|ticks| (ticks / unit).to_string());
        let mut lines = Vec::new();
        lines.extend(run.section.iter().map(|name| format!("section = {}", usual::text(name))));
        lines.extend(run.title.iter().map(|title| format!("title = {}", usual::text(title))));
        let repeat = match (run.begins_repeat, run.ends_repeat) {
            (true, true) => Some("whole"),
            (true, false) => Some("begin"),
            (false, true) => Some("end"),
            (false, false) => None,
        };
        lines.extend(repeat.map(|word| format!("repeat = \"{word}\"")));
        lines.extend(run.times.map(|times| format!("times = {times}")));
        if !run.ending.is_empty() {
            let rounds: Vec<String> = run.ending.iter().map(u8::to_string).collect();
            lines.push(format!("ending = [{}]", rounds.join(", ")));
        }
        if run.ends_section && run.ending.is_empty() && !run.ends_repeat {
            lines.push("double-bar = true".to_owned());
        }
        lines.extend(run.to_coda.map(|bars| format!("to-coda = {bars}")));
        lines.extend(run.way_on.iter().map(|words| format!("way-on = {}", usual::text(words))));
        if let (Some(word), at) = self.counted_in(run) {
            lines.push(format!("key = {}", usual::text(&word)));
            lines.push(format!("mode = {}", usual::text(at.passage.mode.word())));
        }
        let degrees: Vec<String> = self.words(run).iter().map(|word| usual::text(word)).collect();
        lines.push(format!("degrees = [{}]", degrees.join(", ")));
        lines.push(format!("beats = [{}]", beats.collect::<Vec<_>>().join(", ")));
        lines
    }
}

impl BarRun {
    fn has_chords(&self) -> bool {
        self.stands.iter().any(|stand| stand.chord.is_some())
    }

    /// How long each chord lasts, with the silence that belongs to it.
    fn beats(&self) -> Vec<Ticks> {
        let mut beats: Vec<Ticks> = Vec::new();
        let mut early = 0;
        for stand in &self.stands {
            match (stand.chord, beats.last_mut()) {
                (None, None) => early += stand.length,
                (None, Some(last)) => *last += stand.length,
                (Some(_), _) => beats.push(stand.length + std::mem::take(&mut early)),
            }
        }
        beats
    }
}

/// A title as a word: small letters, digits and hyphens.
pub fn slug(title: &str) -> String {
    let plain = title.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' });
    let words = plain.collect::<String>().to_lowercase();
    let slug = words.split_whitespace().collect::<Vec<_>>().join("-");
    if slug.is_empty() { "tune".to_owned() } else { slug }
}

#[cfg(test)]
mod tests;
#[cfg(test)]
mod visits;
