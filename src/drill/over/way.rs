//! The ways of playing over a tune that come ready made.

use super::form::{BarRun, RunStand};
use super::rhythm::{Chunk, held, spelled};
use crate::drill::language::harmony::{ChordPlan, Degree, PassageHome};
use crate::drill::language::voicing::Voicing;
use crate::score::{Metre, Ticks};
use crate::source::fields::Mistakes;
use crate::theory::{
    ChordKind, Fifth, Interval, Letter, Numeral, NumeralStyle, Seventh, SymbolPart, SymbolStyle,
    Tension, Third,
};

/// A way of playing over the changes of a tune.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum OverWay {
    /// Roots in the left hand, third and seventh in the right.
    Shells,
    /// A line of thirds and sevenths that moves as little as it can.
    GuideTones,
    /// The tones of each chord, up and down.
    Arpeggios,
    /// Chords without their roots under these.
    Rootless,
    /// Four notes in two hands, voices led.
    Drop2,
    /// Eighths composed over the changes.
    Lines,
    /// A walking bass under two notes.
    Walking,
}

/// How long the voicing of a chord may be for the largest hand, in semitones.
const WIDEST: i32 = 18;
/// What a line is composed by.
const SEED: u64 = 1;

impl OverWay {
    /// Every one, from the easiest to the hardest.
    pub const ALL: [Self; 7] = [
        Self::Shells,
        Self::GuideTones,
        Self::Arpeggios,
        Self::Rootless,
        Self::Walking,
        Self::Drop2,
        Self::Lines,
    ];

    /// The two levels of a packet: to begin with, and to come to.
    pub const USUAL: [Self; 2] = [Self::Shells, Self::Lines];

    /// Its word.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Shells => "shells",
            Self::GuideTones => "guide-tones",
            Self::Arpeggios => "arpeggios",
            Self::Rootless => "rootless",
            Self::Drop2 => "drop-2",
            Self::Lines => "lines",
            Self::Walking => "walking",
        }
    }

    /// What it is called on a sheet.
    pub const fn title(self) -> &'static str {
        match self {
            Self::Shells => "roots and guide tones",
            Self::GuideTones => "a line of guide tones",
            Self::Arpeggios => "arpeggios over shells",
            Self::Rootless => "rootless chords",
            Self::Drop2 => "drop 2",
            Self::Lines => "a line in eighths",
            Self::Walking => "walking bass",
        }
    }

    /// What it is for.
    pub const fn about(self) -> &'static str {
        match self {
            Self::Shells => {
                "The whole harmony in three notes: the root below, third and seventh above. Say the \
                 name of each chord as you play it."
            }
            Self::GuideTones => {
                "One note a chord, its third or its seventh, whichever lies nearest: the thread that \
                 a solo can hold on to. Sing it."
            }
            Self::Arpeggios => {
                "The tones of each chord up and down over root and seventh, so that every change is \
                 under the fingers."
            }
            Self::Rootless => {
                "Chords without their roots in the left hand, as one plays with a bass, and their \
                 tones from the third up in the right."
            }
            Self::Drop2 => {
                "Two notes in each hand, each chord in the form that moves least from the one before."
            }
            Self::Lines => {
                "A line in eighths over the changes, chord tones on the beats and steps between them. \
                 Learn two bars of it, then change the end to one of your own."
            }
            Self::Walking => {
                "A bass in quarters that leads to each next root, and third and seventh above it, as \
                 one plays without a bass player."
            }
        }
    }

    /// What a metre takes in its place: what walks or is composed goes by quarters.
    pub const fn fitting(self, metre: Metre) -> Self {
        match self {
            Self::Lines if metre.is_compound() => Self::Arpeggios,
            Self::Walking if metre.is_compound() => Self::Shells,
            way => way,
        }
    }

    /// The fields of a passage that say how a run is played, line by line.
    pub(super) fn fields(
        self,
        run: &BarRun,
        words: &[String],
        home: PassageHome,
        metre: Metre,
    ) -> Vec<String> {
        let has_silence = run.has_silence();
        let played = Playing { chords: PlayedOver::all(run, words, home), metre };
        match self {
            // What is composed cannot rest.
            Self::Lines if !has_silence => [
                vec!["figure = \"line\"".to_owned(), format!("seed = {SEED}")],
                played.struck("guide-tones"),
            ]
            .concat(),
            Self::Walking if !has_silence => [
                vec![
                    "left = \"walking\"".to_owned(),
                    format!("figure = {}", played.figure(|it| it.each("chord"))),
                    "note = \"quarter\"".to_owned(),
                ],
                played.voiced("guide-tones", BassPlayer::Below),
            ]
            .concat(),
            Self::Shells | Self::Walking => [
                vec![
                    format!("left = {}", played.figure(|it| it.each("1"))),
                    "left-note = \"quarter\"".to_owned(),
                    format!("figure = {}", played.figure(|it| it.each("chord"))),
                    "note = \"quarter\"".to_owned(),
                ],
                played.voiced("guide-tones", BassPlayer::Below),
            ]
            .concat(),
            Self::GuideTones => {
                let tones = played.guide_line();
                let mut tones = tones.iter();
                let figure = played.figure(|it| it.each(tones.next().map_or("3", |tone| tone)));
                [
                    vec![format!("figure = {figure}"), "note = \"quarter\"".to_owned()],
                    played.struck("shell-7"),
                ]
                .concat()
            }
            Self::Arpeggios | Self::Lines => played.in_eighths(1, "shell-7"),
            Self::Rootless => played.in_eighths(3, "rootless-a"),
            Self::Drop2 => [
                vec![
                    format!("figure = {}", played.figure(|it| it.each("upper"))),
                    "note = \"quarter\"".to_owned(),
                ],
                played.struck_in_two_hands(),
            ]
            .concat(),
        }
    }
}

