//! What a bass player would not do over tunes, though every note by itself would go.

use quintfall::chart::{Analysis, Chart, ChordReading, Unfolded, analyse_in, demos};
use quintfall::score::{Metre, Stay, Ticks};
use quintfall::sound::{Groove, Part, TrackOptions, play_tune};
use quintfall::theory::{Chord, Key, Mode, Scale, SymbolStyle, chord_symbol, plain_text};

use crate::accompanied::{about, line, stays};
use crate::charts::{Walked, each_line};
use crate::{strokes, with};

/// How many notes there are at the least for one that a rule would have otherwise, where the chords
/// leave no better way (ours).
const A_FAULT: usize = 1_000;
/// Of how many pairs of bars one may have one figure (ours): there are not many figures from root to
/// root.
const A_FIGURE_AGAIN: usize = 20;

fn class(pitch: u8) -> i32 {
    i32::from(pitch) % 12
}

fn foot(stay: &Stay) -> i32 {
    stay.chord.bass.unwrap_or(stay.chord.root).pitch_class().rem_euclid(12)
}

fn is_tone(chord: &Chord, class: i32) -> bool {
    let mut tones = chord.notes().chain(chord.bass);
    tones.any(|it| (class - it.pitch_class()).rem_euclid(12) == 0)
}

fn index_at(stays: &[Stay], at: Ticks) -> Option<usize> {
    stays.iter().position(|it| (it.at..it.end).contains(&at))
}

fn told(chord: &Chord) -> String {
    plain_text(&chord_symbol(*chord, SymbolStyle::Mixed))
}

/// The notes of a key.
fn scale_classes(key: Key) -> Vec<i32> {
    let scale = Scale { tonic: key.tonic(), mode: key.mode() };
    (1..=7).map(|degree| scale.note(degree).pitch_class().rem_euclid(12)).collect()
}

/// Whether a note over a chord is of the key that it is read in, or of its own scale where that key has
/// not its root.
pub(crate) fn is_of_its_key(analysis: &Analysis, chord: &Chord, class: i32) -> bool {
    let root = chord.root.pitch_class().rem_euclid(12);
    let is_own = |it: &&ChordReading| {
        it.chord.kind == chord.kind && it.chord.root.pitch_class().rem_euclid(12) == root
    };
    let scale = chord.kind.scale();
    let above = (class - root).rem_euclid(12);
    let is_of_chord = scale.iter().any(|it| it.semitones.rem_euclid(12) == above);
    // A fourth lies over a dominant, whatever the key has.
    let is_fourth = above == 5 && is_of_chord && scale[6].semitones == 10;
    analysis.readings.iter().filter(is_own).any(|reading| {
        let key = scale_classes(reading.key);
        key.contains(&class) || (!key.contains(&root) || is_fourth) && is_of_chord
    })
}

/// What is not of its chord is of the key that its chord is read in, or of the chord's own scale where
/// that key has not its root; all else leads by a semitone into the next root, on the last beat before it.
#[test]
fn lines_are_made_of_their_keys() {
    let (mut met, mut faults) = (0, Vec::new());
    each_line(|name, chart, stays, line| {
        let analysis = analyse_in(&chart.unfolded(), chart.key).unwrap();
        for (place, (at, pitch)) in line.iter().enumerate() {
            let Some(index) = index_at(stays, *at) else { continue };
            let (stay, own) = (&stays[index], class(*pitch));
            met += 1;
            if is_tone(&stay.chord, own) {
                continue;
            }
            let is_of_key = is_of_its_key(&analysis, &stay.chord, own);
            let next = line.get(place + 1);
            // The end, which is on the tonic, comes after the last of them.
            let tonic = chart.key.map(|key| key.tonic().pitch_class());
            let ends = next.is_none()
                && tonic.is_some_and(|it| matches!((own - it).rem_euclid(12), 1 | 11));
            let leads = next.is_some_and(|(then, next)| {
                let is_root = index_at(stays, *then)
                    .is_some_and(|it| stays[it].at == *then && foot(&stays[it]) != foot(stay));
                is_root && pitch.abs_diff(*next) == 1
            });
            if !is_of_key && !leads && !ends {
                let bar = at / chart.metre.bar() + 1;
                faults.push(format!("{name}, bar {bar}: {own} over {}", told(&stay.chord)));
            }
        }
    });
    println!("{} of {met}", faults.len());
    assert!(met > 10_000 && faults.is_empty(), "{} of {met}: {faults:#?}", faults.len());
}

