//! Whether the packed pixels of a JPEG are all there (ISO/IEC 10918-1, annexes B, F and G).
//!
//! A decoder fills in what is missing, which prints grey. So all codes are counted here, without
//! being turned into pixels: those of each block of each scan must stand before the next marker.

/// Coefficients of a block.
const COEFFICIENTS: usize = 64;

/// What is known of the packed pixels by the markers read so far.
#[derive(Default)]
pub(super) struct Scans {
    is_progressive: bool,
    width: usize,
    height: usize,
    components: Vec<Component>,
    /// Tables of codes, for the first coefficient of blocks and for the others.
    tables: [[Option<Codes>; 4]; 2],
    /// Blocks in a row are counted anew after so many groups of them, if after any.
    restart: usize,
}

/// A component of all pixels: brightness or a colour.
struct Component {
    id: u8,
    /// Its blocks in the smallest group of blocks that has some of each component.
    across: usize,
    down: usize,
    /// Which coefficients of each of its blocks are not zero, as far as scans have told; only a
    /// picture that comes from coarse to fine has to remember.
    known: Vec<u64>,
    /// Which coefficients the scans so far have told to their last bit.
    told: u64,
}

/// What a scan tells of blocks.
#[derive(Clone, Copy)]
struct Band {
    first: usize,
    last: usize,
    /// Whether it adds a bit to what an earlier scan told.
    refines: bool,
    /// Whether it tells them to their last bit.
    is_last: bool,
}

impl Band {
    /// A bit for each of its coefficients.
    fn bits(self) -> u64 {
        u64::MAX >> (COEFFICIENTS - 1 - self.last) & u64::MAX << self.first
    }
}

impl Scans {
    /// A start of frame. The size has been checked. Errors if its components cannot be.
    pub(super) fn frame(
        &mut self,
        is_progressive: bool,
        size: (u16, u16),
        parts: &[u8],
    ) -> ScanTold {
        (self.is_progressive, self.components) = (is_progressive, Vec::new());
        (self.width, self.height) = (size.0.into(), size.1.into());
        for part in parts.chunks_exact(3) {
            let (across, down) = (usize::from(part[1] >> 4), usize::from(part[1] & 15));
            if !(1..=4).contains(&across) || !(1..=4).contains(&down) {
                return None;
            }
            self.components.push(Component {
                id: part[0],
                across,
                down,
                known: Vec::new(),
                told: 0,
            });
        }
        // More than four are no picture for a printer.
        (1..=4).contains(&self.components.len()).then_some(())
    }

    /// Tables of codes.
    pub(super) fn tables(&mut self, mut segment: &[u8]) -> ScanTold {
        while let [place, rest @ ..] = segment {
            let (lengths, rest) = rest.split_at_checked(16)?;
            let count = lengths.iter().map(|length| usize::from(*length)).sum();
            let (symbols, rest) = rest.split_at_checked(count)?;
            let table = self.tables.get_mut(usize::from(place >> 4))?;
            *table.get_mut(usize::from(place & 15))? = Some(Codes::of(lengths, symbols));
            segment = rest;
        }
        Some(())
    }

    /// After how many groups of blocks a marker stands.
    pub(super) fn restart(&mut self, segment: &[u8]) -> ScanTold {
        let two = segment.get(..2)?;
        self.restart = usize::from(two[0]) << 8 | usize::from(two[1]);
        Some(())
    }

    /// Counts the codes of a scan, whose head is `segment`, in the data behind it.
    pub(super) fn scan(&mut self, segment: &[u8], data: &[u8]) -> ScanTold {
        let count = usize::from(*segment.first()?);
        let (parts, rest) = segment[1..].split_at_checked(2 * count)?;
        let &[first, last, bits, ..] = rest else { return None };
        let band = if self.is_progressive {
            let (refines, is_last) = (bits >> 4 > 0, bits & 15 == 0);
            Band { first: first.into(), last: last.into(), refines, is_last }
        } else {
            Band { first: 0, last: COEFFICIENTS - 1, refines: false, is_last: true }
        };
        let is_dc = band.first == 0;
        // Beside others a component tells its first coefficients alone.
        let is_sound = band.first <= band.last
            && band.last < COEFFICIENTS
            && (!self.is_progressive || is_dc == (band.last == 0))
            && (count == 1 || is_dc);
        if !is_sound {
            return None;
        }
        let mut scanned = Vec::new();
        for part in parts.chunks_exact(2) {
            let index = self.components.iter().position(|own| own.id == part[0])?;
            scanned.push((index, usize::from(part[1] >> 4), usize::from(part[1] & 15)));
        }
        self.count(&scanned, band, data)?;
        for (index, ..) in scanned {
            self.components[index].told |= if band.is_last { band.bits() } else { 0 };
        }
        Some(())
    }

