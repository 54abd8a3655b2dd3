//! The bars of a section, taken from the text that a teacher wrote.
//!
//! Bars stand between `|`; a line ends its last bar whether a barline stands there or not. `|:` and
//! `:|` begin and end a repeat, `:|x3` plays it three times, `1.` and `2.` begin an ending. `%`
//! repeats the bar before, `N.C.` is no chord, `/` goes on for a beat, and `to-coda` leads on.

use std::ops::Range;

use super::beats;
use super::model::{ChartBar, ChordStand, SectionStretch};
use super::nearest;
use super::repeats;
use crate::score::Metre;
use crate::source::Complaint;
use crate::source::plain::shortened;
use crate::theory::{Chord, ChordProblem, read_chord};

/// How often a repeat may be played.
const ROUNDS: std::ops::RangeInclusive<u8> = 2..=9;

/// What is wrong with a text of bars, and where in it, in bytes.
pub(super) struct ChangesSlip {
    pub(super) at: Range<usize>,
    pub(super) complaint: Complaint,
}

/// A word or a barline of the text.
#[derive(Clone, Copy)]
struct Token<'a> {
    at: usize,
    text: &'a str,
}

impl Token<'_> {
    fn span(self) -> Range<usize> {
        self.at..self.at + self.text.len()
    }

    fn is_barline(self) -> bool {
        self.text.starts_with(['|', ':'])
    }
}

/// The words and barlines of a line that begins at a byte of the text. What stands in round
/// brackets belongs together, white and all.
fn tokens(line: &str, start: usize) -> Vec<Token<'_>> {
    let is_bar = |c: char| matches!(c, '|' | ':');
    let mut tokens = Vec::new();
    let mut rest = line.char_indices().peekable();
    while let Some((from, first)) = rest.next() {
        if first.is_whitespace() {
            continue;
        }
        let mut depth = i32::from(first == '(');
        let mut end = from + first.len_utf8();
        while let Some((at, c)) = rest.peek().copied() {
            let stops = is_bar(c) != is_bar(first) || depth == 0 && c.is_whitespace();
            if stops {
                break;
            }
            depth = (depth + i32::from(c == '(') - i32::from(c == ')')).max(0);
            end = at + c.len_utf8();
            rest.next();
        }
        let text = line[from..end].trim_end();
        tokens.push(Token { at: start + from, text });
    }
    tokens
}

/// What a barline says.
#[derive(Clone, Copy, Default)]
struct WrittenBarline {
    ends: bool,
    begins: bool,
}

impl WrittenBarline {
    fn read(text: &str) -> Option<Self> {
        let ends = text.starts_with(':');
        let begins = text.ends_with(':');
        let inner = text.strip_prefix(':').unwrap_or(text);
        let inner = inner.strip_suffix(':').unwrap_or(inner);
        matches!(inner, "|" | "||").then_some(Self { ends, begins })
    }

    fn is_plain(self) -> bool {
        !self.ends && !self.begins
    }
}

/// A bar, and where it stands in the text.
pub(super) struct ReadBar {
    pub(super) bar: ChartBar,
    pub(super) at: Range<usize>,
}

struct ChangesReader<'a> {
    metre: Metre,
    bars: Vec<ReadBar>,
    /// The words of the bar that is being read.
    words: Vec<Token<'a>>,
    /// Whether that bar begins a repeat, and where that is said.
    begins: Option<Range<usize>>,
    /// Whether the barline before it ends a repeat.
    after_end: bool,
    /// Whether something is told of it already, so that it need not be empty.
    is_told: bool,
    slips: Vec<ChangesSlip>,
}

/// The bars of a text, and all that is wrong with them.
pub(super) fn bars(text: &str, metre: Metre) -> (Vec<ReadBar>, Vec<ChangesSlip>) {
    let mut reader = ChangesReader {
        metre,
        bars: Vec::new(),
        words: Vec::new(),
        begins: None,
        after_end: false,
        is_told: false,
        slips: Vec::new(),
    };
    let mut start = 0;
    for line in text.split('\n') {
        reader.line(&tokens(line, start));
        start += line.len() + 1;
    }
    if let Some(at) = reader.begins.take() {
        reader.slip(at, "a repeat begins after the last bar", "leave out the |: there");
    }
    (reader.bars, reader.slips)
}

impl<'a> ChangesReader<'a> {
    /// Adds what is wrong with the bar that is being read.
    fn slip(&mut self, at: Range<usize>, problem: impl AsRef<str>, mend: impl Into<String>) {
        let problem = format!("bar {}: {}", self.bars.len() + 1, problem.as_ref());
        self.slips.push(ChangesSlip { at, complaint: Complaint::new(problem).mend(mend.into()) });
    }

