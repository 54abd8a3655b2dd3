//! Lists with mistakes: every one is told, with its row, its column and how to mend it.

use super::desk::Desk;
use super::tree::{refusals, tree};

#[track_caller]
fn told(list: &str, messages: &[&str]) {
    let desk = Desk::new().with("a.csv", list);
    let said = refusals(&desk, &["class", "a.csv"]);
    for message in messages {
        let whole = format!("a.csv{message}");
        assert!(said.contains(&whole), "{whole}\nis not among\n{}", said.join("\n"));
    }
    let more = usize::from(said.last().is_some_and(|last| last.starts_with("nothing was written")));
    assert_eq!(said.len(), messages.len() + more, "{}", said.join("\n"));
}

#[test]
fn every_mistake_of_a_row_is_told_with_its_column() {
    told(
        "name;keys;tempo;goal;drill;level;hands\n\
         Ada;C;900;;;;\n\
         ;C;80;;;;\n\
         Bo;H;fast;;;;\n\
         Cy;C;80;60;;;\n\
         Di;C;80;;pusht;;\n\
         Ed;G minor;;;;;\n\
         Fi;;;;;;\n\
         Gus;C;;;;begginer;lefft\n\
         ///;C;;;;;\n\
         Hal;C;80;;;;;;extra\n\
         Ivo;C,C;80;;;;\n",
        &[
            ", row 2, column tempo: tempo 900 is out of range; write 20 to 400 beats a minute",
            ", row 3, column name: the student has no name; write one, since a folder is named after it",
            ", row 4, column keys: unknown key `H`; write B for B natural and Bb for B flat",
            ", row 4, column tempo: tempo is `fast`; write a whole number from 20 to 400",
            ", row 5, column goal: goal 60 is slower than tempo 80; raise the goal to 80 or more, or \
             lower the tempo",
            ", row 6, column drill: unknown drill `pusht`; did you mean `pushed`?",
            ", row 7, column keys: the drill `pushed` is in major, not in G minor; write G for G \
             major, or take a minor drill, such as natural-minor",
            ", row 8, column keys: a handout needs a key; write Eb in the column keys",
            ", row 9, column level: unknown level `begginer`; did you mean `beginner`?",
            ", row 9, column hands: unknown hands `lefft`; did you mean `left`?",
            ", row 10, column name: the name `///` has no letter or figure; write one, since a folder \
             is named after it",
            ", row 11: it has more cells than there are columns: `extra`; put a text with separators \
             in quotation marks, or take the cell out",
            ", row 12, column keys: keys has C twice; keep one of them",
        ],
    );
}

#[test]
fn columns_that_are_missing_doubled_or_misspelled_are_told() {
    told(
        "nmae,keys\nAda,C\n",
        &[
            ", row 1: unknown column `nmae`; did you mean `name`? Or give it a name of its own",
            ", row 1: no column is named name; write the heads of the columns in the first row, such \
             as name,keys,tempo",
        ],
    );
    told("name,keys,Name\nAda,C,Bo\n", &[", row 1: two columns are named name; keep one of them"]);
    told(
        "name,student,key\nAda,Bo,C\n",
        &[", row 1: two columns are named name; keep one of them"],
    );
    told(
        "name,temop,key\nAda,80,C\n",
        &[", row 1: unknown column `temop`; did you mean `tempo`? Or give it a name of its own"],
    );
    // Spreadsheets do not count a line that says which separator there is.
    told(
        "sep=;\r\nname;keys\r\nAda;H\r\n",
        &[", row 2, column keys: unknown key `H`; write B for B natural and Bb for B flat"],
    );
    for empty in ["", "\n\n", "name,keys\n", "name,keys\n,,\n"] {
        told(
            empty,
            &[": no student is in it; write a row for each, below a first row that names \
                       the columns"],
        );
    }
    told(
        "name,keys\nAda,\"C\nBo,F\n",
        &[", row 2: a quotation mark has no other that closes it; close it, or take it out"],
    );
}