    /// Whether the scans have told all of each component.
    pub(super) fn is_whole(&self) -> bool {
        self.components.iter().all(|own| own.told == u64::MAX)
    }

    /// Counts the codes of some components, each with the numbers of its two tables.
    fn count(&mut self, scanned: &[(usize, usize, usize)], band: Band, data: &[u8]) -> ScanTold {
        let Self { tables: [dc, ac], components, is_progressive, .. } = self;
        let most_across = components.iter().map(|own| own.across).max()?;
        let most_down = components.iter().map(|own| own.down).max()?;
        let groups_across = self.width.div_ceil(8 * most_across);
        let groups_down = self.height.div_ceil(8 * most_down);
        let is_alone = scanned.len() == 1;
        let (across, down) = match scanned {
            [(index, ..)] => {
                let own = &components[*index];
                let width = (self.width * own.across).div_ceil(most_across);
                let height = (self.height * own.down).div_ceil(most_down);
                (width.div_ceil(8), height.div_ceil(8))
            }
            _ => (groups_across, groups_down),
        };
        let mut bits = ScanBits { data, next: 0, count: 0 };
        let mut run = 0;
        for group in 0..across * down {
            if self.restart > 0 && group > 0 && group.is_multiple_of(self.restart) {
                bits.restart()?;
                run = 0;
            }
            for (index, dc_table, ac_table) in scanned {
                let own = &mut components[*index];
                let stride = groups_across * own.across;
                let codes = (dc.get(*dc_table)?.as_ref(), ac.get(*ac_table)?.as_ref());
                if !*is_progressive {
                    let blocks = if is_alone { 1 } else { own.across * own.down };
                    for _ in 0..blocks {
                        bits.block(codes.0?, codes.1?)?;
                    }
                } else if band.first > 0 {
                    own.known.resize(stride * groups_down * own.down, 0);
                    let place = group / across * stride + group % across;
                    bits.later(codes.1?, band, &mut run, own.known.get_mut(place)?)?;
                } else {
                    let blocks = if is_alone { 1 } else { own.across * own.down };
                    for _ in 0..blocks {
                        if band.refines { bits.skip(1)? } else { bits.first(codes.0?)? }
                    }
                }
            }
        }
        Some(())
    }
}

/// Nothing, or else what was looked for is not there.
type ScanTold = Option<()>;

/// A table of codes (annex C).
struct Codes {
    /// How many there are of each length from 1, and what they stand for.
    lengths: Vec<u8>,
    symbols: Vec<u8>,
    /// By eight bits, how long the code is that they begin with and what it stands for; no length
    /// where it is longer.
    short: Vec<(u8, u8)>,
}

impl Codes {
    fn of(lengths: &[u8], symbols: &[u8]) -> Self {
        let mut short = Vec::with_capacity(256);
        let mut left = symbols.iter();
        for (length, count) in (1..=8).zip(lengths) {
            for symbol in left.by_ref().take((*count).into()) {
                let many = 1_usize << (8 - length);
                short.extend(std::iter::repeat_n((length, *symbol), many));
            }
        }
        short.resize(256, (0, 0));
        Self { lengths: lengths.to_vec(), symbols: symbols.to_vec(), short }
    }
}

/// The bits of a scan, up to the next marker.
struct ScanBits<'a> {
    data: &'a [u8],
    /// The next bits, at its lower end, and how many they are.
    next: u64,
    count: usize,
}

