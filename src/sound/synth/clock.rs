//! From pulses to seconds.

use super::SoundError;
use super::{FASTEST, SLOWEST};
use crate::sound::{PULSES, Pulses, Tempo};

/// When each pulse of a performance sounds.
#[derive(Debug)]
pub(super) struct PulseClock {
    /// From a pulse on: the second it sounds at, and how many seconds a pulse takes.
    pieces: Vec<(Pulses, f64, f64)>,
}

impl PulseClock {
    /// Errors where there is no tempo, or one that nobody plays.
    pub(super) fn new(tempi: &[Tempo]) -> Result<Self, SoundError> {
        let mut pieces: Vec<(Pulses, f64, f64)> = Vec::with_capacity(tempi.len());
        for tempo in tempi {
            if !(SLOWEST..=FASTEST).contains(&tempo.quarters) {
                return Err(SoundError::Tempo { quarters: tempo.quarters, at: tempo.at });
            }
            let a_pulse = 60.0 / (tempo.quarters * f64::from(PULSES));
            // The first tempo holds from the first pulse, wherever it stands.
            let begun = pieces.last().map_or((0, 0.0), |&(at, second, a_pulse)| {
                (tempo.at, second + a_pulse * f64::from(tempo.at.saturating_sub(at)))
            });
            pieces.push((begun.0, begun.1, a_pulse));
        }
        if pieces.is_empty() { Err(SoundError::NoTempo) } else { Ok(Self { pieces }) }
    }

    /// The second at which a pulse sounds.
    pub(super) fn seconds(&self, at: Pulses) -> f64 {
        let piece = self.pieces.partition_point(|&(from, ..)| from <= at).saturating_sub(1);
        let (from, second, a_pulse) = self.pieces[piece];
        second + a_pulse * f64::from(at - from)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tempi_follow_one_another_without_a_gap() {
        let tempo = |at, quarters| Tempo { at, quarters };
        let clock =
            PulseClock::new(&[tempo(0, 60.0), tempo(960, 120.0), tempo(1920, 30.0)]).unwrap();
        for (pulse, second) in
            [(0, 0.0), (480, 1.0), (960, 2.0), (1440, 2.5), (1920, 3.0), (2400, 5.0)]
        {
            assert!((clock.seconds(pulse) - second).abs() < 1e-9, "pulse {pulse}");
        }
        assert!(matches!(PulseClock::new(&[]), Err(SoundError::NoTempo)));
        for quarters in [0.0, -3.0, 9.9, 601.0, f64::NAN, f64::INFINITY] {
            let refused = PulseClock::new(&[tempo(0, 60.0), tempo(7, quarters)]);
            assert!(matches!(refused, Err(SoundError::Tempo { at: 7, .. })), "{quarters}");
        }
    }
}
