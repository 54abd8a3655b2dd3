//! Next week's list: tempi that rise, and all else to the byte.

use super::desk::Desk;
use super::laws::MONDAY;
use super::tree::{refusals, tree};

/// What is said where somebody had said how it went.
const EMPTIED: &str = "went-well is empty, to be filled in for the new week\n";

/// What is said where the list has days and no new one is given.
const DATES: &str = "dates stay as they were, since no new day was given\n";

#[test]
fn tempi_rise_where_it_went_well_and_nothing_else_changes() {
    let desk = Desk::new().with("monday.csv", MONDAY);
    let said = desk.does(&["class", "--next", "monday.csv", "--faster", "8", "-o", "then.csv"]);
    assert_eq!(
        said,
        format!("wrote then.csv: 25 rows, 15 faster by 8, 10 as before\n{EMPTIED}{DATES}")
    );
    let then = String::from_utf8(desk.read("then.csv")).unwrap();
    let mut faster = 0;
    for (old, new) in MONDAY.lines().zip(then.lines()) {
        let wanted = match old.strip_suffix(",yes") {
            None => old.strip_suffix("no").unwrap_or(old).to_owned(),
            Some(old) => {
                let tempo = |cell: &str| cell.parse::<u16>().ok();
                let tempo = old.split(',').find_map(tempo).unwrap();
                faster += 1;
                format!("{},", old.replacen(&format!(",{tempo},"), &format!(",{},", tempo + 8), 1))
            }
        };
        assert_eq!(new, wanted);
    }
    assert_eq!((faster, then.lines().count()), (15, MONDAY.lines().count()));
    // Nobody has said yet how the new week went.
    let said = desk.does(&["class", "--next", "then.csv", "--faster", "8"]);
    assert_eq!(said, format!("wrote then-next.csv: 25 rows, 0 faster by 8, 25 as before\n{DATES}"));
    assert!(desk.read("then-next.csv") == desk.read("then.csv"));
}

#[test]
fn a_date_or_a_tempo_that_is_not_there_is_added() {
    let dated = |list: &str, text: &str| {
        let desk = Desk::new().with(list, text);
        let said = desk.does(&["class", "--next", list, "--faster", "8", "--date", "2026-12-07"]);
        let new = String::from_utf8(desk.read(&list.replace('.', "-next."))).unwrap();
        desk.does(&["class", &list.replace('.', "-next.")]);
        (said, new)
    };
    let (said, new) = dated("a.csv", "name,keys,went-well,own\r\nAda,C,yes\r\n,\r\nBo,F\r\n");
    assert_eq!(
        new,
        "name,keys,went-well,own,tempo,date\r\nAda,C,,,88,2026-12-07\r\n,\r\n\
         Bo,F,,,,2026-12-07\r\n"
    );
    assert_eq!(
        said,
        format!(
            "wrote a-next.csv: 2 rows, 1 faster by 8, 1 as before\n\
             added to the list: tempo, date\n{EMPTIED}"
        )
    );
    let (_, new) = dated("b.csv", "\"went-well\";\"name\";\"key\"\n\"x\";\"Ada\";\"C\"");
    assert_eq!(
        new,
        "\"went-well\";\"name\";\"key\";\"tempo\";\"date\"\n\
         \"\";\"Ada\";\"C\";\"88\";\"2026-12-07\""
    );
    let (_, new) = dated(
        "c.toml",
        "[[student]] # first\nname = 'Ada'\nkeys = ['C']\nwent-well = true # yes\n\n\
         [[student]]\nname = 'Bo'\nkey = 'F'\ntempo = 60",
    );
    assert_eq!(
        new,
        "[[student]] # first\nname = 'Ada'\nkeys = ['C']\nwent-well = false # yes\n\
         tempo = 88\ndate = 2026-12-07\n\n\
         [[student]]\nname = 'Bo'\nkey = 'F'\ntempo = 60\ndate = 2026-12-07"
    );
    let (_, new) =
        dated("d.toml", "student = [{name = 'Ada', key = 'C'}, {name = 'Bo', key = 'F'}]\n");
    assert_eq!(
        new,
        "student = [{name = 'Ada', key = 'C', date = 2026-12-07}, \
         {name = 'Bo', key = 'F', date = 2026-12-07}]\n"
    );
}

