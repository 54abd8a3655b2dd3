//! What a teacher is told who wrote a chart that cannot be played.

use quintfall::chart::Chart;

/// The head of a chart, without which nothing can be judged.
const HEAD: &str = "title = \"x\"\nmetre = \"4/4\"\n";

fn complaints(text: &str) -> Vec<String> {
    let found = Chart::judge(text, "x.toml").err().unwrap_or_default();
    found.iter().map(ToString::to_string).collect()
}

/// The one complaint about the bars of a section A, which begin on line 6.
fn about(bars: &str) -> String {
    let text = format!("{HEAD}[[section]]\nname = \"A\"\nbars = \"\"\"\n{bars}\n\"\"\"\n");
    let found = complaints(&text);
    assert_eq!(found.len(), 1, "{bars}: {found:?}");
    found[0].clone()
}

#[test]
fn every_mistake_in_bars_is_told_by_line_and_bar_with_its_mend() {
    for (bars, told) in [
        (
            "| Cmja7 |",
            "line 6: A, bar 1: `Cmja7` is no chord: `a7` stands where a quality, a number \
           or an alteration is expected; did you mean `Cmaj7`?",
        ),
        (
            "| C | D\n| G7 | Hm7 |",
            "line 7: A, bar 4: `Hm7` is no chord: `H` is B in German charts \
           alone: write B; did you mean `Bm7`?",
        ),
        (
            "| C D E F G |",
            "line 6: A, bar 1: 5 chords are too many, 4/4 holds 4; put a barline between \
           them",
        ),
        (
            "| C / G |",
            "line 6: A, bar 1: 3 chords and slashes do not fill 4 beats; write 4 of them, one \
           for each beat",
        ),
        (
            "| / C / / |",
            "line 6: A, bar 1: a slash begins the bar; write the chord that goes on, or % \
           for the whole bar",
        ),
        ("| C | | G |", "line 6: A, bar 2: the bar is empty; write % to repeat the bar before it"),
        ("| % | C |", "line 6: A, bar 1: % has no bar before it; write its chords"),
        ("| C | % G |", "line 6: A, bar 2: % stands alone in a bar; write the chords again"),
        (
            "| C |1. D | G |",
            "line 6: A, bar 2: an ending has no repeat to it; end its last bar with :|, \
           or leave its number out",
        ),
        (
            "| C |1. D :|",
            "line 6: A, bar 2: the last ending turns back too; end it with |, or write a \
           further ending after it",
        ),
        (
            "| C |1. D |2. E |",
            "line 6: A, bar 2: an ending has no repeat to it; end its last bar with \
           :|, or leave its number out",
        ),
        (
            "| C |1. D :|3. E |",
            "line 6: A, bar 2: the endings do not follow one another; number them \
           1. 2. 3. as they are played",
        ),
        (
            "|1. C :|2. D |",
            "line 6: A, bar 1: nothing is repeated before the first ending; write the \
           bars before it",
        ),
        (
            "|: C | D |",
            "line 6: A, bar 1: a repeat begins here and does not end; end its last bar with \
           :|",
        ),
        (
            "|: C |: D :|",
            "line 6: A, bar 2: a repeat begins inside another; end the first one with :| \
           before it",
        ),
        (
            "| C | D |:",
            "line 6: A, bar 3: a repeat begins after the last bar; leave out the |: there",
        ),
        (
            ":| C | D |",
            "line 6: A, bar 1: a repeat ends before the first bar; leave out the :| there",
        ),
        ("| C :|x1", "line 6: A, bar 2: `x1` is no number of rounds; write x2 to x9"),
        (
            "| C | x3 |",
            "line 6: A, bar 2: nothing is repeated here; write it right after :| or leave it \
           out",
        ),
        ("| C 1. D |", "line 6: A, bar 1: `1.` begins no ending; write 1. or 2. first in its bar"),
        ("| C ||| D |", "line 6: A, bar 1: `|||` is no barline; write |, |: or :|"),
        (
            "| C |1. D :|2. % |",
            "line 6: A, bar 3: % begins an ending, where it may be read in two ways; \
           write its chords",
        ),
        (
            "| C to-coda | D |",
            "line 3: A: `to-coda` leads nowhere; write a section `Coda`, and play it \
           right after this one in `form`",
        ),
    ] {
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(about(bars), format!("x.toml, {told}"), "{bars}");
    }
}

