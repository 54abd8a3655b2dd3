//! Every mistake that a teacher would make: message, line, and how to mend it.

use quintfall::drill::{Choices, Template, realise};
use quintfall::source::Complaint;

const GOOD: &str = r#"name = "mine"
title = "Mine"
metre = "4/4"
mode = "major"

[[passage]]
degrees = [2, 5, 1, 1]
beats = 4
figure = "1 3 5 7 9 7 5 3"
note = "eighth"
voicing = "close"
comping = "charleston"
"#;

/// Everything that is found wrong after a change, a line each.
fn told(changes: &[(&str, &str)]) -> Vec<String> {
    let mut text = GOOD.to_owned();
    for (from, to) in changes {
        assert!(text.contains(from), "the change must change something: {from}");
        text = text.replacen(from, to, 1);
    }
    let errors = Template::judge(&text, "mine.toml").expect_err("it must be refused");
    errors.iter().map(Complaint::to_string).collect()
}

#[track_caller]
fn tells(from: &str, to: &str, expected: &str) {
    assert_eq!(told(&[(from, to)]), [expected]);
}

#[test]
fn the_good_one_is_good() {
    Template::judge(GOOD, "mine.toml").unwrap();
}

#[test]
fn wrong_phrases() {
    let mend = "write how many bars a phrase has, 2 to 16";
    for wrong in ["0", "1", "17", "-4", "\"four\"", "4.5"] {
        tells(
            "mode = \"major\"",
            &format!("mode = \"major\"\nphrase = {wrong}"),
            &format!("mine.toml, line 5: field `phrase` is no number of bars; {mend}"),
        );
    }
    let right = GOOD.replace("mode = \"major\"", "mode = \"major\"\nphrase = 8");
    assert_eq!(Template::judge(&right, "mine.toml").unwrap().phrase, Some(8));
}

#[test]
fn wrong_degrees() {
    tells(
        "[2, 5, 1, 1]",
        "[2, 9, 1, 1]",
        "mine.toml, line 7: degree 9 is not in a scale of seven notes; write 1 to 7, 8 for the \
         octave, \"low5\" for one below the tonic, or \"5/2\" for the dominant of 2",
    );
    tells(
        "[2, 5, 1, 1]",
        "[2, \"dominant\", 1, 1]",
        "mine.toml, line 7: `dominant` is no degree; write 1 to 7, 8 for the octave, \"low5\" for \
         one below the tonic, \"5/2\" for the dominant of 2, or a numeral with the kind of its \
         chord, as in \"I7\" or \"bVII7\"",
    );
    tells(
        "[2, 5, 1, 1]",
        "[2, \"b7\", 1, 1]",
        "mine.toml, line 7: `b7` does not say what kind of chord stands there; write its numeral \
         with its kind, as in bVII7 or bVIImaj7",
    );
    tells(
        "[2, 5, 1, 1]",
        "[2, \"5:7\", 1, 1]",
        "mine.toml, line 7: `5:7` is no degree; write the numeral with its kind: V7",
    );
    tells(
        "[2, 5, 1, 1]",
        "[2, \"G7\", 1, 1]",
        "mine.toml, line 7: `G7` is no degree; a drill has no key yet: write a numeral with the \
         kind of its chord, as in V7, ii7",
    );
    tells(
        "[2, 5, 1, 1]",
        "[2, \"V7b9b9\", 1, 1]",
        "mine.toml, line 7: in `V7b9b9` the chord has its `b9` already; leave it out once",
    );
    tells(
        "degrees = [2, 5, 1, 1]",
        "progression = \"ii-V-l\"",
        "mine.toml, line 7: unknown progression `ii-V-l`; did you mean `ii-V-I` or `ii-V-i`?",
    );
}

#[test]
fn figures_that_do_not_fit_their_chord() {
    tells(
        "9 7 5 3\"",
        "9 7 5 3 1\"",
        "mine.toml, line 9: the figure is longer than its chord: 4.5 beats, not 4; add steps or \
         rests or leave some out, or change `beats` or `note`",
    );
    tells(
        "9 7 5 3\"",
        "9 7 5\"",
        "mine.toml, line 9: the figure is shorter than its chord: 3.5 beats, not 4; add steps or \
         rests or leave some out, or change `beats` or `note`",
    );
}

