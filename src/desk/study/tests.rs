//! What the pages of a packet say of one another.

use std::collections::BTreeSet;

use super::*;
use crate::canvas::{Document, Mark, Page, Trace};
use crate::chart::demos;
use crate::theory::Mode;

/// A tune that lives in F major and in F minor, and visits others.
const BOTH: &str = "title = \"Both Ways\"\nmetre = \"4/4\"\nkey = \"F\"\nform = \"A B A\"\n[[section]]\n\
    name = \"A\"\nbars = \"| Fmaj7 | D7b9 | Gm7 | C7 | Fmaj7 | Gm7 C7 | F6 | F6 |\"\n[[section]]\n\
    name = \"B\"\nbars = \"| Fm6 | Gm7b5 C7b9 | Fm6 | Bbm7 Eb7 | Abmaj7 | Dbmaj7 | Gm7b5 C7b9 | Fm6 |\"\n";

fn packet(text: &str) -> Document {
    let chart = Chart::parse(text, "x").unwrap();
    let analysis = charts::analysed(&chart).unwrap();
    let tunes = [Studied::of(chart, analysis)];
    let asked = AskedOfStudy::default();
    let making = Making { tunes: &tunes, asked: &asked, carried: String::new() };
    making.commission().unwrap().document().unwrap()
}

fn words(page: &Page) -> Vec<&str> {
    let words = page.marks().filter_map(|mark| match mark {
        Mark::Trace(Trace::Text { text, .. }, _) => Some(text.as_str()),
        _ => None,
    });
    words.collect()
}

/// The numbers that the pages of the plan name, those between the first and the last of some too.
fn named(document: &Document) -> BTreeSet<usize> {
    let is_plan = |page: &&Page| words(page).iter().any(|words| words.starts_with("Practice plan"));
    let mut numbers = BTreeSet::new();
    for page in document.pages.iter().skip(2).filter(is_plan) {
        for words in words(page) {
            let ends: Vec<Option<usize>> =
                words.split('\u{2013}').map(|end| end.trim().parse().ok()).collect();
            if let [Some(first), Some(last)] = ends.as_slice() {
                numbers.extend(*first..=*last);
            }
            for word in words.split([' ', '\u{a0}', ';']) {
                numbers.extend(word.parse::<usize>().ok());
            }
        }
    }
    numbers
}

/// Whoever follows the plan finds each sheet of the packet by its page.
#[test]
fn the_plan_names_the_page_of_every_sheet() {
    let texts = demos().map(|(_, text)| text).chain([BOTH]);
    for text in texts {
        let document = packet(text);
        let named = named(&document);
        let outline = &document.about.outline;
        let drills = outline.iter().flat_map(|entry| &entry.children);
        for drill in drills {
            for sheet in drill.children.iter().chain([drill]) {
                let label = document.pages[sheet.page].label.to_string();
                let number: usize = label.parse().unwrap();
                assert!(named.contains(&number), "{}: {label} of {named:?}", sheet.title);
            }
        }
    }
}

/// A tune in minor with a substitute into its tonic, and a turnaround.
const SUNK: &str = "title = \"Sunk\"\nmetre = \"4/4\"\nkey = \"D minor\"\nform = \"A A B A Coda\"\n\
    [[section]]\nname = \"A\"\nbars = \"| Dm6 | Em7b5 Eb7 | Dm6 to-coda | Em7b5 A7b9 |\"\n[[section]]\n\
    name = \"B\"\nbars = \"| Gm7 | C7 | Fmaj7 | Em7b5 A7b9 |\"\n[[section]]\nname = \"Coda\"\nbars = \"| Dm6 |\"\n";

/// What goes to a minor chord is practised in minor.
#[test]
fn what_goes_to_minor_is_practised_in_minor() {
    let document = packet(SUNK);
    let all: Vec<&str> = document.pages.iter().flat_map(words).collect();
    for title in ["Tritone substitutes in minor", "Turnarounds in minor"] {
        assert!(all.iter().any(|words| words.contains(title)), "{title}");
    }
    assert!(!all.contains(&"Tritone substitutes"));
    assert!(all.iter().any(|words| words.contains("last time to coda")));
    assert!(all.iter().any(|words| words.contains("back to A")));
}

/// No page of tables goes on from the one before with nothing but its heading.
#[test]
fn no_page_stands_empty() {
    for text in demos().map(|(_, text)| text).chain([BOTH, SUNK]) {
        for page in &packet(text).pages {
            let all = words(page);
            let goes_on = all.first().is_some_and(|words| words.ends_with(", continued"));
            assert!(!goes_on || all.len() > 4, "{all:?}");
        }
    }
}

