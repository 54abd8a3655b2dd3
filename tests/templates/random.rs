//! Random templates: the valid print, the broken are told about by line, none panics.

use proptest::prelude::*;
use proptest::sample::select;
use quintfall::book::PageError;
use quintfall::desk::pipeline::{self, PipelineError};
use quintfall::drill::Template;
use quintfall::recipe::{Form, Recipe};
use quintfall::theory::{AskedKey, Key};

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

fn template() -> impl Strategy<Value = String> {
    let mode = select(vec!["major", "natural-minor", "harmonic-minor", "melodic-minor"]);
    (mode, prop::collection::vec(passage(), 1..3)).prop_map(|(mode, passages)| {
        format!(
            "name = \"random\"\ntitle = \"Random\"\nmetre = \"4/4\"\nmode = \"{mode}\"\n{}",
            passages.concat()
        )
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn the_valid_print(text in template(), key in select(Key::majors().collect::<Vec<_>>())) {
        let template = Template::judge(&text, "random.toml");
        prop_assert!(template.is_ok(), "{text}\n{template:?}");
        let recipe = Recipe {
            form: Form::Handout,
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
