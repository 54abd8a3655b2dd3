//! Laws of what is heard of a chart, and of its transposition.

use quintfall::chart::{Chart, Horn, Unfolded, analyse};
use quintfall::theory::{Chord, Key, Mode};

use super::{all, heard, of};

#[test]
fn chords_fall_where_teachers_have_them() {
    assert_eq!(heard(&of("| C | G7 |")), "1.1 C 4, 2.1 G7 4");
    assert_eq!(heard(&of("| C G7 | Am F Dm |")), "1.1 C 2, 1.3 G7 2, 2.1 Am 2, 2.3 F 1, 2.4 Dm 1");
    assert_eq!(heard(&of("| C / / G7 | % |")), "1.1 C 3, 1.4 G7 1, 2.1 C 3, 2.4 G7 1");
    assert_eq!(heard(&of("| C | % | G7 | N.C. |")), "1.1 C 8, 3.1 G7 4, 4.1 N.C. 4");
    assert_eq!(heard(&of("C\nG7(b9, b13)")), "1.1 C 4, 2.1 G7(♭9,♭13) 4");
}

#[test]
fn repeats_and_endings_are_played_out() {
    assert_eq!(heard(&of("|: C :|x3")), "1.1 C 4, 2.1 C 4, 3.1 C 4");
    let two = "1.1 C 4, 2.1 D 4, 3.1 C 4, 4.1 E 4, 5.1 F 4";
    assert_eq!(heard(&of("| C |1. D :|2. E | F |")), two);
    let three = "1.1 C 4, 2.1 D 4, 3.1 E 4, 4.1 D 4, 5.1 E 4, 6.1 D 4, 7.1 F 4";
    assert_eq!(heard(&of("| C |: D |1.2. E :|3. F |")), three);
    // One that stands where nothing begins goes back to the beginning, or to the repeat before.
    assert_eq!(heard(&of("| C :| D :|")), "1.1 C 4, 2.1 C 4, 3.1 D 4, 4.1 D 4");
    assert_eq!(heard(&of("|: C :|: D :|")), heard(&of("| C :| D :|")));
}

#[test]
fn the_last_time_the_section_is_left_for_the_coda() {
    let text = "title = \"x\"\nmetre = \"4/4\"\nform = \"AACoda\"\npick-up = \"G7 /\"\n";
    let a = "[[section]]\nname = \"A\"\nbars = \"| C to-coda | D |\"\n";
    let coda = "[[section]]\nname = \"Coda\"\nbars = \"| E |\"\n";
    let spaced = text.replace("AACoda", "A A Coda");
    let chart = Chart::parse(&format!("{spaced}{a}{coda}"), "x").unwrap();
    assert_eq!(heard(&chart), "0.3 G7 2, 1.1 C 4, 2.1 D 4, 3.1 C 4, 4.1 E 4");
    assert_eq!(chart.unfolded().sections, [0, 2, 3]);
    let written: Vec<usize> = chart.unfolded().changes.iter().map(|it| it.written).collect();
    assert_eq!(written, [0, 1, 2, 1, 3]);
}

/// Letters of a form may stand together.
#[test]
fn a_form_is_read_with_and_without_white() {
    let text = |form: &str| {
        let section = |name| format!("[[section]]\nname = \"{name}\"\nbars = \"| C |\"\n");
        let head = format!("title = \"x\"\nmetre = \"4/4\"\nform = \"{form}\"\n");
        Chart::parse(&format!("{head}{}{}", section("A"), section("B")), "x").unwrap().form
    };
    assert_eq!(text("AABA"), [0, 0, 1, 0]);
    assert_eq!(text("A, A, B, A"), [0, 0, 1, 0]);
    assert_eq!(text("A A B A"), [0, 0, 1, 0]);
}

pub(super) fn is_whole(chart: &Chart) {
    let Unfolded { metre, bars, sections, changes, .. } = chart.unfolded();
    let start = chart.pick_up.first().map_or(0, |stand| stand.at);
    let mut at = start;
    let written: Vec<Option<Chord>> = chart.written().map(|stand| stand.chord).collect();
    for change in &changes {
        assert_eq!(change.at, at, "{}: a gap", chart.title);
        assert!(change.length > 0, "{}", chart.title);
        assert_eq!(change.chord, written[change.written], "{}", chart.title);
        at += change.length;
    }
    assert_eq!(at, bars as i32 * metre.bar(), "{}", chart.title);
    assert_eq!(bars, chart.heard_bars());
    assert_eq!(sections.len(), chart.form.len());
}

#[test]
fn what_is_heard_has_no_gaps_and_says_which_written_chord_it_is() {
    for chart in all() {
        is_whole(&chart);
        let unfolded = chart.unfolded();
        for written in 0..chart.written().count() {
            let is_heard = unfolded.changes.iter().any(|change| change.written == written);
            assert!(is_heard, "{}: written chord {written} is never heard", chart.title);
        }
    }
    let bars: Vec<usize> = all().iter().map(Chart::heard_bars).collect();
    assert_eq!(bars, [32, 12, 12, 32, 32, 16, 24, 34, 32, 16]);
}

/// All the keys that a mode can be in.
fn keys() -> Vec<Key> {
    Mode::ALL.into_iter().flat_map(Key::all).collect()
}