/// A bass that stands in place of a root is struck on one in every bar that its chord begins or fills, in
/// every groove.
#[test]
fn a_bass_after_a_slash_stays() {
    let (mut bars, mut faults) = (0, Vec::new());
    each_tune(&[Groove::Walking, Groove::TwoFeel, Groove::Ballad], |name, metre, stays, line| {
        for stay in stays.iter().filter(|stay| stay.chord.bass.is_some()) {
            let from = (stay.at + metre.bar() - 1).div_euclid(metre.bar()) * metre.bar();
            for at in (from..stay.end).step_by(metre.bar() as usize) {
                let Some((_, pitch)) = line.iter().find(|it| it.0 == at) else { continue };
                bars += 1;
                if class(*pitch) != foot(stay) {
                    faults.push(format!("{name}, bar {}", at / metre.bar() + 1));
                }
            }
        }
    });
    println!("{} of {bars}", faults.len());
    assert!(bars > 100 && faults.is_empty(), "{} of {bars}: {faults:#?}", faults.len());
}

/// A slash over two bars, alone and between others.
#[test]
fn a_bass_after_a_slash_returns() {
    let text = "title = \"Own\"\nmetre = \"4/4\"\nkey = \"C\"\n[[section]]\nname = \"A\"\n\
                bars = \"| C6 | F/C | % | G7/B | % | % | Dm7/G | % | C6 | % |\"\n";
    let chart = Chart::parse(text, "own").unwrap();
    let mut bars = 0;
    for groove in [Groove::Walking, Groove::TwoFeel, Groove::Ballad] {
        for seed in 0..12 {
            let (stays, line) = bass_over(&chart.unfolded(), "C".parse().unwrap(), groove, seed);
            for stay in stays.iter().filter(|stay| stay.chord.bass.is_some()) {
                for at in (stay.at..stay.end).step_by(192) {
                    let own = line.iter().find(|it| it.0 == at).map(|it| class(it.1));
                    assert_eq!(own, Some(foot(stay)), "{groove:?}, seed {seed}, {at}: {line:?}");
                    bars += 1;
                }
            }
        }
    }
    assert!(bars > 100, "{bars}");
}

/// A bass over a tune in a groove: the chords, and the notes by tick.
fn bass_over(tune: &Unfolded, key: Key, groove: Groove, seed: u64) -> (Vec<Stay>, Walked) {
    let options = TrackOptions { groove: Some(groove), seed, count_in: 0, ..with(&[Part::Bass]) };
    let feel = quintfall::score::Feel::Even;
    let played = play_tune(&[(tune.clone(), Some(key))], &about(feel), 120, &options).unwrap();
    let lead = (-tune.changes[0].at).max(0);
    let line = line(&played, 0).into_iter().map(|(at, stroke)| (at - lead, stroke.pitch));
    (stays(tune, 1), line.filter(|it| it.0 >= 0).collect())
}

