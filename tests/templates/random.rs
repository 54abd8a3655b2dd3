//! Random templates: the valid print, the broken are told about by line, none panics.

use proptest::prelude::*;
use proptest::sample::select;
use quintfall::book::PageError;
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::{Choices, Drill, Template};
use quintfall::recipe::{DocumentForm, Recipe};
use quintfall::theory::{AskedKey, Fifth, Interval, Key};

/// A passage of bars of 4/4, one or two chords each.
fn passage() -> impl Strategy<Value = String> {
    let chords = prop::collection::vec(
        select(vec!["1", "2", "3", "4", "5", "6", "7", "8", "\"low5\"", "\"5/2\"", "\"7/5\""]),
        1..5,
    );
    let half_bar = select(vec![
        "1 3 5 7",
        "7 5:quarter 1",
        "under1 1 over3 3",
        "1+3+5+7:half",
        "1:triplet 3:triplet 5:triplet 7:quarter",
        "rest 3 5+7:quarter",
        "1:sixteenth 2:sixteenth 3:sixteenth 5:sixteenth 7 8",
        "low5 1 3:triplet-quarter 5:triplet",
    ]);
    let voicing = select(vec![
        "close",
        "first-inversion",
        "second-inversion",
        "third-inversion",
        "shell-3",
        "shell-7",
        "guide-tones",
        "rootless-a",
        "rootless-b",
        "1+5+8",
        "1+3+5",
    ]);
    let comping = select(vec![
        "on-beat",
        "push",
        "silent",
        "two-feel",
        "four-to-the-bar",
        "charleston-from-3",
        "off-beats",
        "1 3:quarter",
        "1:eighth 2& 3& 4&>",
    ]);
    (chords, prop::collection::vec(half_bar, 2), voicing, comping, any::<[bool; 3]>()).prop_map(
        |(mut chords, figures, voicing, comping, [whole_bars, leads, swapped])| {
            // Two chords a bar come in pairs.
            if chords.len() % 2 == 1 {
                chords.push("1");
            }
            // A rhythm that strikes once a bar leaves out every second of two chords.
            let strikes_both = ["on-beat", "push", "silent", "two-feel", "four-to-the-bar"];
            let whole_bars = whole_bars || !strikes_both.contains(&comping);
            let beats = if whole_bars { 4 } else { 2 };
            let figure = if whole_bars { figures.join(" ") } else { figures[0].to_owned() };
            let leads = leads && !voicing.contains('+');
            format!(
                "[[passage]]\ndegrees = [{}]\nbeats = {beats}\nfigure = \"{figure}\"\n\
                 note = \"eighth\"\nvoicing = \"{voicing}\"\ncomping = \"{comping}\"\n\
                 voice-leading = {leads}\nhands = \"{}\"\n",
                chords.join(", "),
                if swapped { "swapped" } else { "as-usual" },
            )
        },
    )
}

/// A chord of any kind, by its numeral.
fn numeral() -> impl Strategy<Value = String> {
    let root = select(vec![
        "I", "II", "III", "IV", "V", "VI", "VII", "i", "ii", "iii", "iv", "v", "vi", "bII", "bIII",
        "bVI", "bVII", "#iv", "lowV", "lowbVII",
    ]);
    let kind = select(vec![
        "", "6", "7", "maj7", "9", "13", "7b9", "7#11", "7b9b13", "7alt", "7sus4", "m7", "m6",
        "ø7", "o7", "6/9", "maj9", "aug", "7/V", "7/ii",
    ]);
    (root, kind).prop_map(|(root, kind)| {
        // Small letters say the minor third, which not every kind has.
        let is_small = root.trim_start_matches(['b', '#', 'l', 'o', 'w']).starts_with(['i', 'v']);
        let is_major = ["maj", "alt", "sus", "aug"].iter().any(|word| kind.contains(word));
        let root = if is_small && is_major { "V" } else { root };
        format!("\"{root}{kind}\"")
    })
}

/// A passage of two or four bars of 4/4 in the grown language.
fn grown_passage() -> impl Strategy<Value = String> {
    let chords = prop::collection::vec(numeral(), 4);
    let beats = select(vec!["4", "2", "[4, 2, 2, 4, 4]", "[3, 1]"]);
    let right = select(vec![
        "figure = \"1 3 5 7\"\nnote = \"eighth\"",
        "figure = [\"1:quarter 3:quarter\", \"tied:quarter b9:quarter\"]\nnote = \"quarter\"",
        "figure = \"chord:half\"\nnote = \"half\"",
        "figure = \"line\"\nseed = 5",
        "figure = \"1 2 3 4\"\nnote = \"eighth\"\nscale = [\"blues\", \"altered\"]",
        "figure = \"1:triplet-quarter 3:triplet-quarter 5:triplet-quarter\"\nnote = \"quarter\"",
        "figure = \"#11 b13 3 1\"\nnote = \"eighth\"",
    ]);
    let left = select(vec![
        "left = \"walking\"",
        "left = \"two-feel\"",
        "left = \"octaves\"",
        "left = \"stride\"",
        "left = \"1 5 8 5\"\nleft-note = \"eighth\"",
        "voicing = \"close\"\ncomping = \"on-beat\"",
        "voicing = \"rootless-a\"\ncomping = \"push\"",
        "voicing = \"guide-tones\"\ncomping = \"silent\"",
        "voicing = [\"shell-7\", \"shell-3\"]\ncomping = \"on-beat\"",
    ]);
    let key = select(vec!["", "key = \"IV\"", "key = \"bIII\"\nsignature = true", "key = \"vi\""]);
    let form = select(vec![
        "",
        "section = \"A\"",
        "title = \"Bridge\"",
        "repeat = \"whole\"",
        "double-bar = true",
        "right-octave = \"8va\"",
        "left-octave = \"8vb\"",
    ]);
    (chords, beats, right, left, key, form).prop_map(|(chords, beats, right, left, key, form)| {
        let count = if beats.contains("4, 4") { 5 } else { 4 };
        let chords: Vec<&str> = chords.iter().map(String::as_str).cycle().take(count).collect();
        // A figure of two beats does not come out even over chords of three and one.
        let beats = if beats.contains('3') { "2" } else { beats };
        format!(
            "[[passage]]\ndegrees = [{}]\nbeats = {beats}\n{right}\n{left}\n{key}\n{form}\n",
            chords.join(", ")
        )
    })
}

