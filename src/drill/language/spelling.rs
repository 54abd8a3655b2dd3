//! How chords are spelled in a key: those that belong together in one family of names, and a triad
//! over its chord as a triad.

use super::harmony::ChordPlan;
use crate::theory::{Chord, Fifth, Interval, Key, NoteName, Pitch, Seventh, Third};

/// A diminished second: what a note is respelled by.
const SECOND: Interval = Interval { steps: 1, semitones: 0 };
/// The names that a note can have, the least changed first.
const TWINS: [Interval; 3] = [Interval::UNISON, SECOND, SECOND.down()];
/// Signs that a name can be printed with.
const MOST_SIGNS: i32 = 2;

/// By what each of some chords, which are played one after another, and all that is played over it
/// is spelled otherwise in a key of their drill: as the passage's key has it where that is written
/// otherwise, and without double signs in chords that the key does not explain. Chords that belong
/// together change their names together, but for long chains of dominants that would lead past
/// what is read: these change once on their way, as rings of fifths are written.
///
/// A name that the drill itself says stays, but for a diminished seventh whose notes would have double
/// flats: over D♭°7 one reads E and G.
pub fn respellings(chords: &[ChordPlan], key: Key) -> Vec<Interval> {
    chosen(chords, key, Naming::Notes)
}

/// The same for their symbols, where every name that the drill says stays.
pub fn symbol_respellings(chords: &[ChordPlan], key: Key) -> Vec<Interval> {
    chosen(chords, key, Naming::Symbol)
}

/// The names of chords: their own where none has a double sign, which no other could better, else those
/// that cost least together.
fn chosen(chords: &[ChordPlan], key: Key, naming: Naming) -> Vec<Interval> {
    let plain = |chord: &ChordPlan| {
        let home = home_in(chord, key);
        let root = key.tonic().up(chord.root).up(home);
        (root.alter.abs() < MOST_SIGNS && signs(chord, root).0 == 0).then_some(home)
    };
    let own: Option<Vec<Interval>> = chords.iter().map(plain).collect();
    own.unwrap_or_else(|| {
        cheapest(chords.iter().map(|chord| names(chord, key, naming)).collect(), chords)
    })
}

/// By what the key of a chord's passage is written otherwise in a key.
fn home_in(chord: &ChordPlan, key: Key) -> Interval {
    let there = key.tonic().up(chord.home.tonic);
    let written = chord.home.in_key(key).tonic();
    let home = TWINS.into_iter().find(|second| there.up(*second) == written);
    home.unwrap_or(Interval::UNISON)
}

/// The names that cost least together.
fn cheapest(named: Vec<[ChordName; 3]>, chords: &[ChordPlan]) -> Vec<Interval> {
    // For each chord and each of its names, the least cost so far and the name before it.
    let mut ways: Vec<[(i32, usize); 3]> = Vec::with_capacity(chords.len());
    for (at, names) in named.iter().enumerate() {
        let before = at.checked_sub(1).map(|before| (&ways[before], &named[before]));
        let torn = at.checked_sub(1).map_or(0, |before| tearing(&chords[before], &chords[at]));
        let way = |name: &ChordName| {
            let from = before.into_iter().flat_map(|(ways, names)| ways.iter().zip(names));
            let from = from.enumerate().map(|(place, ((cost, _), other))| {
                (if other.by == name.by { *cost } else { cost + torn }, place)
            });
            let (cost, place) = from.min().unwrap_or((0, 0));
            (cost + name.cost, place)
        };
        ways.push(names.each_ref().map(way));
    }
    let last = ways.last().into_iter().flat_map(|ways| ways.iter().enumerate());
    let mut place = last.min_by_key(|(_, (cost, _))| *cost).map_or(0, |(place, _)| place);
    let mut chosen: Vec<Interval> = Vec::with_capacity(chords.len());
    for (ways, names) in ways.iter().zip(&named).rev() {
        chosen.push(names[place].by);
        place = ways[place].1;
    }
    chosen.reverse();
    chosen
}

/// What it costs that names change between two chords.
fn tearing(one: &ChordPlan, next: &ChordPlan) -> i32 {
    match (belong_together(one, next), is_dominant(one) && is_dominant(next)) {
        (false, _) => 0,
        (true, true) => DOMINANTS_APART,
        (true, false) => APART,
    }
}

/// What a name is for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Naming {
    Notes,
    Symbol,
}

/// A name that a chord can have.
struct ChordName {
    /// By what it is spelled otherwise than by its degree.
    by: Interval,
    cost: i32,
}

