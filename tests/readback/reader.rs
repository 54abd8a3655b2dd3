//! One staff of one system: clefs, signature, metre, and what its columns of heads mean.

use std::collections::BTreeMap;

use crate::ink::Glyph;
use crate::music::{Column, HeadRead, Pitch, Sheet, Signature};
use crate::rhythm::{self, Item, QUARTER};
use crate::share::Part;
use crate::staff::Staff;

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Clef {
    G,
    F,
}

impl Clef {
    fn of(meaning: &str) -> Option<Self> {
        match meaning {
            "\u{E050}" | "\u{E07A}" => Some(Self::G),
            "\u{E062}" | "\u{E07C}" => Some(Self::F),
            _ => None,
        }
    }

    /// Steps above C0 of the middle line: B4 or D3.
    fn middle(self) -> i32 {
        match self {
            Self::G => 7 * 4 + 6,
            Self::F => 7 * 3 + 1,
        }
    }

    /// The position of the line that the clef names: G4 or F3.
    fn line(self) -> i32 {
        match self {
            Self::G => 7 * 4 + 4 - self.middle(),
            Self::F => 7 * 3 + 3 - self.middle(),
        }
    }
}

fn alteration(meaning: &str) -> Option<i32> {
    match meaning {
        "\u{E260}" => Some(-1),
        "\u{E261}" => Some(0),
        "\u{E262}" => Some(1),
        "\u{E263}" => Some(2),
        "\u{E264}" => Some(-2),
        _ => None,
    }
}

fn is_figure(meaning: &str) -> bool {
    ("\u{E080}".."\u{E08A}").contains(&meaning)
}

/// New signatures by their first bars, and one that is warned of.
pub(crate) type NewKeys = (Vec<(usize, Signature)>, Option<Signature>);

/// Reads one staff of one system.
pub(crate) struct Reader {
    pub(crate) part: Part,
    pub(crate) staff: Staff,
    pub(crate) bar_ends: Vec<f64>,
    pub(crate) opening: Clef,
    /// Clefs by the abscissa from which they hold.
    clefs: Vec<(f64, Clef)>,
    /// Accidentals that belong to heads.
    accidentals: Vec<Glyph>,
}

impl Reader {
    /// A reader of what lies at one staff, whose bars end at `bar_ends`.
    pub(crate) fn new(part: Part, bar_ends: Vec<f64>) -> Self {
        let (staff, opening) = (part.staff, Clef::G);
        Self { part, staff, bar_ends, opening, clefs: vec![], accidentals: vec![] }
    }

    pub(crate) fn of(&self, keep: impl Fn(&str) -> bool) -> Vec<Glyph> {
        self.part.glyphs.iter().filter(|glyph| keep(&glyph.meaning)).cloned().collect()
    }

    /// The position of something that must stand exactly on one.
    fn position(&self, glyph: &Glyph) -> Result<i32, String> {
        let (position, off) = self.staff.position(glyph.at.y);
        if off > 0.06 {
            return Err(format!(
                "{:?} at x {:.1} stands between two positions ({off:.2} off)",
                glyph.meaning, glyph.at.x
            ));
        }
        Ok(position)
    }

    /// Clefs, signature and metre; where the sheet has none yet, it takes them.
    pub(crate) fn open(&mut self, sheet: &mut Sheet, is_first: bool) -> Result<(), String> {
        for glyph in self.of(|meaning| Clef::of(meaning).is_some()) {
            let clef = Clef::of(&glyph.meaning).expect("filtered");
            if self.position(&glyph)? != clef.line() {
                return Err(format!("a clef stands on the wrong line at x {:.1}", glyph.at.x));
            }
            self.clefs.push((glyph.at.x, clef));
        }
        let Some((x, clef)) = self.clefs.first().copied() else {
            return Err("no clef".to_owned());
        };
        if x > self.staff.left + 2.0 * self.staff.space {
            return Err("the staff does not begin with a clef".to_owned());
        }
        self.opening = clef;
        let signature = self.signature(clef)?;
        let metre = self.metre()?;
        if is_first && metre.is_none() {
            return Err("no time signature".to_owned());
        }
        match sheet.metre {
            None => (sheet.signature, sheet.metre) = (signature, metre),
            Some(_) if signature != *sheet.signature_at(sheet.bars) => {
                let before = sheet.signature_at(sheet.bars);
                return Err(format!("signature {signature:?}, before it {before:?}"));
            }
            Some(_) if metre.is_some() != is_first || (is_first && metre != sheet.metre) => {
                return Err(format!("time signature {metre:?}, before it {:?}", sheet.metre));
            }
            Some(_) => {}
        }
        Ok(())
    }

    /// The accidentals of the signature that stands after the clef. The others belong to heads, or
    /// to signatures further on.
    fn signature(&mut self, clef: Clef) -> Result<Signature, String> {
        self.accidentals = self.of(|meaning| alteration(meaning).is_some());
        let opening = self.of(|meaning| Clef::of(meaning).is_some());
        let from = opening.first().map_or(self.staff.left, |clef| clef.at.x + clef.advance);
        let figure = self.of(is_figure).first().map(|figure| figure.at.x);
        let signs = self.take_signature(from, 1.3, figure);
        self.letters(&signs, clef)
    }

