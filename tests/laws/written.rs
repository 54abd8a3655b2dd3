//! Scores written by hand, in letters: rhythms and textures that no drill of the library has,
//! in any key.

use quintfall::recipe::FingeringMarks;
use quintfall::score::{
    Bar, ByHand, Clef, Event, Hand, Metre, Note, NoteValue, Rhythm, Score, Ticks, count,
};
use quintfall::theory::{Interval, Key, Letter, NoteName, Pitch};

/// A few bars for two hands, in C.
///
/// A hand is written as words: notes low to high, joined by commas, or `r` for a rest; a stroke;
/// values joined by `+`. `s` is a sixteenth, `t` an eighth of a triplet, `T` a quarter in one,
/// then `e`, `q`, `h`, `w`; a dot lengthens the value before it, `'` after all makes it short,
/// `^` holds it. Barlines `|` are checked where they stand.
pub(crate) struct Piece {
    pub(crate) name: &'static str,
    pub(crate) metre: Metre,
    pub(crate) clefs: ByHand<Clef>,
    pub(crate) right: &'static str,
    pub(crate) left: &'static str,
}

const USUAL: ByHand<Clef> = ByHand { right: Clef::Treble, left: Clef::Bass };

/// Every piece.
pub(crate) const PIECES: [Piece; 10] = [
    Piece {
        name: "triplets under a beam",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "c5/t e5/t g5/t b5/t g5/t e5/t d5/q r/q | c4/t d4/t e4/t f4/t e4/t d4/t c4/e d4/e \
                e4/q | g5/q b5/t c6/t d6/t c6/h | c4/t e4/t g4/t b4/t c5/t e5/t g5/t f5/t d5/t \
                b4/t g4/t f4/t",
        left: "c3,g3/w | c3/t e3/t g3/t b3/t g3/t e3/t c3/q g2/q | c3,e3,b3/h d3,f3,c4/h | \
               e3/q f3/t e3/t d3/t c3/h",
    },
    Piece {
        name: "triplets in brackets",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "c5/T e5/t g5/T b4/t c4/T e4/t d5/q | c5/t r/t e5/t r/t g4/t b4/t r/T c5/t c4/t \
                d5/T | c4/t g5/T+q a5/t c6/T+q | r/T g4/t+q e4/T d4/t+q",
        left: "c3/T g2/t c3/T g2/t c3,e3,g3,b3/h | r/T c3,e3,g3,b3/t+q r/h | c3/t e3/t r/t r/t \
               g3/t c4/t c4/T g3/t e3/q | c3,e3,b3/h.+T d3,f3,c4/t",
    },
    Piece {
        name: "sixteenths",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "c5/s d5/s e5/s f5/s g5/e. a5/s g5/s f5/e e5/s d5/e r/s c5/s | c4/s d4/s e4/e \
                f4/e e4/s d4/s c4/s e4/e.+e r/e | g5/e a5/s b5/s c6/s b5/s a5/s g5/s f5/e.+s \
                e5/s r/s r/e | c5/e. g5/s+e f5/e e5/s r/e. c5/s r/s c5/e",
        left: "c3,g3/q. c3,g3/e+h | c3/s e3/s g3/s c4/s b3/s g3/s e3/s c3/s a2/q g2/q | \
               c3/e. g3/s r/q c3,e3,g3,b3/s r/e. r/e. f3/s | c3/w^",
    },
    Piece {
        name: "a waltz",
        metre: Metre::ThreeFour,
        clefs: USUAL,
        right: "r/h. | c5/e e5/e g5/e b5/e a5/e g5/e | f5/q e5/e d5/e c5/q | e5/q. d5/q. | \
                c5/e d5/q e5/q+e | c5,e5,g5/h.",
        left: "c3/q e3,g3,b3/q e3,g3,b3/q | a2/q c3,e3,g3/h | d3,f3,c4/h. | r/q r/q g2,b2,f3/q | \
               g2/e r/e g3,b3,f4/q g3,b3,f4/q | c3/h.",
    },
    Piece {
        name: "five",
        metre: Metre::FiveFour,
        clefs: USUAL,
        right: "c5/e e5/e g5/e b5/e g5/e e5/e d5/e f5/e a5/e c6/e | b5/h. g5/h | r/q e5/q g5/q \
                b4/t c5/t d5/t e5/q | r/h. c5/e d5/e e5/q | r/h.+h",
        left: "c3,e3,g3,b3/h. d3,f3,a3,c4/h | c3,e3,g3,b3/e r/e r/h r/h | c3,g3/h.+h | \
               c3/q. e3/e+q d3/q r/q | c3,g3/h.+h^",
    },
    Piece {
        name: "six",
        metre: Metre::SixEight,
        clefs: USUAL,
        right: "c5/e e5/e g5/e b5/e g5/e e5/e | c5/q e5/e g5/q. | c5/e. d5/s e5/e f5/s e5/s \
                d5/s c5/s b4/s a4/s | r/e e5/q+q. | g5/h. | r/q. r/q c5/e | r/h.",
        left: "c3,e3,g3,b3/h. | c3/q. g2/q. | r/h. | d3,a3/q d3,a3/e r/q d3,a3/e | c3/e g3/e c4/e \
               e3/q. | c3,g3/q. r/q. | c3,g3/h.",
    },
    Piece {
        name: "the melody in the left hand",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "e4,g4,b4/w | r/q e4,g4,b4,d5/q r/e f4,a4,c5,d5/q.+h r/h | e4,g4,a4/q. e4,g4,a4/e' \
                r/h",
        left: "c3/e e3/e g3/e b3/e c4/e b3/e g3/e e3/e | d3/t f3/t a3/t c4/q. b3/e a3/e g3/e | \
               f3/e. e3/s f3/e a3/e r/q c3/T d3/t | c3/e b2/e a2/e g2/e e2/h",
    },
    Piece {
        name: "chords of two to five notes",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "c4,e4/e c4,e4,g4/e b3,d4,e4,g4/e c4,e4,g4,b4,d5/e f4,g4,a4,c5/q f4,g4,b4,d5/q | \
                e5,g5,a5,b5,d6/e. e5,f5,g5/s e5,f5,g5/e d5,e5/e+q c5,d5,e5,g5/q | c5,d5/t \
                e5,f5/t g5,a5/t g4,a4,b4,c5/T f4,g4/t e4,g4,b4/h | r/e c5,e5,g5,b5/q \
                c5,e5,g5,b5/q c5,e5,g5,b5/q. | c4,d4,e4/w",
        left: "c3/w | r/w | c3/q r/q g3/h | c3,d3,g3/h. r/q | r/q c3,d3,e3/h.",
    },
    Piece {
        name: "chromatic neighbours",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "b4/e c#5/e d5/e c5/e d#5/e e5/e d5/e c#5/e | f#5/t g5/t f5/t g#5/t a5/t ab5/t \
                g5/e gb5/e f5/q | c#5/e+q d5/e c5/e bb4/e b4/e c#5/e+e c5/e c#5/e d5/e d5/h | \
                c4,e4,g#4,b4/e c4,eb4,gb4,a4/e db4,f4,g4,b4/q c#4,d#4,f#4,a4/h",
        left: "c3/e b2/e bb2/e a2/e ab2/e g2/e f#2/e g2/e | c3,e3,g#3,b3/h c3,eb3,gb3,bbb3/h | \
               c3/h c#3,e3,g3,b3/h+q c3,e3,g3,bb3/h. | f##3/s g#3/s f#3/s g3/s c3/q r/h",
    },
    Piece {
        name: "two against three",
        metre: Metre::FourFour,
        clefs: USUAL,
        right: "c5/t e5/t g5/t c5/e e5/e g5/T e5/t d5/q | c#5/t d#5/t f#5/t g5/s f5/s e5/s d5/s \
                c5/h | r/e c5/e r/t d5/t e5/t f5/q r/q | c5/T e5/t c5/t \
                e5/t g5/t c5/h",
        left: "c3/e g3/e c3/t g3/t c4/t c3/e g3/e c3/s e3/s g3/s b3/s | c3,e3,g3,b3/e \
               c3,d3,g#3,a#3/e r/q c3,g3/h | c3/q. c3/e+h | c3/e. g3/s c3/T g3/t c3,e3,g3,b3/h",
    },
];

