//! What a file says is what the score says.

use quintfall::engrave::Look;
use quintfall::exchange::{ExchangePiece, Movement, musicxml};
use quintfall::score::{Event, NoteValue, Score};
use quintfall::theory::{ChordStyle, NumeralStyle, SymbolStyle, chord_symbol_over, plain_text};

use crate::read::{HANDS, Sounding, Told, read};
use crate::tree::{Node, parse};
use crate::{case, drills, exercise, for_every_case, for_every_piece};

/// The measures of each key: their numbers begin anew.
fn keys<'a>(file: &'a Node) -> Vec<Vec<&'a Node>> {
    let mut keys: Vec<Vec<&'a Node>> = Vec::new();
    for measure in file.find(&["part"]).expect("a part").all("measure") {
        if measure.attribute("number") == Some("1") {
            keys.push(Vec::new());
        }
        keys.last_mut().expect("a first bar").push(measure);
    }
    keys
}

fn check(name: &str, score: &Score, told: &Told) {
    let bar = score.metre.bar();
    assert_eq!(told.sums, vec![[bar; 3]; score.bars.len()], "{name}: full bars");
    for (nth, hand) in HANDS.into_iter().enumerate() {
        let events = || score.bars.iter().flat_map(|bar| &bar.staves[hand].events);
        let mut clef = score.opening_clefs[hand];
        let found = &told.hands[nth];
        assert_eq!(found.len(), events().count(), "{name}: events of the {hand:?} hand");
        for (event, found) in events().zip(found) {
            clef = event.clef_change.unwrap_or(clef);
            assert_eq!(found.clef, Some(clef), "{name}: clef at {}", event.at);
            same(name, event, found);
            if !event.is_rest() && !event.is_tied_in() {
                let octaves = score.octaves_at(hand, event.at);
                assert_eq!(found.octaves, octaves, "{name}: octaves at {}", event.at);
            }
        }
    }
    let symbols: Vec<_> = score.harmonies.iter().map(|it| it.at).collect();
    assert_eq!(told.symbols.iter().map(|it| it.at).collect::<Vec<_>>(), symbols, "{name}");
    let style = Look::default().symbols;
    for (harmony, found) in score.harmonies.iter().zip(&told.symbols) {
        let chord = harmony.chord.inverted(harmony.numeral.inversion);
        let plain = |(step, alter): &(String, i32)| {
            format!(
                "{step}{}",
                if *alter < 0 { "♭" } else { "♯" }.repeat(alter.unsigned_abs() as usize)
            )
        };
        let bass = found.bass.as_ref().map(|bass| format!("/{}", plain(bass)));
        let whole = format!("{}{}{}", plain(&found.root), found.text, bass.unwrap_or_default());
        let symbol = chord_symbol_over(harmony.chord, harmony.numeral.inversion, style);
        assert_eq!(whole, plain_text(&symbol), "{name}: symbol at {}", harmony.at);
        let kind = chord.kind.standard();
        assert_eq!(found.kind, kind.word, "{name}");
        let degrees: Vec<_> = kind
            .degrees
            .iter()
            .map(|it| (it.value, it.alter, it.change.word().to_owned()))
            .collect();
        assert_eq!(found.degrees, degrees, "{name}");
    }
}

fn same(name: &str, event: &Event, found: &Sounding) {
    let at = event.at;
    assert_eq!((found.at, found.length), (at, event.value.ticks()), "{name}");
    assert_eq!(found.fills_bar, matches!(event.value, NoteValue::WholeBar(_)), "{name}: {at}");
    if !found.fills_bar {
        assert_eq!(found.value(), Some(event.value), "{name}: value at {at}");
    }
    assert_eq!((found.staccato, found.fermata), (event.staccato, event.fermata), "{name}: {at}");
    let notes: Vec<_> = event
        .notes
        .iter()
        .map(|note| {
            let pitch = note.pitch;
            let spelled = (pitch.name.letter.to_string(), pitch.name.alter, pitch.octave);
            (spelled, [note.tied_in, note.tied_out], note.finger.filter(|_| note.shows_finger))
        })
        .collect();
    let heard: Vec<_> =
        found.notes.iter().map(|it| (it.pitch.clone(), it.ties, it.finger)).collect();
    assert_eq!(heard, notes, "{name}: notes at {at}");
}

/// Bars are full, and pitches, ties, values, fingers, clefs and symbols are those of the score: every
/// drill of the library in every key, all in one file a drill.
#[test]
fn a_file_says_what_the_score_says() {
    let mut seen = 0;
    for template in drills() {
        let own = exercise(template);
        let title = own.template.title.clone();
        let movements = vec![Movement::of(&own, Look::default())];
        let file =
            parse(&musicxml(&ExchangePiece { title, movements, ..ExchangePiece::default() }));
        let (keys, drill) = (keys(&file), own.drill());
        assert_eq!(keys.len(), own.keys.len());
        for (key, measures) in own.keys.iter().zip(&keys) {
            let name = format!("{} in {key}", own.template.name);
            check(&name, &own.score(&drill, *key), &read(measures));
            seen += 1;
        }
    }
    assert!(seen > 500, "{seen}");
}

#[test]
fn pieces_with_signs_of_form_and_octaves_are_told_too() {
    let mut octaves = 0;
    for_every_piece(|name, score| {
        let own = case(name, score, Look::default());
        check(&own.name, &own.score, &own.told);
        octaves += own.file.deep("octave-shift").len();
    });
    assert!(octaves > 20, "{octaves}");
}

