//! A drill in one of its keys, bar by bar.

use std::collections::BTreeSet;

use super::notes::{DIVISIONS, PlacedEvent, Triplet, divisions};
use super::octaves::Octaves;
use super::xml::Xml;
use super::{Movement, PaperLine, barlines, harmony, notes, words};
use crate::engrave::{BeamPart, WrittenEvent, beam_parts, written};
use crate::score::{ByHand, Clef, Hand, NoteValue, QUARTER, Score};
use crate::theory::Key;

/// A key of a drill, ready to be written down.
pub(super) struct ExchangeSheet<'a> {
    score: &'a Score,
    movement: &'a Movement<'a>,
    /// The lines that it has on paper, if that is known.
    lines: &'a [PaperLine],
    /// Its events as they are written, bar by bar.
    bars: Vec<ByHand<Vec<WrittenEvent<'a>>>>,
    octaves: ByHand<Octaves>,
    /// What is said over its first bar beside the tempo mark.
    names: Vec<String>,
    /// Whether the document begins with it.
    is_first: bool,
}

/// Where a sheet stands in its document.
pub(super) struct SheetSeat {
    /// What is said over its first bar beside the tempo mark.
    pub(super) names: Vec<String>,
    /// Whether the document begins with it.
    pub(super) is_first: bool,
}

impl<'a> ExchangeSheet<'a> {
    /// A score of a drill, with the lines that it has on paper.
    pub(super) fn new(
        score: &'a Score,
        movement: &'a Movement<'a>,
        lines: &'a [PaperLine],
        SheetSeat { names, is_first }: SheetSeat,
    ) -> Self {
        let starts: BTreeSet<usize> = lines.iter().map(|line| line.bars.start).collect();
        let bars = written(score, &starts);
        let octaves = ByHand::each(|hand| Octaves::of(&bars, hand));
        Self { score, movement, lines, bars, octaves, names, is_first }
    }

    /// Its bars, one after another.
    pub(super) fn write(&self) -> Vec<u8> {
        let mut xml = Xml::new();
        for bar in 0..self.score.bars.len() {
            let number = (bar + 1).to_string();
            xml.group("measure", &[("number", &number)], |xml| self.bar(xml, bar));
        }
        xml.finish()
    }

    fn bar(&self, xml: &mut Xml, bar: usize) {
        self.print(xml, bar);
        self.attributes(xml, bar);
        barlines::left(xml, self.score, bar);
        if bar == 0 {
            for name in &self.names {
                words::words(xml, name, &[("font-weight", "bold")]);
            }
            words::tempo(xml, self.movement, self.score.metre);
        }
        if let Some(heading) = self.score.signs.headings.get(&bar) {
            words::heading(xml, heading);
        }
        self.hand(xml, bar, Hand::Right);
        xml.group("backup", &[], |xml| {
            xml.leaf("duration", &[], divisions(self.score.metre.bar()));
        });
        self.hand(xml, bar, Hand::Left);
        if let Some(way) = self.score.signs.ways.get(&bar) {
            words::words(xml, way, &[("font-style", "italic")]);
        }
        barlines::right(xml, self.score, bar);
    }

    /// Whether a line or a page begins with a bar. The first of a document begins both anyway.
    fn print(&self, xml: &mut Xml, bar: usize) {
        let line = self.lines.iter().find(|line| line.bars.start == bar);
        let begins_page = line.map_or(bar == 0, |line| line.begins_page);
        if self.is_first && bar == 0 {
            return;
        }
        if begins_page {
            xml.empty("print", &[("new-page", "yes")]);
        } else if line.is_some() {
            xml.empty("print", &[("new-system", "yes")]);
        }
    }

    /// Key, metre and clefs where the music begins; after that what changes before a bar.
    fn attributes(&self, xml: &mut Xml, bar: usize) {
        let begins = bar == 0;
        let key = if begins { Some(self.score.key) } else { self.score.new_key_at(bar) };
        let clefs = Hand::BOTH.map(|hand| {
            let change = self.bars[bar][hand].first().and_then(|it| it.event.clef_change);
            let opening = begins.then_some(self.score.opening_clefs[hand]);
            Some((hand, change.or(opening)?))
        });
        if key.is_none() && clefs.iter().all(Option::is_none) {
            return;
        }
        xml.group("attributes", &[], |xml| {
            if begins {
                xml.leaf("divisions", &[], DIVISIONS);
            }
            if let Some(key) = key {
                let before = bar.checked_sub(1).map(|before| self.score.key_at(before));
                signature(xml, key, before);
            }
            if begins {
                xml.group("time", &[], |xml| {
                    xml.leaf("beats", &[], self.score.metre.beats());
                    xml.leaf("beat-type", &[], self.score.metre.unit());
                });
                xml.leaf("staves", &[], 2);
            }
            for (hand, clef) in clefs.into_iter().flatten() {
                self::clef(xml, hand, clef);
            }
        });
    }

