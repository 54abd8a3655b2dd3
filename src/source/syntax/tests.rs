use toml::de::DeTable;

use crate::source::syntax::*;
use crate::source::usual::{Sort, Usual};

/// The fields of the texts below.
fn usual_of(name: &str) -> Option<Usual> {
    match name {
        "beats" | "tempo" | "seed" => Some(Usual::of(Sort::Whole, "2")),
        "degrees" | "keys" => Some(Usual::of(Sort::List, "[2, 5, 1]")),
        "staff" => Some(Usual::of(Sort::Number, "7.5")),
        "fermata" => Some(Usual::of(Sort::Flag, "true")),
        "passage" => Some(Usual::of(Sort::Headings, "")),
        "title" => Some(Usual::of(Sort::Text, "\"Name\"")),
        _ => None,
    }
}

/// What is said of the first mistake.
#[track_caller]
fn told(text: &str) -> String {
    let (_, errors) = DeTable::parse_recoverable(text);
    let error = errors.first().expect("TOML that cannot be read");
    explain("a.toml", text, error.span(), &mut Nesting::of(text), usual_of).0.to_string()
}

#[track_caller]
fn tells(text: &str, expected: &str) {
    assert_eq!(told(text), format!("a.toml, {expected}"));
}

#[test]
fn quotation_marks() {
    let curly = "the quotation marks are curly or slanted ones; write straight ones: \"";
    tells("\nvoicing = “close”\n", &format!("line 2: {curly}"));
    tells("figure = \"1 3 5 7” \nnote = \"eighth\"\n", &format!("line 1: {curly}"));
    tells("a = ‘close’\n", &format!("line 1: {curly}"));
    tells("degrees = [2, “low5”, 1]\n", &format!("line 1: {curly}"));
    let missing = "line 1: a quotation mark is missing; write one before the words and one \
                   after them, on the same line";
    tells("figure = \"1 3 5 7\nnote = \"eighth\"\n", missing);
    tells("figure = 1 3 5 7\"\nnote = \"eighth\"\n", missing);
    tells(
        "title = \"The \"blue\" drill\"\n",
        "line 1: after the closing quotation mark follows `blue`; for quotation marks within a \
         text write single ones: '",
    );
    tells(
        "name = \"x\"; title = \"y\"\n",
        "line 1: after the closing quotation mark follows `; title =`; put it within the quotation \
         marks or on a line of its own; a remark begins with #",
    );
    tells(
        "title = \"Drill\" bold\n",
        "line 1: after the closing quotation mark follows `bold`; put it within the \
         quotation marks or on a line of its own; a remark begins with #",
    );
    tells(
        "title = \"Base \\drill\"\n",
        "line 1: the text has a backslash `\\`, which stands for something else here; leave it \
         out, or write it twice: \\\\",
    );
}

#[test]
fn values_without_quotation_marks() {
    tells(
        "voicing = close\n",
        "line 1: the value of `voicing` has no quotation marks; write voicing = \"close\"",
    );
    tells(
        "metre = 4/4 # common\n",
        "line 1: the value of `metre` has no quotation marks; write metre = \"4/4\"",
    );
    tells(
        "figure = 1 3 5 7\n",
        "line 1: the value of `figure` has no quotation marks; write figure = \"1 3 5 7\"",
    );
    tells(
        "degrees = [2, low5, 1]\n",
        "line 1: `low5` in the list has no quotation marks; write \"low5\"",
    );
    tells(
        "degrees = [\n  2,\n  5/2,\n]\n",
        "line 3: `5/2` in the list has no quotation marks; write \"5/2\"",
    );
    tells(
        "fermata = yes\n",
        "line 1: `yes` is not how yes and no are written; write fermata = true (or \
         false)",
    );
    tells(
        "fermata = False\n",
        "line 1: `False` is not how yes and no are written; write fermata = false (or \
         true)",
    );
    tells(
        "beats = 1,5\n",
        "line 1: the number `1,5` has a comma; write a whole number, as in beats = 2",
    );
    tells(
        "beats = 4 beats\n",
        "line 1: `4 beats` is no whole number; write it in figures alone, as in beats = 4",
    );
    tells(
        "degrees = 2, 5, low5\n",
        "line 1: the list after `degrees` has no square brackets; write degrees = [2, 5, \
         \"low5\"]",
    );
    tells("degrees = [ii, V]\n", "line 1: `ii` in the list has no quotation marks; write \"ii\"");
    tells("staff = 7,5\n", "line 1: the number `7,5` has a comma; write staff = 7.5");
    tells(
        "beats = 4;\n",
        "line 1: the line ends with `;`; leave it out; a field ends with its line",
    );
    tells(
        "beats =\n",
        "line 1: after `beats =` there is nothing; write a value, or leave the line out",
    );
}

