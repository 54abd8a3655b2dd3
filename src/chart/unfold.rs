//! From a chart as it is written to the tune as it is heard.

use super::model::{Chart, ChordStand, Section};
use super::repeats;
use super::unfolded::{HeldChord, Unfolded};
use crate::score::Ticks;

/// A section as it stands among what is written: which changes each of its bars has.
struct WrittenSection<'a> {
    /// For each bar its changes, each with its place among all that are written, and whether the
    /// bar only repeats them.
    bars: Vec<(&'a [ChordStand], usize, bool)>,
}

impl<'a> WrittenSection<'a> {
    /// A section whose first change has a place; gives the place after its last one too.
    fn of(section: &'a Section, mut place: usize) -> (Self, usize) {
        let mut bars: Vec<(&[ChordStand], usize, bool)> = Vec::new();
        for bar in &section.bars {
            if bar.is_repeat() {
                // A section that repeats nothing is told by its reader.
                let (changes, first, _) = bars.last().copied().unwrap_or((&[], place, false));
                bars.push((changes, first, true));
            } else {
                bars.push((&bar.changes, place, false));
                place += bar.changes.len();
            }
        }
        (Self { bars }, place)
    }
}

/// The bars of a section as they are heard, when it is followed by the coda or is not.
fn heard(section: &Section, leaves: bool) -> Vec<usize> {
    let mut heard = repeats::heard(&section.stretches);
    if leaves && let Some(last) = heard.iter().rposition(|bar| section.bars[*bar].to_coda) {
        heard.truncate(last + 1);
    }
    heard
}

impl Chart {
    /// Where the way out begins in the form: the coda at its end. A tune of nothing else has none.
    fn way_out(&self) -> Option<usize> {
        let is_coda = |index: &usize| self.sections.get(*index).is_some_and(Section::is_coda);
        let first = self.form.iter().rposition(|index| !is_coda(index))? + 1;
        (first < self.form.len()).then_some(first)
    }

    /// Whether the section at a place of the form is left for the coda.
    fn leaves(&self, place: usize) -> bool {
        let next = self.form.get(place + 1).and_then(|next| self.sections.get(*next));
        next.is_some_and(Section::is_coda)
    }

    /// How many bars are heard, without a pick-up.
    pub fn heard_bars(&self) -> usize {
        let of = |(place, section): (usize, &usize)| {
            let section = self.sections.get(*section);
            section.map_or(0, |section| heard(section, self.leaves(place)).len())
        };
        self.form.iter().enumerate().map(of).sum()
    }

    /// The tune as it is heard, once through; with a chorus that another one follows, where that has
    /// no coda.
    pub fn unfolded(&self) -> Unfolded {
        let again = self.way_out().map(|end| {
            let form = self.form[..end].to_vec();
            Box::new(Self { form, ..self.clone() }.once())
        });
        Unfolded { before_another: again, ..self.once() }
    }

    /// The whole form, once through.
    fn once(&self) -> Unfolded {
        let bar = self.metre.bar();
        let mut unfolding = Unfolding::default();
        for (written, stand) in self.pick_up.iter().enumerate() {
            unfolding.change(written, stand.at, stand);
        }
        let mut place = self.pick_up.len();
        let of = |section| {
            let (written, next) = WrittenSection::of(section, place);
            place = next;
            written
        };
        let written: Vec<WrittenSection<'_>> = self.sections.iter().map(of).collect();
        let (mut sections, mut bars) = (Vec::new(), 0);
        for (place, index) in self.form.iter().enumerate() {
            let Some((section, own)) = self.sections.get(*index).zip(written.get(*index)) else {
                continue;
            };
            sections.push(bars);
            for heard in heard(section, self.leaves(place)) {
                let (changes, first, repeats) = own.bars[heard];
                let start = bars as Ticks * bar;
                for (nth, stand) in changes.iter().enumerate() {
                    let goes_on = repeats && unfolding.last() == Some(first + nth);
                    if !goes_on {
                        unfolding.change(first + nth, start + stand.at, stand);
                    }
                }
                bars += 1;
            }
        }
        let changes = unfolding.finish(bars as Ticks * bar);
        Unfolded { metre: self.metre, bars, sections, changes, before_another: None }
    }
}

/// Changes whose lengths are not known yet.
#[derive(Default)]
struct Unfolding {
    changes: Vec<HeldChord>,
}

impl Unfolding {
    fn change(&mut self, written: usize, at: Ticks, stand: &ChordStand) {
        self.changes.push(HeldChord { written, at, length: 0, chord: stand.chord });
    }

    /// The place of the change that sounds.
    fn last(&self) -> Option<usize> {
        self.changes.last().map(|change| change.written)
    }

    /// The changes, each up to the next and the last one up to the end.
    fn finish(mut self, end: Ticks) -> Vec<HeldChord> {
        let mut next = end;
        for change in self.changes.iter_mut().rev() {
            change.length = next - change.at;
            next = change.at;
        }
        self.changes
    }
}