    /// What a hand plays in a bar, with what is said of chords: symbols before the notes of the right
    /// hand, numerals before those of the left.
    fn hand(&self, xml: &mut Xml, bar: usize, hand: Hand) {
        let look = &self.movement.look;
        let events = &self.bars[bar][hand];
        let start = self.score.bars[bar].start;
        let end = start + self.score.metre.bar();
        let is_blank = look.blanks.hands[hand];
        let beams = beams_of(events);
        // Where the hidden rest of a blank bar begins, before which all stands that it covers.
        let mut from = start;
        for (index, written) in events.iter().enumerate() {
            let event = written.event;
            if let Some(clef) = event.clef_change.filter(|_| index > 0) {
                if is_blank {
                    notes::blank(xml, hand, self.score.metre, event.at - from);
                    from = event.at;
                }
                xml.group("attributes", &[], |xml| self::clef(xml, hand, clef));
            }
            if !is_blank {
                self.octaves[hand].begin(xml, hand, (bar, index));
            }
            if !is_blank {
                from = event.at;
            }
            let own = event.at..event.end().min(end);
            for harmony in self.score.harmonies.iter().filter(|it| own.contains(&it.at)) {
                match hand {
                    Hand::Right => harmony::symbol(xml, harmony, look, harmony.at - from),
                    Hand::Left => harmony::numeral(xml, harmony, look, harmony.at - from),
                }
            }
            if !is_blank {
                let triplet = triplet_of(events, index);
                let placed = PlacedEvent { written, beams: &beams[index], triplet };
                notes::event(xml, hand, &placed, &look.blanks);
                self.octaves[hand].end(xml, hand, (bar, index));
            }
        }
        if is_blank {
            notes::blank(xml, hand, self.score.metre, end - from);
        }
    }
}

/// What beams do at each event.
fn beams_of(events: &[WrittenEvent<'_>]) -> Vec<Vec<BeamPart>> {
    let mut all = vec![Vec::new(); events.len()];
    let groups: BTreeSet<usize> = events.iter().filter_map(|written| written.beam).collect();
    for group in groups {
        let own = || (0..events.len()).filter(|index| events[*index].beam == Some(group));
        let flags: Vec<usize> = own().map(|index| events[index].event.value.flags()).collect();
        for (index, parts) in own().zip(beam_parts(&flags)) {
            all[index] = parts;
        }
    }
    all
}

/// The triplet of an event. It has a bracket unless one beam joins the whole of it.
fn triplet_of(events: &[WrittenEvent<'_>], index: usize) -> Option<Triplet> {
    let number = events[index].tuplet?;
    let is_own = |written: &&WrittenEvent<'_>| written.tuplet == Some(number);
    let own = || events.iter().filter(is_own);
    let first = own().next()?;
    let joined = first.beam.is_some() && own().all(|written| written.beam == first.beam);
    let length: i32 = own().map(|written| written.event.value.ticks()).sum();
    let is_own_at = |index: usize| events.get(index).is_some_and(|it| it.tuplet == Some(number));
    let begins = index.checked_sub(1).is_none_or(|before| !is_own_at(before));
    let unit = if length > QUARTER { NoteValue::Quarter } else { NoteValue::Eighth };
    Some(Triplet { ends: [begins, !is_own_at(index + 1)], has_bracket: !joined, unit })
}

/// A key signature; where it has no signs, with those that it takes back.
fn signature(xml: &mut Xml, key: Key, before: Option<Key>) {
    xml.group("key", &[], |xml| {
        if let Some(before) = before.filter(|_| key.fifths() == 0) {
            xml.leaf("cancel", &[], before.fifths());
        }
        xml.leaf("fifths", &[], key.fifths());
        xml.leaf("mode", &[], key.mode().standard_word());
    });
}

fn clef(xml: &mut Xml, hand: Hand, clef: Clef) {
    let (sign, line) = match clef {
        Clef::Treble => ("G", 2),
        Clef::Bass => ("F", 4),
    };
    xml.group("clef", &[("number", notes::staff(hand))], |xml| {
        xml.leaf("sign", &[], sign);
        xml.leaf("line", &[], line);
    });
}