    fn line(&mut self, tokens: &[Token<'a>]) {
        let mut before: Option<WrittenBarline> = None;
        for token in tokens.iter().copied() {
            if !token.is_barline() {
                self.word(token);
                continue;
            }
            let Some(barline) = WrittenBarline::read(token.text) else {
                let problem = format!("`{}` is no barline", shortened(token.text));
                self.slip(token.span(), problem, "write |, |: or :|");
                self.words.clear();
                continue;
            };
            let is_empty = self.words.is_empty();
            if !is_empty {
                self.finish();
            } else if !self.is_told
                && before.is_some_and(|before| before.is_plain() && barline.is_plain())
            {
                self.slip(token.span(), "the bar is empty", "write % to repeat the bar before it");
            }
            if barline.ends {
                self.end_repeat(token.span());
            }
            if barline.begins {
                self.begins = Some(token.span());
            }
            (self.after_end, self.is_told) = (barline.ends, false);
            before = Some(barline);
        }
        if !self.words.is_empty() {
            self.finish();
        }
    }

    /// Takes in a word, which may say how often a repeat is played that has just ended.
    fn word(&mut self, token: Token<'a>) {
        let times = token.text.strip_prefix(['x', 'X']).filter(|_| self.words.is_empty());
        let Some(times) = times else { return self.words.push(token) };
        let last = self.bars.last_mut().filter(|_| self.after_end);
        let Some(last) = last else {
            self.is_told = true;
            let mend = "write it right after :| or leave it out";
            return self.slip(token.span(), "nothing is repeated here", mend);
        };
        let number = times.parse().ok().filter(|number| ROUNDS.contains(number));
        match number {
            Some(number) => last.bar.ends_repeat = Some(number),
            None => {
                let (low, high) = (ROUNDS.start(), ROUNDS.end());
                let problem = format!("`{}` is no number of rounds", shortened(token.text));
                self.slip(token.span(), problem, format!("write x{low} to x{high}"));
            }
        }
        self.after_end = false;
    }

    fn end_repeat(&mut self, at: Range<usize>) {
        match self.bars.last_mut() {
            Some(last) => last.bar.ends_repeat = Some(2),
            None => self.slip(at, "a repeat ends before the first bar", "leave out the :| there"),
        }
    }

    /// Makes a bar of the words so far.
    fn finish(&mut self) {
        let words = std::mem::take(&mut self.words);
        let at =
            words.first().map_or(0, |word| word.at)..words.last().map_or(0, |word| word.span().end);
        let begins_repeat = self.begins.take().is_some();
        self.after_end = false;
        let mut bar = ChartBar { begins_repeat, ..ChartBar::default() };
        let mut signs: Vec<Token<'_>> = Vec::new();
        for word in words {
            if word.text.eq_ignore_ascii_case("to-coda") {
                bar.to_coda = true;
            } else if is_ending(word.text) {
                match rounds(word.text).filter(|_| signs.is_empty()) {
                    Some(rounds) => bar.ending.extend(rounds),
                    None => {
                        let problem = format!("`{}` begins no ending", shortened(word.text));
                        self.slip(word.span(), problem, "write 1. or 2. first in its bar");
                    }
                }
            } else {
                signs.push(word);
            }
        }
        bar.changes = self.changes(&signs, at.clone(), !bar.ending.is_empty());
        self.bars.push(ReadBar { bar, at });
    }

    /// The changes of a bar; none where it repeats the one before.
    fn changes(
        &mut self,
        signs: &[Token<'_>],
        at: Range<usize>,
        begins_ending: bool,
    ) -> Vec<ChordStand> {
        if signs.is_empty() {
            self.slip(
                at,
                "the bar has no chord",
                "write its chords, or % to repeat the bar before",
            );
            return Vec::new();
        }
        if let Some(repeat) = signs.iter().find(|sign| sign.text == "%") {
            let before = self.bars.last();
            let turns_back = before.is_some_and(|before| before.bar.ends_repeat.is_some());
            if signs.len() > 1 {
                self.slip(repeat.span(), "% stands alone in a bar", "write the chords again");
            } else if before.is_none() {
                self.slip(repeat.span(), "% has no bar before it", "write its chords");
            } else if begins_ending && turns_back {
                let problem = "% begins an ending, where it may be read in two ways";
                self.slip(repeat.span(), problem, "write its chords");
            }
            return Vec::new();
        }
        self.stands(signs)
    }

    fn stands(&mut self, signs: &[Token<'_>]) -> Vec<ChordStand> {
        let metre = self.metre;
        let is_slash = |sign: &Token<'_>| sign.text == "/";
        let chords: Vec<Token<'_>> = signs.iter().copied().filter(|it| !is_slash(it)).collect();
        let read: Vec<Option<Chord>> = chords.iter().map(|it| self.chord(*it)).collect();
        let most = beats::most_chords(metre);
        if let Some(excess) = chords.get(most) {
            let problem = format!("{} chords are too many, {metre} holds {most}", chords.len());
            self.slip(excess.span(), problem, "put a barline between them");
            return Vec::new();
        }
        let moments = if chords.len() == signs.len() {
            beats::even(metre, chords.len())
        } else if is_slash(&signs[0]) {
            let mend = "write the chord that goes on, or % for the whole bar";
            self.slip(signs[0].span(), "a slash begins the bar", mend);
            return Vec::new();
        } else if let Some(unit) = beats::slash(metre, signs.len()) {
            let places = signs.iter().zip(0..).filter(|(it, _)| !is_slash(it));
            places.map(|(_, place)| place * unit).collect()
        } else {
            let beats = metre.beats();
            let problem = format!("{} chords and slashes do not fill {beats} beats", signs.len());
            let whole = signs[0].at..signs[signs.len() - 1].span().end;
            self.slip(whole, problem, format!("write {beats} of them, one for each beat"));
            return Vec::new();
        };
        let stand = |(at, chord)| ChordStand { at, chord };
        moments.into_iter().zip(read).map(stand).collect()
    }

    /// A chord; none where no chord is played, or where it cannot be read.
    fn chord(&mut self, token: Token<'_>) -> Option<Chord> {
        match read(token.text) {
            Ok(chord) => chord,
            Err(complaint) => {
                let problem = format!("bar {}: {}", self.bars.len() + 1, complaint.problem);
                let complaint = Complaint { problem, ..complaint };
                self.slips.push(ChangesSlip { at: token.span(), complaint });
                None
            }
        }
    }
}

/// Whether a word is made as the number of an ending is.
fn is_ending(word: &str) -> bool {
    word.ends_with('.') && word.starts_with(|c: char| c.is_ascii_digit())
}

/// The rounds of an ending: `1.`, or `1.2.`.
fn rounds(word: &str) -> Option<Vec<u8>> {
    let numbers = word.trim_end_matches('.').split('.').map(|it| it.parse::<u8>().ok());
    let numbers: Vec<u8> = numbers.collect::<Option<_>>()?;
    numbers.iter().all(|it| (1..=*ROUNDS.end()).contains(it)).then_some(numbers)
}

/// A chord as a teacher writes it; none for `N.C.`, where no chord is played.
fn read(word: &str) -> Result<Option<Chord>, Complaint> {
    if ["N.C.", "NC", "N.C"].iter().any(|none| none.eq_ignore_ascii_case(word)) {
        return Ok(None);
    }
    read_chord(word).map(Some).map_err(|error| {
        let problem = format!("`{}` is no chord: {error}", shortened(word));
        let is_told = matches!(error.problem, ChordProblem::TwoReadings(..));
        let complaint = Complaint::new(problem);
        match nearest::reading(word).filter(|_| !is_told) {
            Some(meant) => complaint.mend(format!("did you mean `{meant}`?")),
            None if is_told => complaint,
            None => complaint.mend("write it as in Cmaj7, Dm7, G7b9, Bm7b5 or C/E"),
        }
    })
}

/// The chords that lead to the first bar, one on each of the last beats.
pub(super) fn pick_up(text: &str, metre: Metre) -> (Vec<ChordStand>, Vec<ChangesSlip>) {
    let words = tokens(text, 0);
    let mut slips = Vec::new();
    let mut slip = |at, complaint: Complaint| slips.push(ChangesSlip { at, complaint });
    let most = metre.beats() as usize - 1;
    if let Some(barline) = words.iter().find(|word| word.is_barline()) {
        let complaint = Complaint::new("a pick-up is less than a bar");
        slip(barline.span(), complaint.mend("write its chords alone, one for each beat"));
        return (Vec::new(), slips);
    }
    if words.is_empty() || words.len() > most {
        let problem = format!("a pick-up has 1 to {most} beats in {metre}");
        slip(0..text.len(), Complaint::new(problem).mend("write a chord or a / for each beat"));
        return (Vec::new(), slips);
    }
    if words[0].text == "/" {
        let complaint = Complaint::new("a slash begins the pick-up");
        slip(words[0].span(), complaint.mend("write a chord first"));
        return (Vec::new(), slips);
    }
    let mut stands = Vec::new();
    for (word, at) in words.iter().zip(beats::leading(metre, words.len())) {
        match read(word.text) {
            _ if word.text == "/" => {}
            Ok(chord) => stands.push(ChordStand { at, chord }),
            Err(complaint) => slip(word.span(), complaint),
        }
    }
    (stands, slips)
}

/// The stretches of a section, or what is wrong with its repeats.
pub(super) fn stretches(bars: &[ReadBar]) -> Result<Vec<SectionStretch>, ChangesSlip> {
    let plain: Vec<ChartBar> = bars.iter().map(|it| it.bar.clone()).collect();
    repeats::stretches(&plain).map_err(|(bar, problem)| {
        let [problem, mend] = problem.words();
        let complaint = Complaint::new(format!("bar {}: {problem}", bar + 1)).mend(mend);
        ChangesSlip { at: bars[bar].at.clone(), complaint }
    })
}
