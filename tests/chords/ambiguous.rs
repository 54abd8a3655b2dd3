//! Symbols that cannot be read, and what is said of them.

use quintfall::theory::{ChordKind, ChordProblem, read_chord};

fn said(symbol: &str) -> String {
    match read_chord(symbol) {
        Ok(chord) => panic!("{symbol} was read as {chord:?}"),
        Err(error) => error.to_string(),
    }
}

#[test]
fn a_symbol_that_may_mean_two_things_is_told_both() {
    for (symbol, one, other) in [
        ("C2", "Csus2", "C(add9)"),
        ("C4", "Csus4", "C(add11)"),
        ("Cb5", "Cb(no3)", "C(b5)"),
        ("G#5", "G#(no3)", "G(#5)"),
        ("Fb5", "Fb(no3)", "F(b5)"),
        ("C+9", "C9#5", "C7#9"),
        ("C+11", "C11#5", "C7#11"),
        ("C+13", "C13#5", "C(add13)"),
        ("C-5", "C(b5)", "Cm"),
        ("C(9)", "C9", "C(add9)"),
        ("Cm(9)", "Cm9", "Cm(add9)"),
        ("C(b9)", "C7♭9", "C(add♭9)"),
        ("Csus(b9)", "C7sus4(♭9)", "Csus4(add♭9)"),
        ("Caug(9)", "C9♯5", "Caug(add9)"),
        ("C(13)", "C7(13)", "C6"),
        ("Cmaj(#11)", "Cmaj7♯11", "C(add♯11)"),
        ("Eb(#11)", "Eb7♯11", "Eb(add♯11)"),
        ("Cm#11", "Cm7♯11", "Cm(add♯11)"),
    ] {
        let error = read_chord(symbol).expect_err(symbol);
        let both = ChordProblem::TwoReadings(one.to_owned(), other.to_owned());
        assert_eq!(error.problem, both, "{symbol}");
        let [one, other] = [one, other].map(|text| read_chord(text).expect(text));
        assert_ne!(one, other, "{symbol}");
    }
}

#[test]
fn a_mistake_is_told_with_its_piece() {
    for (symbol, expected) in [
        ("", "the chord ends where a capital letter from A to G is expected"),
        ("am7", "`a` stands where a capital letter from A to G is expected"),
        ("H7", "`H` is B in German charts alone: write B"),
        ("Cxyz", "`xyz` stands where a quality, a number or an alteration is expected"),
        ("C7(b9", "the chord ends where a closing bracket is expected"),
        ("C7)", "`)` stands where a quality, a number or an alteration is expected"),
        ("C7()", "`)` stands where a quality, a number or an alteration is expected"),
        ("C/", "the chord ends where a capital letter from A to G is expected"),
        ("C/e", "`e` stands where a capital letter from A to G is expected"),
        ("C/9", "`9` stands where a capital letter from A to G is expected"),
        ("C/E7", "`7` stands where the end after the bass is expected"),
        ("C8", "`8` stands where 6, 7, 9, 11 or 13 is expected"),
        ("C7b9b9", "the chord has its `b9` already"),
        ("Cø7b5", "the chord has its `b5` already"),
        ("C7b5#5", "`#5` is no chord: ♭5 and ♯5 exclude each other"),
        ("C9b9", "`9b9` is no chord: ♭9 and 9 exclude each other"),
        ("Cm7#9", "`m7#9` is no chord: the minor third and ♯9 are one key"),
        ("Cm7(maj7)", "`7` stands where 9, 11 or 13 is expected"),
        ("Cm7sus4", "`sus4` is no chord: the minor third and sus4 exclude each other"),
        ("C7#11b5", "`7#11b5` is no chord: ♭5 and ♯11 are one key"),
        ("C6(13)", "`6(13)` is no chord: 6 and 13 are one key"),
        ("C7no3no5", "`7no3no5` is no chord: neither a third nor a fifth is left"),
        ("C7altb9", "`7altb9` stands where alt with nothing beside it is expected"),
        ("C7(b9,)", "`)` stands where a quality, a number or an alteration is expected"),
        ("C7,", "the chord ends where a quality, a number or an alteration is expected"),
    ] {
        assert_eq!(said(symbol), expected, "{symbol}");
    }
}

#[test]
fn a_mistake_has_its_place_in_bytes() {
    let place = |symbol: &str| read_chord(symbol).expect_err(symbol).at;
    assert_eq!(place("C♭7♭9♭9"), 9..13);
    assert_eq!(place("Cm7 ?"), 4..5);
    assert_eq!(place(" X"), 1..2);
}

#[test]
fn a_suffix_alone_has_no_bass() {
    assert!("m7/E".parse::<ChordKind>().is_err());
    assert_eq!("6/9".parse(), "69".parse::<ChordKind>());
    assert_eq!("".parse(), Ok(ChordKind::MAJOR));
    assert!("2".parse::<ChordKind>().is_err());
}
