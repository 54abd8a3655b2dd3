//! Scores written by hand with signs of form and of reading: barlines, endings, headings, octaves,
//! further keys; and the rhythms that go with them.

use quintfall::score::{
    Barline, ByHand, Clef, Ending, Heading, Metre, OctaveShift, Score, Signs, Ticks,
};
use quintfall::theory::Key;

use crate::written::{Piece, moved};

/// A piece with signs, which are told in words.
///
/// Signs are parted by `;`: `2 :|` is a barline before bar 2, counted from 0, `1. 2. 4-6` an ending
/// of bars 4 and 5, with `open` after it where it is; `A 3` a letter, `"words" 3` a title over a
/// bar; `8va right 96-288` a stretch in ticks; `key 4 Eb` a key, if the piece is in C.
pub(crate) struct Signed {
    pub(crate) piece: Piece,
    pub(crate) signs: &'static str,
}

const USUAL: ByHand<Clef> = ByHand { right: Clef::Treble, left: Clef::Bass };

/// Every piece with signs.
pub(crate) const SIGNED: [Signed; 9] = [
    Signed {
        piece: Piece {
            name: "two endings",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "c5/e e5/e g5/e b5/e a5/e g5/e e5/e d5/e | c5/q. e5/e+h | f5/e e5/e d5/e c5/e \
                    b4/e a4/e g4/e f4/e | e4/h r/h | g4/e b4/e d5/e f5/e e5/h | c5/w | a5/e c6/e \
                    e6/e c6/e a5/h | g5/q e5/q c5/q e5/q | c5/h r/h",
            left: "c3,e3,g3,b3/h. c3,e3,g3,b3/q | f3,a3,c4/w | d3,f3,a3/h g3,b3,f4/h | \
                   c3,g3,b3/w | g2,d3,b3/w | c3,g3/w | a2,c3,e3/w | d3,f3/h g2,f3/h | c3,e3,g3/w",
        },
        signs: "0 |:; A 0; \"The tune\" 0; 1. 2. 3-4; 4 :|; 3. 4-6 open; 6 ||; B 6; \"Bridge\" 6",
    },
    Signed {
        piece: Piece {
            name: "octaves",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "c6/e e6/e g6/e b6/e a6/e g6/e e6/e d6/e | c6/q b5/e a5/e g5/h | c7/e b6/e \
                    a#6/e a6/e g#6/e+q g#5/e | g#6/h a6/q r/q | r/q c#5,e5/q c6,e6/h | \
                    c5/e d5/e e5/e f5/e g5/e a5/e b5/e c6/e | g6/w | c7/h.^ r/q",
            left: "c2,c3/q g1/q c2/q e2/q | f1,f2/h f1/h | c2/e c#2/e d2/e c#2/e c2/h+h c2/h | \
                   c3/w | c4,e4/h f4/h | c4/q e4/q g4/h | c2/q g1/q c1,c2/h",
        },
        signs: "8va right 0-288; 8va right 384-760; 8va right 840-950; 8va right 1152-1536; \
                8vb left 0-700; 8va left 1000-1344; 8vb left 1344-1536; \
                \"Both hands in octaves\" 0; 4 ||",
    },
    Signed {
        piece: Piece {
            name: "keys",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "c5/e e5/e g5/e b5/e g5/h | eb5/e g5/e bb5/e d6/e bb5/e g5/e eb5/q+q d5/q \
                    eb5/h | e5/e g#5/e b5/e d#6/e b5/h | c5/e e5/e g5/e f#5/e f5/h+q c5/q bb4/h | \
                    r/w | d5/e f#5/e a5/e c#6/e a5/h | c5/w",
            left: "c3,e3,g3,b3/w | eb3,g3,bb3,d4/h.+q+q d3/q eb3/h | e3,g#3,b3/w | c3,e3/w+w | \
                   f3,a3/w | d3,f#3,a3/w | c3,g3/w",
        },
        signs: "key 1 Eb; key 3 E; 3 |:; key 4 C; 4 :|:; key 5 F; 5 :|; key 6 D; 6 |; key 7 C; \
                7 ||",
    },
    Signed {
        piece: Piece {
            name: "triplets over two beats",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "c5/T e5/T g5/T b5/T a5/T g5/T | c5/q e5/q f5/T r/T a5/T | g5/h+T e5/T c5/T+h \
                    d5/h | r/T c4/T d4/T e4,g4/T e4,g4/T c4/T | f#5/T f5/T f#5/T g5/t a5/t g5/t \
                    f5/e e5/e | c6/w",
            left: "c3,e3,b3/h c3/q g2/q | c3/T g3/T c3/T g2/h | c3/e e3/e g3/e c4/e c3,g3/h | \
                   c3/w | r/h c3/T d3/T e3/T | f3/h g3/h | c3/w",
        },
        signs: "2 |:; 4 :|",
    },
    Signed {
        piece: Piece {
            name: "a waltz with triplets over two beats",
            metre: Metre::ThreeFour,
            clefs: USUAL,
            right: "c5/T e5/T g5/T c6/q | c5/q b4/T a4/T g4/T | c5/e d5/e e5/e f5/e g5/q | c5/h.",
            left: "c3/q e3,g3/q e3,g3/q | f3/q a3,c4/h | g2/T b2/T d3/T g3/q | c3,g3/h.",
        },
        signs: "0 |:; 1. 2-3; 3 :|; 2. 3-4",
    },
    Signed {
        piece: Piece {
            name: "every barline, bar by bar",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "c5/q d5/q e5/q f5/q | c#5/w | d5,e5,g5/h f5/h | r/w | e5/e f5/e g5/e a5/e \
                    b5/e c6/e b5/e a5/e | bb4/q. a4/e g4/h+h c5/h | c5/w",
            left: "c3/w | c#3,e3/w | r/w | d3,f3,a3,c4/h. e3/q | c3/w | g2,f3/w+w | c3,g3/w",
        },
        signs: "1 |:; 2 :|:; 3 :|; 4 ||; 5 |.; 6 |:; 8 :|; A 1; B 2; C 3; D 4; E 5; F 6; AB 7",
    },
    Signed {
        piece: Piece {
            name: "a walking bass",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "r/e c5/e e5/e g5/e b5/q a5/e g5/e+q. e5/e d5/e c5/e a4/e b4/e+h c5/q. d5/e+w \
                    | r/h r/e b4/q c5/e+w",
            left: "c3/q e3/q g3/q a3/q | bb3/q a3/q g3/q e3/q | f3/q a3/q c4/q eb4/q | d4/q c4/q \
                   b3/q g3/q | c3/q b2/e a2/e g2/q f#2/q | g2/q a2/t b2/t c3/t d3/q g2/q",
        },
        signs: "\"Walking bass\" 0; A 0",
    },
    Signed {
        piece: Piece {
            name: "stride",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "e5/h d5/h | c5/w | b4/e c5/e d5/e f5/e e5/h | c5/w",
            left: "c2,c3/q e3,g3,b3/q g2/q e3,g3,b3/q | f2/q a3,c4/q c3/q a3,c4/q | g2/q' \
                   f3,b3/q' d2,d3/q' f3,b3/q' | c2,c3/h g3,c4,e4/h^",
        },
        signs: "8vb left 0-48; 8vb left 96-144; 2 ||; \"Stride: bass and chord, in B♭ as in F♯, and in every other key of the round\" 2",
    },
    Signed {
        piece: Piece {
            name: "all at once",
            metre: Metre::FourFour,
            clefs: USUAL,
            right: "c6/e e6/e g6/e b6/e g6/h | c6/T b5/T a5/T g5/h | a5/q c6/q e6/h | f5/w | \
                    eb6/e g6/e bb6/e g6/e eb6/h+h bb5/h | ab5/q g5/q f5/h | eb5/w",
            left: "c3,e3,g3,b3/w | c3/q g2/q c3/q e3/q | f3,a3,c4/w | g2,f3/w | c2/q d2/q eb2/h+h \
                   bb1/h | bb2,d3,f3,ab3/w | eb3,g3/w",
        },
        signs: "0 |:; C 0; \"First time as written, then in octaves\" 0; 8va right 0-240; 1. 2-3; \
                3 :|; 2. 3-4; key 4 Eb; 4 |:; D2 4; \"Up a minor third\" 4; 8va right 768-1056; \
                8vb left 768-1056; 1. 2. 3. 6-7; 7 :|; 4. 7-8 open; 8 :|",
    },
];