/// A major and a minor key on one tonic are two, on the cover and in the contents.
#[test]
fn a_major_and_a_minor_key_on_one_tonic_are_two() {
    let document = packet(BOTH);
    let mut keys = BTreeSet::new();
    for sheet in document.about.outline.iter().flat_map(|entry| &entry.children) {
        let is_key = |title: &String| title.ends_with(" major") || title.ends_with(" minor");
        let below = sheet.children.iter().chain([sheet]);
        keys.extend(below.map(|entry| entry.title.clone()).filter(is_key));
    }
    assert!(keys.contains("F major") && keys.contains("F minor"), "{keys:?}");
    let cover = words(&document.pages[0]);
    assert!(cover.contains(&keys.len().to_string().as_str()), "{keys:?} {cover:?}");
    let contents: Vec<&str> = document.pages[1..3].iter().flat_map(words).collect();
    assert!(contents.contains(&"F") && contents.contains(&"Fm"), "{contents:?}");
}

/// The last sheet leads back to the first, not to a key that the packet has not.
#[test]
fn no_sheet_of_a_packet_leads_out_of_it() {
    for text in demos().map(|(_, text)| text).chain([BOTH]) {
        let document = packet(text);
        let all: Vec<&str> = document.pages.iter().flat_map(words).collect();
        assert!(!all.iter().any(|words| words.starts_with("Next in the round")), "{text}");
    }
}

/// A tune whose dominants stand before parts that begin a semitone lower, and whose sections come
/// again.
const JOINED: [&str; 2] = [
    "title = \"Joined\"\nmetre = \"4/4\"\nkey = \"Ab\"\nform = \"A A B A\"\n[[section]]\nname = \"A\"\nbars = \"\
     | Abmaj7 | Fm7 | Bbm7 | Eb7 | Cm7 Bdim7 | Bbm7 Eb7 | Abmaj7 F7b9 | Bbm7 Eb7 |\"\n[[section]]\nname = \"B\"\n\
     bars = \"| Dm7 | G7 | Cmaj7 | % | F#m7 | B7 | Emaj7 | Bbm7 Eb7 |\"\n",
    "title = \"Joined\"\nmetre = \"4/4\"\nkey = \"C\"\nform = \"A B A\"\n[[section]]\nname = \"A\"\nbars = \"\
     | Cmaj7 | Am7 | Dm7 | G7 | Em7 | Fm7 Bb7 | Cmaj7 | Dm7 G7 |\"\n[[section]]\nname = \"B\"\n\
     bars = \"| F#m7 | B7 | Emaj7 | % | Bbm7 | Eb7 | Abmaj7 | Dm7 G7 |\"\n",
];

/// A ii-V at the end of a part points to the key of the part, whatever another part begins with: no
/// substitute is told where the form alone makes one, and none is drilled.
#[test]
fn no_substitute_is_made_of_a_join() {
    for text in JOINED {
        let chart = Chart::parse(text, "x").unwrap();
        let analysis = charts::analysed(&chart).unwrap();
        let tritone = |it: &&crate::chart::Cadence| it.form == crate::chart::CadenceForm::Tritone;
        assert_eq!(analysis.cadences.iter().find(tritone), None, "{text}");
        let home = chart.key.unwrap().tonic().pitch_class();
        let is_open =
            |it: &&crate::chart::Cadence| !it.is_resolved && it.target.pitch_class() == home;
        assert!(analysis.cadences.iter().any(|it| is_open(&it)), "{text}");
        let studied = Studied::of(chart, analysis);
        let is_substitute = |it: &crate::chart::Need| {
            use crate::chart::Purpose::{MinorSubstitute, Substitute};
            matches!(it.purpose, Substitute | MinorSubstitute)
        };
        assert!(!studied.needs.iter().any(is_substitute), "{:?}", studied.needs);
    }
}

/// A tune of a mode.
const MODE: &str = "title = \"Modes\"\nmetre = \"4/4\"\nkey = \"D dorian\"\nform = \"A B A\"\n[[section]]\n\
    name = \"A\"\nbars = \"| Dm9 | G13 | Dm9 | G13 | Dm9 | Em7 | Fmaj7 Em7 | Dm9 |\"\n[[section]]\n\
    name = \"B\"\nbars = \"| Ebmaj7 | % | Fm9 | Bb13 | Ebmaj7 | Gm7 C7 | Fmaj7 | Em7b5 A7b9 |\"\n";

