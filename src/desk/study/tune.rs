//! A tune of a study: its chart in the key that sounds, its analysis, and where its bars stand.

use crate::chart::{Analysis, Chart, Need, Unfolded, needs};
use crate::score::Ticks;

/// A tune that is studied.
pub(super) struct Studied {
    pub(super) chart: Chart,
    pub(super) unfolded: Unfolded,
    pub(super) analysis: Analysis,
    pub(super) needs: Vec<Need>,
    /// Where each written change stands: its section, none of a tune that has but one, and its bar
    /// there, counted from 1; bar 0 is a pick-up.
    places: Vec<(Option<String>, usize)>,
}

impl Studied {
    pub(super) fn of(chart: Chart, analysis: Analysis) -> Self {
        let unfolded = chart.unfolded();
        let needs = needs(&chart, &unfolded, &analysis);
        let places = places(&chart);
        Self { chart, unfolded, analysis, needs, places }
    }

    /// Where a written change stands, in words.
    pub(super) fn place(&self, written: usize) -> String {
        match self.places.get(written) {
            None | Some((_, 0)) => "pick-up".to_owned(),
            Some((None, bar)) => bar.to_string(),
            Some((Some(section), bar)) => format!("{section}\u{a0}{bar}"),
        }
    }

    /// Where what is heard at a moment stands.
    pub(super) fn place_at(&self, at: Ticks) -> String {
        let change = self.unfolded.changes.iter().rfind(|change| change.at <= at);
        let bar = self.unfolded.metre.bar();
        let Some(change) = change else { return self.place(usize::MAX) };
        let later = (at.div_euclid(bar) - change.at.div_euclid(bar)).max(0) as usize;
        match self.places.get(change.written) {
            Some((None, own)) if *own > 0 => (own + later).to_string(),
            Some((Some(section), own)) => format!("{section}\u{a0}{}", own + later),
            _ => self.place(change.written),
        }
    }

    /// Where some bars stand, counted from 1 as heard, each place once.
    pub(super) fn places_of_bars(&self, bars: &[usize]) -> Vec<String> {
        let bar = self.unfolded.metre.bar();
        // A chord that enters in the bar says which bar it is.
        let of = |nth: &usize| {
            let start = nth.saturating_sub(1) as Ticks * bar;
            let mut own = self.unfolded.changes.iter();
            let inside = own.find(|change| (start..start + bar).contains(&change.at));
            inside.map_or_else(|| self.place_at(start), |change| self.place(change.written))
        };
        once(bars.iter().map(of))
    }
}

/// Words, each once, in order.
pub(super) fn once(words: impl Iterator<Item = String>) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for word in words {
        if !all.contains(&word) {
            all.push(word);
        }
    }
    all
}

fn places(chart: &Chart) -> Vec<(Option<String>, usize)> {
    let mut places = vec![(None, 0); chart.pick_up.len()];
    let is_one = chart.sections.len() == 1;
    for section in &chart.sections {
        let name = (!is_one).then(|| section.name.clone());
        for (index, bar) in section.bars.iter().enumerate() {
            places.extend(bar.changes.iter().map(|_| (name.clone(), index + 1)));
        }
    }
    places
}
