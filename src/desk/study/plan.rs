//! What is to be practised for one tune or several: which drills in which keys, how fast, and why.

use std::borrow::Cow;

use crate::chart::{KeyShare, Need, Purpose, is_same};
use crate::drill::library;
use crate::score::{Feel, Metre};
use crate::theory::{Key, Mode, NoteName};

/// What a purpose asks for.
struct Principle {
    purpose: Purpose,
    /// The drill.
    drill: DrillOf,
    /// The mode that its keys are in.
    mode: Mode,
    /// The first tempo, as a share of that of the tune.
    share: f64,
    /// Why, in a line: what such places want of a player.
    why: &'static str,
}

/// Where the drill of a principle is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum DrillOf {
    /// In the library, by its name.
    Library(&'static str),
    /// Here, as its text: what tunes alone ask for.
    Text(&'static str),
    /// The sevenths of a church mode.
    Sevenths(Mode),
    /// Chords of fourths through a mode.
    Fourths(Mode),
}

/// The sevenths of the dorian mode; those of the others are played alike.
const SEVENTHS: &str = include_str!("../../../templates/study/dorian-sevenths.toml");

/// The drill of the library that moves chords of fourths through the dorian mode; through others
/// they move alike.
const FOURTHS: &str = "quartal-dorian";

/// A drill in the dorian mode, as one in another mode.
fn in_mode(text: &str, mode: Mode) -> String {
    let words = mode.words();
    let (first, rest) = words.split_at(1);
    let own = format!("mode = \"{}\"", mode.word());
    let text = text.replace("mode = \"dorian\"", &own);
    let text = text.replace("-dorian\"", &format!("-{}\"", mode.word()));
    let text = text.replace("\"dorian-", &format!("\"{}-", mode.word()));
    let text = text.replace("the dorian mode", &format!("the {words} mode"));
    text.replace("Dorian", &format!("{}{rest}", first.to_uppercase()))
}

impl DrillOf {
    /// Its text; nothing where the library has none of its name.
    pub(super) fn text(self) -> Option<Cow<'static, str>> {
        match self {
            Self::Library(name) => library::find(name).map(Cow::Borrowed),
            Self::Text(text) => Some(Cow::Borrowed(text)),
            Self::Sevenths(mode) => Some(Cow::Owned(in_mode(SEVENTHS, mode))),
            Self::Fourths(mode) => {
                library::find(FOURTHS).map(|text| Cow::Owned(in_mode(text, mode)))
            }
        }
    }
}