#[test]
fn tones_and_values_that_do_not_exist() {
    tells(
        "1 3 5 7 9",
        "1 3 5 7 nine",
        "mine.toml, line 9: `nine` is no tone; write a number from 1 to 15 above the chord's \
         root, b9 or #11 where it is altered, low7 for one below the root, under3 or over3 for its \
         neighbours, 3@2 to give it a finger, rest or tied",
    );
    tells(
        "9 7 5 3",
        "9 7 5 3:eigth",
        "mine.toml, line 9: unknown note value `eigth`; did you mean `eighth`?",
    );
    tells(
        "\"eighth\"",
        "\"eight\"",
        "mine.toml, line 10: unknown note `eight`; did you mean `eighth`?",
    );
}

#[test]
fn strokes_outside_the_bar_out_of_order_or_missing() {
    tells(
        "\"charleston\"",
        "\"1 5\"",
        "mine.toml, line 12: stroke `5` lies outside a bar of 4/4; write a count from 1 to 4",
    );
    tells(
        "\"charleston\"",
        "\"3 1\"",
        "mine.toml, line 12: the strokes `3 1` are out of order; write them as they fall in the \
         bar, each once",
    );
    tells(
        "\"charleston\"",
        "\"1:half 2\"",
        "mine.toml, line 12: a stroke of `1:half 2` lasts past the next; give it a shorter note \
         value, or none",
    );
    assert_eq!(
        told(&[("beats = 4", "beats = 2"), (" 9 7 5 3", ""), ("\"charleston\"", "\"1\"")]),
        ["mine.toml, line 12: chord 2 of the passage gets no stroke; strike at least once in \
          each chord, or make the chords longer"]
    );
    tells(
        "\"charleston\"",
        "\"charlston\"",
        "mine.toml, line 12: unknown comping `charlston`; did you mean `charleston`? Or write \
         the counts it strikes on, as in 1 2& 4",
    );
}

#[test]
fn voicings_unknown_or_too_wide_for_any_hand() {
    tells(
        "\"close\"",
        "\"rootles-a\"",
        "mine.toml, line 11: unknown voicing `rootles-a`; did you mean `rootless-a`? Or write \
         its tones, as in 1+5+10",
    );
    tells(
        "\"close\"",
        "\"1+7+14\"",
        "mine.toml, line 11: the voicing spans 22 semitones, which no hand can hold; keep within \
         18, or leave a note to the other hand",
    );
    tells(
        "1 3 5 7 9",
        "1 3 5 7 1+12",
        "mine.toml, line 9: a step spans 19 semitones, which no hand can hold; keep within 18",
    );
    tells(
        "\"close\"",
        "\"1+2+3+4+5+6\"",
        "mine.toml, line 11: 6 tones at once are more than a hand; write at most 5",
    );
    tells(
        "\"close\"",
        "\"drop-2\"",
        "mine.toml, line 9: the voicing lies in two hands, but the figure does not play its upper \
         notes; write `upper` in the figure, as in figure = \"upper\" with note = \"half\"",
    );
    tells(
        "\"1 3 5 7 9 7 5 3\"",
        "\"upper:whole\"",
        "mine.toml, line 9: `upper` needs a voicing that lies in two hands; write voicing = \
         \"drop-2\"",
    );
}

#[test]
fn metres_that_do_not_exist_or_do_not_fit() {
    tells(
        "\"4/4\"",
        "\"4/5\"",
        "mine.toml, line 3: unknown metre `4/5`; write one of 3/4, 4/4, 5/4, 6/8",
    );
    assert_eq!(
        told(&[
            ("[2, 5, 1, 1]", "[2, 5, 1]"),
            ("beats = 4", "beats = 2"),
            (" 9 7 5 3", ""),
            ("\"charleston\"", "\"1 3\"")
        ]),
        ["mine.toml, line 7: 3 chords of 2 beats do not fill whole bars of 4/4; add or leave out \
          chords, or change `beats`"]
    );
}

#[test]
fn words_that_several_could_be_meant_by() {
    tells(
        "\"major\"",
        "\"minor\"",
        "mine.toml, line 4: unknown mode `minor`; did you mean `natural-minor`, `harmonic-minor` or \
         `melodic-minor`?",
    );
    tells(
        "\"close\"",
        "\"rootless\"",
        "mine.toml, line 11: unknown voicing `rootless`; did you mean `rootless-a` or `rootless-b`? \
         Or write its tones, as in 1+5+10",
    );
    tells(
        "\"4/4\"",
        "\"7/4\"",
        "mine.toml, line 3: unknown metre `7/4`; write one of 3/4, 4/4, 5/4, 6/8",
    );
}

