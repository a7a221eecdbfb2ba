//! A film in regions, each with its histogram and what local contrast makes of its grey values.

use crate::film::first_look::FirstLook;
use crate::film::picture::Picture;
use std::ops::{Range, RangeInclusive};
use std::sync::OnceLock;

/// How a film is divided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Division {
    /// Regions across and down; at least one each.
    pub regions: [u8; 2],
    /// The most bins of a histogram; at least one.
    pub most_bins: u32,
}

impl Default for Division {
    /// Eight regions across and eight down, as the publication has it: on a film of 30 × 40 mm each is about as wide as
    /// a root. 1,024 bins, which some thirty pixels share where a region has 34,000.
    fn default() -> Self {
        Self { regions: [8, 8], most_bins: 1024 }
    }
}

/// A film divided into regions, each with the histogram of its grey values, which is counted when it is first needed.
#[derive(Debug)]
pub struct Regions {
    pub(super) size: [u32; 2],
    pub(super) bits: u8,
    pub(super) across: u32,
    pub(super) down: u32,
    range: RangeInclusive<u16>,
    padding: Option<RangeInclusive<u16>>,
    /// Grey values to a bin are 2 to this power.
    shift: u32,
    bins: usize,
    pub(super) histograms: Vec<OnceLock<Vec<u32>>>,
}

impl Regions {
    /// Divides a picture. Grey values are spread within `range`; those of `padding` belong to no picture.
    pub fn new(
        picture: &Picture,
        division: Division,
        range: RangeInclusive<u16>,
        padding: Option<RangeInclusive<u16>>,
    ) -> Self {
        let most_bins = division.most_bins.max(1);
        let values = u32::from(range.end().saturating_sub(*range.start())) + 1;
        let mut shift = 0;
        while (values >> shift) + u32::from(values & ((1 << shift) - 1) != 0) > most_bins {
            shift += 1;
        }
        let bins = values.div_ceil(1 << shift) as usize;
        // A region has at least one pixel across and down.
        let [across, down] = division.regions.map(|count| u32::from(count.max(1)));
        let (across, down) = (across.min(picture.width()), down.min(picture.height()));
        let histograms = (0..across * down).map(|_| OnceLock::new()).collect();
        Self {
            size: [picture.width(), picture.height()],
            bits: picture.bits(),
            across,
            down,
            range,
            padding,
            shift,
            bins,
            histograms,
        }
    }

    /// Divides a film as it is by default: the grey values between the ends of its first look are spread.
    pub fn of(picture: &Picture, look: &FirstLook) -> Self {
        let window = look.window();
        let largest = f64::from(look.largest());
        // Held to the film's grey values.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
        let grey = |value: f64| value.clamp(0.0, largest).round() as u16;
        let range = grey(window.low)..=grey(window.high);
        Self::new(picture, Division::default(), range, look.padding().cloned())
    }

    /// How many grey values are spread.
    fn values(&self) -> u32 {
        u32::from(self.range.end().saturating_sub(*self.range.start())) + 1
    }

    /// The columns and rows of a region.
    fn part(&self, region: usize) -> [Range<u32>; 2] {
        // There are at most 255 times 255.
        let region = u32::try_from(region).unwrap_or(u32::MAX);
        let span = |at: u32, count: u32, length: u32| {
            let edge = |at: u32| u64::from(at) * u64::from(length) / u64::from(count);
            // Within the length.
            let edge = |at: u32| u32::try_from(edge(at)).unwrap_or(u32::MAX);
            edge(at)..edge(at + 1)
        };
        [
            span(region % self.across, self.across, self.size[0]),
            span(region / self.across, self.down, self.size[1]),
        ]
    }

    /// How often the grey values of each bin occur in a region.
    fn histogram(&self, picture: &Picture, region: usize) -> &[u32] {
        let Some(histogram) = self.histograms.get(region) else { return &[] };
        histogram.get_or_init(|| {
            let [columns, rows] = self.part(region);
            let columns = columns.start as usize..columns.end as usize;
            let mut counts = vec![0_u32; self.bins];
            let (first, values) = (*self.range.start(), self.values());
            let pads = self.padding.is_some();
            for row in rows.filter_map(|row| picture.row(row)?.get(columns.clone())) {
                for grey in row {
                    // Below the range it wraps to beyond its end.
                    let at = u32::from(grey.wrapping_sub(first));
                    if at < values
                        && !(pads && self.is_padding(*grey))
                        && let Some(count) = counts.get_mut((at >> self.shift) as usize)
                    {
                        *count += 1;
                    }
                }
            }
            counts
        })
    }