#[test]
fn a_chart_in_any_key_sounds_the_same_distance_away_and_comes_back() {
    for chart in all() {
        let from = chart.key.expect("demo charts name their keys");
        for to in keys().into_iter().filter(|key| key.mode() == from.mode()) {
            let moved = chart.transposed(from, to);
            let steps = (to.tonic().pitch_class() - from.tonic().pitch_class()).rem_euclid(12);
            assert_eq!(moved.key, Some(to));
            for (old, new) in chart.written().zip(moved.written()) {
                assert_eq!(old.at, new.at);
                let (Some(old), Some(new)) = (old.chord, new.chord) else {
                    assert_eq!(old.chord, new.chord);
                    continue;
                };
                let class = |chord: Chord| chord.root.pitch_class();
                let bass =
                    |chord: Chord| chord.bass.map_or(class(chord), |bass| bass.pitch_class());
                assert_eq!(
                    (class(new) - class(old)).rem_euclid(12),
                    steps,
                    "{} {to:?}",
                    chart.title
                );
                assert_eq!((bass(new) - bass(old)).rem_euclid(12), steps, "{} {to:?}", chart.title);
                assert_eq!(old.kind, new.kind);
                let signs = |chord: Chord| {
                    [chord.root.alter.abs(), chord.bass.map_or(0, |it| it.alter.abs())]
                };
                assert!(signs(new).iter().all(|signs| *signs < 2), "{new:?} in {to:?}");
                let is_white = new.root.alter != 0 && !new.root.is_black();
                assert!(!is_white || !to.is_altered(new.root), "{new:?} in {to:?}");
            }
            let back = moved.transposed(to, from);
            let classes = |chart: &Chart| -> Vec<_> {
                chart
                    .written()
                    .map(|it| it.chord.map(|it| (it.root.pitch_class(), it.kind)))
                    .collect()
            };
            assert_eq!(classes(&back), classes(&chart), "{} by way of {to:?}", chart.title);
        }
    }
}

#[test]
fn a_diatonic_chart_comes_back_letter_for_letter() {
    let chart = of("| Cmaj7 Am7 | Dm7 G7/F | Em7b5 | C/E |");
    let c = "C".parse::<Key>().unwrap();
    for to in Key::majors() {
        assert_eq!(chart.transposed(c, to).transposed(to, c), Chart { key: None, ..chart.clone() });
    }
}

#[test]
fn horns_read_keys_of_few_signs() {
    for horn in Horn::ALL {
        for mode in [Mode::Major, Mode::NaturalMinor, Mode::Dorian] {
            for sounding in Key::ring(mode) {
                let reads = horn.reads(sounding);
                let steps = reads.tonic().pitch_class() - sounding.tonic().pitch_class();
                assert_eq!(steps.rem_euclid(12), horn.interval().semitones, "{horn:?}");
                assert!(reads.fifths().abs() <= 6, "{horn:?} reads {reads:?}");
                assert_eq!(reads.mode(), sounding.mode());
            }
        }
    }
    let c = "C".parse::<Key>().unwrap();
    let read = Horn::ALL.map(|horn| horn.reads(c).plain());
    assert_eq!(read, ["D major", "A major", "G major"]);
}

/// In a key that is moved to, what belongs to the key that it is read in is spelled as that has it:
/// a ii, its V and its I keep their letters together.
#[test]
fn moved_chords_are_spelled_by_the_key_that_they_are_read_in() {
    let mut diatonic = 0;
    for chart in all() {
        let from = chart.key.expect("demo charts name their keys");
        for to in Key::ring(from.mode()) {
            let moved = Chart { key: Some(to), ..chart.transposed(from, to) };
            let analysis = analyse(&moved.unfolded()).expect("there are chords");
            let key = |written| analysis.reading(written).map(|it| it.key.customary());
            let read = |written| Some((key(written)?, analysis.reading(written)?.numeral));
            let spelled = moved.spelled_in(read);
            for (written, (old, new)) in moved.written().zip(spelled.written()).enumerate() {
                let (Some(old), Some(new), Some(key)) = (old.chord, new.chord, key(written)) else {
                    continue;
                };
                assert_eq!(old.root.pitch_class(), new.root.pitch_class());
                assert_eq!(old.kind, new.kind);
                assert!(new.root.alter.abs() < 2, "{new:?}");
                let own = (1..=7).map(|degree| key.scale().note(degree));
                if let Some(own) =
                    own.into_iter().find(|it| it.pitch_class() == new.root.pitch_class())
                {
                    diatonic += 1;
                    assert_eq!(
                        new.root,
                        own,
                        "{} in {}, read in {}",
                        chart.title,
                        to.words(),
                        key.words()
                    );
                }
            }
        }
    }
    assert!(diatonic > 1000, "{diatonic}");
}

/// A chord beside the key is spelled as its numeral says, and a key that is visited has the fewer
/// signs: who plays a horn reads no C sharp major.
#[test]
fn what_a_moved_chart_borrows_is_spelled_as_it_is_called() {
    let text = "title = \"x\"\nmetre = \"4/4\"\nkey = \"Ab\"\n[[section]]\nname = \"A\"\nbars = \"\
                | Abmaj7 | Bbm7 | A7 | Abmaj7 | F#m9 | B13 | Emaj7 | % | F#m9 | B13 | Emaj7 | C#m7 \
                | Bbm7 | Eb7 | Ab6 | Bbm7 A7 |\"\n";
    let chart = Chart::parse(text, "x").unwrap();
    let [from, to] = ["Ab", "F"].map(|key| key.parse::<Key>().unwrap());
    let moved = Chart { key: Some(to), ..chart.transposed(from, to) };
    let analysis = analyse(&moved.unfolded()).unwrap();
    let read = |written| {
        let reading = analysis.reading(written)?;
        Some((reading.key.customary(), reading.numeral))
    };
    let spelled = moved.spelled_in(read);
    let roots: Vec<String> =
        spelled.written().filter_map(|stand| Some(stand.chord?.root.plain())).collect();
    assert_eq!(roots.join(" "), "F G Gb F Eb Ab Db Eb Ab Db Bb G C F G Gb");
}