/// A piece in a key.
pub(crate) fn write(piece: &Piece, key: Key, fingering: FingeringMarks, model: &Score) -> Score {
    let metre = piece.metre;
    let words = ByHand { right: piece.right, left: piece.left };
    let lines = ByHand::each(|hand| line(piece, hand, words[hand], key, fingering));
    let ByHand { right: length, left } =
        lines.as_ref().map(|line| line.last().map_or(0, Event::end));
    assert_eq!(length, left, "{}: hands of two lengths", piece.name);
    let mut bars: Vec<Bar> = (0..length / metre.bar())
        .map(|bar| Bar { start: bar * metre.bar(), staves: ByHand::default() })
        .collect();
    for (hand, line) in lines.with_hands() {
        for event in line {
            bars[(event.at / metre.bar()) as usize].staves[hand].events.push(event);
        }
    }
    let struck =
        |at: Ticks| bars.iter().any(|bar| bar.staves.left.events.iter().any(|e| e.at == at));
    let parts = bars.iter().flat_map(|bar| {
        let divisions = metre.divisions().iter().map(|division| bar.start + division);
        std::iter::once(bar.start).chain(divisions.filter(|at| struck(*at)))
    });
    let harmonies = parts
        .zip(model.harmonies.iter().cycle())
        .map(|(at, harmony)| quintfall::score::Harmony { at, ..*harmony })
        .collect();
    let counts = count(metre, &bars);
    Score {
        key,
        metre,
        opening_clefs: piece.clefs,
        bars,
        harmonies,
        counts,
        low_chords: Vec::new(),
        untold_chords: Vec::new(),
        ..model.clone()
    }
}

