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
        self.bar_at(at).map_or_else(String::new, |place| place.words())
    }

    fn bar_at(&self, at: Ticks) -> Option<BarPlace> {
        let change = self.unfolded.changes.iter().rfind(|change| change.at <= at);
        let place = change.and_then(|it| Some((it, self.places.get(it.written)?.clone())));
        let (change, place) = place?;
        let bar = self.unfolded.metre.bar();
        // A chord that goes on is not written again.
        let later = (at.div_euclid(bar) - change.at.max(0).div_euclid(bar)).max(0);
        Some(place.later(later as usize))
    }

    /// The written bars in which some stretches are heard, in the order in which they are: bars that
    /// follow one another in a section are told together, and those that come again as they were
    /// are not told again.
    pub(super) fn stretches(
        &self,
        stretches: impl Iterator<Item = std::ops::Range<Ticks>>,
    ) -> Vec<String> {
        let bar = self.unfolded.metre.bar();
        let section = |place: &BarPlace| {
            let name = place.section.as_deref();
            let sections = self.chart.sections.iter();
            name.and_then(|name| sections.clone().position(|it| it.name == name)).unwrap_or(0)
        };
        let mut runs: Vec<Vec<(usize, usize)>> = Vec::new();
        for stretch in stretches {
            let first = stretch.start.max(0).div_euclid(bar);
            let bars = (first..).take_while(|nth| nth * bar < stretch.end);
            let moments = bars.map(|nth| (nth * bar).max(stretch.start));
            let places = moments.filter_map(|at| self.bar_at(at));
            let mut heard: Vec<(usize, usize)> = places.map(|at| (section(&at), at.bar)).collect();
            heard.dedup();
            for run in heard.chunk_by(|one, next| *next == (one.0, one.1 + 1)) {
                if !runs.iter().any(|told| told == run) {
                    runs.push(run.to_vec());
                }
            }
        }
        let is_one = self.chart.sections.len() == 1;
        let told = |(index, run): (usize, &Vec<(usize, usize)>)| {
            let [(section, first), ..] = *run.as_slice() else { return String::new() };
            let is_again = runs[..index].iter().flatten().any(|it| *it == (section, first));
            let again = if is_again { " again" } else { "" };
            let last = run.last().map_or(first, |last| last.1);
            let section = self.chart.sections.get(section).filter(|_| !is_one);
            let section = section.map(|section| section.name.clone());
            let words = BarPlace { section, bar: first }.words();
            let to = if first == last { String::new() } else { format!(" to {last}") };
            format!("{words}{to}{again}")
        };
        runs.iter().enumerate().map(told).collect()
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
