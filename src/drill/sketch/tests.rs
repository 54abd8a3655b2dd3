//! Laws of sketches: no tone is lost, and every chord sounds in its own time.

use super::*;

/// Two passages of two bars: which hand holds the chords, how it strikes, how the second
/// one enters.
fn drill(figure: &str, beats: u8, comping: [&str; 2], swapped: [bool; 2], entry: &str) -> Template {
    let mut text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n".to_owned();
    for place in [0, 1] {
        let hands = if swapped[place] { "swapped" } else { "as-usual" };
        let degrees = if beats == 4 { "1, 4, 2, 5" } else { "1, 4" };
        let is_once_each = matches!(comping[place], "on-beat" | "push");
        let entry = if place == 1 && is_once_each { entry } else { "held" };
        text.push_str(&format!(
            "[[passage]]\ndegrees = [{degrees}]\nbeats = {beats}\nnote = \"eighth\"\n\
             figure = \"{}\"\nvoicing = \"close\"\ncomping = \"{}\"\nentry = \"{entry}\"\n\
             hands = \"{hands}\"\n",
            [figure].repeat(usize::from(beats)).join(" "),
            comping[place],
        ));
    }
    Template::parse(&text, "own").unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// Calls `check` with drills of every kind of figure, comping, entry and division of hands.
fn each_drill(mut check: impl FnMut(&str, &Template, &DrillSketch)) {
    const FIGURES: [&str; 4] = [
        "1 3",
        "1:sixteenth 3:sixteenth 5:sixteenth 7:sixteenth",
        "1:triplet 3:triplet 5:triplet",
        "1+5:quarter",
    ];
    const COMPINGS: [&str; 5] = ["on-beat", "push", "anticipated", "1 4&>", "1 2& 4&> | 2 4&>"];
    let hands = [false, true].into_iter().flat_map(|one| [[one, false], [one, true]]);
    for swapped in hands {
        for figure in FIGURES {
            for beats in [4, 8] {
                for (one, other) in
                    COMPINGS.into_iter().flat_map(|one| COMPINGS.map(|other| (one, other)))
                {
                    for entry in ["held", "short", "push"] {
                        let name = format!(
                            "{figure}, {beats} beats, {one}, {other}, {entry}, {swapped:?}"
                        );
                        let template = drill(figure, beats, [one, other], swapped, entry);
                        check(&name, &template, &DrillSketch::of(&template));
                    }
                }
            }
        }
    }
}

/// Every step of a figure is struck, whatever its hand does before and after.
#[test]
fn no_tone_of_a_figure_is_lost() {
    each_drill(|name, template, sketch| {
        let mut chord = 0;
        for passage in &template.passages {
            let hand = if passage.is_swapped { Hand::Left } else { Hand::Right };
            for index in 0..passage.degrees.len() {
                let mut at = sketch.chords[chord].start;
                for step in &passage.figure(index).steps {
                    let is_struck = |sound: &StruckSound| {
                        sound.at == at && sound.chord == chord && sound.end > at
                    };
                    let struck = sketch.lines[hand].iter().any(is_struck);
                    assert!(struck, "{name}: the step at {at} is lost");
                    at += step.length;
                }
                chord += 1;
            }
        }
    });
}

/// A chord sounds in its own time: it comes less than a bar early, and once it has come the
/// one before does not come back.
#[test]
fn no_chord_comes_back_nor_comes_a_bar_early() {
    each_drill(|name, template, sketch| {
        for line in sketch.lines.iter() {
            for pair in line.windows(2) {
                assert!(pair[0].chord <= pair[1].chord, "{name}: {pair:?}");
            }
            for sound in line {
                let early = sketch.chords[sound.chord].start - sound.at;
                assert!(early <= template.metre.count_unit(), "{name}: {early} early");
            }
        }
    });
}

/// A stroke without a value sounds to the next one, or to the end of its chord where that
/// comes first; the guide says so.
#[test]
fn a_stroke_without_a_value_ends_with_its_chord() {
    let template = drill("1 3", 4, ["2", "2 4"], [false, false], "held");
    let sketch = DrillSketch::of(&template);
    let ends: Vec<[Ticks; 2]> =
        sketch.lines.left.iter().take(5).map(|sound| [sound.at / 48, sound.end / 48]).collect();
    assert_eq!(ends, [[1, 4], [5, 8], [9, 12], [13, 16], [17, 19]]);
    let guide = include_str!("../../../templates/guide.md");
    assert!(guide.contains("held to the next, or to the end of its chord"));
}