/// The events of one hand.
fn line(piece: &Piece, hand: Hand, words: &str, key: Key, fingering: FingeringMarks) -> Vec<Event> {
    let metre = piece.metre;
    let lengths = words.split_whitespace().filter_map(|word| Some(length(word.split_once('/')?.1)));
    let ends = lengths.scan(0, |at, length| {
        *at += length;
        Some(*at)
    });
    let rhythm = Rhythm::of(metre, &std::iter::once(0).chain(ends).collect::<Vec<_>>());
    let mut events = Vec::new();
    let mut at = 0;
    let mut sounds = 0;
    for word in words.split_whitespace() {
        if word == "|" {
            assert_eq!(at % metre.bar(), 0, "{}, {hand:?}: a barline at {at}", piece.name);
            continue;
        }
        let (pitches, values) = word.split_once('/').expect("a word has a stroke");
        let end = at + length(values);
        let spans = if pitches == "r" { rhythm.rests(at, end) } else { rhythm.sound(at, end) };
        let pitches: Vec<Pitch> = pitches
            .split(',')
            .filter(|name| *name != "r")
            .map(|name| transposed(parse(name), key))
            .collect();
        let last = spans.len() - 1;
        for (part, span) in spans.into_iter().enumerate() {
            let note = |(place, pitch): (usize, &Pitch)| Note {
                pitch: *pitch,
                tied_in: part > 0,
                tied_out: part < last,
                finger: (part == 0).then_some((place + sounds) as u8 % 5 + 1),
                shows_finger: part == 0
                    && match fingering {
                        FingeringMarks::All | FingeringMarks::FirstBars => true,
                        FingeringMarks::Changes => sounds % 3 == 0,
                        FingeringMarks::None => false,
                    },
            };
            events.push(Event {
                at: span.at,
                value: span.value,
                notes: pitches.iter().enumerate().map(note).collect(),
                staccato: values.ends_with('\''),
                fermata: values.ends_with('^') && part == last,
                clef_change: None,
            });
        }
        sounds += pitches.len();
        at = end;
    }
    events
}

/// The length of values joined by `+`.
fn length(values: &str) -> Ticks {
    let values = values.trim_end_matches(['\'', '^']);
    values
        .split('+')
        .map(|value| {
            let (plain, dots) = value.split_at(1);
            let plain = match plain {
                "s" => NoteValue::Sixteenth,
                "t" => NoteValue::TripletEighth,
                "T" => NoteValue::TripletQuarter,
                "e" => NoteValue::Eighth,
                "q" => NoteValue::Quarter,
                "h" => NoteValue::Half,
                "w" => NoteValue::Whole,
                _ => panic!("`{value}` is no value"),
            };
            plain.ticks() + if dots == "." { plain.ticks() / 2 } else { 0 }
        })
        .sum()
}

/// A pitch by its name and octave: `f#4`.
fn parse(name: &str) -> Pitch {
    let (name, octave) = name.split_at(name.len() - 1);
    let name = NoteName::parse(name).unwrap_or_else(|| panic!("`{name}` is no note"));
    Pitch::new(name, octave.parse().expect("an octave"))
}

/// A note of C major moved to a key.
pub(crate) fn moved(name: NoteName, key: Key) -> NoteName {
    transposed(Pitch::new(name, 4), key).name
}

/// A pitch of C major moved to a key: up a fourth at the most, or down.
fn transposed(pitch: Pitch, key: Key) -> Pitch {
    let tonic = key.tonic();
    let down = if tonic.letter > Letter::F { 1 } else { 0 };
    let semitones = tonic.letter.semitones() + tonic.alter - 12 * down;
    pitch.up(Interval { steps: tonic.letter.steps() - 7 * down, semitones })
}