#[test]
fn two_rows_that_would_write_one_file_are_told() {
    let mend = "take one of the two out, or tell the students apart by their names";
    let sheet = "handout-pushed-C-Ada-80.pdf";
    let alike = "write both alike, or tell the students apart by their names";
    told(
        "name,keys\nAda,C\nBo,C\nAda,C\n ada ,C\nAda.,F\nAda,F\nA B,C\nA\u{a0}B,G\n\
         Jose,C\nJose\u{301},C\nJos\u{e9},C\n",
        &[
            &format!(", row 4: its sheet would be {sheet}, which is that of row 2; {mend}"),
            &format!(
                ", row 5, column name: the name `ada` would have the folder ada, which is that of \
                 `Ada` in row 2; {alike}"
            ),
            &format!(
                ", row 6, column name: the name `Ada.` would have the folder Ada, which is that of \
                 `Ada` in row 2; {alike}"
            ),
            &format!(
                ", row 9, column name: the name `A\u{a0}B` would have the folder A-B, which is that \
                 of `A B` in row 8 (a blank of it is U+00A0, and U+0020 there); {alike}"
            ),
            &format!(
                ", row 12: its sheet would be handout-pushed-C-Jos\u{e9}-80.pdf, which is that of \
                 row 11; {mend}"
            ),
        ],
    );
}

#[test]
fn names_are_the_same_however_their_letters_are_written() {
    let list = "name,keys,drill\nA\u{308}nne,C,solid\n\u{c4}nne,F,solid\nx\u{302}y,C,solid\n";
    let desk = Desk::new().with("a.csv", list);
    let said = desk.does(&["class", "a.csv"]);
    assert!(said.starts_with("wrote 3 sheets in a: 2 students, "), "{said}");
    let names: Vec<String> = tree(&desk.path("a")).into_keys().collect();
    assert_eq!(
        names[2..],
        [
            "x\u{302}y/handout-solid-C-x\u{302}y-80.pdf",
            "\u{c4}nne/handout-solid-C-\u{c4}nne-80.pdf",
            "\u{c4}nne/handout-solid-F-\u{c4}nne-80.pdf",
        ]
    );
}

#[test]
fn a_list_of_names_alone_is_told_what_it_lacks_once() {
    let mend = "the list has no column keys: add one, with C or \"Eb,Ab\" in each row, or name a \
                recipe below all rows that has them";
    told("name\nAda\nBo\n", &[&format!(": a handout needs a key; {mend}")]);
    let desk = Desk::new()
        .with("a.csv", "name\nAda\nBo\n")
        .with("keys.toml", "keys = [\"C\"]\ndrill = \"solid\"\n")
        .with("a.toml", "[[student]]\nname = 'Ada'\n");
    desk.does(&["class", "a.csv", "--recipe", "keys.toml"]);
    let said = refusals(&desk, &["class", "a.toml"]);
    assert_eq!(said[0], "a.toml, line 1: a handout needs a key; write keys = \"Eb\"");
}

#[test]
fn another_separator_than_that_of_the_head_is_told() {
    let told_of = |other, own| {
        format!(
            ", row 2: cells are told apart by {other} here and by {own} in the first row; write the \
             same sign in all rows"
        )
    };
    told("name;keys;tempo\nAda,C,60\nBo,F,72\n", &[&told_of("commas", "semicolons")]);
    told("name,keys\nAda\tC\n\nBo\tF\n", &[&told_of("tabs", "commas")]);
    // A comma in a name is none between cells.
    told(
        "name;keys\nLast, first;H\nBo;C\n",
        &[", row 2, column keys: unknown key `H`; write B for B natural and Bb for B flat"],
    );
}

#[test]
fn a_picture_that_cannot_be_used_is_told_with_its_column() {
    let desk = Desk::new()
        .with("no.png", "words")
        .with("a.csv", "name,keys,logo\nAda,C,no.png\nBo,C,none.png\n");
    let said = refusals(&desk, &["class", "a.csv"]);
    assert!(said[0].starts_with("a.csv, row 2, column logo: no.png: "), "{said:?}");
    assert!(said[1].starts_with("a.csv, row 3, column logo: cannot read none.png: "), "{said:?}");
}

