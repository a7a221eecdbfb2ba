//! The coded bits of a lossless JPEG (ITU-T T.81, annexes C, F.2.2 and H.1.2).

/// Codes up to this length are found in one step; longer ones are rare.
const FAST: u8 = 11;

/// A Huffman code for the sizes of differences.
#[derive(Debug)]
pub(super) struct Table {
    /// By the next bits: the code's length in the high byte, its symbol in the low; 0 where it is longer.
    fast: Vec<u16>,
    /// For each length, the first code beyond those of this length, aligned to 16 bits, and what leads from a code to
    /// its symbol's place.
    long: [(u32, i32); 17],
    symbols: Vec<u8>,
}

impl Table {
    /// The code with so many symbols of each length; `None` where these make no code.
    pub(super) fn new(counts: &[u8; 16], symbols: &[u8]) -> Option<Self> {
        let mut fast = vec![0_u16; 1 << FAST];
        let mut long = [(0, 0); 17];
        let (mut code, mut place) = (0_u32, 0_usize);
        for (length, count) in (1_u8..).zip(counts) {
            let first_place = i32::try_from(place).ok()? - i32::try_from(code).ok()?;
            for _ in 0..*count {
                let symbol = *symbols.get(place)?;
                // A difference of 16 bits has no more than 16 (H.1.2.2).
                if symbol > 16 || code >> length != 0 {
                    return None;
                }
                if length <= FAST {
                    let from = (code as usize) << (FAST - length);
                    let to = from + (1 << (FAST - length));
                    let entry = u16::from(length) << 8 | u16::from(symbol);
                    fast.get_mut(from..to)?.fill(entry);
                }
                code += 1;
                place += 1;
            }
            *long.get_mut(usize::from(length))? = (code << (16 - length), first_place);
            code <<= 1;
        }
        Some(Self { fast, long, symbols: symbols.to_vec() })
    }

    /// The length and symbol of a code too long for the fast table.
    #[cold]
    fn longer(&self, next: u32) -> Option<(u8, u8)> {
        let lengths = (FAST + 1..=16).zip(self.long.iter().skip(usize::from(FAST) + 1));
        for (length, (beyond, first_place)) in lengths {
            if next < *beyond {
                let code = i32::try_from(next >> (16 - length)).ok()?;
                let symbol = self.symbols.get(usize::try_from(code + first_place).ok()?)?;
                return Some((length, *symbol));
            }
        }
        None
    }
}

/// The sample predicted from its neighbours to the left, above and between them (table H.1), modulo 2^16.
#[inline]
pub(super) fn predicted(predictor: u8, left: u16, up: u16, corner: u16) -> u16 {
    let (a, b, c) = (i32::from(left), i32::from(up), i32::from(corner));
    let value = match predictor {
        1 => a,
        2 => b,
        3 => c,
        4 => a + b - c,
        5 => a + ((b - c) >> 1),
        6 => b + ((a - c) >> 1),
        _ => (a + b) >> 1,
    };
    // Modulo 2^16 is what is meant.
    let [low, high, ..] = value.to_le_bytes();
    u16::from_le_bytes([low, high])
}

/// Coded bits, without the zeros that stand after 0xFF.
pub(super) struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
    /// The next bits, the first in the highest place.
    held: u64,
    /// How many bits of `held` count.
    count: u32,
    /// How many zeros were put behind the end of the data.
    beyond: u32,
}

impl<'a> Bits<'a> {
    pub(super) const fn new(bytes: &'a [u8]) -> Self {
        Self { bytes, at: 0, held: 0, count: 0, beyond: 0 }
    }

    /// Fills up to at least 48 bits, with zeros where the data end.
    #[inline]
    fn fill(&mut self) {
        if self.count >= 48 {
            return;
        }
        // Four bytes at once where none of them is 0xFF.
        if self.count <= 32
            && let Some(four) = self.bytes.get(self.at..).and_then(|rest| rest.first_chunk::<4>())
        {
            let word = u32::from_be_bytes(*four);
            if (!word).wrapping_sub(0x0101_0101) & word & 0x8080_8080 == 0 {
                self.held |= u64::from(word) << (32 - self.count);
                self.count += 32;
                self.at += 4;
                if self.count >= 48 {
                    return;
                }
            }
        }
        self.fill_bytes();
    }