/// The signs of a piece that is moved from C to a key.
pub(crate) fn signs(signed: &Signed, key: Key) -> Signs {
    let mut signs = Signs::default();
    for sign in signed.signs.split(';').map(str::trim) {
        let (last, rest) = sign.rsplit_once(' ').map_or((sign, ""), |(rest, last)| (last, rest));
        if let Some(title) = rest.strip_prefix('"') {
            let title = Some(title.trim_end_matches('"').to_owned());
            signs.headings.entry(number(last)).or_default().title = title;
        } else if let Some(bar) = rest.strip_prefix("key ") {
            let tonic = last.parse::<Key>().expect("a key").tonic();
            let new = Key::major(moved(tonic, key));
            let plain = || {
                let twin = |one: &Key| one.tonic().pitch_class() == moved(tonic, key).pitch_class();
                Key::majors().find(twin).expect("a key on every tonic")
            };
            signs.keys.insert(number(bar), new.unwrap_or_else(|_| plain()));
        } else if let Some(which) = rest.strip_prefix("8v") {
            let (octaves, hand) = which.split_once(' ').expect("a hand");
            let octaves = if octaves == "a" { 1 } else { -1 };
            let own =
                if hand == "right" { &mut signs.octaves.right } else { &mut signs.octaves.left };
            own.push(OctaveShift { span: range(last), octaves });
        } else if sign.split(' ').next().is_some_and(|word| word.ends_with('.') && word != "|.") {
            let is_open = last == "open";
            let mut words: Vec<&str> = sign.split(' ').filter(|word| *word != "open").collect();
            let bars: std::ops::Range<Ticks> = range(words.pop().expect("bars"));
            let rounds =
                words.iter().map(|word| number(word.trim_end_matches('.')) as u8).collect();
            let bars = bars.start as usize..bars.end as usize;
            signs.endings.push(Ending { bars, rounds, is_open });
        } else if let Some(barline) = barline(last) {
            signs.barlines.insert(number(rest), barline);
        } else {
            let own: &mut Heading = signs.headings.entry(number(last)).or_default();
            own.letter = Some(rest.to_owned());
        }
    }
    signs
}

/// A score with the signs of a piece.
pub(crate) fn with_signs(signed: &Signed, score: Score) -> Score {
    Score { signs: signs(signed, score.key), ..score }
}

fn barline(word: &str) -> Option<Barline> {
    Some(match word {
        "|" => Barline::Single,
        "||" => Barline::Double,
        "|:" => Barline::RepeatBegin,
        ":|" => Barline::RepeatEnd,
        ":|:" => Barline::RepeatBoth,
        "|." => Barline::Final,
        _ => return None,
    })
}

fn number(word: &str) -> usize {
    word.parse().unwrap_or_else(|_| panic!("`{word}` is no number"))
}

fn range(word: &str) -> std::ops::Range<Ticks> {
    let (from, to) = word.split_once('-').unwrap_or_else(|| panic!("`{word}` is no stretch"));
    number(from) as Ticks..number(to) as Ticks
}