/// What a name costs that no sign can print.
const UNPRINTABLE: i32 = 100_000;
/// What it costs to rename a chord that the key itself has, such as that on the leading tone of G♯
/// minor; what leads there keeps to it: C𝄪°7 goes to D♯m7.
const OF_KEY: i32 = 10_000;
/// What it costs to rename a chord whose name the drill says, where that can be read.
const SAID: i32 = 20_000;
/// What it costs to rename a root that the key has: the four of G♭ is C♭7.
const ROOT_OF_KEY: i32 = 800;
/// What it costs that chords which belong together change their names between them, and that two
/// dominants in a row do: more than the signs of a frame, and less than those and a double sign
/// on a root.
const APART: i32 = 50_000;
const DOMINANTS_APART: i32 = 600;
/// What each double sign in the frame of a chord costs, and what one of its root costs beside.
const DOUBLE: i32 = 100;
const DOUBLE_ROOT: i32 = 1_000;
/// What any other name costs.
const RENAMED: i32 = 8;

/// The names of a chord in a key, the first of them as the key of its passage has it. They are
/// spelled otherwise for fewer double signs in their frames alone: F♭7 in E♭ is E7.
fn names(chord: &ChordPlan, key: Key, naming: Naming) -> [ChordName; 3] {
    let home = home_in(chord, key);
    let own = key.tonic().up(chord.root).up(home);
    let is_free = naming == Naming::Notes && chord.kind.seventh() == Seventh::Diminished;
    let is_said = chord.is_written() && !is_free && own.alter.abs() < MOST_SIGNS;
    TWINS.map(|second| {
        let by = home.plus(second);
        let root = key.tonic().up(chord.root).up(by);
        let (doubles, all) = signs(chord, root);
        let mut cost = DOUBLE * doubles as i32 + all / 4;
        if root.alter.abs() > MOST_SIGNS {
            cost += UNPRINTABLE;
        } else if root.alter.abs() == MOST_SIGNS {
            cost += DOUBLE_ROOT;
        }
        if second != Interval::UNISON {
            cost += RENAMED + if is_said { SAID } else { 0 };
            if chord.is_of_key() {
                cost += OF_KEY;
            } else if chord.has_root_of_key() {
                cost += ROOT_OF_KEY;
            }
        }
        ChordName { by, cost }
    })
}

/// Chords, which are played one after another, in a key of their drill, as their symbols have them;
/// see [`symbol_respellings`].
pub fn spelled(chords: &[ChordPlan], key: Key) -> Vec<Chord> {
    let all = chords.iter().zip(symbol_respellings(chords, key));
    all.map(|(chord, by)| chord.in_key(key, by)).collect()
}

/// Whether the second of two chords keeps to the names of the first: it has its root, or the first
/// leads to it as a ii to its V, a dominant by a falling fifth, or a diminished chord by a semitone
/// (common practice, no source).
pub(crate) fn belong_together(one: &ChordPlan, next: &ChordPlan) -> bool {
    const SINKS: Interval = Interval { steps: 0, semitones: -1 };
    if one.home != next.home {
        return false;
    }
    let rise = next.root.plus(one.root.down()).simple();
    let is_minor = one.kind.third() == Third::Minor;
    let is_diminished = is_minor && one.kind.fifth() == Fifth::Diminished;
    match rise {
        Interval::UNISON => true,
        Interval::FOURTH => is_dominant(one) || is_minor && is_dominant(next),
        Interval::MINOR_SECOND => is_diminished,
        SINKS => one.kind.seventh() == Seventh::Diminished,
        _ => false,
    }
}

fn is_dominant(chord: &ChordPlan) -> bool {
    chord.kind.third() != Third::Minor && chord.kind.seventh() == Seventh::Minor
}

/// The double signs in the frame of a chord on a root, and all its signs.
fn signs(chord: &ChordPlan, root: NoteName) -> (usize, i32) {
    // A diminished seventh is written with a double flat where it must be: C°7.
    let is_diminished = chord.kind.seventh() == Seventh::Diminished;
    let frame = chord.kind.frame().into_iter().take(if is_diminished { 3 } else { 4 });
    let frame = frame.flatten().map(|tone| root.up(tone).alter.abs());
    (frame.clone().filter(|alter| *alter > 1).count(), frame.sum())
}

/// Third and fifth of the triads that are seen as such over another chord.
const TRIADS: [[Interval; 2]; 2] =
    [[Interval::MAJOR_THIRD, Interval::FIFTH], [Interval::MINOR_THIRD, Interval::FIFTH]];