#[test]
fn where_the_list_goes_is_told() {
    let list = "name,keys,tempo,went-well\nAda,C,60,yes\n";
    let desk = Desk::new().with("a.csv", list).with("a-next.csv", "mine");
    let next = ["class", "--next", "a.csv", "--faster", "8"];
    let counts = "1 row, 1 faster by 8, 0 as before";
    assert_eq!(
        desk.does(&next),
        format!(
            "wrote a-next-2.csv: {counts} (a-next.csv is another; --force replaces it)\n{EMPTIED}"
        )
    );
    let said = desk.does(&next);
    assert_eq!(said, format!("kept a-next-2.csv, which is the same: {counts}\n{EMPTIED}"));
    let said = desk.does(&[&next[..], &["--force"]].concat());
    assert_eq!(said, format!("wrote a-next.csv: {counts}\n{EMPTIED}"));
    assert!(desk.read("a-next.csv") == desk.read("a-next-2.csv"));
    let said = desk.does(&[&next[..], &["-o", "a-next.csv"]].concat());
    assert!(said.starts_with("kept a-next.csv, which is the same"), "{said}");
    let desk = desk.with("t.toml", "[[student]]\nname = 'Ada'\nkey = 'C'\nwent-well = true\n");
    for (list, output, message) in [
        ("a.csv", "-", "next week's list goes to a file, not to stdout; name a file"),
        ("t.toml", "of/x.csv", "of/x.csv cannot be its name: the list is TOML; write of/x.toml"),
        ("a.csv", "x.toml", "x.toml cannot be its name: the list is a table (CSV); write x.csv"),
    ] {
        let args = ["class", "--next", list, "--faster", "8", "-o", output];
        assert_eq!(refusals(&desk, &args), [message]);
    }
    let said = refusals(&desk, &["class", "a.csv", "-o", "-"]);
    assert_eq!(said, ["a class goes to a folder, not to stdout; name a folder"]);
}

#[test]
fn a_list_is_written_in_the_dialect_that_it_was_read_in() {
    let old = "sep=;\r\nName;Went well;KEYS;\"tempo\";date;own\r\n\
               \"Å; B\";x;\"C\r\nF\";\"60\";\"1.2.\";\"a \"\"b\"\"\"\r\n;;;;;\r\nBo;no;C;70;1.2.;\t \r\n";
    let new =
        old.replacen("\"60\"", "\"68\"", 1).replacen(";x;", ";;", 1).replacen("Bo;no;", "Bo;;", 1);
    let wide = |text: &str| -> Vec<u8> {
        format!("\u{feff}{text}").encode_utf16().flat_map(u16::to_le_bytes).collect()
    };
    for (old, new) in [
        (old.as_bytes().to_vec(), new.as_bytes().to_vec()),
        (format!("\u{feff}{old}").into_bytes(), format!("\u{feff}{new}").into_bytes()),
        (wide(old), wide(&new)),
    ] {
        let desk = Desk::new().with("a.csv", &old);
        desk.does(&["class", "--next", "a.csv", "--faster", "8"]);
        assert!(desk.read("a-next.csv") == new);
        assert!(desk.read("a.csv") == old);
        let args = ["class", "--next", "a.csv", "--faster", "8", "--date", "8.2."];
        let said = desk.does(&args);
        assert!(said.starts_with("wrote a-next-2.csv: 2 rows, 1 faster"), "{said}");
        let count =
            |bytes: &[u8], word: &[u8]| bytes.windows(word.len()).filter(|w| *w == word).count();
        let dated = desk.read("a-next-2.csv");
        let word = if new.starts_with(b"\xFF\xFE") {
            wide("8.2.")[2..].to_vec()
        } else {
            b"8.2.".to_vec()
        };
        assert_eq!(count(&dated, &word), 2);
        assert_eq!(dated.len(), new.len());
    }
}

