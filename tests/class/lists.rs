//! Lists as programs save them: whatever their dialect, the same class comes of them.

use std::ffi::OsString;

use proptest::prelude::*;
use quintfall::recipe::Recipe;

use super::desk::Desk;
use super::tree::tree;

/// How many random lists are tried; `QUINTFALL_CASES` says more.
fn cases(usual: u32) -> ProptestConfig {
    let cases = std::env::var("QUINTFALL_CASES").ok().and_then(|cases| cases.parse().ok());
    ProptestConfig { cases: cases.unwrap_or(usual), ..ProptestConfig::default() }
}

/// A text in UTF-16 with its mark.
fn wide(text: &str, bytes: fn(u16) -> [u8; 2]) -> Vec<u8> {
    format!("\u{feff}{text}").encode_utf16().flat_map(bytes).collect()
}

/// Every dialect that is known of, of a list with commas and lines that end in a line feed.
fn dialects(list: &str) -> Vec<(&'static str, Vec<u8>)> {
    let parse = || csv::ReaderBuilder::new().has_headers(false).from_reader(list.as_bytes());
    let written = |separator, quotes, end| {
        let mut writer = csv::WriterBuilder::new()
            .delimiter(separator)
            .quote_style(quotes)
            .terminator(end)
            .from_writer(Vec::new());
        for record in parse().records() {
            writer.write_record(&record.unwrap()).unwrap();
        }
        writer.into_inner().unwrap()
    };
    use csv::{QuoteStyle as Quotes, Terminator as End};
    let lf = End::Any(b'\n');
    let semicolons = written(b';', Quotes::Necessary, lf);
    let tabs = String::from_utf8(written(b'\t', Quotes::Necessary, End::CRLF)).unwrap();
    vec![
        ("commas", list.as_bytes().to_vec()),
        ("commas, CRLF", written(b',', Quotes::Necessary, End::CRLF)),
        ("commas, CR", written(b',', Quotes::Necessary, End::Any(b'\r'))),
        ("semicolons", semicolons.clone()),
        ("all quoted", written(b';', Quotes::Always, End::CRLF)),
        ("tabs", tabs.clone().into_bytes()),
        ("a mark", [b"\xEF\xBB\xBF", list.as_bytes()].concat()),
        ("UTF-16", wide(&tabs, u16::to_le_bytes)),
        ("UTF-16, high byte first", wide(&tabs, u16::to_be_bytes)),
        ("sep=", [b"sep=;\r\n", &semicolons[..]].concat()),
        ("no end", list.trim_end().as_bytes().to_vec()),
        ("empty rows", list.replace('\n', "\n,,,\n\n").into_bytes()),
    ]
}

#[test]
fn every_dialect_gives_the_same_class() {
    let list = "Name,Key,Drill,Tempo,remark\n\"Löwe, Åsa\",\"C,F\",solid,60,\"she said \"\"yes\"\"\"\n\
                Bo,Eb,solid,66.0,\n";
    let mut first = None;
    for (name, bytes) in dialects(list) {
        let desk = Desk::new().with("a.csv", bytes);
        let said = desk.does(&["class", "a.csv"]);
        assert!(said.contains("left alone in the list: remark ("), "{name}: {said}");
        let made = tree(&desk.path("a"));
        assert_eq!(made.len(), 4, "{name}");
        assert!(*first.get_or_insert_with(|| made.clone()) == made, "{name}");
    }
    let toml = "[[student]]\nname = \"Löwe, Åsa\"\nkeys = [\"C\", \"F\"]\ndrill = \"solid\"\n\
                tempo = 60\n\n[[student]]\nkey = 'Eb'\nname = 'Bo'\ndrill = 'solid'\ntempo = '66'\n";
    let desk = Desk::new().with("a.toml", toml);
    desk.does(&["class", "a.toml"]);
    assert!(first.unwrap() == tree(&desk.path("a")));
}

