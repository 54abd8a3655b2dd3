//! PDFs that are no sheets of ours, or not as we made them.

use quintfall::recipe::Recipe;

use super::desk::{Desk, sheet_with};

#[test]
fn files_that_are_no_sheet_of_ours() {
    let desk = Desk::new().with("a.pdf", "hello").with("b.pdf", "");
    for name in ["a.pdf", "b.pdf"] {
        for args in
            [&["retempo", name, "--tempo", "90"][..], &["recipe", name], &["workbook", name]]
        {
            let message = desk.refusal(args);
            assert!(message.starts_with(&format!("{name}: ")), "{message}");
            assert!(message.contains("not a PDF"), "{message}");
        }
    }
    desk.refuses(
        &["retempo", "no.pdf", "--tempo", "90"],
        "cannot read no.pdf: there is no such file; check its name and folder",
    );
}

#[test]
fn sheets_of_a_newer_version_or_with_a_spoiled_recipe() {
    let desk = Desk::new()
        .with("new.pdf", sheet_with("{\"quintfall\": 3, \"colour\": \"blue\"}"))
        .with("odd.pdf", sheet_with("{\"tempo\": 5}"))
        .with("drill.pdf", sheet_with("{\"template\": \"name = 4\"}"));
    desk.refuses(
        &["retempo", "new.pdf", "--tempo", "90"],
        "new.pdf: made by a newer Quintfall (recipe version 3; this program knows 2); \
         use that newer program",
    );
    let message = desk.refusal(&["retempo", "odd.pdf", "--tempo", "90"]);
    assert!(message.starts_with("odd.pdf: the recipe inside cannot stand: tempo 5"), "{message}");
    let message = desk.refusal(&["retempo", "drill.pdf", "--tempo", "90"]);
    assert!(message.starts_with("drill.pdf, in its template, line 1: "), "{message}");
}

#[test]
fn sheets_cut_short_or_spoiled_end_in_one_message_or_a_sheet() {
    let whole = sheet_with(&Recipe::default().to_json());
    let mut spoiled = whole.clone();
    for (place, byte) in spoiled.iter_mut().enumerate() {
        if place % 97 == 13 {
            *byte ^= 0x55;
        }
    }
    let desk = Desk::new()
        .with("half.pdf", &whole[..whole.len() / 2])
        .with("spoiled.pdf", spoiled)
        .with("head.pdf", &whole[..9]);
    for name in ["half.pdf", "spoiled.pdf", "head.pdf"] {
        let message = desk.refusal(&["retempo", name, "--tempo", "90"]);
        assert!(message.starts_with(&format!("{name}: ")), "{message}");
    }
}