#[test]
fn triplets_and_eighths_in_one_beat() {
    tells(
        "1 3 5 7 9 7 5 3",
        "1:triplet 3:eighth 5:triplet 7:triplet 9 1:half",
        "mine.toml, line 9: bar 1 of the drill has a beat that cannot be written down; let each \
         beat of a hand be all triplets, or all eighths and sixteenths",
    );
}

#[test]
fn major_and_minor_in_one_drill() {
    tells(
        "beats = 4",
        "beats = 4\nmode = \"harmonic-minor\"",
        "mine.toml, line 9: a passage in harmonic minor in a drill in major; let these be \
         two drills, each with its own key signature, or give the passage a key of its own, as in \
         key = \"i\"",
    );
}

#[test]
fn fields_missing_misspelled_or_of_the_wrong_kind() {
    tells(
        "title = \"Mine\"\n",
        "",
        "mine.toml, line 1: field `title` is missing; write title = \"My drill\"",
    );
    tells(
        "comping =",
        "compping =",
        "mine.toml, line 12: unknown field `compping`; did you mean `comping`?",
    );
    tells(
        "beats = 4",
        "beats = \"four\"",
        "mine.toml, line 8: field `beats` is no number of beats; write how many beats each chord lasts, 1 to 32",
    );
    tells(
        "\"close\"",
        "7.5",
        "mine.toml, line 11: field `voicing` is the number 7.5; write it in quotation marks",
    );
}

#[test]
fn all_mistakes_at_once_in_the_order_of_their_lines() {
    let told =
        told(&[("\"4/4\"", "\"4/5\""), ("\"eighth\"", "\"eight\""), ("\"close\"", "\"clse\"")]);
    let lines: Vec<&str> = told.iter().filter_map(|line| line.split(':').next()).collect();
    assert_eq!(lines, ["mine.toml, line 3", "mine.toml, line 10", "mine.toml, line 11"]);
}

#[test]
fn a_drill_too_long_for_a_sheet() {
    let many = format!("[{}]\nbeats = 8", vec!["1"; 33].join(", "));
    tells(
        "[2, 5, 1, 1]\nbeats = 4",
        &many,
        "mine.toml, line 6: the drill is 66 bars long, the longest has 64; split it into two drills",
    );
}

#[test]
fn toml_that_is_none() {
    let errors = Template::judge("name = \"x\ntitle = 3\n", "mine.toml").unwrap_err();
    let told: Vec<String> = errors.iter().map(Complaint::to_string).collect();
    assert_eq!(
        told,
        [
            "mine.toml, line 1: a quotation mark is missing; write one before the words and one after \
          them, on the same line"
        ]
    );
}

#[test]
fn fingers_that_cannot_be_kept() {
    tells(
        "\"close\"",
        "\"1@1+5@3+7@5\"",
        "mine.toml, line 11: bar 1 of the drill has fingers that cannot be kept; within a chord \
         fingers rise in the right hand and fall in the left, and a held note keeps its finger; \
         leave some out, and the rest is found",
    );
    tells(
        "1 3 5",
        "1@6 3 5",
        "mine.toml, line 9: `1@6`: there is no finger `6`; write 1@1 for the thumb to 1@5 for the \
         little finger",
    );
    tells(
        "\"1 3 5 7 9 7 5 3\"",
        "[\n\"1 3 5 7 9 7 5 3\",\n\"1+3@1+5@1 3 5 7 9 7 5 3\"]",
        "mine.toml, line 11: bar 2 of the drill has fingers that cannot be kept; within a chord \
         fingers rise in the right hand and fall in the left, and a held note keeps its finger; \
         leave some out, and the rest is found",
    );
}

#[test]
fn figures_written_in_another_way() {
    for (written, problem) in [
        ("1 3 5 7 9b 7 5 3", "`9b` is no tone; write b9"),
        ("1 3 5 7 flat9 7 5 3", "`flat9` is no tone; write b9"),
        (
            "1, 3, 5, 7, 9",
            "the steps of a figure stand apart by spaces, without `,`; write \"1 3 5 7 9\"",
        ),
        ("1-3-5-7", "the steps of a figure stand apart by spaces, without `-`; write \"1 3 5 7\""),
        (
            "1 3 | 5 7",
            "a figure has no barlines: it goes over one chord; write several figures as a list, \
             as in [\"1 3 5 7\", \"7 5 3 1\"]",
        ),
    ] {
        tells("1 3 5 7 9 7 5 3", written, &format!("mine.toml, line 9: {problem}"));
    }
}