    /// Takes the accidentals that stand close together from an abscissa on, so many spaces after it
    /// at the most, unless they stand at a head; nothing else may stand before `end`.
    fn take_signature(&mut self, from: f64, within: f64, end: Option<f64>) -> Vec<Glyph> {
        let space = self.staff.space;
        let mut signs: Vec<Glyph> = Vec::new();
        for glyph in self.accidentals.iter().filter(|glyph| glyph.at.x > from) {
            let (before, most) = match signs.last() {
                Some(last) => (last.at.x + last.advance, 0.5),
                None => (from, within),
            };
            if glyph.at.x - before > most * space || end.is_some_and(|end| glyph.at.x > end) {
                break;
            }
            signs.push(glyph.clone());
        }
        let Some(right) = signs.last().map(|last| last.at.x + last.advance) else { return signs };
        let heads = self.part.glyphs.iter().filter(|glyph| rhythm::is_head(&glyph.meaning));
        let at_head = |head: &Glyph| head.at.x > from && head.at.x - right < 0.6 * space;
        if heads.into_iter().any(at_head) {
            return Vec::new();
        }
        self.accidentals.retain(|glyph| !signs.iter().any(|sign| sign.at == glyph.at));
        signs
    }

    fn letters(&self, signs: &[Glyph], clef: Clef) -> Result<Signature, String> {
        let letter = |glyph: &Glyph| {
            let letter = (clef.middle() + self.position(glyph)?).rem_euclid(7);
            Ok((letter, alteration(&glyph.meaning).expect("filtered")))
        };
        signs.iter().map(letter).collect()
    }

    /// The keys that begin inside the system, each by its first bar, and the one that its end warns
    /// of.
    pub(crate) fn new_keys(&mut self, sheet: &Sheet) -> Result<NewKeys, String> {
        let mut keys = Vec::new();
        let mut before = sheet.signature_at(sheet.bars).clone();
        let mut warning = None;
        let ends = self.bar_ends.clone();
        for (index, end) in ends.iter().enumerate() {
            let is_last = index + 1 == ends.len();
            let signs = self.take_signature(*end, 2.0, None);
            if signs.is_empty() {
                continue;
            }
            let clef = self.clef_at(signs[0].at.x);
            let shown = self.letters(&signs, clef)?;
            let letters = |signature: &Signature| -> Vec<i32> {
                signature.iter().map(|sign| sign.0).collect()
            };
            let naturals = shown.iter().all(|sign| sign.1 == 0);
            if naturals && letters(&shown) != letters(&before) {
                return Err(format!("naturals {shown:?} after {before:?}"));
            }
            let shown = if naturals { Vec::new() } else { shown };
            before.clone_from(&shown);
            if is_last { warning = Some(shown) } else { keys.push((sheet.bars + index + 1, shown)) }
        }
        Ok((keys, warning))
    }

    /// The figures of the time signature, the upper number and the lower.
    fn metre(&self) -> Result<Option<(i32, i32)>, String> {
        let digits = self.of(is_figure);
        if digits.is_empty() {
            return Ok(None);
        }
        let number = |position: i32| {
            let row = digits.iter().filter(|it| self.staff.position(it.at.y).0 == position);
            let figure = |it: &Glyph| it.meaning.chars().next().expect("a figure") as i32 - 0xE080;
            row.map(figure).reduce(|number, figure| 10 * number + figure)
        };
        number(2).zip(number(-2)).map(Some).ok_or_else(|| "half a time signature".to_owned())
    }

    fn clef_at(&self, x: f64) -> Clef {
        self.clefs.iter().rev().find(|(from, _)| *from < x).map_or(self.opening, |(_, clef)| *clef)
    }

    /// The clef that the staff ends in, a warning at its end counted in.
    pub(crate) fn closing(&self) -> Clef {
        self.clefs.last().map_or(self.opening, |(_, clef)| *clef)
    }

    /// The columns, with times that fill each bar exactly; alterations are still those that
    /// stand beside the heads, for [`spell`] to complete.
    pub(crate) fn columns(
        &self,
        system: usize,
        first: i32,
        bar: i32,
    ) -> Result<Vec<Column>, String> {
        let mut columns = Vec::new();
        let mut items = rhythm::items(&self.part)?.into_iter().peekable();
        let mut signs = self.accidentals.clone();
        for (index, end) in self.bar_ends.iter().enumerate() {
            let start = first + index as i32 * bar;
            let mut at = start;
            let mut own = Vec::new();
            while let Some(item) = items.next_if(|item| item.left < *end) {
                own.push(item);
            }
            let alone = own.len() == 1;
            for item in own {
                // A whole rest that stands alone is a bar's rest in every metre.
                let fills = alone && item.heads.is_empty() && item.value.plain == 4 * QUARTER;
                let length = if fills { bar } else { item.value.ticks() };
                columns.push(self.column(system, at, length, &item, &mut signs)?);
                at += length;
            }
            if at != start + bar {
                let (found, number) = (at - start, start / bar + 1);
                return Err(format!("bar {number} holds {found} instead of {bar}"));
            }
        }
        if items.next().is_some() {
            return Err("something stands past the last barline".to_owned());
        }
        match signs.first() {
            Some(stray) => Err(format!("an accidental of no head at x {:.1}", stray.at.x)),
            None => Ok(columns),
        }
    }