/// The root, third and fifth of a major or minor triad, by place, among what is struck at once, and
/// how they stand above the root.
fn triad(semitones: &[i32]) -> Option<([usize; 3], [Interval; 2])> {
    let [a, b, c] = *semitones else { return None };
    let classes = [a, b, c].map(|at| at.rem_euclid(12));
    let place = |class: i32| classes.iter().position(|own| *own == class.rem_euclid(12));
    TRIADS.into_iter().find_map(|[third, fifth]| {
        (0..3).find_map(|root| {
            let above = |tone: Interval| place(classes[root] + tone.semitones);
            Some(([root, above(third)?, above(fifth)?], [third, fifth]))
        })
    })
}

/// Whether three tones make a major or minor triad by their sound.
pub(crate) fn is_triad(tones: &[Interval]) -> bool {
    let semitones: Vec<i32> = tones.iter().map(|tone| tone.semitones).collect();
    triad(&semitones).is_some()
}

/// Spells a major or minor triad in thirds, with as many of its names, and as few double signs, as
/// can be: over D♭7 the tones ♭9, ♯11 and 7 are G, B and D, since the eye takes them in as a triad. A key
/// that sounds meanwhile, `beside` them, keeps the name that it has there: over a held G♭ they are E𝄫, G♭
/// and B𝄫.
pub(crate) fn spell_as_triad(pitches: &mut [Pitch], beside: &[NoteName]) {
    let midi: Vec<i32> = pitches.iter().map(|pitch| pitch.midi()).collect();
    let Some((places, [third, fifth])) = triad(&midi) else { return };
    let names = |second: Interval| {
        let root = pitches[places[0]].name.up(second);
        [root, root.up(third), root.up(fifth)]
    };
    let cost = |names: &[NoteName; 3]| {
        let signs = names.iter().map(|name| name.alter.abs());
        let doubles = signs.clone().filter(|alter| *alter > 1).count();
        let renamed = places.iter().zip(names).filter(|(at, name)| pitches[**at].name != **name);
        let renamed = renamed.count();
        let clashes = |name: &NoteName| {
            beside.iter().any(|it| it != name && it.pitch_class() == name.pitch_class())
        };
        let has_twin = names.iter().any(clashes);
        (signs.max() > Some(MOST_SIGNS), has_twin, renamed + doubles, renamed)
    };
    let Some(best) = TWINS.into_iter().map(names).min_by_key(cost) else { return };
    for (place, name) in places.into_iter().zip(best) {
        let white = name.letter.semitones() + name.alter;
        pitches[place] = Pitch::new(name, (pitches[place].midi() - white).div_euclid(12) - 1);
    }
}

/// Spells the higher of two neighbours of a line on the letter above where both stand on one letter
/// two semitones apart: A♭ and B♭, not A♭ and A♯. Root, third, fifth and seventh of their chord keep
/// their names, and the lower one goes to the letter below: F♯ and E over D7, not F♯ and F♭.
pub(crate) fn part_neighbours(one: &mut Interval, next: &mut Interval, chord: &ChordPlan) {
    if one.steps == next.steps && (one.semitones - next.semitones).abs() > 1 {
        let (higher, lower) =
            if one.semitones > next.semitones { (one, next) } else { (next, one) };
        let frame = chord.kind.frame().into_iter().flatten();
        let mut frame = frame.map(|tone| chord.root.plus(tone).simple());
        match frame.any(|tone| tone == higher.simple()) {
            true => *lower = lower.plus(SECOND.down()),
            false => *higher = higher.plus(SECOND),
        }
    }
}

/// Spells a note that belongs to neither chord nor key and moves on by a semitone on the letter before
/// or after the one that follows: A♭ to G, G♯ to A (common practice).
pub(crate) fn lead_by_letter(one: &mut Interval, next: Interval) {
    if one.steps == next.steps && (one.semitones - next.semitones).abs() == 1 {
        let is_falling = one.semitones > next.semitones;
        *one = one.plus(if is_falling { SECOND } else { SECOND.down() });
    }
}

#[cfg(test)]
mod tests {
    use super::super::harmony::{Degree, PassageHome};
    use super::*;
    use crate::theory::Mode;

    fn chords(words: &[&str], mode: Mode) -> Vec<ChordPlan> {
        let chord =
            |word: &&str| Degree::parse(word).unwrap().chord(PassageHome::own(mode)).unwrap();
        words.iter().map(chord).collect()
    }