/// A chord of a run with the silences about it.
struct PlayedOver {
    plan: Option<ChordPlan>,
    chunks: Vec<(RunStand, bool)>,
}

impl PlayedOver {
    /// The chords of a run that has their words. A silence belongs to the chord before it, or at the
    /// beginning to the one after.
    fn all(run: &BarRun, words: &[String], home: PassageHome) -> Vec<Self> {
        let mut all: Vec<Self> = Vec::new();
        let mut early: Vec<(RunStand, bool)> = Vec::new();
        let mut words = words.iter();
        for stand in &run.stands {
            match (stand.chord, all.last_mut()) {
                (None, Some(before)) => before.chunks.push((*stand, false)),
                (None, None) => early.push((*stand, false)),
                (Some(_), _) => {
                    let degree = words.next().and_then(|word| Degree::parse(word).ok());
                    let plan = degree.and_then(|degree| degree.chord(home));
                    let mut chunks = std::mem::take(&mut early);
                    chunks.push((*stand, true));
                    all.push(Self { plan, chunks });
                }
            }
        }
        all
    }

    /// Its time, bar by bar.
    fn bars(&self, metre: Metre) -> Vec<Chunk> {
        let of = |(stand, sounds): &(RunStand, bool)| held(stand.at, stand.length, *sounds, metre);
        self.chunks.iter().flat_map(of).collect()
    }
}

/// Who has the bass of a chord.
#[derive(Clone, Copy, PartialEq)]
enum BassPlayer {
    /// The other hand, below the voicing.
    Below,
    /// The hand that strikes the voicing.
    Within,
}

/// A chord whose figure is asked for.
struct AskedFigure<'a> {
    played: &'a PlayedOver,
    metre: Metre,
}

