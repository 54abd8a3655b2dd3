//! A tune of a study: its chart in the key that sounds, its analysis, and where its bars stand.

use crate::chart::{Analysis, BarPlace, Chart, Need, Unfolded, needs};
use crate::score::Ticks;

/// A tune that is studied.
pub(super) struct Studied {
    pub(super) chart: Chart,
    pub(super) unfolded: Unfolded,
    pub(super) analysis: Analysis,
    pub(super) needs: Vec<Need>,
    /// Where each written change stands.
    places: Vec<BarPlace>,
}

impl Studied {
    pub(super) fn of(chart: Chart, analysis: Analysis) -> Self {
        let unfolded = chart.unfolded();
        let needs = needs(&chart, &unfolded, &analysis);
        let places = chart.places();
        Self { chart, unfolded, analysis, needs, places }
    }

    /// Where a written change stands, in words.
    pub(super) fn place(&self, written: usize) -> String {
        self.places.get(written).map_or_else(String::new, BarPlace::words)
    }

    /// Where what is heard at a moment stands.
    pub(super) fn place_at(&self, at: Ticks) -> String {
        let change = self.unfolded.changes.iter().rfind(|change| change.at <= at);
        let place = change.and_then(|it| Some((it, self.places.get(it.written)?.clone())));
        let Some((change, place)) = place else { return String::new() };
        let bar = self.unfolded.metre.bar();
        // A chord that goes on is not written again.
        let later = (at.div_euclid(bar) - change.at.max(0).div_euclid(bar)).max(0);
        place.later(later as usize).words()
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
