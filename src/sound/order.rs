//! The order in which the bars of a score are heard: repeats and their endings played out.

use crate::score::{Ending, Score};

/// The bars of a score by index, as they are heard.
pub(super) fn bars_as_heard(score: &Score) -> Vec<usize> {
    let signs = &score.signs;
    let ending_of = |bar: usize| signs.endings.iter().position(|it| it.bars.contains(&bar));
    let mut heard = Vec::new();
    let (mut bar, mut start, mut round) = (0, 0, 1_u8);
    while bar < score.bars.len() {
        if bar != start && score.barline_before(bar).begins_repeat() {
            (start, round) = (bar, 1);
        }
        let ending = ending_of(bar);
        if let Some(ending) = ending.map(|index| &signs.endings[index])
            && !ending.rounds.contains(&round)
        {
            bar = ending.bars.end;
            continue;
        }
        heard.push(bar);
        bar += 1;
        if score.barline_before(bar).ends_repeat() {
            let told = signs.times.get(&bar).copied().unwrap_or(2);
            let rounds = ending.map_or(told, |index| rounds_of(&signs.endings, index));
            if round < rounds {
                round += 1;
                bar = start;
            } else {
                (start, round) = (bar, 1);
            }
        } else if ending.is_some()
            && ending_of(bar) != ending
            && is_last_round(score, ending, round)
        {
            (start, round) = (bar, 1);
        }
    }
    heard
}

/// How many rounds a repeat has that an ending belongs to: endings that stand side by side share
/// it.
fn rounds_of(endings: &[Ending], index: usize) -> u8 {
    let mut rounds = 2;
    let mut first = index;
    while first > 0 && endings[first - 1].bars.end == endings[first].bars.start {
        first -= 1;
    }
    for (place, ending) in endings.iter().enumerate().skip(first) {
        if place > first && endings[place - 1].bars.end != ending.bars.start {
            break;
        }
        rounds = rounds.max(ending.rounds.last().copied().unwrap_or(1));
    }
    rounds
}

/// Whether nothing of a repeat is left after an ending that was heard in a round.
fn is_last_round(score: &Score, ending: Option<usize>, round: u8) -> bool {
    ending.is_some_and(|index| round >= rounds_of(&score.signs.endings, index))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drill::{self, Choices, Template};
    use crate::score::{Barline, Signs};

    /// A score of so many bars with signs of form.
    fn with(bars: usize, signs: Signs) -> Score {
        let text = "name = \"own\"\ntitle = \"Own\"\nmetre = \"4/4\"\n[[passage]]\ndegrees = [1]\n\
                    beats = 4\nnote = \"quarter\"\nfigure = \"1 3 5 7\"\nvoicing = \"close\"\n\
                    comping = \"on-beat\"\n";
        let template = Template::parse(text, "own").unwrap();
        let one = drill::realise(&template, "C".parse().unwrap(), Choices::default());
        Score { bars: vec![one.bars[0].clone(); bars], signs, ..one }
    }

    fn heard(
        bars: usize,
        barlines: &[(usize, Barline)],
        endings: &[(usize, usize, &[u8])],
    ) -> Vec<usize> {
        let endings = endings.iter().map(|(from, to, rounds)| Ending {
            bars: *from..*to,
            rounds: rounds.to_vec(),
            is_open: false,
        });
        let signs = Signs {
            barlines: barlines.iter().copied().collect(),
            endings: endings.collect(),
            ..Signs::default()
        };
        bars_as_heard(&with(bars, signs))
    }

    /// A repeat is played as often as is said of it, and the next one as often as of that.
    #[test]
    fn repeats_are_played_as_often_as_is_said() {
        for times in 2..=9_u8 {
            let ends = |bar| (bar, Barline::RepeatEnd);
            let signs = Signs {
                barlines: [ends(2), ends(3)].into(),
                times: [(2, times)].into(),
                ..Signs::default()
            };
            let heard = bars_as_heard(&with(4, signs));
            let of = |bar: usize| heard.iter().filter(|it| **it == bar).count();
            let own = usize::from(times);
            assert_eq!([0, 1, 2, 3].map(of), [own, own, 2, 1], "{times}");
        }
    }

    #[test]
    fn repeats_and_endings_are_played_out() {
        use Barline::{RepeatBegin, RepeatBoth, RepeatEnd};
        assert_eq!(heard(3, &[], &[]), [0, 1, 2]);
        assert_eq!(heard(3, &[(2, RepeatEnd)], &[]), [0, 1, 0, 1, 2]);
        assert_eq!(heard(3, &[(1, RepeatBegin), (3, RepeatEnd)], &[]), [0, 1, 2, 1, 2]);
        assert_eq!(heard(3, &[(1, RepeatBoth), (3, RepeatEnd)], &[]), [0, 0, 1, 2, 1, 2]);
        let two = [(1, 2, &[1][..]), (2, 3, &[2])];
        assert_eq!(heard(4, &[(2, RepeatEnd)], &two), [0, 1, 0, 2, 3]);
        let three = [(1, 2, &[1, 2][..]), (2, 3, &[3])];
        assert_eq!(heard(3, &[(2, RepeatEnd)], &three), [0, 1, 0, 1, 0, 2]);
        let each = [(1, 2, &[1][..]), (2, 3, &[2]), (3, 4, &[3])];
        assert_eq!(heard(4, &[(2, RepeatEnd), (3, RepeatEnd)], &each), [0, 1, 0, 2, 0, 3]);
        // A repeat behind the endings of another one starts where it begins, or behind them.
        let begun = [(2, RepeatEnd), (3, RepeatBegin), (4, RepeatEnd)];
        assert_eq!(heard(5, &begun, &two), [0, 1, 0, 2, 3, 3, 4]);
        assert_eq!(heard(5, &[(2, RepeatEnd), (4, RepeatEnd)], &two), [0, 1, 0, 2, 3, 3, 4]);
    }
}
