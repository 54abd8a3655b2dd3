//! What is done to a sketch once both hands have their sounds: none overlaps the next of its hand, lines
//! are spelled as they are read, and what is held at will is held by both hands together.

use super::language::spelling::{lead_by_letter, part_neighbours};
use super::sketch::{DrillSketch, PlayedChord};
use super::struck::StruckSound;
use super::template::Template;

impl DrillSketch {
    /// Cuts each sound off where its hand strikes again, and holds what is held at will.
    pub(super) fn finish(&mut self, template: &Template) {
        let length = template.length();
        let mut held = Vec::new();
        for passage in &template.passages {
            let count = passage.degrees.len();
            held.extend((1..=count).map(|place| passage.fermata && place == count));
        }
        for line in self.lines.iter_mut() {
            line.sort_by_key(|sound| sound.at);
            for index in 1..line.len() {
                let next = line[index].at;
                line[index - 1].end = line[index - 1].end.min(next);
            }
            // A chord that two passages bring early is struck once.
            line.retain(|sound| sound.end > sound.at);
            for sound in line.iter_mut() {
                let PlayedChord { plan, laid, .. } = &self.chords[sound.chord];
                if let [note] = sound.intervals.as_mut_slice()
                    && laid.all().all(|own| own != *note)
                {
                    *note = plan.named_by_key(*note);
                }
            }
            for index in 1..line.len() {
                let [one, next] = &mut line[index - 1..=index] else { continue };
                if let ([note], [other]) = (&mut *one.intervals, &mut *next.intervals)
                    && one.chord == next.chord
                {
                    part_neighbours(note, other, &self.chords[one.chord].plan);
                    if !self.chords[one.chord].plan.knows(*note) {
                        lead_by_letter(note, *other);
                    }
                }
            }
            for sound in line.iter_mut() {
                sound.fermata = held[sound.chord] && sound.end == length;
                if let [note] = sound.intervals.as_slice() {
                    sound.is_foreign = !self.chords[sound.chord].has(*note);
                }
            }
        }
        self.hold_together();
    }

    /// Lets both hands hold from one moment on what is held at will: while one of them holds, the other
    /// does not strike the same again.
    fn hold_together(&mut self) {
        let held =
            |line: &Vec<StruckSound>| line.last().filter(|last| last.fermata).map(|last| last.at);
        let Some(first) = self.lines.iter().filter_map(held).min() else { return };
        for line in self.lines.iter_mut() {
            while let [.., before, last] = line.as_mut_slice() {
                let is_again = last.fermata
                    && last.at > first
                    && before.at >= first
                    && (before.chord, &before.intervals) == (last.chord, &last.intervals);
                if !is_again {
                    break;
                }
                (before.end, before.fermata) = (last.end, true);
                line.pop();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::QUARTER;

    /// Nobody strikes again what the other hand holds at will.
    #[test]
    fn hands_hold_together() {
        let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\n\
                    degrees = [1]\nbeats = 4\nfigure = \"1:whole\"\nvoicing = \"close\"\n\
                    note = \"whole\"\ncomping = \"1 3\"\nfermata = true\n";
        let sketch = DrillSketch::of(&Template::parse(text, "own").unwrap());
        for line in sketch.lines.iter() {
            let held: Vec<_> = line.iter().map(|it| (it.at, it.end, it.fermata)).collect();
            assert_eq!(held, [(0, 4 * QUARTER, true)]);
        }
    }

    /// Root, third, fifth and seventh of a chord bear their chord's own names in every line of one
    /// note, composed or written.
    #[test]
    fn chord_tones_of_a_line_have_the_names_of_their_chord() {
        let composed = ["V7b9", "V7alt", "V7#9", "iiø7", "bII7#11", "V7b9/2", "viio7", "im6"];
        let own = composed.iter().flat_map(|word| (0..6).map(move |seed| (word, seed)));
        let own = own.map(|(word, seed)| {
            format!(
                "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\ndegrees = [\"ii7\", \
                 \"{word}\", \"V7\", \"{word}\"]\nbeats = 4\nfigure = \"line\"\nseed = {seed}\n\
                 voicing = \"guide-tones\"\ncomping = \"on-beat\"\n"
            )
        });
        let library = crate::drill::library::all().map(|(_, text)| text.to_owned());
        let mut met = 0;
        for text in own.chain(library) {
            let template =
                Template::parse(&text, "own").unwrap_or_else(|it| panic!("{it}\n{text}"));
            let sketch = DrillSketch::of(&template);
            for line in sketch.lines.iter() {
                for sound in line.iter().filter(|sound| sound.intervals.len() == 1) {
                    let plan = &sketch.chords[sound.chord].plan;
                    let note = sound.intervals[0].simple();
                    let frame = plan.kind.frame().into_iter().flatten();
                    let mut frame = frame.map(|tone| plan.root.plus(tone).simple());
                    let own = frame.find(|tone| tone.semitones == note.semitones);
                    if let Some(own) = own {
                        assert_eq!(note, own, "{:?} at {}: {text}", plan.kind, sound.at);
                        met += 1;
                    }
                }
            }
        }
        assert!(met > 1000, "{met}");
    }

    /// Over every chord of the library: neighbours of a line that lie a tone apart stand on two letters,
    /// and no sharp ninth stands for a note that the key has a name for.
    #[test]
    fn lines_are_spelled_as_they_are_read() {
        let (mut pairs, mut ninths) = (0, 0);
        for (name, text) in crate::drill::library::all() {
            let sketch = DrillSketch::of(&Template::parse(text, name).unwrap());
            for line in sketch.lines.iter() {
                let single = line.iter().filter(|sound| sound.intervals.len() == 1);
                let single: Vec<&StruckSound> = single.collect();
                for sound in &single {
                    let plan = &sketch.chords[sound.chord].plan;
                    if sketch.chords[sound.chord].laid.all().any(|it| it == sound.intervals[0]) {
                        continue;
                    }
                    ninths += 1;
                    let note = sound.intervals[0];
                    assert_eq!(plan.named_by_key(note), note, "{name} at {}", sound.at);
                }
                for pair in single.windows(2).filter(|pair| pair[0].chord == pair[1].chord) {
                    let [one, next] = [pair[0].intervals[0], pair[1].intervals[0]];
                    let apart = (one.semitones - next.semitones).abs();
                    assert!(one.steps != next.steps || apart < 2, "{name} at {}", pair[1].at);
                    let is_foreign = !sketch.chords[pair[0].chord].plan.knows(one);
                    let leads = !is_foreign || one.steps != next.steps || apart == 0;
                    assert!(leads, "{name} at {}", pair[0].at);
                    pairs += 1;
                }
            }
        }
        assert!(pairs > 1000 && ninths > 1000, "{pairs} {ninths}");
    }
}