#[test]
fn values_are_told_as_their_field_takes_them() {
    let whole = "is no whole number; write it in figures alone, as in";
    tells("tempo = 80 bpm\n", &format!("line 1: `80 bpm` {whole} tempo = 80"));
    tells("tempo = fast\n", &format!("line 1: `fast` {whole} tempo = 2"));
    let number = "is no number; write it in figures alone, as in";
    tells("staff = 8 mm\n", &format!("line 1: `8 mm` {number} staff = 8"));
    tells(
        "fermata = maybe\n",
        "line 1: `maybe` is neither yes nor no; write fermata = true (or false)",
    );
    for (text, field) in [
        ("tempo: 80 bpm\n", "tempo = 80"),
        ("tempo 80 bpm\n", "tempo = 80"),
        ("keys: C\n", "keys = [\"C\"]"),
        ("keys: C, F\n", "keys = [\"C\", \"F\"]"),
        ("title: 5\n", "title = \"5\""),
        ("title = yes\n", "title = \"yes\""),
        ("title = (My drill)\n", "title = \"(My drill)\""),
        ("fermata: yes\n", "fermata = true"),
    ] {
        let told = told(text);
        assert!(told.ends_with(&format!("write {field}")), "{text}: {told}");
    }
    tells(
        "keys = [\"C\"]\n[keys]\n",
        "line 2: field `keys` is written twice, first on line 1; keep one of them",
    );
    tells(
        "[[title]\n",
        "line 1: `title` is a field and no heading; write title = \"Name\" in its place",
    );
}

#[test]
fn names_and_headings() {
    tells(
        "name: base\n",
        "line 1: `name:` has a colon in place of an equals sign; write name = \"base\"",
    );
    tells("beats 4\n", "line 1: `beats` has no equals sign after it; write beats = 4");
    tells(
        "This is my drill.\n",
        "line 1: `This is my drill.` is no field and no heading; write it as name = \"value\"; \
         a remark begins with #",
    );
    tells(
        "| Dm7 | G7 |\n",
        "line 1: `| Dm7 | G7 |` is no field and no heading; bars stand between the quotes, above \
         the \"\"\" that ends them",
    );
    tells(
        "naïve = 3\n",
        "line 1: `naïve` cannot be the name of a field; write the letters a to z and hyphens alone",
    );
    tells(
        "// remark\n",
        "line 1: `// remark` is no field and no heading; write it as name = \"value\"; a \
         remark begins with #",
    );
    tells(
        "= 4\n",
        "line 1: nothing stands before the equals sign; write the name of the field there",
    );
    tells("name == \"x\"\n", "line 1: after `name` there are two equals signs; keep one of them");
    tells(
        "“name” = \"x\"\n",
        "line 1: the name of a field has no quotation marks; leave them out before the equals \
         sign",
    );
    tells(
        "name = \"x\" \"y\"\n",
        "line 1: there are two texts on one line; keep one of them, or write a list, as in \
         [\"one\", \"other\"]",
    );
    tells(
        "voice leading = true\n",
        "line 1: the name `voice leading` has a space; write voice-leading = ...",
    );
    tells(
        "beats = 4\nnote = \"half\"\nbeats = 2\n",
        "line 3: field `beats` is written twice, first on line 1; keep one of them",
    );
    tells(
        "[passage]\na = 1\n[passage]\nb = 1\n",
        "line 3: the heading `passage` stands twice; write each heading with double brackets, \
         as in [[passage]]",
    );
    tells(
        "[[passage]\na = 1\n",
        "line 1: the heading does not have two brackets on each side and nothing else; write \
         [[passage]] on a line of its own",
    );
    tells(
        "{\\rtf1\\ansi name = \"base\"\n",
        "line 1: the file is that of a word processor, with its codes among the words; save it \
         as plain text",
    );
}

#[test]
fn lists() {
    tells(
        "degrees = [2; 5]\n",
        "line 1: the items of a list stand apart by commas, without `;`; write it as in \
         [2, 5, 1]",
    );
    tells(
        "degrees = [2 \"low5\" 1]\n",
        "line 1: a comma is missing between the items of the list; write one after each item, \
         as in [2, 5, 1]",
    );
    tells(
        "degrees = [2, 5, 1\nbeats = 4\n",
        "line 1: the list is not closed; write ] after its last item",
    );
    tells("degrees = [2, 5, 1\n", "line 1: the list is not closed; write ] after its last item");
    tells("degrees = [2, , 1]\n", "line 1: the list has a comma too many; leave one of them out");
}

#[test]
fn what_no_line_explains_is_told_with_its_line() {
    assert!(told("a = 2020-13-45\n").starts_with("a.toml, line 1: "));
    assert!(told("\u{1f3b9}").starts_with("a.toml, line 1: "));
}