fn grown_template() -> impl Strategy<Value = String> {
    prop::collection::vec(grown_passage(), 1..4).prop_map(|passages| {
        // The drill's own key begins it.
        let first = passages[0].replace("signature = true\n", "");
        format!(
            "name = \"random\"\ntitle = \"Random\"\nmetre = \"4/4\"\nfeel = \"swing\"\n{first}{}",
            passages[1..].concat()
        )
    })
}

fn template() -> impl Strategy<Value = String> {
    let mode = select(vec!["major", "natural-minor", "harmonic-minor", "melodic-minor"]);
    (mode, prop::collection::vec(passage(), 1..3)).prop_map(|(mode, passages)| {
        format!(
            "name = \"random\"\ntitle = \"Random\"\nmetre = \"4/4\"\nmode = \"{mode}\"\n{}",
            passages.concat()
        )
    })
}

/// How many random templates are tried: `QUINTFALL_CASES`, or a few.
fn cases() -> u32 {
    std::env::var("QUINTFALL_CASES").ok().and_then(|cases| cases.parse().ok()).unwrap_or(24)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: cases(), ..ProptestConfig::default() })]

    #[test]
    fn the_valid_print(text in template(), key in select(Key::majors().collect::<Vec<_>>())) {
        let template = Template::judge(&text, "random.toml");
        prop_assert!(template.is_ok(), "{text}\n{template:?}");
        let recipe = Recipe {
            form: DocumentForm::Handout,
            keys: vec![AskedKey::on(key.tonic()).unwrap()],
            template: Some(text.clone()),
            ..Recipe::default()
        };
        match pipeline::document(&recipe) {
            Ok(document) => prop_assert!((1..=2).contains(&document.pages.len())),
            // Sixteen bars of two random hands may be more than a page.
            Err(PipelineError::Page(PageError::NoRoom { .. })) => {}
            Err(error) => prop_assert!(false, "{text}\n{error}"),
        }
    }

    #[test]
    fn the_grown_print_or_say_what_does_not_go_together(
        text in grown_template(),
        key in select(Key::majors().collect::<Vec<_>>()),
    ) {
        let template = match Template::judge(&text, "random.toml") {
            Ok(template) => template,
            Err(mistakes) => {
                // What random words may come to: a voicing that has no symbol or is too wide, a
                // triplet that does not fit, a tie after a rest or silence.
                let allowed = ["voicing", "written down", "no hand", "longer", "shorter", "tied"];
                for mistake in mistakes {
                    let said = mistake.to_string();
                    prop_assert!(allowed.iter().any(|word| said.contains(word)), "{text}\n{said}");
                }
                return Ok(());
            }
        };
        let drill = Drill::of(&template);
        let score = drill.realise(key, Choices::default());
        prop_assert!(score.harmonies.is_sorted_by_key(|it| it.at), "{text}");
        let chords: Vec<_> = score.harmonies.iter().map(|it| it.chord).collect();
        // A diminished chord and what it leads to keep their letters: A flat half-diminished goes to B
        // double flat, and F double sharp half-diminished to G sharp.
        let is_led = |at: usize| {
            chords.get(at..at + 2).is_some_and(|pair| {
                pair[0].kind.fifth() == Fifth::Diminished
                    && pair[0].root.up(Interval::MINOR_SECOND) == pair[1].root
            })
        };
        for (at, chord) in chords.iter().enumerate() {
            let is_of_family = is_led(at) || at.checked_sub(1).is_some_and(is_led);
            let is_far = key.fifths().abs() > 4;
            let is_read = chord.root.alter.abs() <= 1 || is_far || is_of_family;
            prop_assert!(is_read, "{text}\n{} in {key}", chord.root);
        }
        let recipe = Recipe {
            form: DocumentForm::Handout,
            keys: vec![AskedKey::on(key.tonic()).unwrap()],
            template: Some(text.clone()),
            ..Recipe::default()
        };
        match pipeline::document(&recipe) {
            Ok(_) | Err(PipelineError::Page(PageError::NoRoom { .. })) => {}
            Err(error) => prop_assert!(false, "{text}\n{error}"),
        }
    }

    #[test]
    fn the_broken_are_told_about_by_line(
        text in template(),
        at in 0.0_f64..1.0,
        patch in select(vec![
            "", "\"", "[", "9", "x", "= ", "\n", "&", ">", "+", ":", "low", "under", "0", "|",
        ]),
        cut in 0_usize..4,
    ) {
        let start = (at * text.len() as f64) as usize;
        let end = (start + cut).min(text.len());
        let broken = format!("{}{patch}{}", &text[..start], &text[end..]);
        if let Err(mistakes) = Template::judge(&broken, "random.toml") {
            prop_assert!(!mistakes.is_empty());
            let lines = broken.lines().count();
            for mistake in mistakes {
                let line = mistake.line().unwrap_or(0);
                prop_assert!((1..=lines.max(1) + 1).contains(&line), "{broken}\n{mistake}");
            }
        }
    }

    #[test]
    fn any_text_is_judged(text in "\\PC{0,200}") {
        let _ = Template::judge(&text, "random.toml");
    }
}