/// The principles of a plan, in the order in which drills are practised: cadences first, then the
/// keys they stand in, then what leads elsewhere, then forms (ours; what each drill rests on stands
/// in `templates/courses/graded.toml`).
const PRINCIPLES: [Principle; 33] = [
    row(
        Purpose::MajorCadence,
        "two-five-one",
        Mode::Major,
        0.5,
        "Cadences come first: most of a tune is made of them.",
    ),
    row(
        Purpose::MinorCadence,
        "two-five-one-minor",
        Mode::HarmonicMinor,
        0.5,
        "The minor cadence has other colours; it is a drill of its own.",
    ),
    Principle {
        purpose: Purpose::MelodicCadence,
        drill: DrillOf::Text(include_str!("../../../templates/study/melodic-cadence.toml")),
        mode: Mode::MelodicMinor,
        share: 0.5,
        why: "The tune goes to minor by a plain minor seventh: the cadence as the tune has it.",
    },
    row(
        Purpose::MajorKey,
        "on-the-beat",
        Mode::Major,
        0.5,
        "The tune stays here: know the seven chords of the key.",
    ),
    row(
        Purpose::MinorKey,
        "natural-minor",
        Mode::NaturalMinor,
        0.5,
        "The tune stays here: know the seven chords of the key.",
    ),
    row(
        Purpose::HarmonicKey,
        "harmonic-minor",
        Mode::HarmonicMinor,
        0.5,
        "The tune stays here, its seventh raised for longer than not: know the chords of that scale.",
    ),
    row(
        Purpose::MelodicKey,
        "melodic-minor",
        Mode::MelodicMinor,
        0.5,
        "The tune stays here, sixth and seventh raised for longer than not: know the chords of that scale.",
    ),
    sevenths(Mode::Dorian),
    sevenths(Mode::Phrygian),
    sevenths(Mode::Lydian),
    sevenths(Mode::Mixolydian),
    sevenths(Mode::Locrian),
    row(
        Purpose::Turnaround,
        "turnaround",
        Mode::Major,
        0.5,
        "One, six, two, five: what leads back to the first chord, at the end of a part or within it.",
    ),
    Principle {
        purpose: Purpose::MinorTurnaround,
        drill: DrillOf::Text(include_str!("../../../templates/study/minor-turnarounds.toml")),
        mode: Mode::HarmonicMinor,
        share: 0.5,
        why: "What leads back to the first chord, here a minor one.",
    },
    Principle {
        purpose: Purpose::Suspended,
        drill: DrillOf::Text(include_str!("../../../templates/study/suspended.toml")),
        mode: Mode::Major,
        share: 0.45,
        why: "Dominants with a fourth in place of the third, which falls or stays.",
    },
    Principle {
        purpose: Purpose::MinorSuspended,
        drill: DrillOf::Text(include_str!("../../../templates/study/minor-suspended.toml")),
        mode: Mode::HarmonicMinor,
        share: 0.45,
        why: "Dominants with a fourth in place of the third, on their way to a minor chord.",
    },
    row(
        Purpose::Applied,
        "secondary-dominants",
        Mode::Major,
        0.45,
        "Dominants that point to other degrees than the first.",
    ),
    row(
        Purpose::Diminished,
        "passing-diminished",
        Mode::Major,
        0.45,
        "Diminished chords that slide between two others.",
    ),
    row(
        Purpose::Chain,
        "dominant-bridge",
        Mode::Major,
        0.45,
        "Dominants that fall in fifths, one after another.",
    ),
    row(
        Purpose::Substitute,
        "tritone-substitutes",
        Mode::Major,
        0.4,
        "Dominants that fall a semitone stand in for those that fall a fifth.",
    ),
    Principle {
        purpose: Purpose::MinorSubstitute,
        drill: DrillOf::Text(include_str!("../../../templates/study/minor-substitutes.toml")),
        mode: Mode::HarmonicMinor,
        share: 0.4,
        why: "Dominants that fall a semitone to a minor chord.",
    },
    row(
        Purpose::Backdoor,
        "backdoor",
        Mode::Major,
        0.45,
        "A dominant a whole tone under the tonic leads home too.",
    ),
    row(
        Purpose::Altered,
        "altered-dominants",
        Mode::HarmonicMinor,
        0.4,
        "Altered dominants that lead to minor chords.",
    ),
    row(
        Purpose::Blues,
        "blues-comping",
        Mode::Major,
        0.5,
        "A blues: sevenths at rest on one and four.",
    ),
    row(Purpose::MinorBlues, "minor-blues", Mode::NaturalMinor, 0.5, "Twelve bars in minor."),
    Principle { drill: DrillOf::Library(FOURTHS), ..fourths(Mode::Dorian) },
    fourths(Mode::Phrygian),
    fourths(Mode::Lydian),
    fourths(Mode::Mixolydian),
    fourths(Mode::NaturalMinor),
    fourths(Mode::Locrian),
    // Over a major tonic the fourth is no colour, so chords of fourths do not rest on it.
    row(
        Purpose::Modal,
        "broken",
        Mode::Major,
        0.5,
        "No cadence, and a plain major key: no chords of fourths, whose fourth wants to fall, but the \
         tones of each chord one by one.",
    ),
    row(
        Purpose::Bossa,
        "bossa",
        Mode::Major,
        0.5,
        "Even eighths: two rhythms at once, neither of which may lean on the other.",
    ),
];

const fn row(
    purpose: Purpose,
    drill: &'static str,
    mode: Mode,
    share: f64,
    why: &'static str,
) -> Principle {
    Principle { purpose, drill: DrillOf::Library(drill), mode, share, why }
}

/// The seven chords of a church mode.
const fn sevenths(mode: Mode) -> Principle {
    let why = "The tune stays here: know the seven chords of the mode.";
    let purpose = Purpose::ModeKey;
    Principle { purpose, drill: DrillOf::Sevenths(mode), mode, share: 0.5, why }
}

/// Chords of fourths through a mode.
const fn fourths(mode: Mode) -> Principle {
    let why = "No cadence here: chords in fourths keep it open.";
    let purpose = Purpose::Modal;
    Principle { purpose, drill: DrillOf::Fourths(mode), mode, share: 0.5, why }
}

impl Principle {
    /// Whether it is what a need asks for.
    fn serves(&self, need: &Need) -> bool {
        let is_of_mode = matches!(need.purpose, Purpose::ModeKey | Purpose::Modal);
        need.purpose == self.purpose && (!is_of_mode || need.key.mode() == self.mode)
    }
}

/// The slowest first tempo, and the fastest goal, in beats a minute (ours).
const SLOWEST: u16 = 50;
const FASTEST: u16 = 160;
/// What a tune asks for.
pub(super) struct Asking<'a> {
    /// Its metre and its feel.
    pub(super) time: (Metre, Feel),
    /// Its tempo.
    pub(super) tempo: u16,
    /// How long it is in which keys.
    pub(super) shares: Vec<KeyShare>,
    /// What occurs in it.
    pub(super) needs: &'a [Need],
}