#[test]
fn a_list_of_tables_keeps_its_comments() {
    let old = "# Mondays\n[[student]] # first\nname = 'Ada'\ntempo = 60 # slow\nkeys = ['C']\n\
               date = 2026-11-30\nwent-well = true\n\n[[student]]\nname = 'Bo'\ntempo = \"72\"\n\
               key = 'C'\nwent-well = 'x'\n";
    let new = old
        .replace("= 60 ", "= 68 ")
        .replace("\"72\"", "\"80\"")
        .replace("11-30", "12-07")
        .replace("true", "false")
        .replace("'x'\n", "\"\"\ndate = 2026-12-07\n");
    let desk = Desk::new().with("a.toml", old);
    desk.does(&["class", "--next", "a.toml", "--faster", "8", "--date", "2026-12-07"]);
    assert_eq!(String::from_utf8(desk.read("a-next.toml")).unwrap(), new);
}

#[test]
fn a_goal_is_not_passed_and_those_who_reach_it_are_told() {
    let list = "name,keys,tempo,goal,went-well\nAda,C,100,104,yes\nBo,C,104,104,yes\n\
                Cy,C,396,,yes\nDi,C,400,,yes\nEd,C,,,yes\n";
    let desk = Desk::new().with("a.csv", list);
    let said = desk.does(&["class", "--next", "a.csv", "--faster", "8"]);
    assert_eq!(
        said,
        format!(
            "wrote a-next.csv: 5 rows, 3 faster by 8, 2 as before\n{EMPTIED}\
             Ada comes to the goal of 104\nBo is at the goal of 104 and stays there\n\
             Di is at the fastest tempo there is of 400 and stays there\n"
        )
    );
    let new = list.replace("Ada,C,100", "Ada,C,104").replace("396", "400");
    let new = new.replace("Ed,C,,", "Ed,C,88,").replace("yes\n", "\n");
    assert_eq!(String::from_utf8(desk.read("a-next.csv")).unwrap(), new);
    // What was written can be printed and raised again.
    desk.does(&["class", "a-next.csv"]);
    desk.does(&["class", "--next", "a-next.csv", "--faster", "8"]);
}

#[test]
fn what_keeps_a_list_from_being_written_is_told() {
    let desk = Desk::new()
        .with("a.csv", "name,keys,tempo,went-well\nAda,C,60,yes\nBo,C,60,perhaps\n")
        .with("b.csv", "name,keys,tempo\nAda,C,60\n")
        .with("e.csv", "name,keys,went-well,tempo\nAda,C,yes,60\n");
    for (list, message) in [
        (
            "a.csv",
            "a.csv, row 3, column went-well: went-well is `perhaps`; write yes or no, or \
                   leave it blank",
        ),
        ("b.csv", "b.csv: it has no column went-well; write one, with yes or nothing in each row"),
    ] {
        assert_eq!(refusals(&desk, &["class", "--next", list, "--faster", "8"]), [message]);
    }
    let said = refusals(&desk, &["class", "--next", "e.csv", "--faster", "8", "-o", "a.csv"]);
    assert_eq!(
        said,
        ["cannot write a.csv: that name is taken; choose another name, or replace it \
                       with --force"]
    );
    desk.does(&["class", "--next", "e.csv", "--faster", "8", "-o", "a.csv", "--force"]);
    assert!(desk.read("a.csv").ends_with(b"Ada,C,,68\n"));
    for (faster, told) in [("0", "faster is `0`"), ("-4", "faster is `-4`"), ("x", "faster is `x`")]
    {
        let said = refusals(&desk, &["class", "--next", "e.csv", "--faster", faster]);
        assert!(said[0].contains(told), "{said:?}");
    }
    assert_eq!(tree(&desk.path("")).len(), 3);
}

#[test]
fn nothing_that_was_printed_last_week_is_lost() {
    let desk = Desk::new().with("monday.csv", MONDAY);
    desk.does(&["class", "monday.csv", "-o", "sheets"]);
    let before = tree(&desk.path("sheets"));
    let args = ["class", "--next", "monday.csv", "--faster", "8", "--date", "2026-12-07"];
    desk.does(&args);
    desk.does(&["class", "monday-next.csv", "-o", "sheets"]);
    let after = tree(&desk.path("sheets"));
    assert!(before.iter().all(|(name, bytes)| after.get(name) == Some(bytes)));
    assert_eq!(after.len(), 2 * before.len());
}