impl ScanBits<'_> {
    /// Has as many bits ready as there is room for.
    fn fill(&mut self) {
        while self.count <= 56 {
            let byte = match self.data {
                // A byte that looks like the beginning of a marker is followed by a zero.
                [0xff, 0, rest @ ..] => {
                    self.data = rest;
                    0xff
                }
                [0xff, ..] | [] => return,
                [byte, rest @ ..] => {
                    self.data = rest;
                    *byte
                }
            };
            self.next = self.next << 8 | u64::from(byte);
            self.count += 8;
        }
    }

    /// A number of up to 32 bits.
    fn number(&mut self, bits: usize) -> Option<usize> {
        if self.count < bits {
            self.fill();
        }
        self.count = self.count.checked_sub(bits)?;
        Some((self.next >> self.count & ((1 << bits) - 1)) as usize)
    }

    fn skip(&mut self, bits: usize) -> ScanTold {
        self.number(bits / 2)?;
        self.number(bits - bits / 2).map(|_| ())
    }

    /// The next symbol (annex F.2.2.3).
    fn symbol(&mut self, codes: &Codes) -> Option<usize> {
        if self.count < 16 {
            self.fill();
        }
        if self.count >= 8 {
            let (length, symbol) = codes.short[(self.next >> (self.count - 8) & 0xff) as usize];
            if length > 0 {
                self.count -= usize::from(length);
                return Some(symbol.into());
            }
        }
        let (mut code, mut first, mut index) = (0, 0, 0);
        for count in &codes.lengths {
            code = code << 1 | self.number(1)?;
            let count = usize::from(*count);
            if code < first + count {
                return codes.symbols.get(index + code - first).map(|symbol| (*symbol).into());
            }
            index += count;
            first = (first + count) << 1;
        }
        None
    }

    /// Goes to the next marker, which counts groups.
    fn restart(&mut self) -> ScanTold {
        self.count = 0;
        loop {
            let next = memchr::memchr(0xff, self.data)?;
            self.data = &self.data[next + 1..];
            match self.data.first()? {
                0xd0..=0xd7 => break,
                0x00 | 0xff => {}
                _ => return None,
            }
        }
        self.data = &self.data[1..];
        Some(())
    }

    /// The first coefficient of a block.
    fn first(&mut self, codes: &Codes) -> ScanTold {
        let bits = self.symbol(codes)?;
        if bits <= 16 { self.skip(bits) } else { None }
    }

    /// A whole block (annex F.2.2).
    fn block(&mut self, dc: &Codes, ac: &Codes) -> ScanTold {
        self.first(dc)?;
        let mut place = 1;
        while place < COEFFICIENTS {
            match self.symbol(ac)? {
                0xf0 => place += 16,
                symbol if symbol & 15 == 0 => break,
                symbol => {
                    place += (symbol >> 4) + 1;
                    self.skip(symbol & 15)?;
                }
            }
        }
        Some(())
    }

    /// Later coefficients of a block of a picture that comes from coarse to fine (annex G.1.2.2,
    /// G.1.2.3). `run` is how many blocks from here on have no more in this scan.
    fn later(&mut self, ac: &Codes, band: Band, run: &mut usize, known: &mut u64) -> ScanTold {
        let mut place = band.first;
        while *run == 0 && place <= band.last {
            let symbol = self.symbol(ac)?;
            let (mut zeros, size) = (symbol >> 4, symbol & 15);
            if size == 0 && zeros < 15 {
                *run = (1 << zeros) + self.number(zeros)?;
                break;
            }
            let is_new = size > 0;
            if band.refines {
                self.skip(usize::from(is_new))?;
                while place <= band.last {
                    if *known >> place & 1 == 1 {
                        self.skip(1)?;
                    } else if zeros == 0 {
                        break;
                    } else {
                        zeros -= 1;
                    }
                    place += 1;
                }
            } else {
                place += zeros;
                self.skip(size)?;
            }
            if is_new && place < COEFFICIENTS {
                *known |= 1 << place;
            }
            place += 1;
        }
        if *run > 0 {
            *run -= 1;
            if band.refines && place <= band.last {
                let rest = Band { first: place, ..band }.bits();
                self.skip((*known & rest).count_ones() as usize)?;
            }
        }
        Some(())
    }
}