/// A drill of a plan.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct PlanStep {
    /// The drill.
    pub(super) drill: DrillOf,
    /// Why.
    pub(super) why: &'static str,
    /// Its keys, the most wanted first.
    pub(super) keys: Vec<WantedKey>,
    /// The tempo to begin with, and the one to come to.
    pub(super) tempi: [u16; 2],
    /// The metre and the feel of the tunes that ask for it, where they have the same.
    pub(super) time: Option<(Metre, Feel)>,
}

/// A key of a drill of a plan.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct WantedKey {
    pub(super) key: Key,
    /// Its tonic as the first tune that wants it writes it.
    pub(super) written: NoteName,
    /// How often it is wanted, over all tunes.
    pub(super) times: usize,
    /// How many bars the tunes that want it are in the key, and whether any stays there.
    pub(super) bars: f64,
    pub(super) is_stayed: bool,
    /// Where: tunes by their places, each with its bars.
    pub(super) places: Vec<(usize, Vec<usize>)>,
}

/// The drills that some tunes ask for. What more tunes share comes first among the keys of a drill.
pub(super) fn steps(tunes: &[Asking<'_>]) -> Vec<PlanStep> {
    let step = |principle: &Principle| {
        let mut keys: Vec<WantedKey> = Vec::new();
        for (place, tune) in tunes.iter().enumerate() {
            for need in tune.needs.iter().filter(|need| principle.serves(need)) {
                let key = Key::on(need.key.tonic(), principle.mode);
                let own = (place, need.bars.clone());
                let times = need.bars.len();
                let share = tune.shares.iter().find(|share| is_same(share.key, key));
                let bars = share.map_or(0.0, |share| share.bars);
                let is_stayed = share.is_some_and(|share| share.is_stayed);
                match keys.iter_mut().find(|wanted| is_same(wanted.key, key)) {
                    Some(wanted) => {
                        wanted.times += times;
                        wanted.bars += bars;
                        wanted.is_stayed |= is_stayed;
                        wanted.places.push(own);
                    }
                    None => {
                        keys.push(WantedKey {
                            key,
                            written: need.written,
                            times,
                            bars,
                            is_stayed,
                            places: vec![own],
                        });
                    }
                }
            }
        }
        // Of what as many tunes want, what they stay in comes first, the longest before the others.
        keys.sort_by(|one, other| {
            let rank = |it: &WantedKey| (it.places.len(), it.is_stayed);
            let by_bars = other.bars.total_cmp(&one.bars);
            rank(other).cmp(&rank(one)).then(by_bars).then(other.times.cmp(&one.times))
        });
        let wanting: Vec<&Asking<'_>> = tunes
            .iter()
            .filter(|tune| tune.needs.iter().any(|need| principle.serves(need)))
            .collect();
        let tempo = wanting.iter().map(|tune| tune.tempo).max().unwrap_or(0);
        let time = wanting.first().map(|tune| tune.time);
        let time = time.filter(|time| wanting.iter().all(|tune| tune.time == *time));
        let is_waltz = time.is_some_and(|(metre, _)| metre == Metre::ThreeFour);
        (!keys.is_empty()).then(|| PlanStep {
            // The library has the sevenths of a key in three as a drill of its own.
            drill: match principle.purpose {
                Purpose::MajorKey if is_waltz => DrillOf::Library("jazz-waltz"),
                _ => principle.drill,
            },
            time,
            why: principle.why,
            keys,
            tempi: tempi(tempo, principle.share),
        })
    };
    PRINCIPLES.iter().filter_map(step).collect()
}

/// What a tune begins with as its own first drill, as a share of its tempo.
pub(in crate::desk) const OF_TUNE: f64 = 0.5;

/// The tempo to begin with and the one to come to, for a tune that goes so fast.
pub(in crate::desk) fn tempi(tune: u16, share: f64) -> [u16; 2] {
    let goal = tune.clamp(SLOWEST, FASTEST);
    let first = (f64::from(tune) * share / 2.0).round() as u16 * 2;
    let first = first.clamp(SLOWEST, goal);
    [first, goal]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::Template;

    /// A plan may name no drill that there is not, nor a key that the drill cannot be in.
    #[test]
    fn every_principle_has_its_drill_in_its_mode() {
        for principle in &PRINCIPLES {
            let text = principle.drill.text().expect("a drill");
            let template = Template::parse(&text, "own").unwrap_or_else(|error| panic!("{error}"));
            assert_eq!(template.mode, principle.mode, "{}", template.name);
        }
    }
}