#[test]
fn what_changes_nothing_in_a_handout_is_told_with_its_column() {
    let mend = "leave it out, or make";
    told(
        "name,keys,boxes,term,log-every\nAda,C,12,,2\nBo,C,,12,\n",
        &[
            &format!(", row 2, column boxes: boxes changes nothing in a handout; {mend} a review"),
            &format!(", row 3, column term: term changes nothing in a handout; {mend} a workbook"),
        ],
    );
}

#[test]
fn sheets_are_named_by_their_day_in_order() {
    let desk = Desk::new().with(
        "a.csv",
        "name,keys,drill,date\nAda,C,solid,30.11.2026\nBo,C,solid,\"Monday, 7 Dec 2026\"\n\
         Cy,C,solid,1/2/2026\n",
    );
    let said = desk.does(&["class", "a.csv"]);
    let told = "the date 1/2/2026 can be read in two ways, so names begin with 1-2-2026 and do not \
                stand in the order of days; write it as in 2026-11-30\n";
    assert!(said.ends_with(told), "{said}");
    let names: Vec<String> = tree(&desk.path("a")).into_keys().collect();
    assert_eq!(
        names,
        [
            "Ada/2026-11-30-handout-solid-C-Ada-80.pdf",
            "Bo/2026-12-07-handout-solid-C-Bo-80.pdf",
            "Cy/1-2-2026-handout-solid-C-Cy-80.pdf",
            "a-overview.pdf",
            "a-to-print.pdf",
        ]
    );
    assert_eq!(desk.recipe_in(&format!("a/{}", names[0])).date.as_deref(), Some("30.11.2026"));
    desk.does(&["class", "a.csv", "--date", "30.11.2026", "-o", "b"]);
    assert!(tree(&desk.path("b")).contains_key("2026-11-30-a-to-print.pdf"));
}

#[test]
fn what_stands_in_another_file_is_told_with_the_row() {
    let broken = super::desk::pushed().replace("metre = \"4/4\"", "metre = \"4/\"");
    let desk = Desk::new()
        .with("mine.toml", broken)
        .with("a.csv", "name,keys,drill\nAda,C,mine.toml\nBo,C,none.toml\n");
    let said = refusals(&desk, &["class", "a.csv"]);
    assert!(said[0].starts_with("a.csv, row 2: mine.toml, line "), "{said:?}");
    assert!(said[1].starts_with("a.csv, row 3, column drill: cannot read none.toml: "), "{said:?}");
}

#[test]
fn what_only_the_pages_can_tell_is_told_before_anything_is_written() {
    let long = "W".repeat(120);
    let desk = Desk::new().with("a.csv", format!("name,keys\nAda,C\n{long},C\n"));
    let said = refusals(&desk, &["class", "a.csv"]);
    assert!(said[0].starts_with("a.csv, row 3, column name: "), "{said:?}");
    let desk = Desk::new().with("a.csv", format!("name,keys\nAda,C\n{},C\n", "x ".repeat(200)));
    let said = refusals(&desk, &["class", "a.csv"]);
    assert!(said[0].starts_with("a.csv, row 3, column name: student is 399 "), "{said:?}");
}

/// What is wrong with cells and what only the pages can tell are told together, so that a list is
/// mended once.
#[test]
fn every_mistake_of_a_list_is_told_at_once() {
    let long = "W".repeat(120);
    let list = format!(
        "name,keys,tempo,watch,date\nAda,C,fast,,\nBo,C,,99,\n{long},C,,,\nCy,C,,,31.02.2026\n\
         Di,C,,,45991\nEd,C,,,30.11.26\n"
    );
    let desk = Desk::new().with("a.csv", list);
    let mut said = refusals(&desk, &["class", "a.csv"]);
    assert!(said.pop().unwrap().starts_with("nothing was written"));
    said.sort();
    for (line, start) in said.iter().zip([
        "row 2, column tempo: tempo is `fast`",
        "row 3, column watch: there is no bar 99 to watch",
        "row 4, column name: ",
        "row 5, column date: there is no day 31.02.2026",
        "row 6, column date: the date is the number 45991",
    ]) {
        assert!(line.starts_with(&format!("a.csv, {start}")), "{line}");
    }
    assert_eq!(said.len(), 5, "{said:?}");
}