    fn fill_bytes(&mut self) {
        while self.count <= 56 {
            let byte = match self.bytes.get(self.at..) {
                Some([0xff, 0, ..]) => {
                    self.at += 2;
                    0xff
                }
                Some([byte, ..]) if *byte != 0xff => {
                    self.at += 1;
                    *byte
                }
                // A marker, or nothing at all.
                _ => {
                    self.beyond += 8;
                    0
                }
            };
            self.held |= u64::from(byte) << (56 - self.count);
            self.count += 8;
        }
    }

    /// The next difference; `None` where no code fits.
    #[inline]
    pub(super) fn difference(&mut self, table: &Table) -> Option<u16> {
        self.fill();
        let next = usize::try_from(self.held >> (64 - u32::from(FAST))).ok()?;
        let entry = *table.fast.get(next)?;
        let [size, length] = entry.to_le_bytes();
        let (length, size) =
            if entry == 0 { table.longer(u32::try_from(self.held >> 48).ok()?)? } else { (length, size) };
        let code = u32::from(length);
        if size == 16 {
            // Of 16 bits only one difference is left, which needs none of them.
            self.skip(code);
            return Some(0x8000);
        }
        let size = u32::from(size);
        // The bits after the code; below half their range they stand for a negative difference (F.2.2.1).
        let behind = (self.held << code) >> 32;
        let value = (behind >> (32 - size)) & 0xffff;
        let negative = behind >> 31 == 0 && size > 0;
        let difference = if negative { value.wrapping_sub((1 << size) - 1) } else { value };
        self.skip(code + size);
        let [low, high, ..] = difference.to_le_bytes();
        Some(u16::from_le_bytes([low, high]))
    }

    #[inline]
    const fn skip(&mut self, count: u32) {
        self.held <<= count;
        self.count -= count;
    }

    /// Whether bits were used that are not there.
    pub(super) const fn overdrawn(&self) -> bool {
        self.beyond > self.count
    }

    /// One row of one colour. `start` is the first prediction where the row begins anew.
    pub(super) fn row(
        &mut self,
        table: &Table,
        predictor: u8,
        start: Option<u16>,
        above: &[u16],
        here: &mut [u16],
    ) -> Option<()> {
        let (up, rest_above) = above.split_first()?;
        let (first, rest) = here.split_first_mut()?;
        *first = start.unwrap_or(*up).wrapping_add(self.difference(table)?);
        let (mut left, mut corner) = (*first, *up);
        if start.is_some() {
            for place in rest {
                left = left.wrapping_add(self.difference(table)?);
                *place = left;
            }
        } else {
            for (place, up) in rest.iter_mut().zip(rest_above) {
                let difference = self.difference(table)?;
                left = predicted(predictor, left, *up, corner).wrapping_add(difference);
                corner = *up;
                *place = left;
            }
        }
        Some(())
    }

    /// Goes on behind the restart marker that has to come next.
    pub(super) fn restart(&mut self) -> Option<()> {
        let consumed = self.consumed();
        let [0xff, 0xd0..=0xd7] = *self.bytes.get(consumed..consumed + 2)? else { return None };
        *self = Self { bytes: self.bytes, at: consumed + 2, held: 0, count: 0, beyond: 0 };
        Some(())
    }

    /// Where the marker behind the coded data stands, or where the data end.
    pub(super) fn consumed(&self) -> usize {
        // Held bits may have been read ahead, but never across a marker.
        let mut at = self.at;
        while let Some([byte, next, ..]) = self.bytes.get(at..) {
            if *byte == 0xff && *next != 0 && *next != 0xff {
                break;
            }
            at += 1;
        }
        at.min(self.bytes.len())
    }
}
