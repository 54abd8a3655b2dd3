//! What stands over and under notes: fingers, staccato dots, fermatas.

use crate::ink::Glyph;
use crate::music::Column;
use crate::reader::Reader;

impl Reader {
    /// Fingers, staccato dots and fermatas go to the column over or under which they stand; the
    /// left hand's fingers may also stand at the left of their chord's stem.
    pub(crate) fn dress(&self, columns: &mut [Column], hand: usize) -> Result<(), String> {
        let mut digits: Vec<Glyph> = self.of(|meaning| ("\u{ED10}".."\u{ED16}").contains(&meaning));
        digits.sort_by(|a, b| a.at.y.total_cmp(&b.at.y));
        for digit in digits {
            let right_side = (hand == 0) == (digit.at.y > self.staff.middle);
            let beside = |columns: &[Column]| {
                let right = digit.at.x + digit.advance;
                let stands = |gap: f64| (0.2..0.7).contains(&(gap / self.staff.space));
                columns.iter().position(|column| hand == 1 && stands(column.x - right))
            };
            let index = self.under(columns, &digit).or_else(|| beside(columns));
            let Some(index) = index.filter(|_| right_side) else {
                return Err(format!("a finger at x {:.1} belongs to no note", digit.at.x));
            };
            let number = digit.meaning.chars().next().expect("a digit") as u32 - 0xED10;
            columns[index].fingers.push(number as u8);
        }
        for glyph in self.of(|meaning| ("\u{E4A2}".."\u{E4A4}").contains(&meaning)) {
            let index = self.under(columns, &glyph).ok_or("a staccato dot over nothing")?;
            columns[index].staccato = true;
        }
        for glyph in self.of(|meaning| ("\u{E4C0}".."\u{E4C2}").contains(&meaning)) {
            let index = self.under(columns, &glyph).ok_or("a fermata over nothing")?;
            columns[index].fermata = true;
        }
        Ok(())
    }

    /// The column nearest under or over a sign, of those whose heads it is centred on.
    fn under(&self, columns: &[Column], glyph: &Glyph) -> Option<usize> {
        let centre = glyph.at.x + glyph.advance / 2.0;
        let off = |column: &Column| {
            let middles = column.heads.iter().map(|head| (head.x + head.right) / 2.0);
            middles.map(|x| (x - centre).abs()).fold(f64::INFINITY, f64::min)
        };
        let nearest =
            (0..columns.len()).min_by(|a, b| off(&columns[*a]).total_cmp(&off(&columns[*b])))?;
        (off(&columns[nearest]) < 0.7 * self.staff.space).then_some(nearest)
    }
}