impl AskedFigure<'_> {
    /// The same thing in every bar.
    fn each(&self, what: &str) -> String {
        let steps = self.played.bars(self.metre).into_iter();
        let step = |chunk: Chunk| spelled(if chunk.sounds { what } else { "rest" }, chunk.length);
        steps.map(step).collect::<Vec<_>>().join(" ")
    }

    /// Its tones in eighths from a number up and down.
    fn eighths(&self, from: i32) -> String {
        let seventh = match self.played.plan.map(|plan| plan.kind.seventh()) {
            Some(Seventh::Absent) => 8,
            _ => 7,
        };
        let tones: Vec<i32> = [1, 3, 5, seventh, 8, 10, 12]
            .into_iter()
            .chain((from > 1).then_some(14))
            .filter(|tone| *tone >= from)
            .collect();
        let mut tones: Vec<i32> = tones;
        tones.dedup();
        let steps = self.played.bars(self.metre).into_iter();
        let step = |chunk: Chunk| {
            if !chunk.sounds {
                return spelled("rest", chunk.length);
            }
            let count = (chunk.length / EIGHTH) as usize;
            let numbers = up_and_down(&tones, count).into_iter();
            numbers.map(|tone| format!("{tone}:eighth")).collect::<Vec<_>>().join(" ")
        };
        steps.map(step).collect::<Vec<_>>().join(" ")
    }
}

const EIGHTH: Ticks = crate::score::QUARTER / 2;

/// So many of some tones: up to a turning point and back, or up alone where there are few.
fn up_and_down(tones: &[i32], count: usize) -> Vec<i32> {
    let top = if count <= 4 { count } else { count / 2 + 1 }.clamp(1, tones.len());
    let up = tones[..top].iter();
    let down = tones[..top].iter().rev().skip(1);
    let round = up.chain(down.take(top.saturating_sub(2))).copied();
    round.collect::<Vec<_>>().into_iter().cycle().take(count).collect()
}

/// A run that is played in some way.
struct Playing {
    chords: Vec<PlayedOver>,
    metre: Metre,
}