#[test]
fn of_several_figures_the_one_that_is_wrong_once() {
    tells(
        "\"1 3 5 7 9 7 5 3\"",
        "[\"1 3 5 7 9 7 5 3\", \"1 3 5\", \"1 3 5\"]",
        "mine.toml, line 9: the figure `1 3 5` is shorter than its chord: 1.5 beats, not 4; add \
         steps or rests or leave some out, or change `beats` or `note`",
    );
    assert_eq!(
        told(&[("[2, 5, 1, 1]", "[\"x\", \"y\", \"x\"]")]).len(),
        2,
        "one word, one complaint"
    );
}

#[test]
fn voicings_and_comping_written_in_another_way() {
    for written in ["1 5 10", "1,5,10", "1-5-10"] {
        tells(
            "\"close\"",
            &format!("\"{written}\""),
            "mine.toml, line 11: the tones of a voicing are joined by plus signs; write \"1+5+10\"",
        );
    }
    for (written, problem) in [
        ("1 2and 4", "`2and` is no stroke; write 2& for the half beat after 2"),
        ("1 2+ 4", "`2+` is no stroke; write 2& for the half beat after 2"),
        (
            "1, 2&, 4",
            "strokes stand apart by spaces and bars by `|`, without `,`; write \"1 2& 4\"",
        ),
        (
            "1 2& 4 / 2 4",
            "strokes stand apart by spaces and bars by `|`, without `/`; write \"1 2& 4 | 2 4\"",
        ),
        (
            "",
            "field `comping` is empty; write on-beat, silent, or the counts it strikes on, as in \
             1 2& 4",
        ),
    ] {
        let written = format!("\"{written}\"");
        tells("\"charleston\"", &written, &format!("mine.toml, line 12: {problem}"));
    }
}

#[test]
fn strokes_that_no_bar_holds() {
    let mend = "give it a shorter note value, or none, and it ends with the next stroke or chord";
    tells(
        "\"charleston\"",
        "\"1:quarter 4:half\"",
        &format!(
            "mine.toml, line 12: stroke `4:half` lasts beyond its bar, which has 4 beats in 4/4; \
             {mend}"
        ),
    );
    assert_eq!(
        told(&[
            ("\"4/4\"", "\"3/4\""),
            ("beats = 4", "beats = 3"),
            (" 9 7 5 3", " 9 7"),
            ("\"charleston\"", "\"bossa\""),
        ]),
        ["mine.toml, line 12: the comping `bossa` does not fit into a bar of 3/4; it is for 4/4; \
          write another one, or the counts it strikes on, as in 1 2&"]
    );
    // What brings the next chord early lasts into its bar.
    let pushed = GOOD.replace("\"charleston\"", "\"1 4&>:quarter\"");
    Template::judge(&pushed, "mine.toml").unwrap();
}

#[test]
fn a_passage_under_single_brackets() {
    tells(
        "[[passage]]",
        "[passage]",
        "mine.toml, line 6: a passage stands under double brackets; write [[passage]] in place of \
         [passage]",
    );
}

#[test]
fn a_heading_that_is_misspelled_is_told_about_once() {
    tells(
        "[[passage]]",
        "[[passages]]",
        "mine.toml, line 6: unknown field `passages`; did you mean `passage`?",
    );
}

#[test]
fn lines_that_cannot_be_read_are_told_about_one_by_one() {
    assert_eq!(
        told(&[("\"4/4\"", "4/4"), ("[2, 5, 1, 1]", "[2 5 1 1]"), ("\"close\"", "“close”")]),
        [
            "mine.toml, line 3: the value of `metre` has no quotation marks; write metre = \"4/4\"",
            "mine.toml, line 7: a comma is missing between the items of the list; write one after \
             each item, as in [2, 5, 1]",
            "mine.toml, line 11: the quotation marks are curly or slanted ones; write straight \
             ones: \"",
        ]
    );
}

/// What is composed goes by quarters: chords of an eighth have none, and no beat of 6/8 is one.
#[test]
fn lines_composed_in_a_metre_without_quarters() {
    let told = |other: &str| -> Vec<String> {
        let text = format!(
            "name = \"mine\"\ntitle = \"Mine\"\nmetre = \"6/8\"\n[[passage]]\n\
             degrees = [1, 2, 3, 4, 5, 1]\nbeats = 1\n{other}"
        );
        let errors = Template::judge(&text, "mine.toml").expect_err("it must be refused");
        errors.iter().map(Complaint::to_string).collect()
    };
    assert_eq!(
        told("figure = \"1\"\nnote = \"eighth\"\nleft = \"walking\"\n"),
        [
            "mine.toml, line 9: a bass walks in quarters, which are no beats of 6/8; write the line of \
          the left hand, as in left = \"1 5 8\""
        ]
    );
    assert_eq!(
        told("figure = \"line\"\nvoicing = \"close\"\ncomping = \"on-beat\"\n"),
        [
            "mine.toml, line 7: a composed line goes by quarters, which are no beats of 6/8; write the \
          steps of the figure, as in figure = \"1 3 5\""
        ]
    );
}