/// Every tune of ours in all keys, once through, in some grooves.
fn each_tune(grooves: &[Groove], mut check: impl FnMut(&str, Metre, &[Stay], &Walked)) {
    for (name, text) in demos() {
        let chart = Chart::parse(text, name).unwrap();
        let mode = chart.key.map_or(Mode::Major, Key::mode);
        let home = chart.key.unwrap_or_else(|| Key::ring(mode)[0]);
        for (seed, key) in (0..).zip(Key::ring(mode)) {
            let tune = chart.transposed(home, key).unfolded();
            for groove in grooves.iter().filter(|it| it.fits(tune.metre)) {
                let (stays, line) = bass_over(&tune, key, *groove, seed);
                check(&format!("{name} in {key}, {}", groove.word()), tune.metre, &stays, &line);
            }
        }
    }
}

/// Of three steps that follow one another two are not octaves: root, octave, root, octave is a pump.
#[test]
fn octaves_do_not_follow_one_another() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_line(|name, chart, _, line| {
        notes += line.len();
        for four in line.windows(4) {
            let is_octave = |pair: &[(Ticks, u8)]| pair[0].1.abs_diff(pair[1].1) == 12;
            if four.windows(2).filter(|pair| is_octave(pair)).count() > 1 {
                faults.push(format!("{name}, bar {}: {four:?}", four[0].0 / chart.metre.bar() + 1));
            }
        }
    });
    println!("{} in {notes}", faults.len());
    assert!(notes > 10_000 && A_FAULT * faults.len() <= notes, "{}: {faults:#?}", faults.len());
}

/// The root of the next chord is not heard before its time: within the bar before it, after one and before the
/// last beat, only where it is a tone of the chord that sounds and on a weak beat.
#[test]
fn the_next_root_does_not_come_early() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_line(|name, chart, stays, line| {
        let metre = chart.metre;
        let beat = metre.felt_beat();
        notes += line.len();
        for (at, pitch) in line {
            let Some(index) = index_at(stays, *at) else { continue };
            let (stay, Some(next)) = (&stays[index], stays.get(index + 1)) else { continue };
            let is_own_time = *at == stay.at || *at + beat >= stay.end;
            let is_near = stay.end - at < metre.bar() && next.at == stay.end;
            if is_own_time || !is_near || foot(next) == foot(stay) || class(*pitch) != foot(next) {
                continue;
            }
            let (group, _) = metre.group_of(at.rem_euclid(metre.bar()));
            let is_strong = (at.rem_euclid(metre.bar()) - group) % (2 * beat) == 0;
            if is_strong || !is_tone(&stay.chord, class(*pitch)) {
                let bar = at / metre.bar() + 1;
                faults.push(format!(
                    "{name}, bar {bar}: over {} before {}",
                    told(&stay.chord),
                    told(&next.chord)
                ));
            }
        }
    });
    println!("{} in {notes}", faults.len());
    assert!(notes > 10_000 && faults.is_empty(), "{}: {faults:#?}", faults.len());
}

/// Bars beside one another seldom have one figure, told by degrees above their roots.
#[test]
fn neighbouring_bars_have_other_figures() {
    const DEGREES: [i32; 12] = [1, 2, 2, 3, 3, 4, 4, 5, 6, 6, 7, 7];
    let (mut pairs, mut same) = (0, Vec::new());
    each_line(|name, chart, stays, line| {
        let bar = chart.metre.bar();
        let last = line.last().map_or(0, |(at, _)| at / bar);
        let figures: Vec<Option<Vec<i32>>> = (0..=last)
            .map(|index| {
                let stay = &stays[index_at(stays, index * bar)?];
                let own = line.iter().filter(|(at, _)| at / bar == index);
                let root = stay.chord.root.pitch_class();
                let above = |pitch: u8| (i32::from(pitch) - root).rem_euclid(12) as usize;
                let figure: Vec<i32> = own.map(|it| DEGREES[above(it.1)]).collect();
                (stay.end >= (index + 1) * bar && figure.len() > 2).then_some(figure)
            })
            .collect();
        for (index, pair) in figures.windows(2).enumerate() {
            let [Some(one), Some(other)] = pair else { continue };
            pairs += 1;
            if one == other {
                same.push(format!("{name}, bar {}: {one:?}", index + 2));
            }
        }
    });
    println!("{} of {pairs}", same.len());
    assert!(
        pairs > 2_000 && A_FIGURE_AGAIN * same.len() <= pairs,
        "{} of {pairs}: {same:#?}",
        same.len()
    );
}