    /// One column; the accidentals before it leave `signs`.
    fn column(
        &self,
        system: usize,
        start: i32,
        length: i32,
        item: &Item,
        signs: &mut Vec<Glyph>,
    ) -> Result<Column, String> {
        let space = self.staff.space;
        let clef = self.clef_at(item.left);
        // No chord has so many accidentals that one stands further off.
        let reach = (item.left - 5.5 * space, item.right - 0.2 * space);
        let mut heads = Vec::new();
        for head in &item.heads {
            let position = self.position(head)?;
            self.check_ledgers(head, position)?;
            let own = signs.iter().rposition(|sign| {
                let right = sign.at.x + sign.advance;
                self.staff.position(sign.at.y).0 == position
                    && sign.at.x > reach.0
                    && right < reach.1
                    && right < head.at.x + 0.3 * space
            });
            let sign = own.map(|own| signs.remove(own));
            if let Some(sign) = &sign {
                self.position(sign)?;
            }
            let sign = sign.and_then(|sign| alteration(&sign.meaning));
            let pitch = Pitch { step: clef.middle() + position, alter: 0 };
            let right = head.at.x + head.advance;
            let (x, y) = (head.at.x, head.at.y);
            heads.push(HeadRead { pitch, sign, x, right, y, tied_in: false, tied_out: false });
        }
        if let Some(stray) = signs.iter().find(|sign| sign.at.x + sign.advance < item.left) {
            return Err(format!("an accidental of no head at x {:.1}", stray.at.x));
        }
        Ok(Column {
            system,
            start,
            length,
            value: item.value,
            x: item.left,
            right: item.right,
            clef,
            heads,
            fingers: vec![],
            staccato: false,
            fermata: false,
        })
    }

    /// A head off the staff needs its ledger lines, every one, and no head has one too many.
    fn check_ledgers(&self, head: &Glyph, position: i32) -> Result<(), String> {
        let (x0, x1) = (head.at.x, head.at.x + head.advance);
        let air = 0.1 * self.staff.space;
        let has = |wanted: i32| {
            self.part.flats.iter().any(|line| {
                let (left, right) = (line.from.x.min(line.to.x), line.from.x.max(line.to.x));
                let (found, off) = self.staff.position(line.from.y);
                // Two whole notes side by side, and what the line has beyond them.
                let short = right - left < 4.5 * self.staff.space;
                found == wanted && off < 0.1 && short && left < x0 - air && right > x1 + air
            })
        };
        let side = position.signum();
        let needed = (6..=position.abs()).step_by(2);
        if let Some(line) = needed.into_iter().find(|line| !has(side * line)) {
            return Err(format!("no ledger line {} at x {x0:.1}", side * line));
        }
        Ok(())
    }
}

/// Completes the alterations of a staff's columns: an accidental holds to the barline, in its
/// octave; a tied head sounds as the head it is tied to; the rest is as the signature says.
///
/// `before` holds the pitches tied over from the system before.
pub(crate) fn spell(columns: &mut [Column], before: &[Pitch], sheet: &Sheet) -> Result<(), String> {
    let bar = sheet.bar();
    let mut usual: BTreeMap<i32, i32> = BTreeMap::new();
    let mut in_force: BTreeMap<i32, i32> = BTreeMap::new();
    let mut sounding: BTreeMap<i32, i32> =
        before.iter().map(|pitch| (pitch.step, pitch.alter)).collect();
    let mut number = None;
    for column in columns {
        if number != Some(column.start / bar) {
            number = Some(column.start / bar);
            in_force.clear();
            let signature = sheet.signature_at((column.start / bar) as usize);
            usual = signature.iter().copied().collect();
        }
        for head in &mut column.heads {
            let step = head.pitch.step;
            if let Some(sign) = head.sign {
                in_force.insert(step, sign);
            }
            let by_rule = || {
                let letter = step.rem_euclid(7);
                let usual = usual.get(&letter).copied().unwrap_or(0);
                in_force.get(&step).copied().unwrap_or(usual)
            };
            let tied = sounding.get(&step).copied().filter(|_| head.tied_in);
            head.pitch.alter = tied.unwrap_or_else(by_rule);
            if head.sign.is_some_and(|sign| sign != head.pitch.alter) {
                return Err(format!("a tie joins two pitches at x {:.1}", head.x));
            }
        }
        if !column.heads.is_empty() {
            let out = column.heads.iter().filter(|head| head.tied_out);
            sounding = out.map(|head| (head.pitch.step, head.pitch.alter)).collect();
        }
    }
    Ok(())
}