#[test]
fn every_mistake_of_a_whole_chart_is_told() {
    let a = "[[section]]\nname = \"A\"\nbars = \"| C |\"\n";
    let b = "[[section]]\nname = \"Bridge\"\nbars = \"| G7 |\"\n";
    let long =
        format!("[[section]]\nname = \"A\"\nbars = \"\"\"{}\"\"\"\n", "| C | G7 \n".repeat(1000));
    let rounds = format!("form = \"{}\"\n", "A ".repeat(600));
    for (text, told) in [
        (HEAD.to_owned(), "line 1: the chart is empty; write at least one [[section]] with bars"),
        (
            format!("{HEAD}[[section]]\nname = \"A\"\nbars = \"\"\n"),
            "line 5: A, the section has no bars; write its bars, as in | Dm7 | G7 | Cmaj7 | % |",
        ),
        (
            format!("{HEAD}form = \"A Brigde A\"\n{a}{b}"),
            "line 3: section `Brigde` is used and not written; did you mean `Bridge`?, or write a \
             [[section]] of that name",
        ),
        (
            format!("{HEAD}form = \"A A\"\n{a}{b}"),
            "line 7: section `Bridge` is written and not used; name it in `form`, or leave section 2 \
             out",
        ),
        (
            format!("{HEAD}{a}{a}"),
            "line 6: there are two sections `A`; name each once, and play it again in `form`",
        ),
        (
            format!("{HEAD}{long}"),
            "line 1: the chart has 2000 bars, 512 are the most; write a section once and play it again \
             in `form`",
        ),
        (
            format!("{HEAD}{rounds}{a}"),
            "line 1: the form takes 513 bars and may take 512; play fewer sections or rounds; write one \
             chorus",
        ),
        (
            format!("{HEAD}form = \"\"\n{a}"),
            "line 3: field `form` is empty; write it as in \"A A B A\"",
        ),
        (
            format!("{HEAD}key = \"H\"\n{a}"),
            "line 3: unknown key `H`; write B for B natural and Bb for B flat; write it as in F, Eb major \
             or D minor",
        ),
        (
            format!("{HEAD}tempo = 900\n{a}"),
            "line 3: field `tempo` is no tempo; write beats a minute, 20 to 400",
        ),
        (
            format!("{HEAD}pick-up = \"C D E F\"\n{a}"),
            "line 3: a pick-up has 1 to 3 beats in 4/4; write a chord or a / for each beat",
        ),
        (
            format!("metre = \"4/4\"\n{a}"),
            "line 1: field `title` is missing; write title = \"...\"",
        ),
        (
            format!("title = \"x\"\nmetre = \"7/4\"\n{a}"),
            "line 2: unknown metre `7/4`; write one of 3/4, 4/4, 5/4, 6/8",
        ),
        (
            format!("{HEAD}compser = \"y\"\n{a}"),
            "line 3: unknown field `compser`; did you mean `composer`?",
        ),
    ] {
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(complaints(&text), [format!("x.toml, {told}")], "{text}");
    }
}

#[test]
fn all_mistakes_are_told_at_once() {
    let text = "title = \"x\"\nmetre = \"3/4\"\n[[section]]\nname = \"A\"\nbars = \"\"\"\n| C D E F | Gx |\n\
                | Am7 | % Q |\n\"\"\"\n";
    let found = complaints(text);
    assert_eq!(found.len(), 3, "{found:?}");
    let lines: Vec<bool> =
        found.iter().map(|it| it.contains("line 6") || it.contains("line 7")).collect();
    assert_eq!(lines, [true; 3], "{found:?}");
}
