//! What a file of notes says, in the terms of the score: one hand after another, bar by bar.

use quintfall::score::{Clef, Hand, NoteValue, QUARTER, Ticks};

use crate::tree::Node;

/// A note as the file has it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Heard {
    /// Letter, alteration and octave, as they sound.
    pub(crate) pitch: (String, i32, i32),
    /// Whether ties come in and lead out; `tie` and `tied` say the same.
    pub(crate) ties: [bool; 2],
    pub(crate) finger: Option<u8>,
    pub(crate) accidental: Option<String>,
}

/// An event as the file has it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Sounding {
    pub(crate) at: Ticks,
    pub(crate) length: Ticks,
    pub(crate) kind: Option<String>,
    pub(crate) dots: usize,
    pub(crate) is_triplet: bool,
    pub(crate) fills_bar: bool,
    pub(crate) is_hidden: bool,
    pub(crate) notes: Vec<Heard>,
    pub(crate) staccato: bool,
    pub(crate) fermata: bool,
    pub(crate) beams: Vec<String>,
    pub(crate) tuplets: Vec<String>,
    pub(crate) stem: Option<String>,
    /// The clef it is read in.
    pub(crate) clef: Option<Clef>,
    /// How many octaves it is said to sound above what is written.
    pub(crate) octaves: i32,
}

/// A chord symbol as the file has it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Symbol {
    pub(crate) at: Ticks,
    pub(crate) root: (String, i32),
    pub(crate) kind: String,
    pub(crate) text: String,
    pub(crate) bass: Option<(String, i32)>,
    pub(crate) degrees: Vec<(i32, i32, String)>,
}

/// All that a file says of one key.
#[derive(Clone, Debug, Default)]
pub(crate) struct Told {
    pub(crate) hands: [Vec<Sounding>; 2],
    pub(crate) symbols: Vec<Symbol>,
    /// Words under the lower staff, each with its moment.
    pub(crate) numerals: Vec<(Ticks, String)>,
    /// How long each voice of each bar is, and how far it goes back between them.
    pub(crate) sums: Vec<[Ticks; 3]>,
    /// The bars that begin a line, and those that begin a page.
    pub(crate) lines: Vec<usize>,
    pub(crate) pages: Vec<usize>,
}

fn ticks(divisions: i32) -> Ticks {
    let ticks = divisions * QUARTER / 480;
    assert_eq!(ticks * 480 / QUARTER, divisions, "a whole number of ticks");
    ticks
}

fn name(node: &Node, of: &str) -> (String, i32) {
    let step = node.text(&[of, &format!("{of}-step")]).expect("a letter").to_owned();
    (step, node.number(&[of, &format!("{of}-alter")]).unwrap_or(0))
}

fn symbol(node: &Node, at: Ticks) -> Symbol {
    let degree = |degree: &Node| {
        let number = |name: &str| degree.number(&[name]).expect("a number");
        let kind = degree.text(&["degree-type"]).expect("a change").to_owned();
        (number("degree-value"), number("degree-alter"), kind)
    };
    let kind = node.find(&["kind"]).expect("a kind");
    Symbol {
        at,
        root: name(node, "root"),
        kind: kind.text.clone(),
        text: kind.attribute("text").unwrap_or_default().to_owned(),
        bass: node.has(&["bass"]).then(|| name(node, "bass")),
        degrees: node.all("degree").map(degree).collect(),
    }
}

fn heard(node: &Node) -> Heard {
    let pitch = node.find(&["pitch"]).expect("a pitch");
    let step = pitch.text(&["step"]).expect("a letter").to_owned();
    let octave = pitch.number(&["octave"]).expect("an octave");
    let ties = ["stop", "start"].map(|kind| {
        let is = |node: &Node| node.attribute("type") == Some(kind);
        let tied = node.find(&["notations"]).is_some_and(|it| it.all("tied").any(is));
        assert_eq!(node.all("tie").any(is), tied, "a tie sounds where it is seen");
        tied
    });
    let finger = node.text(&["notations", "technical", "fingering"]);
    Heard {
        pitch: (step, pitch.number(&["alter"]).unwrap_or(0), octave),
        ties,
        finger: finger.map(|finger| finger.parse().expect("a finger")),
        accidental: node.text(&["accidental"]).map(str::to_owned),
    }
}

/// The state of reading between bars.
struct Reader {
    clefs: [Option<Clef>; 2],
    octaves: [i32; 2],
    start: Ticks,
    told: Told,
}

/// Reads the bars of one key.
pub(crate) fn read(measures: &[&Node]) -> Told {
    let mut reader = Reader { clefs: [None; 2], octaves: [0; 2], start: 0, told: Told::default() };
    for (bar, measure) in measures.iter().enumerate() {
        assert_eq!(measure.attribute("number"), Some(&*(bar + 1).to_string()));
        reader.measure(measure, bar);
    }
    assert_eq!(reader.octaves, [0; 2], "every octave line ends");
    reader.told
}

