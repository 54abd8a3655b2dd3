//! What of a section is played again, and which of its endings belong to which round.

use super::model::{ChartBar, SectionStretch};

/// What is wrong with the repeats of a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Problem {
    /// A repeat begins where one has begun already.
    BegunTwice,
    /// A repeat begins and does not end.
    NotEnded,
    /// An ending that nothing turns back from.
    NoRepeat,
    /// An ending turns back, and no other follows it.
    NoFurther,
    /// No bar stands before the first ending.
    NoBody,
    /// The rounds of the endings are not 1, 2 and so on.
    Rounds,
}

impl Problem {
    /// What is wrong, and how to mend it.
    pub(super) fn words(self) -> [&'static str; 2] {
        match self {
            Self::BegunTwice => {
                ["a repeat begins inside another", "end the first one with :| before it"]
            }
            Self::NotEnded => ["a repeat begins here and does not end", "end its last bar with :|"],
            Self::NoRepeat => [
                "an ending has no repeat to it",
                "end its last bar with :|, or leave its number out",
            ],
            Self::NoFurther => [
                "the last ending turns back too",
                "end it with |, or write a further ending after it",
            ],
            Self::NoBody => {
                ["nothing is repeated before the first ending", "write the bars before it"]
            }
            Self::Rounds => {
                ["the endings do not follow one another", "number them 1. 2. 3. as they are played"]
            }
        }
    }
}

/// A repeat that is being read.
#[derive(Default)]
struct RepeatReading {
    stretches: Vec<SectionStretch>,
    /// The first bar that is in no stretch yet.
    from: usize,
    /// Where a repeat was begun by a sign.
    begun: Option<usize>,
    /// The endings so far, each with its rounds and its first bar.
    endings: Vec<(Vec<u8>, usize)>,
}

impl RepeatReading {
    /// Ends a repeat whose endings are all there; the last of them is as long as the first, unless
    /// there are fewer bars up to `limit`.
    fn end_endings(&mut self, limit: usize) -> Result<(), (usize, Problem)> {
        let endings = std::mem::take(&mut self.endings);
        let Some((_, first)) = endings.first() else { return Ok(()) };
        if endings.len() == 1 {
            return Err((*first, Problem::NoRepeat));
        }
        let body = self.begun.take().unwrap_or(self.from)..*first;
        if body.is_empty() {
            return Err((*first, Problem::NoBody));
        }
        let numbers: Vec<u8> = endings.iter().flat_map(|(rounds, _)| rounds).copied().collect();
        if !numbers.iter().copied().eq(1..=numbers.len() as u8) {
            return Err((*first, Problem::Rounds));
        }
        let long = endings[1].1 - first;
        let starts = endings.iter().skip(1).map(|(_, start)| *start);
        let last = endings.last().map_or(limit, |(_, start)| (start + long).min(limit));
        let ends: Vec<usize> = starts.chain([last]).collect();
        self.once(body.start);
        let endings =
            endings.into_iter().zip(ends).map(|((rounds, start), end)| (rounds, start..end));
        let rounds = numbers.len() as u8;
        self.stretches.push(SectionStretch::Repeated { body, rounds, endings: endings.collect() });
        self.from = last;
        Ok(())
    }

    /// Takes in bars that are played once, up to a bar.
    fn once(&mut self, to: usize) {
        if self.from < to {
            self.stretches.push(SectionStretch::Once(self.from..to));
        }
        self.from = to;
    }
}

/// The bars of a section as they are played; errors with the bar that is wrong.
pub(super) fn stretches(bars: &[ChartBar]) -> Result<Vec<SectionStretch>, (usize, Problem)> {
    let mut reading = RepeatReading::default();
    // Whether an ending has begun and not turned back.
    let mut is_open = false;
    for (index, bar) in bars.iter().enumerate() {
        if bar.begins_repeat {
            if reading.endings.is_empty() && reading.begun.is_some() {
                return Err((index, Problem::BegunTwice));
            }
            reading.end_endings(index)?;
            (reading.begun, is_open) = (Some(index), false);
        }
        if !bar.ending.is_empty() {
            if let (true, Some((_, start))) = (is_open, reading.endings.last()) {
                return Err((*start, Problem::NoRepeat));
            }
            reading.endings.push((bar.ending.clone(), index));
            is_open = true;
        }
        let Some(rounds) = bar.ends_repeat else { continue };
        if reading.endings.is_empty() {
            let body = reading.begun.take().unwrap_or(reading.from)..index + 1;
            reading.once(body.start);
            reading.from = body.end;
            let endings = Vec::new();
            reading.stretches.push(SectionStretch::Repeated { body, rounds, endings });
        } else if bars.get(index + 1).is_none_or(|next| next.ending.is_empty()) {
            return Err((index, Problem::NoFurther));
        } else {
            is_open = false;
        }
    }
    reading.end_endings(bars.len())?;
    match reading.begun {
        Some(begun) => Err((begun, Problem::NotEnded)),
        None => {
            reading.once(bars.len());
            Ok(reading.stretches)
        }
    }
}

/// The bars in the order in which they are heard.
pub(super) fn heard(stretches: &[SectionStretch]) -> Vec<usize> {
    let mut heard = Vec::new();
    for stretch in stretches {
        match stretch {
            SectionStretch::Once(bars) => heard.extend(bars.clone()),
            SectionStretch::Repeated { body, rounds, endings } => {
                for round in 1..=*rounds {
                    heard.extend(body.clone());
                    let own = endings.iter().find(|(rounds, _)| rounds.contains(&round));
                    heard.extend(own.into_iter().flat_map(|(_, bars)| bars.clone()));
                }
            }
        }
    }
    heard
}