    fn named(words: &[&str], key: &str) -> String {
        let key: Key = key.parse().unwrap();
        let chords = chords(words, Mode::Major);
        let all = chords.iter().zip(respellings(&chords, key));
        let names = all.map(|(chord, by)| chord.in_key(key, by).root.to_string());
        names.collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn chords_that_belong_together_are_spelled_alike() {
        for (words, key, expected) in [
            (&["iv7", "bVII7", "Imaj7"][..], "Gb", "C♭ F♭ G♭"),
            (&["iv7", "bVII7", "Imaj7"], "Cb", "E A C♭"),
            (&["ii7", "#IIo7", "iii7"], "B", "C♯ C♯♯ D♯"),
            (&["ii7", "#IIo7", "iii7"], "E", "F♯ F♯♯ G♯"),
            (&["iii7", "#IIo7", "ii7"], "B", "D♯ C♯♯ C♯"),
            (&["bVIm7", "bII7", "Imaj7"], "Db", "A D D♭"),
            (&["bIII7", "bVImaj7", "bII7"], "Ab", "B E A"),
            (&["#IVø7", "VII7", "iii7"], "C#", "F♯♯ B♯ E♯"),
            (&["ii7", "bII7", "Imaj7"], "Eb", "F E E♭"),
            (&["IV7", "#IVo7", "I7"], "Gb", "C♭ C G♭"),
            (&["I7", "IV7", "bVII7", "bIII7"], "Db", "D♭ G♭ C♭ F♭"),
            (&["I7", "IV7", "bVII7", "bIII7", "bVI7"], "Db", "D♭ G♭ B E A"),
            (&["I7", "IV7", "bVII7", "bIII7", "bVI7"], "Gb", "G♭ C♭ E A D"),
            (&["I7", "IV7", "bVII7", "bIII7", "bVI7"], "C", "C F B♭ E♭ A♭"),
        ] {
            assert_eq!(named(words, key), expected, "{words:?} in {key}");
        }
    }

    /// Over every ii with its V, every dominant with its goal and every diminished chord with what it
    /// leads to, on every degree, beside any chord, in every key and mode: the letters are as far
    /// apart as in C, but between dominants of which one would have a double sign on its root; every
    /// root can be printed; and one has a double sign only where another name would be new for a chord of
    /// the key, for what the drill writes, or for two degrees of the key.
    #[test]
    fn no_pair_is_torn_apart_in_any_key() {
        const ROOTS: [&str; 17] = [
            "I", "#I", "bII", "II", "#II", "bIII", "III", "IV", "#IV", "bV", "V", "#V", "bVI",
            "VI", "bVII", "VII", "low VII",
        ];
        const KINDS: [&str; 6] = ["m7", "7", "ø7", "o7", "maj7", "7sus4"];
        let chord = |root: &str, kind: &str, mode: Mode| {
            let word = if kind.starts_with(['m', 'ø', 'o']) && !kind.starts_with("maj") {
                let letters: String = root.replace("low ", "");
                let prefix = if root.starts_with("low") { "low" } else { "" };
                let (sign, letters) = letters.split_at(letters.find(['I', 'V']).unwrap());
                format!("{prefix}{sign}{}{}", letters.to_lowercase(), kind.trim_start_matches('m'))
            } else {
                format!("{}{kind}", root.replace("low ", "low"))
            };
            let degree = Degree::parse(&word).unwrap_or_else(|_| panic!("{word}"));
            degree.chord(PassageHome::own(mode)).unwrap()
        };
        let mut pairs = 0;
        for mode in [Mode::Major, Mode::HarmonicMinor] {
            let all: Vec<ChordPlan> = ROOTS
                .iter()
                .flat_map(|root| KINDS.iter().map(move |kind| (root, kind)))
                .map(|(root, kind)| chord(root, kind, mode))
                .collect();
            for key in Key::all(mode) {
                for one in &all {
                    for next in all.iter().filter(|next| belong_together(one, next)) {
                        let pair = [*one, *next];
                        let by = respellings(&pair, key);
                        let [a, b] = [0, 1].map(|at| pair[at].in_key(key, by[at]).root);
                        let rise = next.root.plus(one.root.down());
                        let is_double = [a.up(rise), b.up(rise.down())]
                            .into_iter()
                            .any(|root| root.alter.abs() > 1);
                        let may_change = is_dominant(one) && is_dominant(next) && is_double;
                        assert!(may_change || a.up(rise) == b, "{one:?} {next:?} in {key}");
                        assert!(a.alter.abs() <= 2 && b.alter.abs() <= 2, "{a} {b} in {key}");
                        let is_plain = a.alter.abs() < 2 && b.alter.abs() < 2;
                        let is_kept = pair.iter().any(|it| it.is_of_key() || it.is_written())
                            || pair.iter().all(ChordPlan::has_root_of_key);
                        assert!(is_plain || is_kept, "{a} {b}, {one:?} {next:?} in {key}");
                        pairs += 1;
                    }
                }
            }
        }
        assert!(pairs > 10_000, "{pairs}");
    }

    /// Over every chain of dominants, each leading to the next, from every root in every major key up
    /// to six signs: what stands on the first, fourth and fifth degree keeps its name, no root needs a
    /// double sign, and names change once at the most.
    #[test]
    fn chains_of_dominants_keep_to_their_key() {
        const RISING: [&str; 12] =
            ["I", "IV", "bVII", "bIII", "bVI", "bII", "bV", "VII", "III", "VI", "II", "V"];
        let mut chains = 0;
        for key in Key::all(Mode::Major).filter(|key| key.fifths().abs() <= 6) {
            for start in 0..RISING.len() {
                for length in 2..=RISING.len() {
                    let roots = RISING.iter().cycle().skip(start).take(length);
                    let words: Vec<String> = roots.map(|root| format!("{root}7")).collect();
                    let words: Vec<&str> = words.iter().map(String::as_str).collect();
                    let chords = chords(&words, Mode::Major);
                    let by = respellings(&chords, key);
                    let mut changes = 0;
                    for at in 0..length {
                        let root = chords[at].in_key(key, by[at]).root;
                        assert!(root.alter.abs() < 2, "{words:?} in {key}: {root}");
                        let belongs = at > 0 && belong_together(&chords[at - 1], &chords[at]);
                        changes += usize::from(belongs && by[at] != by[at - 1]);
                        if ["I7", "IV7", "V7"].contains(&words[at]) {
                            let own = key.tonic().up(chords[at].root);
                            assert_eq!(root, own, "{words:?} in {key}");
                        }
                    }
                    assert!(changes < 2, "{words:?} in {key}");
                    chains += 1;
                }
            }
        }
        assert_eq!(chains, 13 * 12 * 11);
    }

    /// What is taken at once, where no chord has a double sign, is what all names would be chosen from.
    #[test]
    fn plain_names_are_the_cheapest() {
        const KINDS: [&str; 6] = ["maj7", "7", "6", "aug", "7sus4", "7b9"];
        let mut looked_at = 0;
        for key in Key::all(Mode::Major) {
            for root in
                ["I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII"]
            {
                let words: Vec<String> = KINDS.iter().map(|kind| format!("{root}{kind}")).collect();
                let words: Vec<&str> = words.iter().map(String::as_str).collect();
                let chords = chords(&words, Mode::Major);
                for naming in [Naming::Notes, Naming::Symbol] {
                    let named = |chord: &ChordPlan| names(chord, key, naming);
                    for pair in chords.windows(2) {
                        let all = cheapest(pair.iter().map(named).collect(), pair);
                        assert_eq!(chosen(pair, key, naming), all, "{pair:?} in {key}");
                        looked_at += 1;
                    }
                }
            }
        }
        assert!(looked_at > 1_500, "{looked_at}");
    }

    /// Any triad over any root, in any spelling of its tones.
    #[test]
    fn what_sounds_as_a_triad_is_spelled_in_thirds() {
        let mut count = 0;
        for root in 0..12 {
            for [third, fifth] in TRIADS {
                let sounds = [root, root + third.semitones, root + fifth.semitones];
                let twins = |midi: i32| -> Vec<Pitch> {
                    let names = crate::theory::Letter::ALL.into_iter().flat_map(|letter| {
                        (-2..=2).map(move |alter| Pitch::new(NoteName::new(letter, alter), 4))
                    });
                    names.filter(|pitch| (pitch.midi() - midi).rem_euclid(12) == 0).collect()
                };
                let [a, b, c] = sounds.map(twins);
                for x in &a {
                    for y in &b {
                        for z in &c {
                            let mut pitches = [*y, *z, *x];
                            let before = pitches.map(|pitch| pitch.midi());
                            spell_as_triad(&mut pitches, &[]);
                            assert_eq!(pitches.map(|pitch| pitch.midi()), before);
                            let [y, z, x] = pitches.map(|pitch| pitch.name);
                            let is_spelled = x.up(third) == y && x.up(fifth) == z;
                            assert!(is_spelled, "{x} {y} {z} for {before:?}");
                            count += 1;
                        }
                    }
                }
            }
        }
        assert!(count > 100, "{count}");
    }
}