impl Reader {
    fn measure(&mut self, measure: &Node, bar: usize) {
        let mut at = self.start;
        let mut sums = [0; 3];
        for node in &measure.children {
            let number = |name: &str| node.number(&[name]).expect("a number");
            match &*node.name {
                "print" if node.attribute("new-page") == Some("yes") => {
                    self.told.lines.push(bar);
                    self.told.pages.push(bar);
                }
                "print" => self.told.lines.push(bar),
                "attributes" => self.attributes(node),
                "direction" => self.direction(node, at),
                "harmony" => {
                    let offset = ticks(node.number(&["offset"]).unwrap_or(0));
                    self.told.symbols.push(symbol(node, at + offset));
                }
                "backup" => {
                    sums[2] = ticks(number("duration"));
                    at -= sums[2];
                }
                "note" => {
                    let hand = number("staff") as usize - 1;
                    assert_eq!(number("voice"), number("staff"), "a voice a staff");
                    let length = ticks(number("duration"));
                    if node.has(&["chord"]) {
                        let last = self.told.hands[hand].last_mut().expect("a note before");
                        assert_eq!(last.length, length, "a chord has one length");
                        last.notes.push(heard(node));
                        continue;
                    }
                    let event = self.event(node, hand, (at, length));
                    self.told.hands[hand].push(event);
                    sums[hand] += length;
                    at += length;
                }
                "barline" => {}
                other => panic!("{other} in a bar"),
            }
        }
        self.told.sums.push(sums);
        self.start += sums[0];
    }

    fn attributes(&mut self, node: &Node) {
        for clef in node.all("clef") {
            let staff: usize = clef.attribute("number").expect("a staff").parse().expect("it");
            self.clefs[staff - 1] = Some(match (clef.text(&["sign"]), clef.number(&["line"])) {
                (Some("G"), Some(2)) => Clef::Treble,
                (Some("F"), Some(4)) => Clef::Bass,
                other => panic!("{other:?} is no clef of ours"),
            });
        }
    }

    fn direction(&mut self, node: &Node, at: Ticks) {
        let kind = node.find(&["direction-type"]).expect("a kind");
        if let Some(shift) = kind.find(&["octave-shift"]) {
            let staff: usize = shift.attribute("number").expect("a staff").parse().expect("it");
            let size: i32 = shift.attribute("size").expect("a size").parse().expect("it");
            let octaves = &mut self.octaves[staff - 1];
            match shift.attribute("type") {
                Some("stop") => {
                    assert_eq!(octaves.abs(), size / 7, "a line ends as it began");
                    *octaves = 0;
                }
                kind => {
                    assert_eq!(*octaves, 0, "one line at a time");
                    *octaves = if kind == Some("down") { size / 7 } else { -size / 7 };
                }
            }
        }
        if node.attribute("placement") == Some("below") && kind.has(&["words"]) {
            let offset = ticks(node.number(&["offset"]).unwrap_or(0));
            let words = kind.text(&["words"]).expect("words").to_owned();
            self.told.numerals.push((at + offset, words));
        }
    }

    fn event(&self, node: &Node, hand: usize, (at, length): (Ticks, Ticks)) -> Sounding {
        let notations = node.find(&["notations"]);
        let has = |path: &[&str]| notations.is_some_and(|node| node.has(path));
        let kinds = |name: &str| {
            let all = notations.into_iter().flat_map(move |node| node.all(name));
            all.map(|it| it.attribute("type").expect("a type").to_owned()).collect()
        };
        Sounding {
            at,
            length,
            kind: node.text(&["type"]).map(str::to_owned),
            dots: node.all("dot").count(),
            is_triplet: node.number(&["time-modification", "actual-notes"]) == Some(3),
            fills_bar: node.find(&["rest"]).and_then(|it| it.attribute("measure")) == Some("yes"),
            is_hidden: node.attribute("print-object") == Some("no"),
            notes: if node.has(&["rest"]) { Vec::new() } else { vec![heard(node)] },
            staccato: has(&["articulations", "staccato"]),
            fermata: has(&["fermata"]),
            beams: node.all("beam").map(|beam| beam.text.clone()).collect(),
            tuplets: kinds("tuplet"),
            stem: node.text(&["stem"]).map(str::to_owned),
            clef: self.clefs[hand],
            octaves: self.octaves[hand],
        }
    }
}

impl Sounding {
    /// The value that its type, dots and triplet make.
    pub(crate) fn value(&self) -> Option<NoteValue> {
        let whole = match self.kind.as_deref()? {
            "16th" => 12,
            "eighth" => 24,
            "quarter" => 48,
            "half" => 96,
            "whole" => 192,
            other => panic!("{other} is no value of ours"),
        };
        let dotted = whole + if self.dots > 0 { whole / 2 } else { 0 };
        NoteValue::of(if self.is_triplet { dotted * 2 / 3 } else { dotted })
    }
}

/// Both hands in the order of the staves.
pub(crate) const HANDS: [Hand; 2] = Hand::BOTH;