#[test]
fn numbers_that_begin_with_a_zero() {
    let tells = |text, mend: &str| {
        let value = text_after_equals(text);
        let expected = format!("line 1: the number `{value}` begins with a zero; write {mend}");
        super::tests::tells(text, &expected);
    };
    tells("tempo = 080\n", "tempo = 80");
    tells("seed = -007\n", "seed = -7");
    tells("staff = 08.0\n", "staff = 8.0");
}

fn text_after_equals(line: &str) -> &str {
    line.split('=').nth(1).unwrap_or_default().trim()
}

#[test]
fn spaces_that_are_none() {
    let mend = "take it out, and type a plain space where there should be one";
    let no_break = "a no-break space (U+00A0) stands outside the quotation marks";
    tells("a = 1\ntempo =\u{a0}80\n", &format!("line 2: {no_break}; {mend}"));
    tells("\u{a0}tempo = 80\n", &format!("line 1: {no_break}; {mend}"));
    tells("tempo\u{a0}= 80\n", &format!("line 1: {no_break}; {mend}"));
    let unseen = "a sign that cannot be seen (U+200B) stands outside the quotation marks";
    tells("tempo = 80\u{200b}\n", &format!("line 1: {unseen}; {mend}"));
}

#[test]
fn lists_without_end() {
    let unclosed = "the list is not closed; write ] after its last item";
    for text in [
        "keys = [\"C\", \"F\"\n",
        "keys = [\"C\", \"F\"",
        "keys = [\"C\", \"F\"\ntempo = 80\n",
        "keys = [\"C\", \"F\"\n\n\ntempo = 80\n",
        "keys = [\"C\", \"F\"\n\n\n",
    ] {
        tells(text, &format!("line 1: {unclosed}"));
    }
}

#[test]
fn fields_in_braces() {
    let unclosed = "the braces { above are not closed; write } after the last field inside them";
    tells("a = { b = 1,\nc = 2\nd = 3\n", &format!("line 3: {unclosed}"));
    tells(
        "a = { b = 1 c = 2 }\n",
        "line 1: a comma is missing before `c`; write one after each \
        field inside the braces",
    );
    tells(
        "a = [b = 1]\n",
        "line 1: the field `b` stands in a list without braces; write { before \
        b and } after its value",
    );
    tells("a = [{ b = x }]\n", "line 1: `x` in the braces has no quotation marks; write \"x\"");
    let twice = "field `b` is written twice; keep one of them";
    tells("a = [{ b = 1, b = 2 }]\n", &format!("line 1: {twice}"));
    tells(
        "a = [1]]\n",
        "line 1: there is a bracket ] too many; leave it out, or write [ before the \
        first item",
    );
}

#[test]
fn texts_of_several_lines() {
    let unclosed = "a text of several lines is not closed; write its three quotation marks again \
        after its last line";
    assert!(told("a = '''\nb = [\nc\n").ends_with(unclosed), "{}", told("a = '''\nb = [\nc\n"));
    // What looks like a field or a list inside of one is none.
    let slash = "the text has a backslash `\\`, which stands for something else here; leave it out, \
        or write it twice: \\\\";
    tells("a = \"\"\"\nb = [1 \\q\n\"\"\"\n", &format!("line 2: {slash}"));
}

#[test]
fn signs_that_end_no_line_or_cannot_be_seen() {
    tells(
        "a = \"x\u{7}y\"\n",
        "line 1: a sign that cannot be seen (U+0007) stands here; take it out",
    );
    let end = "the line ends with a sign that ends no line (U+000D); save the file as plain text, \
        with usual line ends";
    tells("a = 1\rb = 2\n", &format!("line 1: {end}"));
}

#[test]
fn words_of_the_parser_are_never_told() {
    let words = ["expected", "unquoted", "invalid", "inline", "literal", "assignment"];
    let text = "# remark\ntitle = \"My 'own'\"\nkeys = [\"C\", \"F\"]\nseed = 80\ncourse = [\n  { drill \
        = \"a\", template = '''\n[[passage]]\nx = [2, 5]\n''' },\n]\n[[passage]]\n";
    for place in 0..text.len() {
        for sign in ["", "\"", "'", "[", "]", "{", "}", ",", "=", "\\", "#", "x", ".", "\n"] {
            let broken = format!("{}{sign}{}", &text[..place], &text[place + 1..]);
            if DeTable::parse_recoverable(&broken).1.is_empty() {
                continue;
            }
            let told = told(&broken);
            assert!(words.iter().all(|word| !told.contains(word)), "{broken}: {told}");
            assert!(told.contains("; "), "{broken}: {told}");
        }
    }
}
