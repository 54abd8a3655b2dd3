//! What a tune becomes, over every demo chart.

use super::*;
use crate::chart::{analyse, demos};
use crate::drill::{Choices, Template, realise};
use crate::fingering::FingeringMarks;

/// Every demo chart, with the drills of every way.
fn each(mut check: impl FnMut(&Over<'_>, &Text, &Template)) {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let analysis = analyse(&chart.unfolded()).unwrap();
        let over = Over { chart: &chart, analysis: &analysis };
        let drills = Way::ALL.into_iter().flat_map(|way| over.drills(way));
        for drill in drills.chain(cadences(&over, |_| true)) {
            let template = Template::parse(&drill.text, &drill.name)
                .unwrap_or_else(|error| panic!("{error}\n{}", drill.text));
            check(&over, &drill, &template);
        }
    }
}

/// The symbols of a drill over a tune are the chords that the tune writes, in its own key and
/// spelled as it has them; a voicing may only add to them.
#[test]
fn a_drill_over_a_tune_has_its_chords_as_they_are_written() {
    let mut met = 0;
    each(|over, drill, template| {
        let choices = Choices { fingering: FingeringMarks::None, ..Choices::default() };
        let score = realise(template, over.home(), choices);
        let written: Vec<_> = over.chart.written().filter_map(|stand| stand.chord).collect();
        for harmony in &score.harmonies {
            let is_known = written.iter().any(|chord| {
                chord.root == harmony.chord.root && chord.kind.third() == harmony.chord.kind.third()
            });
            assert!(is_known, "{}: {:?}\n{}", drill.name, harmony.chord, drill.text);
            met += 1;
        }
    });
    assert!(met > 1000, "{met}");
}