/// A tune of a mode is told and practised in the mode, in whatever key.
#[test]
fn a_tune_of_a_mode_is_practised_in_the_mode() {
    for (mode, title) in [("dorian", "Dorian sevenths"), ("minor", "Natural minor sevenths")] {
        let text = MODE.replace("dorian", mode);
        let document = packet(&text);
        let all: Vec<&str> = document.pages.iter().flat_map(words).collect();
        let has = |part: &str| all.iter().any(|words| words.contains(part));
        assert!(has(title), "{title}");
        assert_eq!(has("Natural minor sevenths"), mode == "minor");
        assert!(has(&format!("Home is D {mode}.")), "{mode}");
        let analysis = charts::analysed(&Chart::parse(&text, "x").unwrap()).unwrap();
        let g13 = analysis.readings.iter().find(|it| it.chord.root.plain() == "G").unwrap();
        assert_eq!(g13.reason.contains("raised sixth"), mode == "dorian", "{}", g13.reason);
    }
}

/// A tune whose first section is heard twice, the second time on the way to another key.
const TWICE: &str = "title = \"Twice\"\nmetre = \"4/4\"\nkey = \"G minor\"\nform = \"A B\"\n[[section]]\n\
    name = \"A\"\nbars = \"|: Gm6 | Gm7/F | Em7b5 | Ebmaj7 | Cm7 | F7 |1. Bbmaj7 | Am7b5 D7b9 \
    :|2. Bbmaj7 Bdim7 | Cm7 Ab7 |\"\n[[section]]\nname = \"B\"\nbars = \"| Gm7 Gb7 | Fm7 E7 | Ebmaj7 | Ab13 \
    | Bbmaj7/D | C#dim7 | Cm9 | F7b9 | Bbmaj7 | Eb9 | Am7b5 Ab7 | Gm6 |\"\n";

/// Of a key every visit is told, and nothing but its visits: the words read back as the bars that are
/// heard in it.
#[test]
fn every_visit_of_a_key_is_told() {
    let own = demos().map(|(_, text)| text.to_owned());
    let mut again = 0;
    for text in own.chain([BOTH, MODE, TWICE].map(str::to_owned)) {
        let chart = Chart::parse(&text, "x").unwrap();
        let analysis = charts::analysed(&chart).unwrap();
        let studied = Studied::of(chart, analysis);
        let bar = studied.unfolded.metre.bar();
        for area in &studied.analysis.areas {
            let told = studied.stretches(std::iter::once(area.from..area.until));
            let mut read = BTreeSet::new();
            for words in &told {
                let words = words.trim_end_matches(" again");
                let (first, last) = words.split_once(" to ").unwrap_or((words, ""));
                let (section, first) = first.rsplit_once('\u{a0}').unwrap_or((first, "0"));
                let first: usize = first.parse().unwrap();
                let last = last.parse().unwrap_or(first);
                read.extend((first..=last).map(|bar| (section.to_owned(), bar)));
            }
            let from = area.from.max(0).div_euclid(bar);
            let heard = (from..).take_while(|nth| nth * bar < area.until);
            let heard = heard.map(|nth| studied.place_at((nth * bar).max(area.from)));
            let heard: BTreeSet<(String, usize)> = heard
                .map(|words| match words.rsplit_once('\u{a0}') {
                    Some((section, bar)) => (section.to_owned(), bar.parse().unwrap()),
                    None => (words, 0),
                })
                .collect();
            assert_eq!(read, heard, "{text}: {told:?}");
        }
        let home = studied.analysis.areas.iter().filter(|area| area.key == studied.analysis.home);
        let home = studied.stretches(home.map(|area| area.from..area.until));
        again += home.iter().filter(|words| words.ends_with("again")).count();
        if text == TWICE {
            let visits: Vec<_> = home.iter().map(|it| it.replace('\u{a0}', " ")).collect();
            assert_eq!(visits[..2], ["A 1 to 8", "A 1 to 6 again"], "{visits:?}");
        }
    }
    assert!(again > 1, "{again}");
}

/// Vamps without a cadence, by the mode that they are in.
const VAMPS: [(Mode, &str); 7] = [
    (Mode::Dorian, "| Fm7 | Bb7 | Fm7 | Bb7 | Fm7 | Bb7 | Fm7 | Bb7 |"),
    (Mode::Phrygian, "| Em7 | Fmaj7 | Em7 | Fmaj7 | Em7 | Fmaj7 | Em7 | Fmaj7 |"),
    (Mode::Lydian, "| Fmaj7#11 | G/F | Fmaj7#11 | G/F | Fmaj7#11 | G/F | Fmaj7#11 | G/F |"),
    (Mode::Mixolydian, "| G7 | F/G | G7 | F/G | G7 | F/G | G7 | F/G |"),
    (Mode::NaturalMinor, "| Am | F | G | Am | Am | F | G | Am |"),
    (Mode::Major, "| Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 | Cmaj7 | Fmaj7 |"),
    (Mode::Major, "| Ebmaj7 | Dbmaj7 | Ebmaj7 | Dbmaj7 | Ebmaj7 | Dbmaj7 | Ebmaj7 | Dbmaj7 |"),
];

