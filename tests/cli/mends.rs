//! What a message tells to write is tried as it is told, and taken.

use quintfall::recipe::Settings;
use quintfall::recipe::fields::{FIELDS, FieldKind, FieldRow};
use quintfall::source::RecipeField as Field;

use super::desk::{Desk, png, pushed};

/// Where what is told to be written ends.
const ENDS: [&str; 10] = [
    " in its place",
    " (or ",
    ", or ",
    " or ",
    " and ",
    " for ",
    " instead",
    " alone",
    " also",
    ", which",
];

/// The field and the value that a message tells to write in a file.
fn assignment(message: &str) -> Option<String> {
    let (_, mend) = message.rsplit_once("; ")?;
    let name = |field: &Field| mend.find(&format!("{field} = ")).map(|at| &mend[at..]);
    // The longest, since one name may be the end of another.
    let told = Field::ALL.iter().filter_map(name).max_by_key(|told| told.len())?;
    let end = ENDS.iter().filter_map(|end| told.find(end)).min();
    Some(told[..end.unwrap_or(told.len())].to_owned())
}

/// Words that were probably meant for a field, as somebody may write them who knows no TOML.
fn meant(row: &FieldRow) -> Vec<&'static str> {
    match row.kind {
        FieldKind::Version => vec!["1"],
        FieldKind::Line(_) | FieldKind::Lines(..) | FieldKind::Block(_) => {
            vec!["Ada", "Ada B.", "yes", "5", "1,5", "(a b)"]
        }
        FieldKind::Word(words) | FieldKind::Words(words) => vec![words()[0]],
        FieldKind::Beats => vec!["100", "100 bpm", "0100", "fast"],
        FieldKind::Seed => vec!["7", "seven", "7th"],
        FieldKind::Number(..) => vec!["2", "two", "2 keys"],
        FieldKind::Numbers(..) => vec!["5", "5, 6", "five"],
        FieldKind::Staff => vec!["8", "8 mm", "9,5", "large", "7,5mm"],
        FieldKind::Flag => vec!["yes", "On", "perhaps"],
        FieldKind::Keys => vec!["C", "C, F", "C F#", "(Bb, Eb)"],
        FieldKind::Drills => vec!["solid", "solid, pushed"],
    }
}

/// A line with some words for a field, in every way that was seen so far.
fn slips(field: Field, words: &str) -> Vec<String> {
    vec![
        format!("{field}: {words}"),
        format!("{field} {words}"),
        format!("{field} = {words}"),
        format!("[{field}]"),
        format!("[[{field}]]"),
        format!("[[{field}]"),
        format!("{field} = [\"{words}\"]"),
        format!("{field} = {{ a = 1 }}"),
    ]
}

/// Over all fields: a line that a message tells to write is taken in the place of the one that it
/// is about.
#[test]
fn a_line_that_is_told_is_taken() {
    let mut told = 0;
    for row in &FIELDS {
        for words in meant(row) {
            let shouted = format!("{} = {}", row.field, words.to_uppercase());
            let shouted = (!row.words().is_empty()).then_some(shouted);
            for slip in slips(row.field, words).into_iter().chain(shouted) {
                let Err(complaint) = Settings::read(&format!("{slip}\n"), "r.toml") else {
                    continue;
                };
                let message = complaint.to_string();
                assert!(message.starts_with("r.toml, line 1: "), "{slip}: {message}");
                let Some(line) = assignment(&message) else { continue };
                let mended = Settings::read(&format!("{line}\n"), "r.toml");
                assert!(mended.is_ok(), "{slip}: {message}, and then {}", mended.unwrap_err());
                told += 1;
            }
        }
    }
    assert!(told > 200, "{told}");
}

#[test]
fn a_recipe_mended_as_told_makes_its_sheet() {
    for (recipe, told) in [
        ("paper = A4", "paper = \"A4\""),
        ("tempo = 80 bpm", "tempo = 80"),
        ("keys: C", "keys = [\"C\"]"),
        ("drill = [\"solid\", \"pushed\"]", "course = [\"solid\", \"pushed\"]"),
        ("[student]", "student = \"Name\""),
        ("[[keys]]", "keys = [\"C\", \"F\", \"Bb\"]"),
        ("drill = \"all\"", "course = [\"all\"]"),
        ("seed = 3", "order = \"shuffled\""),
        ("answers = true", "leave-out = [\"left\"]"),
    ] {
        let desk = Desk::new().with("r.toml", format!("{recipe}\n"));
        let message = desk.refusal(&["workbook", "r.toml", "-o", "x.pdf"]);
        assert_eq!(assignment(&message).as_deref(), Some(told), "{message}");
        // What is told beside a line stands beside it.
        let kept =
            if recipe.starts_with("seed") || recipe.starts_with("answers") { recipe } else { "" };
        // Of a course one key is enough.
        let keys = if told.starts_with("course") { "keys = [\"C\"]\n" } else { "" };
        let desk = desk.with("r.toml", format!("{kept}\n{keys}{told}\n"));
        assert!(desk.does(&["workbook", "r.toml", "-o", "x.pdf"]).starts_with("wrote x.pdf"));
    }
    let desk = Desk::new().with("r.toml", "keys = [\"C\"] tempo = 80\n");
    let message = desk.refusal(&["workbook", "r.toml"]);
    assert!(message.contains("write each field on a line of its own"), "{message}");
    let desk = Desk::new().with("r.toml", "keys = [\"C\"]\n[keys]\n");
    desk.refuses(
        &["workbook", "r.toml"],
        "r.toml, line 2: field `keys` is written twice, first on line 1; keep one of them",
    );
}