/// Beams begin, go on and end in order, on every level; a triplet begins and ends once.
#[test]
fn beams_and_triplets_are_sound() {
    for_every_case(|own| {
        for hand in &own.told.hands {
            let mut open = [false; 2];
            let mut triplet = false;
            for event in hand {
                for (level, is_open) in open.iter_mut().enumerate() {
                    let part = event.beams.get(level).map_or("none", String::as_str);
                    let (before, after) = match part {
                        "begin" => (false, true),
                        "continue" => (true, true),
                        "end" => (true, false),
                        _ => (false, false),
                    };
                    assert_eq!(*is_open, before, "{}: {part} at {}", own.name, event.at);
                    *is_open = after;
                }
                for kind in &event.tuplets {
                    assert_eq!(triplet, kind == "stop", "{}: {kind} at {}", own.name, event.at);
                    triplet = kind == "start";
                }
                if !event.is_triplet {
                    assert!(!triplet, "{}: no triplet at {}", own.name, event.at);
                }
            }
            assert!(!triplet && open == [false; 2], "{}", own.name);
        }
    });
}

/// Barlines, repeats, endings, letters and titles.
#[test]
fn signs_of_form_are_those_of_the_score() {
    let mut seen = [0; 3];
    for_every_piece(|name, score| {
        let own = case(name, score, Look::default());
        let (signs, name) = (&own.score.signs, &own.name);
        let measures: Vec<&Node> = own.file.find(&["part"]).expect("it").all("measure").collect();
        for (bar, measure) in measures.iter().enumerate() {
            let at = |side: &str| {
                measure.all("barline").find(move |it| it.attribute("location") == Some(side))
            };
            let repeat = |side: &str, kind: &str| {
                let repeat = at(side).and_then(|it| it.find(&["repeat"]));
                repeat.is_some_and(|it| it.attribute("direction") == Some(kind))
            };
            let before = own.score.barline_before(bar);
            assert_eq!(repeat("left", "forward"), before.begins_repeat(), "{name}: {bar}");
            let after = own.score.barline_before(bar + 1);
            assert_eq!(repeat("right", "backward"), after.ends_repeat(), "{name}: {bar}");
            let ending = |side: &str| {
                let ending = at(side).and_then(|it| it.find(&["ending"]))?;
                Some((ending.attribute("number")?.to_owned(), ending.attribute("type")?.to_owned()))
            };
            let own_endings = |is: fn(&quintfall::score::Ending, usize) -> bool| {
                let found = signs.endings.iter().find(|ending| is(ending, bar))?;
                let rounds: Vec<String> = found.rounds.iter().map(u8::to_string).collect();
                Some((rounds.join(","), found.is_open))
            };
            let begins = own_endings(|ending, bar| ending.bars.start == bar);
            let begins = begins.map(|(rounds, _)| (rounds, "start".to_owned()));
            assert_eq!(ending("left"), begins, "{name}: {bar}");
            let ends = own_endings(|ending, bar| ending.bars.end == bar + 1);
            let word = |is_open| if is_open { "discontinue" } else { "stop" };
            let ends = ends.map(|(rounds, is_open)| (rounds, word(is_open).to_owned()));
            assert_eq!(ending("right"), ends, "{name}: {bar}");
            seen[0] += usize::from(after.ends_repeat());
            let words = measure.deep("words");
            let letters = measure.deep("rehearsal");
            let heading = signs.headings.get(&bar).cloned().unwrap_or_default();
            let letter = letters.first().map(|it| it.text.clone());
            assert_eq!(letter, heading.letter, "{name}: {bar}");
            seen[1] += letters.len();
            if let Some(title) = heading.title {
                assert!(words.iter().any(|it| it.text == title), "{name}: {title}");
            }
            let key = measure.find(&["attributes", "key", "fifths"]).map(|it| it.text.clone());
            let told = if bar == 0 { Some(own.score.key) } else { own.score.new_key_at(bar) };
            assert_eq!(key, told.map(|key| key.fifths().to_string()), "{name}: {bar}");
            seen[2] += usize::from(bar > 0 && told.is_some());
        }
    });
    assert!(seen.iter().all(|seen| *seen > 5), "{seen:?}");
}

/// Numerals stand where the page has them, in the style that was asked for; so do symbols.
#[test]
fn what_is_written_follows_the_look() {
    let own = exercise(drills().next().expect("a drill"));
    let score = own.score(&own.drill(), own.keys[3]);
    let styles = [SymbolStyle::Letters, SymbolStyle::Mixed, SymbolStyle::Signs];
    for (symbols, numerals) in
        styles.into_iter().zip([NumeralStyle::On, NumeralStyle::Plain, NumeralStyle::Off])
    {
        let symbols = ChordStyle::from(symbols);
        let look = Look { symbols, numerals, ..Look::default() };
        let own = case("styles".to_owned(), score.clone(), look);
        let expected: Vec<_> = score
            .harmonies
            .iter()
            .filter(|_| numerals != NumeralStyle::Off)
            .map(|it| (it.at, plain_text(&it.numeral.parts(numerals, symbols))))
            .collect();
        assert_eq!(own.told.numerals, expected);
        for (harmony, found) in score.harmonies.iter().zip(&own.told.symbols) {
            let whole = plain_text(&chord_symbol_over(harmony.chord, 0, symbols));
            assert!(whole.ends_with(&found.text), "{whole} {}", found.text);
        }
    }
}