    fn is_padding(&self, grey: u16) -> bool {
        self.padding.as_ref().is_some_and(|padding| padding.contains(&grey))
    }

    /// How many of the grey values that are spread fall into a bin.
    fn width_of(&self, bin: usize) -> f64 {
        // There are at most 2^16 bins.
        let from = u32::try_from(bin).unwrap_or(u32::MAX) << self.shift;
        f64::from((self.values().saturating_sub(from)).min(1 << self.shift))
    }

    /// What a region makes of every grey value that its film can hold.
    pub(super) fn table(&self, picture: &Picture, region: usize, limit: f64) -> Vec<u16> {
        let largest = u16::MAX >> (16 - self.bits.clamp(1, 16));
        let mut table: Vec<u16> = (0..largest).collect();
        // The largest itself, and on to a length that rows are mixed by without a check.
        table.resize(table_length(self.bits), largest);
        let counts = self.histogram(picture, region);
        let widths: Vec<f64> = (0..counts.len()).map(|bin| self.width_of(bin)).collect();
        let shares = limited(counts, &widths, limit);
        let total: f64 = shares.iter().sum();
        if total <= 0.0 {
            return table;
        }
        let first = f64::from(*self.range.start());
        let end = (u64::from(*self.range.end()) + 1) << 16;
        // In 65536ths of a grey value. Each bin ends where the next begins, so what is greater never becomes less.
        let place = |sum: f64| {
            let place = (first + sum / total * f64::from(self.values())) * 65_536.0;
            // Between 0 and 2^32.
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
            let place = place as u64;
            place
        };
        let spread = table.get_mut(usize::from(*self.range.start())..).unwrap_or_default();
        let spread_length = (self.values() as usize).min(spread.len());
        let bins = spread.get_mut(..spread_length).unwrap_or_default().chunks_mut(1 << self.shift);
        let (mut sum, mut start) = (0.0, place(0.0));
        for (bin, share) in bins.zip(&shares) {
            sum += share;
            let next = place(sum);
            let step = (next - start) / (bin.len() as u64).max(1);
            // Below the end, and so below 2^32, unless nothing follows any more and the step is 0.
            let mut at = u32::try_from((start + step / 2).min(end - 1)).unwrap_or(u32::MAX);
            // Greater only for a bin of one grey value, which makes no second step.
            let step = u32::try_from(step).unwrap_or(u32::MAX);
            for grey in bin {
                let whole = (at >> 16) as u16;
                *grey = whole;
                at = at.wrapping_add(step);
            }
            start = next;
        }
        table
    }
}

/// A histogram none of whose bins holds more than the limit times what it would hold were all grey values as frequent;
/// what lies above is handed out evenly to the bins below, again and again, until none is above.
pub(super) fn limited(counts: &[u32], widths: &[f64], limit: f64) -> Vec<f64> {
    let total: f64 = counts.iter().map(|count| f64::from(*count)).sum();
    let values: f64 = widths.iter().sum();
    if total <= 0.0 || values <= 0.0 {
        return vec![0.0; counts.len()];
    }
    // For one grey value.
    let most = limit.max(1.0) * total / values;
    let mut added = 0.0;
    let mut full_before = None;
    loop {
        let (mut full, mut full_width, mut rest) = (0_usize, 0.0, 0.0);
        for (count, width) in counts.iter().zip(widths) {
            let count = f64::from(*count);
            if count + added * width >= most * width {
                full += 1;
                full_width += width;
            } else {
                rest += count;
            }
        }
        // More is added from pass to pass, so bins only become full; once none does, this is the end.
        if full_before == Some(full) || full == counts.len() {
            break;
        }
        full_before = Some(full);
        added = ((total - most * full_width - rest) / (values - full_width)).max(added);
    }
    counts
        .iter()
        .zip(widths)
        .map(|(count, width)| (f64::from(*count) + added * width).min(most * width))
        .collect()
}

/// The length of tables for a depth: a power of two, so that a grey value held to it needs no check.
pub(super) const fn table_length(bits: u8) -> usize {
    match bits {
        0..=8 => 1 << 8,
        9..=12 => 1 << 12,
        _ => 1 << 16,
    }
}
