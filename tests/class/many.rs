//! Several sheets of one command.

use super::desk::Desk;
use super::tree::{refusals, tree};

#[test]
fn several_sheets_are_made_anew_each_as_by_itself() {
    let make = || {
        let desk = Desk::new();
        desk.does(&[
            "handout",
            "--key",
            "C",
            "--drill",
            "solid",
            "--student",
            "Ada",
            "-o",
            "a-80.pdf",
        ]);
        desk.does(&["handout", "--key", "F", "--tempo", "60", "--goal", "90", "-o", "b.pdf"]);
        desk
    };
    let (together, apart) = (make(), make());
    let said = together.does(&["retempo", "a-80.pdf", "b.pdf", "--tempo", "96"]);
    assert_eq!(
        said,
        "wrote a-96.pdf: 1 page, 1 key, A4\nwrote b-96.pdf: 1 page, 1 key, A4\n\
         the goal of 90 moves up to 126, since the tempo is 96\n"
    );
    for sheet in ["a-80.pdf", "b.pdf"] {
        apart.does(&["retempo", sheet, "--tempo", "96"]);
    }
    assert!(tree(&together.path("")) == tree(&apart.path("")));
}

#[test]
fn none_is_written_unless_all_can_be() {
    let desk = Desk::new().with("no.pdf", "%PDF-1.7 nothing").with("x.pdf", "words");
    desk.does(&["handout", "--key", "C", "-o", "a.pdf"]);
    let said =
        refusals(&desk, &["retempo", "a.pdf", "no.pdf", "x.pdf", "none.pdf", "--tempo", "96"]);
    assert_eq!(said.len(), 3, "{said:?}");
    assert!(said[0].starts_with("no.pdf: ") && said[1].starts_with("x.pdf: "), "{said:?}");
    let said = refusals(&desk, &["retempo", "a.pdf", "a.pdf", "--tempo", "96", "-o", "b.pdf"]);
    assert_eq!(
        said,
        ["-o names one file, and there are several sheets; leave it out: each goes \
                       beside the old one"]
    );
    desk.does(&["handout", "--key", "F", "-o", "a-80.pdf"]);
    // Both would be a-96.pdf: beside each other they can be, but not by force.
    let args = ["retempo", "a.pdf", "a-80.pdf", "--tempo", "96"];
    let said = refusals(&desk, &[&args[..], &["--force"]].concat());
    assert_eq!(
        said,
        ["a-80.pdf: its sheet would be a-96.pdf, as that of a.pdf; take one of the two out"]
    );
    desk.does(&args);
    assert!(desk.path("a-96.pdf").is_file() && desk.path("a-96-2.pdf").is_file());
}

#[test]
fn the_same_handout_is_made_for_each_of_a_list() {
    let desk = Desk::new()
        .with("names.txt", "Ada\n\nBo B.\n")
        .with("class.csv", "name;keys\nAda;F\nBo B.;G\n");
    let args = ["handout", "--key", "C", "--drill", "solid", "--students"];
    let said = desk.does(&[&args[..], &["names.txt"]].concat());
    assert_eq!(
        said,
        "wrote handout-solid-C-Ada-80.pdf: 1 page, 1 key, A4\n\
         wrote handout-solid-C-Bo-B-80.pdf: 1 page, 1 key, A4\n"
    );
    let said = desk.does(&[&args[..], &["class.csv"]].concat());
    assert!(said.starts_with("kept handout-solid-C-Ada-80.pdf, which is the same"), "{said}");
    let one = ["handout", "--key", "C", "--drill", "solid", "--student", "Bo B.", "-o", "one.pdf"];
    desk.does(&one);
    assert!(desk.read("one.pdf") == desk.read("handout-solid-C-Bo-B-80.pdf"));
    let desk = desk.with("bad.txt", format!("Ada\nada\n{}\n", "x".repeat(121)));
    let said = refusals(&desk, &[&args[..], &["bad.txt"]].concat());
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said.iter().any(|line| line.starts_with("bad.txt, line 3: student is 121 ")));
    let twice = "bad.txt, line 2: its sheet would be handout-solid-C-ada-80.pdf, as that of line 1; \
                 take one of the two out";
    assert!(said.iter().any(|line| line == twice), "{said:?}");
    let said = refusals(&desk, &[&args[..], &["names.txt", "--student", "Cy"]].concat());
    assert!(said[0].contains("do not go together"), "{said:?}");
    let said =
        refusals(&desk, &[&args[..], &["names.txt", "--tempo", "30", "--goal", "20"]].concat());
    assert_eq!(said.len(), 1, "what is wrong with all of them is told once: {said:?}");
}