fn studied(text: &str) -> Studied {
    let chart = Chart::parse(text, "x").unwrap_or_else(|error| panic!("{error}"));
    let analysis = charts::analysed(&chart).unwrap();
    Studied::of(chart, analysis)
}

fn planned(tune: &Studied) -> Vec<PlanStep> {
    let time = (tune.chart.metre, tune.chart.feel);
    let shares = key_shares(&tune.unfolded, &tune.analysis);
    steps(&[Asking { time, tempo: tune.chart.tempo, shares, needs: &tune.needs }])
}

/// A tune without a cadence is practised in its own mode: the sevenths of the mode, and what keeps
/// it open there.
#[test]
fn a_vamp_is_practised_in_its_mode() {
    for (mode, bars) in VAMPS {
        let text = format!(
            "title = \"Vamp\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"{bars}\"\n"
        );
        let tune = studied(&text);
        assert_eq!(tune.analysis.home.mode(), mode, "{bars}");
        let steps = planned(&tune);
        assert!(steps.len() > 1, "{bars}: {steps:?}");
        for step in steps {
            let known = of_library(&step).unwrap_or_else(|error| panic!("{error:?}"));
            assert_eq!(known.template.mode, mode, "{bars}: {}", known.template.name);
            let words = format!("{} {}", known.template.title, known.template.about).to_lowercase();
            let words: Vec<&str> = words.split(|it: char| !it.is_alphabetic()).collect();
            let is_strange = |other: &Mode| *other != mode && words.contains(&other.word());
            let church = [Mode::Dorian, Mode::Phrygian, Mode::Lydian, Mode::Mixolydian];
            assert!(!church.iter().any(is_strange), "{words:?}");
        }
    }
}

/// Where a drill does not go in the metre of its tune the plan says so, and nowhere else.
#[test]
fn a_drill_in_another_metre_says_so() {
    for (metre, is_other) in [("4/4", false), ("3/4", false), ("5/4", true), ("6/8", true)] {
        let text = format!(
            "title = \"Metre\"\nmetre = \"{metre}\"\n[[section]]\nname = \"A\"\n\
             bars = \"| Cmaj7 | Am7 | Dm7 | G7 | Cmaj7 | Am7 | Dm7 G7 | C6 |\"\n"
        );
        let document = packet(&text);
        let all: Vec<&str> = document.pages.iter().flat_map(words).collect();
        let all = all.join(" ");
        let told = all.matches("not in the metre of the tune").count();
        assert_eq!(told, usize::from(is_other), "{metre}");
        assert!(!is_other || all.contains(&format!("the tune in {metre}")), "{metre}");
    }
}

/// Every dominant that falls a fifth into what is no dominant stands in the table of cadences, with
/// a ii before it or without.
#[test]
fn every_dominant_that_arrives_is_in_the_table() {
    use crate::chart::Function;
    let mut met = 0;
    let own = demos().map(|(_, text)| text).chain([BOTH, MODE, TWICE, SUNK]).chain(JOINED);
    for text in own {
        let tune = studied(text);
        let table: Vec<String> =
            words::cadences(&tune).rows.into_iter().map(|row| row.cells.join(" ")).collect();
        for pair in tune.unfolded.changes.windows(3) {
            let [Some(before), Some(five), Some(one)] = [0, 1, 2].map(|nth| pair[nth].chord) else {
                continue;
            };
            let class = |chord: crate::theory::Chord| chord.root.pitch_class();
            let falls = (class(one) - class(five)).rem_euclid(12) == 5;
            let reading = tune.analysis.reading(pair[1].written).unwrap();
            let is_five = falls && reading.function == Function::Dominant;
            let is_two = before.kind.has_minor_third() || class(before) == class(five);
            let is_first = reading.at == pair[1].at;
            if is_first && is_five && !is_two && one.kind.has_minor_third() {
                let place = tune.place(pair[1].written);
                assert!(table.iter().any(|row| row.contains(&place)), "{place}: {table:?}");
                met += 1;
            }
        }
    }
    assert!(met > 4, "{met}");
}