/// Spreadsheets begin cells with capital letters.
#[test]
fn drills_are_named_in_any_letters() {
    let desk = Desk::new().with("a.csv", "name,drill,keys\nAda,Pushed,C\nBo,\"Solid, PUSHED\",C\n");
    desk.does(&["class", "a.csv"]);
    assert!(tree(&desk.path("a")).contains_key("Ada/handout-pushed-C-Ada-80.pdf"));
    desk.does(&["handout", "--drill", "Solid", "--key", "C"]);
    assert!(desk.path("handout-solid-C-80.pdf").is_file());
}

#[test]
fn names_that_try_to_leave_the_folder_cannot() {
    let names =
        ["../../x", "/etc/passwd", "..", "a/../..", "C:\\x", "con", "x\u{7f}y", "~", "a\0b"];
    for name in names {
        let list = format!("name,keys,drill\n\"{name}\",C,solid\n");
        let desk = Desk::new();
        std::fs::create_dir(desk.path("of")).unwrap();
        let desk = desk.with("of/a.csv", list);
        desk.run(&["class", "of/a.csv", "-o", "of/out"]);
        let outside = tree(&desk.path("")).into_keys().filter(|path| !path.starts_with("of/out/"));
        assert_eq!(outside.collect::<Vec<_>>(), ["of/a.csv"], "{name:?}");
    }
}

#[test]
fn the_rest_is_printed_where_that_is_asked_for() {
    let desk = Desk::new()
        .with("a.csv", "name,keys,drill\nAda,C,solid\nBo,H,solid\nCy,F,solid\nDi,C,solid,x\n");
    let output = desk.run(&["class", "a.csv", "--print-the-rest"]);
    let said = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(0), "{said}");
    let left_out: Vec<&str> = said.lines().collect();
    assert_eq!(left_out.len(), 2, "{said}");
    let told = String::from_utf8(output.stdout).unwrap();
    assert!(told.ends_with("left out 2 rows with mistakes; mend them, and make the class again\n"));
    assert!(left_out[0].starts_with("left out: a.csv, row 3, column keys: unknown key `H`; "));
    assert!(left_out[1].starts_with("left out: a.csv, row 5: it has more cells"));
    let names: Vec<String> = tree(&desk.path("a")).into_keys().collect();
    assert_eq!(
        names,
        [
            "Ada/handout-solid-C-Ada-80.pdf",
            "Cy/handout-solid-F-Cy-80.pdf",
            "a-overview.pdf",
            "a-to-print.pdf",
        ]
    );
    let desk = Desk::new().with("a.csv", "name,keys\nBo,H\n");
    assert_eq!(refusals(&desk, &["class", "a.csv", "--print-the-rest"]).len(), 1);
}

#[test]
fn many_mistakes_are_cut_short() {
    let rows: String = (0..400).map(|n| format!("{n},H\n")).collect();
    let desk = Desk::new().with("a.csv", format!("name,keys\n{rows}"));
    let said = refusals(&desk, &["class", "a.csv"]);
    assert_eq!(said.len(), 102);
    assert_eq!(said[100], "a.csv: there are more mistakes than these; mend these first");
}

#[test]
fn places_that_cannot_be_written_to_are_told_before_the_work() {
    let list = "name,keys,drill\nAda,C,solid\n";
    let desk = Desk::new().with("a.csv", list).with("out", "a file");
    let said = refusals(&desk, &["class", "a.csv", "-o", "out"]);
    assert_eq!(said, ["cannot write out: out is a file and no folder; name a folder"]);
    let desk = Desk::new().with("a.csv", list);
    std::fs::create_dir(desk.path("a")).unwrap();
    let desk = desk.with("a/Ada", "a file");
    let said = refusals(&desk, &["class", "a.csv"]);
    assert_eq!(said, ["cannot write a/Ada: a/Ada is a file and no folder; name a folder"]);
}
