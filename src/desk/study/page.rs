//! The practice plan as a page: which drills in which keys, how fast, why, and day by day.

use super::days::{KeyPortion, PlanDay, days};
use super::plan::{PlanStep, WantedKey};
use super::tune::{Studied, once};
use crate::book::{Leaf, LeafBlock, LeafRow, LeafSheet, LeafTable, SHEET};
use crate::score::Metre;
use crate::theory::Key;

/// A drill that plays the tune itself.
pub(super) struct TuneDrill {
    /// Its title.
    pub(super) title: String,
    /// Its place in the course.
    pub(super) place: usize,
    /// Its key.
    pub(super) key: Key,
    /// Why.
    pub(super) why: String,
    pub(super) tempi: [u16; 2],
}

/// What a plan is made of.
pub(super) struct PlannedStudy<'a> {
    pub(super) tunes: &'a [Studied],
    pub(super) steps: &'a [PlanStep],
    /// The titles of the drills of the steps.
    pub(super) titles: Vec<String>,
    /// The metres that they go in.
    pub(super) metres: Vec<Metre>,
    /// The drills over the tunes, in order of practice.
    pub(super) over: Vec<TuneDrill>,
}

/// A plan begins on a Monday, so that its free day is a Sunday.
const WEEKDAYS: [&str; 7] =
    ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"];

/// What stands below a plan: the cautions of the house.
const CARE: &str = "Twenty minutes a day are enough, and two breaks better than one. Begin each sheet \
     at its first tempo, slower if it does not sit, and take the next only after three clean runs in a \
     row. Stop at once if anything hurts, tingles or goes numb, and rest; if it comes back, ask a \
     teacher or a doctor before you go on. Where your teacher plans otherwise, your teacher is right.";

