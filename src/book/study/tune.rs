//! A tune as it is to be printed.

use crate::canvas::paper::{Orientation, Paper};
use crate::chart::{Analysis, Chart, Horn};
use crate::theory::{ChordStyle, Key, NumeralStyle};

/// A tune as somebody reads it.
#[derive(Clone, Copy, Debug)]
pub struct ReaderTune<'a> {
    /// Its chart, in the key that is read.
    pub chart: &'a Chart,
    /// What its changes say of keys, in the key that is read.
    pub analysis: Option<&'a Analysis>,
    /// Who reads it, if an instrument in another key.
    pub horn: Option<Horn>,
    /// The key that sounds then.
    pub sounding: Option<Key>,
}

impl ReaderTune<'_> {
    /// The home key: what the teacher says, or else the analysis.
    pub fn home(&self) -> Option<Key> {
        self.chart.key.or(self.analysis.map(|analysis| analysis.home))
    }
}

/// How a chart is printed.
#[derive(Clone, Copy, Debug, Default)]
pub struct ChartLook {
    /// The paper.
    pub paper: Paper,
    /// Which side of it is up.
    pub orientation: Orientation,
    /// How symbols are written.
    pub symbols: ChordStyle,
    /// What of numerals is printed.
    pub numerals: NumeralStyle,
}