/// A line does not go to and fro between two notes.
#[test]
fn no_line_bobs() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_line(|name, chart, _, line| {
        notes += line.len();
        for four in line.windows(4) {
            let [a, b, c, d] = [0, 1, 2, 3].map(|place| four[place].1);
            if a == c && b == d {
                faults.push(format!("{name}, bar {}: {four:?}", four[0].0 / chart.metre.bar() + 1));
            }
        }
    });
    println!("{} in {notes}", faults.len());
    assert!(notes > 10_000 && A_FAULT * faults.len() <= notes, "{}: {faults:#?}", faults.len());
}

/// No step of a scale is broken by an octave: from any note to the next a line leaps no seventh.
#[test]
fn no_line_leaps_a_seventh() {
    let (mut notes, mut faults) = (0, Vec::new());
    each_line(|name, chart, _, line| {
        notes += line.len();
        for pair in line.windows(2).filter(|it| matches!(it[0].1.abs_diff(it[1].1), 10 | 11)) {
            let bar = pair[0].0 / chart.metre.bar() + 1;
            faults.push(format!("{name}, bar {bar}: {pair:?}"));
        }
    });
    println!("{} in {notes}", faults.len());
    assert!(notes > 10_000 && A_FAULT * faults.len() <= notes, "{}: {faults:#?}", faults.len());
}

/// What is struck last lies in the lowest octave, E1 to E2, where a fifth at the most leads there and no leap
/// before it has to turn back; elsewhere it is come to by an octave at the most (common practice, no source).
#[test]
fn the_last_note_is_low() {
    let (mut ends, mut low, mut faults) = (0, 0, Vec::new());
    let grooves = [Groove::Walking, Groove::TwoFeel, Groove::Bossa, Groove::Waltz, Groove::Ballad];
    each_tune(&grooves, |name, _, _, line| {
        // A bossa strikes a note twice.
        let mut pitches: Vec<u8> = line.iter().map(|it| it.1).collect();
        pitches.dedup();
        let [.., earlier, before, last] = pitches[..] else { return };
        ends += 1;
        low += usize::from(last <= 40);
        let has_way = before.abs_diff(last - 12) <= 7 && earlier.abs_diff(before) <= 7;
        if last > 40 && has_way || before.abs_diff(last) > 12 {
            faults.push(format!("{name}: {earlier} {before} {last}"));
        }
    });
    println!("{low} low, {} of {ends}", faults.len());
    assert!(ends > 300 && faults.is_empty(), "{} of {ends}: {faults:#?}", faults.len());
    assert!(10 * low > 9 * ends, "{low} of {ends}");
}

/// A ballad is slower to move than two notes to the bar: some bars hold one note alone, and a note
/// leads on less than half as often (common practice, no source).
#[test]
fn a_ballad_rests_longer_than_a_two_feel() {
    let counts = [Groove::TwoFeel, Groove::Ballad].map(|groove| {
        let (mut bars, mut held, mut leads) = (0, 0, 0);
        each_tune(&[groove], |_, metre, _, line| {
            let bar = metre.bar();
            let last = line.last().map_or(0, |it| it.0 / bar);
            for index in 0..last {
                let own = line.iter().filter(|it| it.0 / bar == index);
                let own: Vec<Ticks> = own.map(|it| it.0 % bar).collect();
                bars += usize::from(!own.is_empty());
                held += usize::from(own.len() == 1);
                leads += usize::from(own.contains(&(bar - metre.felt_beat())));
            }
        });
        println!("{groove:?}: {held} held, {leads} lead on, of {bars} bars");
        [held, leads].map(|it| it as f64 / bars as f64)
    });
    let [two, ballad] = counts;
    assert!(ballad[0] > two[0] + 0.1 && 2.0 * ballad[1] < two[1], "{counts:?}");
}