impl Playing {
    /// A figure for each chord, as a field holds it.
    fn figure(&self, mut of: impl FnMut(AskedFigure<'_>) -> String) -> String {
        let metre = self.metre;
        let figures = self.chords.iter().map(|played| of(AskedFigure { played, metre }));
        listed(&figures.collect::<Vec<_>>())
    }

    /// The tones of each chord in eighths over a voicing that is struck.
    fn in_eighths(&self, from: i32, voicing: &str) -> Vec<String> {
        let figure = format!("figure = {}", self.figure(|it| it.eighths(from)));
        [vec![figure, "note = \"eighth\"".to_owned()], self.struck(voicing)].concat()
    }

    /// A voicing that is struck as each chord comes.
    fn struck(&self, voicing: &str) -> Vec<String> {
        [vec![self.strokes()], self.voiced(voicing, BassPlayer::Within)].concat()
    }

    /// Drop 2 struck as each chord comes, each in the form that moves least.
    fn struck_in_two_hands(&self) -> Vec<String> {
        vec![self.strokes(), format!("voicing = {}", listed(&self.in_two_hands()))]
    }

    /// When chords are struck: as they come, and not where the tune is silent.
    fn strokes(&self) -> String {
        let is_silent = |(_, sounds): &(RunStand, bool)| !sounds;
        let has_silence = self.chords.iter().any(|it| it.chunks.iter().any(is_silent));
        if has_silence {
            format!("left = {}", self.figure(|it| it.each("chord")))
        } else {
            "comping = \"on-beat\"".to_owned()
        }
    }

    /// The form of drop 2 of each chord that moves least from the one before; what has none is laid
    /// out with its own colours over third and seventh.
    fn in_two_hands(&self) -> Vec<String> {
        const FORMS: [&str; 4] = [
            "drop-2",
            "drop-2-first-inversion",
            "drop-2-second-inversion",
            "drop-2-third-inversion",
        ];
        const OTHERS: [&str; 11] = [
            "1+5 | 7+10",
            "3+7 | 9+12",
            "3+7 | 9+13",
            "3+7 | 12+13",
            "3+7 | b9+12",
            "3+7 | b9+b13",
            "3+7 | #9+12",
            "3+7 | #9+b13",
            "1+7 | 10+12",
            "1+5 | 8+10",
            "1+5 | 8+12",
        ];
        let mut before: Option<Vec<i32>> = None;
        let mut words = Vec::with_capacity(self.chords.len());
        for played in &self.chords {
            let Some(plan) = &played.plan else {
                words.push(FORMS[0].to_owned());
                continue;
            };
            let fitting = |word: &str| Some((word.to_owned(), laid_out(word, plan)?));
            let forms = FORMS.into_iter().filter(|_| has_figures(plan));
            let mut own: Vec<(String, Vec<i32>)> = forms.filter_map(fitting).collect();
            if let Some(bass) = plan.bass {
                let is_over = |(_, notes): &(String, Vec<i32>)| {
                    notes.first().is_some_and(|low| (low - bass.semitones).rem_euclid(12) == 0)
                };
                let word = over_bass(plan, bass);
                let laid = word.and_then(|word| Some((word.clone(), laid_out(&word, plan)?)));
                if own.iter().any(is_over) {
                    own.retain(is_over);
                } else if let Some(laid) = laid.filter(|(word, _)| sounded(word, plan).is_some()) {
                    own = vec![laid];
                }
            }
            if own.is_empty() {
                // What says no more than the chord does, or else what comes nearest to it.
                let is_whole = |word: &&str| sounded(word, plan) == Some(plan.kind);
                let whole = OTHERS.into_iter().filter(is_whole).find_map(fitting);
                own.extend(whole.or_else(|| OTHERS.into_iter().find_map(fitting)));
            }
            let moved = |(_, notes): &&(String, Vec<i32>)| -> i32 {
                let before = before.iter().flatten().zip(notes);
                before.map(|(then, now)| (now - then).abs()).sum()
            };
            let best = own.iter().min_by_key(moved).cloned();
            let (word, notes) = best.unwrap_or((FORMS[0].to_owned(), Vec::new()));
            before = Some(notes);
            words.push(word);
        }
        words
    }

    /// A voicing, or for chords that it makes no sense of one that they have; over a bass of its own
    /// a chord keeps its root, or the hand has that bass.
    fn voiced(&self, voicing: &str, bass: BassPlayer) -> Vec<String> {
        let of = |played: &PlayedOver| {
            let over =
                played.plan.and_then(|plan| Some(plan.bass?.plus(plan.root.down()).simple()));
            let first = match (over, bass, voicing) {
                (Some(_), BassPlayer::Below, "guide-tones") => "close",
                (Some(bass), BassPlayer::Within, "guide-tones" | "shell-7") if bass.steps == 6 => {
                    "shell-3"
                }
                (Some(_), BassPlayer::Within, "guide-tones") => "shell-7",
                _ => voicing,
            };
            let tried = [first, voicing, "guide-tones", "close"].into_iter().chain(BARE);
            let fit = |word: &&str| {
                played
                    .plan
                    .as_ref()
                    .is_some_and(|plan| laid_out(word, plan).is_some() && is_plain(word, plan))
            };
            tried.clone().find(fit).unwrap_or(voicing).to_owned()
        };
        let voicings: Vec<String> = self.chords.iter().map(of).collect();
        let is_bare = voicings.iter().any(|word| BARE.contains(&word.as_str()));
        let led = (!is_bare).then(|| "voice-leading = true".to_owned());
        [format!("voicing = {}", listed(&voicings))].into_iter().chain(led).collect()
    }

    /// The third or the seventh of each chord, whichever lies nearest to the one before.
    fn guide_line(&self) -> Vec<&'static str> {
        const TONES: [(&str, i32, i32); 4] =
            [("3", 3, 0), ("7", 7, 0), ("low7", 7, -12), ("10", 3, 12)];
        let mut before: Option<i32> = None;
        let mut line = Vec::with_capacity(self.chords.len());
        for played in &self.chords {
            let Some(plan) = played.plan else {
                line.push("3");
                continue;
            };
            let has_seventh = plan.kind.seventh() != Seventh::Absent;
            let pitch =
                |(_, number, octave): &(&str, i32, i32)| plan.tone(*number).semitones + octave;
            let has_third = plan.kind.third() != Third::Absent;
            let has = |number: i32| if number == 7 { has_seventh } else { has_third };
            let own = TONES.iter().filter(|(_, number, _)| has(*number));
            let far = |tone: &&(&str, i32, i32)| before.map_or(0, |at| (pitch(tone) - at).abs());
            let best = own.min_by_key(far).unwrap_or(&("5", 5, 0));
            before = Some(pitch(best));
            line.push(best.0);
        }
        line
    }
}