/// Runs a command inside this process.
fn run(args: &[&str]) -> Result<(), Vec<String>> {
    let args = std::iter::once("quintfall").chain(args.iter().copied()).map(OsString::from);
    match quintfall::cli::run(args) {
        Ok(_) => Ok(()),
        Err(error) => Err(vec![format!("{error:?}")]),
    }
}

/// A row of a list that can stand: name, keys, tempo.
fn row() -> impl Strategy<Value = (String, Vec<&'static str>, u16)> {
    let name = "[\\p{Latin}&&\\p{L}&&[a-zA-ZÀ-ÿ]]{1,8}([ '\",;./-][a-zA-ZÀ-ÿ]{1,8}){0,3}";
    let keys = proptest::sample::subsequence(vec!["C", "F", "Bb", "G"], 1..=2);
    (name, keys, 40_u16..120)
}

proptest! {
    #![proptest_config(cases(6))]

    /// Whatever a spreadsheet makes of a table: the recipes say what its cells said.
    #[test]
    fn the_recipes_of_a_class_say_what_the_cells_say(
        rows in proptest::collection::vec(row(), 1..4), dialect in 0_usize..11,
    ) {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(["keys", "tempo", "name", "drill"]).unwrap();
        for (index, (name, keys, tempo)) in rows.iter().enumerate() {
            // Told apart by a figure, since two sheets of one name are a mistake.
            let name = format!("{name} {index}");
            let keys = keys.join(",");
            writer.write_record([keys.as_str(), &tempo.to_string(), &name, "solid"]).unwrap();
        }
        let list = String::from_utf8(writer.into_inner().unwrap()).unwrap();
        let (_, bytes) = dialects(&list).swap_remove(dialect);
        let desk = Desk::new().with("a.csv", bytes);
        let out = desk.path("a");
        prop_assert_eq!(run(&["class", desk.path("a.csv").to_str().unwrap()]), Ok(()));
        let mut found: Vec<(Option<String>, Vec<String>, u16)> = Vec::new();
        for (name, bytes) in tree(&out).into_iter().filter(|(name, _)| name.contains('/')) {
            let json = quintfall::output::recipe_json(&bytes).unwrap();
            let made = Recipe::from_json(&json, &name).unwrap();
            let keys = made.keys.iter().map(|key| key.tonic().plain()).collect();
            found.push((made.student, keys, made.tempo));
        }
        let wanted = rows.iter().enumerate().map(|(index, (name, keys, tempo))| {
            let keys = keys.iter().map(|key| (*key).to_owned()).collect();
            (Some(format!("{name} {index}")), keys, *tempo)
        });
        let mut wanted: Vec<_> = wanted.collect();
        wanted.sort();
        found.sort();
        prop_assert_eq!(found, wanted);
    }
}

proptest! {
    #![proptest_config(cases(200))]

    /// Nothing that stands in a list makes the program fall over, and what it refuses leaves
    /// nothing behind.
    #[test]
    fn any_list_is_read_or_refused(
        text in "(name|keys|tempo|went-well|[a-z]{1,3}|[,;\t\"\n\r\\PC]){0,40}",
        bytes in proptest::collection::vec(any::<u8>(), 0..60),
        toml in "(\\[\\[student\\]\\]\n|name = |tempo = |\"\\PC{0,4}\"|[0-9]{1,4}|\n|[\\[\\]{}=,]){0,24}",
    ) {
        let head = format!("name,keys,tempo,went-well\n{text}");
        for (name, list) in [
            ("a.csv", text.as_bytes()), ("a.csv", head.as_bytes()), ("a.csv", &bytes[..]),
            ("a.toml", toml.as_bytes()),
        ] {
            let desk = Desk::new().with(name, list);
            let path = desk.path(name);
            let path = path.to_str().unwrap();
            for args in [&["class", path][..], &["class", "--next", path, "--faster", "8"]] {
                let before = tree(&desk.path(""));
                if run(args).is_err() {
                    prop_assert!(tree(&desk.path("")) == before);
                }
            }
        }
    }
}
