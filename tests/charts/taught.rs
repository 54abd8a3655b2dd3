//! What the guide to charts teaches can be read.

use quintfall::chart::Chart;

/// The texts between fences of a kind.
fn fenced<'a>(guide: &'a str, kind: &str) -> Vec<&'a str> {
    let fence = format!("```{kind}\n");
    let texts = guide.split(&fence).skip(1);
    texts.map(|rest| rest.split("```").next().expect("a fence that closes")).collect()
}

#[test]
fn every_example_of_the_guide_is_a_chart() {
    let guide = include_str!("../../templates/charts.md");
    let whole = fenced(guide, "toml");
    assert!(!whole.is_empty());
    for text in whole {
        Chart::parse(text, "guide").unwrap_or_else(|error| panic!("{text}\n{error}"));
    }
    let bars = fenced(guide, "text");
    assert!(bars.len() > 2, "{bars:?}");
    for text in bars {
        let coda = if text.contains("to-coda") {
            "[[section]]\nname = \"Coda\"\nbars = \"C\"\n"
        } else {
            ""
        };
        let chart = format!(
            "title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = \"\"\"\n{text}\"\"\"\n{coda}"
        );
        Chart::parse(&chart, "guide").unwrap_or_else(|error| panic!("{text}\n{error}"));
    }
    // What a table row shows in the place of a whole bar is read too.
    let rows = guide.lines().filter_map(|line| line.strip_prefix("| `"));
    let shown: Vec<&str> = rows.filter_map(|row| row.split('`').next()).collect();
    assert!(shown.len() > 8, "{shown:?}");
    for sign in shown {
        let sign = sign.replace("\\|", "|");
        let bars = if sign.contains('=') { continue } else { sign };
        let chart = format!(
            "title = \"x\"\nmetre = \"4/4\"\n[[section]]\nname = \"A\"\nbars = '''{bars}'''\n{}",
            if bars.contains("to-coda") {
                "[[section]]\nname = \"Coda\"\nbars = \"C\"\n"
            } else {
                ""
            }
        );
        Chart::parse(&chart, "guide").unwrap_or_else(|error| panic!("{bars}\n{error}"));
    }
}