/// A chord in two hands over a bass of its own: bass and root below, the third and what the chord has
/// above it.
fn over_bass(plan: &ChordPlan, bass: Interval) -> Option<String> {
    let above = bass.plus(plan.root.down()).simple();
    let alter = above.semitones - Letter::from_steps(above.steps).semitones();
    let sign = match alter {
        -1 => "b",
        0 => "",
        1 => "#",
        _ => return None,
    };
    let top = if plan.kind.seventh() == Seventh::Absent { 5 } else { 7 };
    Some(format!("low{sign}{}+1 | 3+{top}", above.steps + 1))
}

/// Voicings of a fifth alone, which has neither third nor seventh; they have no other form through
/// which voices could be led.
const BARE: [&str; 2] = ["1+5", "1"];

/// Whether a chord has figures for its inversions, so that its numeral can say which tone is lowest.
fn has_figures(plan: &ChordPlan) -> bool {
    let numeral = Numeral { inversion: 1, ..plan.numeral };
    let parts = numeral.parts(NumeralStyle::On, SymbolStyle::Mixed);
    let has = parts.iter().any(|part| matches!(part, SymbolPart::Figures(..)));
    // Figures say nothing of a fifth that is raised over a seventh.
    has && plan.kind.fifth() != Fifth::Augmented
}

/// The kind of chord that a voicing makes of one.
fn sounded(word: &str, plan: &ChordPlan) -> Option<ChordKind> {
    let voicing = Voicing::parse(word, &(0..0), &mut Mistakes::of("", ""))?;
    plan.kind.sounded(&voicing.lay(plan).above(plan.root)).ok()
}

/// Whether a voicing adds nothing altered to a chord: the ninth of the scale is no colour of a third
/// degree.
fn is_plain(word: &str, plan: &ChordPlan) -> bool {
    let altered = [Tension::FlatNinth, Tension::SharpNinth, Tension::FlatThirteenth];
    // Over the V of a minor chord they are what its scale has.
    let is_scale = plan.leads_to_minor();
    let altered = altered.into_iter().filter(|it| !is_scale || *it == Tension::SharpNinth);
    let has = |kind: ChordKind, tension| kind.tensions().has(tension);
    sounded(word, plan)
        .is_some_and(|sounded| altered.clone().all(|it| has(plan.kind, it) || !has(sounded, it)))
}

/// The notes of a voicing, in semitones above the tonic, if it says a chord that has a symbol, within
/// a hand.
fn laid_out(word: &str, plan: &ChordPlan) -> Option<Vec<i32>> {
    let voicing = Voicing::parse(word, &(0..0), &mut Mistakes::of("", ""))?;
    let laid = voicing.lay(plan);
    let is_fit = laid.widest() <= WIDEST && plan.kind.sounded(&laid.above(plan.root)).is_ok();
    is_fit.then(|| laid.all().map(|tone| tone.semitones).collect())
}

/// One word, or a list where they differ.
fn listed(words: &[String]) -> String {
    let quoted = |word: &String| format!("\"{word}\"");
    match words {
        [first, rest @ ..] if rest.iter().all(|word| word == first) => quoted(first),
        _ => format!("[{}]", words.iter().map(quoted).collect::<Vec<_>>().join(", ")),
    }
}