/// A line of the left hand goes on from the figure that it had while the hands were changed over.
#[test]
fn a_line_is_tied_to_the_figure_of_a_swapped_passage() {
    let bar = "beats = 4\nfigure = \"1\"\nnote = \"whole\"\n";
    let text = format!(
        "name = \"mine\"\ntitle = \"Mine\"\nmetre = \"4/4\"\n\
         [[passage]]\ndegrees = [1]\n{bar}left = \"1 3 5 3\"\n\
         [[passage]]\ndegrees = [4]\n{bar}hands = \"swapped\"\nvoicing = \"close\"\n\
         comping = \"on-beat\"\n\
         [[passage]]\ndegrees = [1]\n{bar}left = \"tied 3 5 3\"\n"
    );
    let template = Template::judge(&text, "mine.toml").unwrap();
    let score = realise(&template, "C".parse().unwrap(), Choices::default());
    let [.., before, last] = score.bars.as_slice() else { panic!("three bars") };
    let (from, to) = (&before.staves.left.events, &last.staves.left.events);
    assert_eq!(from[0].notes[0].pitch, to[0].notes[0].pitch);
    assert!(to[0].is_tied_in() && !to[1].is_tied_in());
}

/// What a passage says of keys, scales, lines and form, and what does not go together in it.
#[test]
fn keys_scales_lines_and_forms_that_do_not_go_together() {
    let head = "name = \"mine\"\ntitle = \"Mine\"\nmetre = \"4/4\"\n";
    let passage = "[[passage]]\ndegrees = [2, 5]\nbeats = 4\nfigure = \"1 3 5 3\"\n\
                   note = \"quarter\"\nvoicing = \"close\"\ncomping = \"on-beat\"\n";
    for (own, told) in [
        ("left = \"walking\"", "a passage has `comping` or a line of the left hand, not both"),
        ("left-note = \"half\"", "field `left-note` has no `left` beside it"),
        ("seed = 3", "field `seed` has no composed line beside it"),
        ("scale = \"doriann\"", "unknown scale `doriann`; did you mean `dorian`?"),
        ("key = \"4\"", "`4` is no key of a passage"),
        (
            "key = \"#III\"",
            "no key has the signature of `#III`; write the key that sounds the same, as in IV",
        ),
        ("key = \"IV\"\nmode = \"dorian\"", "a key in large letters is not dorian"),
        (
            "key = \"IV\"\nsignature = true",
            "the first passage has the signature of the drill's own key",
        ),
        ("signature = true", "field `signature` has no `key` beside it"),
        ("ending = 1", "an ending without a repeat that it ends"),
        ("repeat = \"begin\"", "a repeat that never ends"),
        ("repeat = \"begin\"\nending = 1", "a first ending without a second one after it"),
        ("repeat = \"end\"\nending = 1", "an ending ends its repeat by itself"),
        ("ending = 9", "field `ending` is no round of a repeat"),
        ("section = \"Verse\"", "field `section` has 5 characters; write 1 to 3 of them"),
    ] {
        let text = format!("{head}{passage}{own}\n");
        let errors = Template::judge(&text, "mine.toml").expect_err(own);
        let said: Vec<String> = errors.iter().map(Complaint::to_string).collect();
        let is_said = said.iter().any(|line| {
            line.split_once(": ").is_some_and(|(place, words)| {
                place.starts_with("mine.toml, line ") && words.starts_with(told)
            })
        });
        assert!(is_said, "{own}: {said:#?}");
    }
    let tied = passage.replace("1 3 5 3", "tied 3 5 3");
    let errors = Template::judge(&format!("{head}{tied}"), "mine.toml").expect_err("tied");
    assert!(errors[0].to_string().contains("`tied` has nothing before it to go on from"));
    let short = passage.replace("beats = 4", "beats = [4, 3]");
    let errors = Template::judge(&format!("{head}{short}"), "mine.toml").expect_err("short");
    let said: Vec<String> = errors.iter().map(Complaint::to_string).collect();
    assert!(
        said.iter()
            .any(|line| line.contains("2 chords of 7 beats together do not fill bars of 4/4")),
        "{said:#?}"
    );
}