/// The words of a command, of which those in double marks are one.
fn words(typed: &str) -> Vec<String> {
    let part = |(index, part): (usize, &str)| match index % 2 {
        1 => vec![part.to_owned()],
        _ => part.split_whitespace().map(str::to_owned).collect(),
    };
    typed.split('"').enumerate().flat_map(part).collect()
}

fn borrowed(words: &[String]) -> Vec<&str> {
    words.iter().map(String::as_str).collect()
}

/// A wrong command, what it is told to write, and the command that does so.
#[test]
fn a_command_typed_as_told_is_done() {
    let mine = pushed().replace("name = \"pushed\"", "name = \"mine\"");
    let handout = "handout --key C";
    for (wrong, told, right) in [
        ("handout", "--keys Eb", "handout --keys Eb".to_owned()),
        ("handout ada.toml", "--keys Eb", "handout ada.toml --keys Eb".to_owned()),
        ("handout Db", "--key Db", "handout --key Db".to_owned()),
        ("workbook Db", "--key Db", "workbook --key Db".to_owned()),
        ("handout --key D#m", "write Eb for", "handout --key Eb".to_owned()),
        ("handout --key E#", "write F instead", "handout --key F".to_owned()),
        ("handout --key D#", "write Eb, which", "handout --key Eb".to_owned()),
        ("handout --key eis", "write F", "handout --key F".to_owned()),
        (
            "handout --key \"Cb major\" --drill natural-minor",
            "write B for B minor",
            "handout --key B --drill natural-minor".to_owned(),
        ),
        (
            "workbook --key D#m --drill solid,natural-minor",
            "write Eb alone",
            "workbook --key Eb --drill solid,natural-minor".to_owned(),
        ),
        ("handout --key C F", "--keys C,F", "handout --keys C,F".to_owned()),
        (
            "handout --key C --student Ada Birnbaum",
            "--student \"Ada Birnbaum\"",
            format!("{handout} --student \"Ada Birnbaum\""),
        ),
        (
            "workbook --key C --drill solid pushed",
            "--drill solid,pushed",
            "workbook --key C --drill solid,pushed".to_owned(),
        ),
        ("retempo a.pdf 90", "--tempo 90", "retempo a.pdf --tempo 90".to_owned()),
        ("handout \u{2013}key C", "write --key", handout.to_owned()),
        (
            "workbook --key C \u{2013}booklet",
            "write --booklet",
            "workbook --key C --booklet".to_owned(),
        ),
        ("workbook --key C --drill all", "--course", "workbook --key C --course".to_owned()),
        (
            "workbook --key C --seed 3",
            "--order shuffled",
            "workbook --key C --seed 3 --order shuffled".to_owned(),
        ),
        (
            "workbook --key C --booklet --binding duplex",
            "write --orientation portrait and --binding none",
            "workbook --key C --booklet --orientation portrait --binding none".to_owned(),
        ),
        (
            "handout --key C --answers",
            "write --leave-out left or",
            "handout --key C --answers --leave-out left".to_owned(),
        ),
        (
            "handout --key C --watch 5,60",
            "write bars from 1 to 9",
            format!("{handout} --watch 5,9"),
        ),
        ("handout --key C mine.toml", "--drill mine.toml", format!("{handout} --drill mine.toml")),
        ("drills check ada.toml", "`quintfall workbook ada.toml`", "workbook ada.toml".to_owned()),
        (
            "drills mine.toml",
            "`quintfall drills check mine.toml`",
            "drills check mine.toml".to_owned(),
        ),
        ("drills check logo.png", "--logo logo.png", format!("{handout} --logo logo.png")),
        ("handout --key C -o page.png", "--png FOLDER", format!("{handout} --dpi 40 --png .")),
        ("handout --key C -o text.pdf", "--force", format!("{handout} -o text.pdf --force")),
        ("handout --key C --staff 7.2", "write 6.5, 7.0", format!("{handout} --staff 6.5")),
    ] {
        let desk = Desk::new()
            .with("ada.toml", "student = \"Ada\"\n")
            .with("mine.toml", &mine)
            .with("logo.png", png(4, 4))
            .with("text.pdf", "mine");
        desk.does(&["handout", "--key", "C", "-o", "a.pdf"]);
        let message = desk.refusal(&borrowed(&words(wrong)));
        let (_, mend) = message.split_once("; ").expect("a mend");
        assert!(mend.contains(told), "{wrong}: {message}");
        desk.does(&borrowed(&words(&right)));
    }
}

/// Where `--help` is said to show an example, it does.
#[test]
fn help_shows_what_is_missing() {
    let desk = Desk::new();
    for (typed, missing) in [
        (&["handout", "--key", "C", "--dpi", "100"][..], "--png"),
        (&["retempo", "x.pdf"], "--tempo"),
        (&["recipe"], ".pdf"),
        (&["drills", "check"], ".toml"),
    ] {
        let message = desk.refusal(typed);
        assert!(message.ends_with("is missing; `--help` shows an example"), "{message}");
        let command: Vec<&str> =
            typed.iter().copied().take_while(|word| !word.contains(['-', '.'])).collect();
        let help = desk.does(&[&command[..], &["--help"]].concat());
        let (_, examples) = help.split_once("Example").expect("an example");
        assert!(examples.contains(missing), "{command:?}: {examples}");
    }
}

#[test]
fn a_number_that_is_told_is_taken() {
    let desk = Desk::new();
    for (option, most) in [("--bars", "16"), ("--keys-a-page", "12")] {
        let sheet = ["workbook", "-o", "x.pdf", option];
        let message = desk.refusal(&[&sheet[..], &[most]].concat());
        let told = message.rsplit_once(&format!("write {option} ")).expect("a number").1;
        desk.does(&[&sheet[..], &[told]].concat());
    }
}