/// A tune that visits keys for a bar before it stays in others.
const VISITING: &str = "title = \"Visiting\"\nmetre = \"4/4\"\nkey = \"C\"\nform = \"A B C\"\n[[section]]\nname = \"A\"\n\
    bars = \"| Cmaj7 | Bbm7 Eb7 | Abmaj7 | Dm7 G7 | Cmaj7 | F#m7 B7 | Emaj7 | Dm7 G7 |\"\n[[section]]\nname = \"B\"\n\
    bars = \"| Ebmaj7 | Cm7 | Fm7 | Bb7 | Ebmaj7 | Cm7 | Fm7 Bb7 | Ebmaj7 |\"\n[[section]]\nname = \"C\"\n\
    bars = \"| Ebmaj7 | Cm7 | Fm7 | Bb7 | Ebmaj7 | Ab6 | Fm7 Bb7 | Ebmaj7 |\"\n";

/// A tune that wanders through keys, by a number: phrases of common kinds, each on some tonic.
fn wandering(number: u32) -> String {
    const NAMES: [&str; 12] = ["C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"];
    const PHRASES: [&[(i32, &str)]; 6] = [
        &[(0, "maj7"), (9, "m7"), (2, "m7"), (7, "7")],
        &[(2, "m7"), (7, "7"), (0, "maj7"), (0, "6")],
        &[(2, "m7b5"), (7, "7b9"), (0, "m6"), (0, "m6")],
        &[(0, "m7"), (5, "m7"), (2, "m7"), (7, "7")],
        &[(0, "maj7"), (1, "dim7"), (2, "m7"), (7, "7sus4")],
        &[(0, "6"), (5, "m6"), (10, "9"), (0, "maj7")],
    ];
    let mut state = number.wrapping_mul(2_654_435_761).wrapping_add(12_345);
    let mut next = |most: usize| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 16) as usize % most
    };
    let mut bars = Vec::new();
    let mut tonic = next(12);
    for _ in 0..8 {
        // It stays as often as it goes on.
        tonic = if next(2) == 0 { tonic } else { next(12) };
        let phrase = PHRASES[next(PHRASES.len())];
        let chord = |(above, kind): &(i32, &str)| {
            format!("{}{kind}", NAMES[(tonic as i32 + above) as usize % 12])
        };
        bars.extend(phrase.iter().map(chord));
    }
    let bars = bars.join(" | ");
    format!("title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"| {bars} |\"\n")
}

/// Keys come by how long the tune is in them: those that it stays in before those that it only
/// visits, in the rows of the plan and from day to day.
#[test]
fn what_a_tune_stays_in_is_practised_before_what_it_visits() {
    let mut met = 0;
    let own = demos().map(|(_, text)| text).chain([BOTH, MODE, TWICE, SUNK, VISITING]);
    for text in own.map(str::to_owned).chain((0..60).map(wandering)) {
        let tune = studied(&text);
        let shares = key_shares(&tune.unfolded, &tune.analysis);
        let share = |key: Key| {
            let own = shares.iter().find(|it| crate::chart::is_same(it.key, key));
            own.map_or((false, 0.0), |it| (it.is_stayed, it.bars))
        };
        let steps = planned(&tune);
        for step in &steps {
            for pair in step.keys.windows(2) {
                let [one, other] = [share(pair[0].key), share(pair[1].key)];
                assert!(one >= other, "{:?}: {pair:?}", step.drill);
                met += usize::from(one != other);
            }
        }
        let new = days::days(&steps).into_iter().flat_map(|day| day.new);
        let stays: Vec<bool> = new.map(|(step, key)| share(steps[step].keys[key].key).0).collect();
        assert!(stays.is_sorted_by(|one, other| one >= other), "{text}: {stays:?}");
    }
    assert!(met > 10, "{met}");
}

/// A cadence whose dominant could nearly be heard in another key says so.
#[test]
fn a_cadence_says_in_which_key_it_is_heard() {
    let mut met = 0;
    for text in
        demos().map(|(_, text)| text).chain([BOTH, MODE, TWICE, SUNK, VISITING]).chain(JOINED)
    {
        let tune = studied(text);
        let rows: Vec<String> =
            words::cadences(&tune).rows.into_iter().map(|row| row.cells.join(" ")).collect();
        for cadence in tune.analysis.written_cadences() {
            let other = tune.analysis.reading(cadence.written[1]).and_then(|it| it.other);
            if let Some(other) = other.filter(|other| other.key != cadence.key) {
                let words = format!("nearly in {}", other.key.words());
                assert!(rows.iter().any(|row| row.contains(&words)), "{words}: {rows:?}");
                met += 1;
            }
        }
    }
    assert!(met > 3, "{met}");
}
