//! Random texts, and charts that slips have been put into: the valid unfold, the broken are told
//! about by line, none panics.

use proptest::prelude::*;
use proptest::sample::select;
use quintfall::chart::{Chart, demos};

use super::laws::is_whole;

/// How many of each kind are tried: `QUINTFALL_CASES`, or a few.
fn config() -> ProptestConfig {
    let cases = std::env::var("QUINTFALL_CASES").ok().and_then(|cases| cases.parse().ok());
    ProptestConfig { cases: cases.unwrap_or(400), failure_persistence: None, ..Default::default() }
}

/// Whatever a text is, it is a chart that can be played, or all that is wrong is told in one line
/// each with a place in the text and a mend.
fn judged(text: &str) {
    match Chart::judge(text, "x.toml") {
        Ok(chart) => is_whole(&chart),
        Err(complaints) => {
            assert!(!complaints.is_empty());
            let lines = text.bytes().filter(|byte| *byte == b'\n').count() + 1;
            for complaint in complaints {
                let line = complaint.line();
                let is_more = complaint.problem == "there are more mistakes than these";
                assert!(
                    line.is_some_and(|line| (1..=lines).contains(&line)) || is_more,
                    "{complaint:?}"
                );
                assert!(!complaint.problem.is_empty());
                let is_told = complaint.problem.contains("write ");
                assert!(complaint.mend.is_some() || is_told, "{complaint:?}");
            }
        }
    }
}

/// Signs that bars are made of, right and wrong.
fn sign() -> impl Strategy<Value = String> {
    let signs = select(vec![
        "|",
        "||",
        "|:",
        ":|",
        ":|:",
        "|||",
        ":",
        "::",
        "x3",
        "x99",
        "x",
        "1.",
        "2.",
        "1.2.",
        "9.9.9.",
        "300.",
        "%",
        "/",
        "/ /",
        "N.C.",
        "nc",
        "to-coda",
        "C",
        "Dm7",
        "G7b9",
        "Bb13",
        "F#m7b5/E",
        "(",
        ")",
        "C(b9, b13)",
        "H7",
        "\n",
        "\t",
        "é",
        "♭",
        "𝄫",
        "Cmaj",
        "",
    ]);
    prop_oneof![4 => signs.prop_map(str::to_owned), 1 => "[A-Ga-h0-9mb#/%|:.() ]{0,12}"]
}

fn name() -> impl Strategy<Value = &'static str> {
    select(vec!["A", "B", "Coda", "coda", "A2", "", "Intro", "A A", "\u{1f3b9}"])
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn random_bars_are_played_or_told_about(
        sections in prop::collection::vec((name(), prop::collection::vec(sign(), 0..40)), 0..4),
        form in prop::option::of(prop::collection::vec(name(), 0..12)),
        metre in select(vec!["3/4", "4/4", "5/4", "6/8", "2/2"]),
        pick_up in prop::option::of(prop::collection::vec(sign(), 0..5)),
    ) {
        let mut text = format!("title = 'x'\nmetre = '{metre}'\n");
        if let Some(form) = form {
            text.push_str(&format!("form = '''{}'''\n", form.join(" ")));
        }
        if let Some(signs) = pick_up {
            text.push_str(&format!("pick-up = '''{}'''\n", signs.join(" ")));
        }
        for (name, signs) in sections {
            let bars = signs.join(" ");
            text.push_str(&format!("[[section]]\nname = '{name}'\nbars = '''\n{bars}'''\n"));
        }
        judged(&text);
    }

    #[test]
    fn valid_charts_with_slips_are_played_or_told_about(
        which in 0..10_usize,
        slips in prop::collection::vec((any::<prop::sample::Index>(), 0..4_u8, sign()), 1..5),
    ) {
        let (_, text) = demos().nth(which).expect("there are so many");
        let mut letters: Vec<char> = text.chars().collect();
        for (at, kind, sign) in slips {
            let at = at.index(letters.len());
            match kind {
                0 => drop(letters.remove(at)),
                1 => letters.truncate(at.max(20)),
                2 => drop(letters.splice(at..at, sign.chars())),
                _ => {
                    let end = (at + sign.chars().count()).min(letters.len());
                    letters.splice(at..end, sign.chars());
                }
            }
        }
        judged(&letters.into_iter().collect::<String>());
    }

    #[test]
    fn any_text_at_all_is_told_about(text in ".{0,200}") {
        judged(&text);
    }
}