impl PlannedStudy<'_> {
    pub(super) fn leaf(&self) -> Leaf {
        let days = days(self.steps);
        let count = days.len();
        let intro = format!(
            "{} of short portions, from a Monday on: each has at most two new keys, what was new the day before once \
             more, and a few minutes with the tune itself. {} comes first; the \
             drills take turns, so that the hands change what they do.",
            if count == 1 { "One day".to_owned() } else { format!("{count} days") },
            if self.tunes.len() == 1 { "What the tune needs most" } else { "What the tunes share" },
        );
        let blocks = vec![
            LeafBlock::Text(format!("{intro}{}", self.other_metres())),
            LeafBlock::Head("What to practise, and why".to_owned()),
            LeafBlock::Table(self.drills()),
            LeafBlock::Head("Day by day".to_owned()),
            LeafBlock::Table(self.days(&days)),
            LeafBlock::Text(CARE.to_owned()),
        ];
        Leaf { heading: "Practice plan".to_owned(), listed: "Practice plan".to_owned(), blocks }
    }

    /// A key with the places that want it.
    fn wanted(&self, wanted: &WantedKey) -> String {
        let places = wanted.places.iter().filter_map(|(tune, bars)| {
            let own = self.tunes.get(*tune)?;
            let places = own.places_of_bars(bars);
            const MOST: usize = 4;
            let more = if places.len() > MOST { " \u{2026}" } else { "" };
            let places = places.into_iter().take(MOST).collect::<Vec<_>>().join(", ");
            Some(match self.tunes.len() {
                1 => format!("{places}{more}"),
                _ => format!("{}: {places}{more}", own.chart.title),
            })
        });
        let mut key = wanted.key.words();
        if wanted.written != wanted.key.tonic() {
            key.push_str(&format!(", written {}", wanted.written));
        }
        format!("{key} ({})", places.collect::<Vec<_>>().join("; "))
    }

    /// That drills go in another metre than the tunes that want them, once for all of them; nothing
    /// where none does.
    fn other_metres(&self) -> String {
        let mut others: Vec<(String, Vec<&str>)> = Vec::new();
        for ((step, own), title) in self.steps.iter().zip(&self.metres).zip(&self.titles) {
            let tunes = step.keys.iter().flat_map(|key| &key.places);
            let tunes = tunes.filter_map(|(tune, _)| self.tunes.get(*tune));
            let metres = tunes.map(|tune| tune.chart.metre).filter(|metre| metre != own);
            let metres = once(metres.map(|metre| metre.to_string()));
            if metres.is_empty() {
                continue;
            }
            let words = format!("{own}, the tune in {}", metres.join(" and "));
            match others.iter_mut().find(|(known, _)| *known == words) {
                Some((_, titles)) => titles.push(title),
                None => others.push((words, vec![title])),
            }
        }
        let told = |(words, titles): &(String, Vec<&str>)| match titles.len() == self.steps.len() {
            true => format!("the drills go in {words}"),
            false => format!("{} in {words}", titles.join(", ")),
        };
        if others.is_empty() {
            return String::new();
        }
        let others: Vec<String> = others.iter().map(told).collect();
        format!(
            " Where a drill is not in the metre of the tune ({}), learn its chords there, and the \
             count on the sheets over the tune.",
            others.join("; ")
        )
    }

    fn drills(&self) -> LeafTable {
        let of_step = |(place, (step, title)): (usize, (&PlanStep, &String))| {
            let keys: Vec<String> = step.keys.iter().map(|key| self.wanted(key)).collect();
            let [first, goal] = step.tempi;
            let cells = vec![
                title.clone(),
                keys.join("; "),
                format!("{first} to {goal}"),
                step.why.to_owned(),
            ];
            LeafRow { cells, sheets: vec![LeafSheet { drill: place, key: None }] }
        };
        let of_tune = |drill: &TuneDrill| {
            let [first, goal] = drill.tempi;
            let cells = vec![
                drill.title.clone(),
                drill.key.words(),
                format!("{first} to {goal}"),
                drill.why.clone(),
            ];
            LeafRow { cells, sheets: vec![LeafSheet { drill: drill.place, key: None }] }
        };
        let steps = self.steps.iter().zip(&self.titles).enumerate().map(of_step);
        LeafTable {
            columns: vec![("Drill", 2.6), ("Keys, and where", 3.6), ("Tempo", 1.3), ("Why", 3.2)],
            has_pages: true,
            has_boxes: false,
            rows: steps.chain(self.over.iter().map(of_tune)).collect(),
        }
    }

    /// A drill in a key, with its page; the sheet is added to those of its row.
    fn portion(&self, &(step, key): &KeyPortion, sheets: &mut Vec<LeafSheet>) -> String {
        let title = self.titles.get(step).map_or("", String::as_str);
        let key = self.steps.get(step).and_then(|step| step.keys.get(key));
        let key = key.map(|wanted| wanted.key);
        sheets.push(LeafSheet { drill: step, key });
        let words = key.map_or_else(String::new, Key::words);
        format!("{title}: {words}, page\u{a0}{SHEET}")
    }

    /// What of the tunes themselves is played on a day of so many.
    fn of_tune(&self, index: usize, days: usize, sheets: &mut Vec<LeafSheet>) -> String {
        let Some(drill) = self.over.get(index * self.over.len() / days.max(1)) else {
            return String::new();
        };
        sheets.push(LeafSheet { drill: drill.place, key: None });
        format!("{}, page\u{a0}{SHEET}", drill.title)
    }

    fn days(&self, days: &[PlanDay]) -> LeafTable {
        let told = |portions: &[KeyPortion], sheets: &mut Vec<LeafSheet>| -> String {
            portions.iter().map(|it| self.portion(it, sheets)).collect::<Vec<_>>().join("; ")
        };
        let row = |(index, day): (usize, &PlanDay)| {
            let weekday = WEEKDAYS[index % WEEKDAYS.len()];
            let mut cells = vec![format!("{}\u{a0}{weekday}", index + 1)];
            let mut sheets = Vec::new();
            if day.is_free {
                cells.push("nothing new".to_owned());
                cells.push("what you like best".to_owned());
                cells.push("play it through for pleasure".to_owned());
            } else {
                cells.push(match day.new.as_slice() {
                    [] => "nothing new".to_owned(),
                    new => told(new, &mut sheets),
                });
                cells.push(match day.again.as_slice() {
                    [] => "nothing yet".to_owned(),
                    again => told(again, &mut sheets),
                });
                cells.push(self.of_tune(index, days.len(), &mut sheets));
            }
            LeafRow { cells, sheets }
        };
        LeafTable {
            columns: vec![("Day", 1.7), ("New", 3.4), ("Again", 3.4), ("The tune", 2.6)],
            has_pages: false,
            has_boxes: true,
            rows: days.iter().enumerate().map(row).collect(),
        }
    }
}
