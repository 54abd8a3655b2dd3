//! Which bars of a chart stand on a line.

use std::ops::Range;

use crate::chart::{Chart, Section, SectionStretch};
use crate::score::Ending;

/// A line of a chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct ChartLine {
    /// The section, by its place; none for the pick-up, which has a line of its own.
    pub(super) section: Option<usize>,
    /// Its bars in the section.
    pub(super) bars: Range<usize>,
    /// The column that the first of them stands in.
    pub(super) indent: usize,
}

impl ChartLine {
    /// Whether a section begins with it.
    pub(super) fn begins_section(&self) -> bool {
        self.section.is_some() && self.bars.start == 0
    }

    /// Its bars in their columns.
    pub(super) fn columns(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let indent = self.indent;
        self.bars.clone().enumerate().map(move |(nth, bar)| (indent + nth, bar))
    }
}

/// The lines of a chart of so many columns. A section begins a line; a further ending stands under
/// the first one; a pick-up stands over the last column, from which one reads on to the first bar.
pub(super) fn lines(chart: &Chart, columns: usize) -> Vec<ChartLine> {
    let mut lines = Vec::new();
    if !chart.pick_up.is_empty() {
        lines.push(ChartLine { section: None, bars: 0..1, indent: columns - 1 });
    }
    for (place, section) in chart.sections.iter().enumerate() {
        of_section(place, section, columns, &mut lines);
    }
    lines
}

fn of_section(place: usize, section: &Section, columns: usize, lines: &mut Vec<ChartLine>) {
    let mut line = ChartLine { section: Some(place), bars: 0..0, indent: 0 };
    let mut first_ending = None;
    for (index, bar) in section.bars.iter().enumerate() {
        let is_first = bar.ending.contains(&1);
        let under = first_ending.filter(|_| !bar.ending.is_empty() && !is_first);
        let column = line.indent + line.bars.len();
        if column == columns || under.is_some() && !line.bars.is_empty() {
            lines.push(line.clone());
            line.bars = index..index;
            line.indent = under.unwrap_or(0);
        }
        if is_first {
            first_ending = Some(line.indent + line.bars.len());
        }
        line.bars.end = index + 1;
    }
    lines.push(line);
}

/// The endings of a section, each as long as its bracket.
pub(super) fn endings(section: &Section) -> Vec<Ending> {
    let mut all = Vec::new();
    for stretch in &section.stretches {
        let SectionStretch::Repeated { endings, .. } = stretch else { continue };
        for (nth, (rounds, bars)) in endings.iter().enumerate() {
            let is_open = nth + 1 == endings.len();
            all.push(Ending { bars: bars.clone(), rounds: rounds.clone(), is_open });
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cut(bars: &str, columns: usize) -> Vec<(Range<usize>, usize)> {
        let text =
            format!("title = 'x'\nmetre = '4/4'\n[[section]]\nname = 'A'\nbars = '''{bars}'''\n");
        let chart = Chart::parse(&text, "x").unwrap();
        lines(&chart, columns).into_iter().map(|line| (line.bars, line.indent)).collect()
    }

    #[test]
    fn lines_have_as_many_bars_as_there_are_columns() {
        assert_eq!(cut("C\nC\nC\nC\nC", 4), [(0..4, 0), (4..5, 0)]);
        assert_eq!(cut("C\nC\nC\nC", 4), [(0..4, 0)]);
    }

    #[test]
    fn a_further_ending_stands_under_the_first() {
        let bars = "| C | C | C | C | C | C |1. D | D :|2. E | E | F |";
        assert_eq!(cut(bars, 4), [(0..4, 0), (4..8, 0), (8..10, 2), (10..11, 0)]);
        assert_eq!(cut("| C |1. D :|2. E :|3. F |", 4), [(0..2, 0), (2..3, 1), (3..4, 1)]);
    }
}