/// The tempo of a long track rises by a step each chorus: each begins where the table of its beats says, in
/// seconds, and so does each of its notes.
#[test]
fn a_tempo_that_rises_is_kept_by_every_note() {
    let text = "title = \"Own\"\nmetre = \"4/4\"\nkey = \"C\"\n[[section]]\nname = \"A\"\n\
                bars = \"| Dm7 | G7 | C6 | A7 |\"\n";
    let tune = Chart::parse(text, "own").unwrap().unfolded();
    let (choruses, tempo, rise, bar) = (24_usize, 60_u16, 5_u16, 4 * 480_u32);
    let options = TrackOptions {
        groove: Some(Groove::Walking),
        choruses,
        rise,
        count_in: 1,
        ..with(&[Part::Bass, Part::Click])
    };
    let tunes = [(tune, Some("C".parse::<Key>().unwrap()))];
    let feel = quintfall::score::Feel::Even;
    let played = play_tune(&tunes, &about(feel), tempo, &options).unwrap();
    let bytes = quintfall::sound::midi(&played);
    let file = midly::Smf::parse(&bytes).unwrap();
    let midly::Timing::Metrical(division) = file.header.timing else { panic!("in beats") };
    let each_beat = f64::from(division.as_int()) / 480.0;
    // The tempi of the file, in microseconds a quarter, each from its moment on.
    let (mut now, mut tempi) = (0_u32, Vec::new());
    for event in &file.tracks[0] {
        now += event.delta.as_int();
        if let midly::TrackEventKind::Meta(midly::MetaMessage::Tempo(length)) = event.kind {
            tempi.push((now, length.as_int()));
        }
    }
    let table: Vec<(u32, u32)> = (0..choruses as u32)
        .map(|chorus| {
            let at = if chorus == 0 { 0 } else { bar + 4 * bar * chorus };
            let beats = u32::from(tempo) + chorus * u32::from(rise);
            ((f64::from(at) * each_beat) as u32, (6e7 / f64::from(beats)).round() as u32)
        })
        .collect();
    assert_eq!(tempi, table);
    // When a moment of the file is heard, by its own tempi; and when a beat is, by what was asked for.
    let heard = |moment: u32| -> f64 {
        let ends = tempi.iter().skip(1).map(|it| it.0).chain([u32::MAX]);
        let own = tempi.iter().zip(ends).map(|((from, length), end)| {
            let ticks = moment.min(end).saturating_sub(*from);
            f64::from(ticks) / f64::from(division.as_int()) * f64::from(*length) / 1e6
        });
        own.sum()
    };
    let asked = |beat: usize| -> f64 {
        let tempo_at = |beat: usize| {
            let chorus = (beat.saturating_sub(4) / 16).min(choruses - 1);
            f64::from(tempo) + f64::from(rise) * chorus as f64
        };
        (0..beat).map(|it| 60.0 / tempo_at(it)).sum()
    };
    let mut notes = 0;
    for track in &file.tracks[1..] {
        let mut now = 0_u32;
        for event in track {
            now += event.delta.as_int();
            let midly::TrackEventKind::Midi { message, .. } = event.kind else { continue };
            let midly::MidiMessage::NoteOn { vel, .. } = message else { continue };
            if vel.as_int() == 0 {
                continue;
            }
            let beat = f64::from(now) / f64::from(division.as_int());
            assert!(beat.fract() == 0.0, "{now}");
            let apart = (heard(now) - asked(beat as usize)).abs();
            assert!(apart < 0.001, "beat {beat}: {apart} s late");
            notes += 1;
        }
    }
    assert!(notes > 16 * choruses, "{notes}");
    assert_eq!(strokes(&played, Part::Bass).first().map(|it| it.at), Some(bar));
}
