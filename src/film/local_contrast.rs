//! Local contrast: contrast-limited adaptive histogram equalisation (K. Zuiderveld, "Contrast Limited Adaptive Histogram
//! Equalization", in P. Heckbert (ed.), Graphics Gems IV, 1994, pages 474 to 485).
//!
//! The film is divided into regions. In each, grey values that many pixels have are spread and those that few have are
//! moved together, by the running sum of the region's histogram; but no grey value is spread more than the limit allows.
//! Between the middles of regions the outcomes of the four around a pixel are mixed bilinearly.
//!
//! Three things go beyond the publication. Its repeated passes, which hand out what lies above the limit, are carried to
//! their end, so that the limit holds exactly and a limit of 1 changes nothing. Only grey values within the range given
//! are spread, and stay within it; all others stay as they are and do not count. And the running sum is a straight line
//! within a bin, so that every grey value of a deep film keeps a place of its own however few bins there are.
//!
//! It is a way to look at a film: nothing is measured on it.

use super::bands::{in_bands, threads_for};
use super::first_look::FirstLook;
use super::picture::Picture;
use std::ops::{Range, RangeInclusive};
use std::sync::OnceLock;

/// Whether and how strongly local contrast is raised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LocalContrast {
    /// Whether it is.
    pub is_on: bool,
    /// How many times as much contrast as before any two neighbouring grey values get at most, within
    /// [`LOCAL_LIMIT`]; 1 changes nothing.
    pub limit: f64,
}

impl Default for LocalContrast {
    /// Off. The limit of 2.5 shows the bone's mesh beside a bright post and leaves grain bearable, by the eye on
    /// sample films.
    fn default() -> Self {
        Self { is_on: false, limit: 2.5 }
    }
}

/// The least and the greatest limit of contrast that is offered.
pub const LOCAL_LIMIT: RangeInclusive<f64> = 1.0..=8.0;

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

/// Some pixels of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cut {
    /// First column and row.
    pub from: [u32; 2],
    /// Columns and rows.
    pub size: [u32; 2],
}

impl Cut {
    /// A whole picture.
    pub const fn whole(picture: &Picture) -> Self {
        Self { from: [0, 0], size: [picture.width(), picture.height()] }
    }

    /// The same and so many pixels more on every side, as far as a picture goes.
    pub fn grown(self, by: u32, picture: &Picture) -> Self {
        let grown = |axis: fn([u32; 2]) -> u32, length: u32| {
            let from = axis(self.from).saturating_sub(by);
            let end = axis(self.from).saturating_add(axis(self.size)).saturating_add(by).min(length);
            (from, end.saturating_sub(from))
        };
        let (left, width) = grown(|it| it[0], picture.width());
        let (top, height) = grown(|it| it[1], picture.height());
        Self { from: [left, top], size: [width, height] }
    }

    /// Its pixels, rows top down; zero where it reaches beyond the picture.
    pub fn of(self, picture: &Picture) -> Vec<u16> {
        let [width, height] = self.size.map(|length| length as usize);
        let mut grey = vec![0; width * height];
        for (row, pixels) in (self.from[1]..).zip(grey.chunks_mut(width.max(1))) {
            let row = picture.row(row).and_then(|row| row.get(self.from[0] as usize..)).unwrap_or_default();
            pixels.iter_mut().zip(row).for_each(|(pixel, grey)| *pixel = *grey);
        }
        grey
    }
}

/// A film divided into regions, each with the histogram of its grey values, which is counted when it is first needed.
#[derive(Debug)]
pub struct Regions {
    size: [u32; 2],
    bits: u8,
    across: u32,
    down: u32,
    range: RangeInclusive<u16>,
    padding: Option<RangeInclusive<u16>>,
    /// Grey values to a bin are 2 to this power.
    shift: u32,
    bins: usize,
    histograms: Vec<OnceLock<Vec<u32>>>,
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
    fn table(&self, picture: &Picture, region: usize, limit: f64) -> Vec<u16> {
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
fn limited(counts: &[u32], widths: &[f64], limit: f64) -> Vec<f64> {
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
const fn table_length(bits: u8) -> usize {
    match bits {
        0..=8 => 1 << 8,
        9..=12 => 1 << 12,
        _ => 1 << 16,
    }
}

/// Local contrast at one limit, region by region as they are needed.
#[derive(Debug)]
pub struct Equaliser {
    limit: f64,
    tables: Vec<OnceLock<Vec<u16>>>,
}

/// The whole way from the middle of a region to that of the next.
const WHOLE: u32 = 1 << 16;

/// Where a column or row lies between the middles of regions.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Between {
    before: usize,
    after: usize,
    /// How far on the way from the one before to the one after, in parts of [`WHOLE`].
    part: u32,
}

impl Between {
    /// Columns or rows `from..from + count` of a level, whose `level_length` pixels show `length` pixels of the film
    /// in `regions` regions.
    fn all(from: u32, count: u32, reduction: f64, length: u32, regions: u32) -> Vec<Self> {
        let per_region = f64::from(length) / f64::from(regions);
        let last = regions.saturating_sub(1);
        (from..from.saturating_add(count))
            .map(|at| {
                let place = (f64::from(at) + 0.5) * reduction / per_region - 0.5;
                let place = place.clamp(0.0, f64::from(last));
                // Between 0 and the last region.
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
                let before = place as u32;
                // Between 0 and the whole.
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "see above")]
                let part = ((place - f64::from(before)) * f64::from(WHOLE)).round() as u32;
                Self { before: before as usize, after: (before + 1).min(last) as usize, part }
            })
            .collect()
    }
}

impl Equaliser {
    /// Local contrast of a divided film at a limit.
    pub fn new(regions: &Regions, limit: f64) -> Self {
        Self { limit, tables: regions.histograms.iter().map(|_| OnceLock::new()).collect() }
    }

    /// The grey values of a cut of a film, or of the film reduced 2^`level` times, with local contrast. Only regions that
    /// the cut touches are computed.
    pub fn cut(
        &self,
        regions: &Regions,
        film: &Picture,
        reduced: &Picture,
        level: u32,
        cut: Cut,
    ) -> Vec<u16> {
        let pixels = cut.size[0] as usize * cut.size[1] as usize;
        self.cut_in_threads(regions, film, reduced, level, cut, threads_for(pixels))
    }

    /// The same in so many threads.
    pub fn cut_in_threads(
        &self,
        regions: &Regions,
        film: &Picture,
        reduced: &Picture,
        level: u32,
        cut: Cut,
        threads: usize,
    ) -> Vec<u16> {
        // A film is reduced some thirty times at most.
        let reduction = f64::from(1_u32 << level.min(31));
        let columns = Between::all(cut.from[0], cut.size[0], reduction, regions.size[0], regions.across);
        let rows = Between::all(cut.from[1], cut.size[1], reduction, regions.size[1], regions.down);
        let span = |all: &[Between]| {
            let first = all.first().map_or(0, |it| it.before);
            first..all.last().map_or(0, |it| it.after + 1)
        };
        let across = regions.across as usize;
        let mut needed: Vec<usize> = span(&rows)
            .flat_map(|row| span(&columns).map(move |column| row * across + column))
            .filter(|region| self.tables.get(*region).is_some_and(|table| table.get().is_none()))
            .collect();
        in_bands(&mut needed, 1, threads, |_, part| {
            for region in part {
                if let Some(table) = self.tables.get(*region) {
                    table.get_or_init(|| regions.table(film, *region, self.limit));
                }
            }
        });
        let width = cut.size[0] as usize;
        let runs = runs(&columns);
        let mut grey = vec![0; width * cut.size[1] as usize];
        in_bands(&mut grey, width, threads, |first, band| {
            for (at, pixels) in (first..).zip(band.chunks_mut(width.max(1))) {
                let Some(row) = rows.get(at) else { return };
                // At most the height of the picture.
                let y = cut.from[1].saturating_add(u32::try_from(at).unwrap_or(u32::MAX));
                let stored =
                    reduced.row(y).and_then(|stored| stored.get(cut.from[0] as usize..)).unwrap_or_default();
                for (run, at) in &runs {
                    let table = |row: usize, column: usize| {
                        let table = self.tables.get(row * across + column).and_then(OnceLock::get);
                        table.map_or(&[][..], Vec::as_slice)
                    };
                    let corners = [
                        table(row.before, at.before),
                        table(row.before, at.after),
                        table(row.after, at.before),
                        table(row.after, at.after),
                    ];
                    let part =
                        (pixels.get_mut(run.clone()), columns.get(run.clone()), stored.get(run.clone()));
                    let (Some(pixels), Some(columns), Some(stored)) = part else { continue };
                    match table_length(regions.bits) {
                        256 => mix::<256>(corners, row.part, columns, stored, pixels),
                        4096 => mix::<4096>(corners, row.part, columns, stored, pixels),
                        _ => mix::<65_536>(corners, row.part, columns, stored, pixels),
                    }
                }
            }
        });
        grey
    }
}

/// The runs of columns that lie between the same two regions.
fn runs(columns: &[Between]) -> Vec<(Range<usize>, Between)> {
    let mut start = 0;
    columns
        .chunk_by(|one, next| one.before == next.before)
        .filter_map(|run| {
            let range = start..start + run.len();
            start = range.end;
            run.first().map(|at| (range, *at))
        })
        .collect()
}

/// Mixes what the four regions around make of each grey value: left above, right above, left below, right below.
fn mix<const LENGTH: usize>(
    corners: [&[u16]; 4],
    down: u32,
    columns: &[Between],
    stored: &[u16],
    pixels: &mut [u16],
) {
    let [Some(a), Some(b), Some(c), Some(d)] = corners.map(|table| table.first_chunk::<LENGTH>()) else {
        return;
    };
    for ((pixel, grey), column) in pixels.iter_mut().zip(stored).zip(columns) {
        let at = usize::from(*grey) & (LENGTH - 1);
        // Below the length, which is a power of two.
        #[expect(clippy::indexing_slicing, reason = "see above")]
        let [a, b, c, d] = [a[at], b[at], c[at], d[at]].map(u32::from);
        // 16 bits times 16 bits; parts of one add up to it.
        let (right, left) = (column.part, WHOLE - column.part);
        let above = u64::from(a * left + b * right);
        let below = u64::from(c * left + d * right);
        let mixed = above * u64::from(WHOLE - down) + below * u64::from(down);
        // Rounded, between the least and the greatest of four 16-bit values.
        #[expect(clippy::cast_possible_truncation, reason = "see above")]
        let mixed = ((mixed + (1 << 31)) >> 32) as u16;
        *pixel = mixed;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::Pyramid;
    use proptest::prelude::*;

    fn picture(width: u32, bits: u8, grey: Vec<u16>) -> Picture {
        let height = u32::try_from(grey.len()).unwrap() / width;
        Picture::new(width, height, bits, grey).unwrap()
    }

    fn one_region(range: RangeInclusive<u16>) -> (Division, RangeInclusive<u16>) {
        (Division { regions: [1, 1], most_bins: 1024 }, range)
    }

    fn equalised(
        picture: &Picture,
        (division, range): (Division, RangeInclusive<u16>),
        limit: f64,
    ) -> Vec<u16> {
        let regions = Regions::new(picture, division, range, None);
        Equaliser::new(&regions, limit).cut(&regions, picture, picture, 0, Cut::whole(picture))
    }

    #[test]
    fn the_limit_holds_for_every_bin_and_nothing_is_lost() {
        // Mean 4. At a limit of 2 none holds more than 8: 16 - 8 = 8 above. Handed out evenly 2 each make 2, 10, 2, 2
        // and once more 0.5 beyond 8 by thirds: 8 and three times 8 / 3.
        let near = |one: &[f64], other: [f64; 4]| {
            one.iter().zip(other).all(|(one, other)| (one - other).abs() < 1e-9)
        };
        let shares = limited(&[0, 16, 0, 0], &[1.0; 4], 2.0);
        assert!(near(&shares, [8.0 / 3.0, 8.0, 8.0 / 3.0, 8.0 / 3.0]), "{shares:?}");
        // 9 + 6 + 1 + 0 at 1.75, 7 at most: 2 above; two bins below 6 get 0.5 + ... until 6 + a is 7 as well: a = 2 / 3.
        let shares = limited(&[9, 6, 1, 0], &[1.0; 4], 1.75);
        assert!(near(&shares, [7.0, 6.0 + 2.0 / 3.0, 1.0 + 2.0 / 3.0, 2.0 / 3.0]), "{shares:?}");
        // The last bin has half as many grey values: mean 4 for a whole one, at most 6 and 3.
        let shares = limited(&[10, 0, 4, 0], &[1.0, 1.0, 1.0, 0.5], 1.5);
        assert!(near(&shares, [6.0, 1.6, 5.6, 0.8]), "{shares:?}");
        assert_eq!(limited(&[3, 2, 3, 0], &[1.0; 4], 4.0), [3.0, 2.0, 3.0, 0.0]);
        assert_eq!(limited(&[0, 0], &[1.0; 2], 2.0), [0.0, 0.0]);
    }

    #[test]
    fn a_grey_value_goes_to_the_middle_of_its_share() {
        // Values 0 to 3, counts 1, 0, 2, 1 of 4: middles at 0.5, 1, 2, 3.5, of 4 values: floors 0, 1, 2, 3.
        let film = picture(2, 2, vec![0, 2, 2, 3]);
        assert_eq!(equalised(&film, one_region(0..=3), 1000.0), [0, 2, 2, 3]);
        // Counts of 10, 11, 20, 21 in 10..=29: 1, 1, 2, 4 of 8, times 20: middles at 1.25, 3.75, 7.5, 15.
        let film = picture(4, 8, vec![10, 11, 20, 20, 21, 21, 21, 21]);
        let expected = [11, 13, 17, 17, 25, 25, 25, 25];
        assert_eq!(equalised(&film, one_region(10..=29), 1000.0), expected);
    }

    #[test]
    fn grey_values_outside_the_range_and_padding_stay_and_do_not_count() {
        // Of the film above, with 200 and 5 beside it, and padding of 22 to 24.
        let film = picture(4, 8, vec![10, 11, 20, 20, 21, 21, 21, 21, 200, 5, 23, 24]);
        let (division, range) = one_region(10..=29);
        let regions = Regions::new(&film, division, range, Some(22..=24));
        let grey = Equaliser::new(&regions, 1000.0).cut(&regions, &film, &film, 0, Cut::whole(&film));
        assert_eq!(grey[..10], [11, 13, 17, 17, 25, 25, 25, 25, 200, 5]);
    }

    #[test]
    fn between_the_middles_of_two_regions_their_outcomes_are_mixed() {
        // Two regions of four columns: their middles lie at 2 and 6. Left half 0 and 10, right half 10 and 90, equally.
        let film = picture(8, 8, vec![0, 10, 0, 10, 10, 90, 10, 90]);
        let division = Division { regions: [2, 1], most_bins: 256 };
        // In 0..=99 the left makes 10 into 75, the right 25: half its share below it, of 100 values.
        let grey = equalised(&film, (division, 0..=99), 1000.0);
        // Columns 1, 3, 4 and 6 lie at 1.5, 3.5, 4.5 and 6.5: parts 0, 3/8, 5/8, 1.
        assert_eq!([1, 3, 4, 6].map(|at| grey[at]), [75, 56, 44, 25]);
    }

    #[test]
    fn a_film_of_one_grey_value_is_left_nearly_alone() {
        for (bits, value) in [(8, 90), (12, 3000), (16, 40_000)] {
            let film = picture(64, bits, vec![value; 64 * 64]);
            let grey = equalised(&film, (Division::default(), 0..=film.largest_possible()), 2.5);
            // One bin takes limit times its share, so all others give way by as much at most.
            let bin = f64::from(film.largest_possible()) / 1024.0;
            assert!(grey.iter().all(|it| *it == grey[0]));
            assert!((f64::from(grey[0]) - f64::from(value)).abs() <= 2.5 * bin.max(1.0), "{}", grey[0]);
        }
    }

    #[test]
    fn a_cut_of_a_film_is_what_the_whole_has_there_and_computes_no_more() {
        let grey = (0..200_u32 * 160).map(|at| u16::try_from(at * 2_654 % 4096).unwrap()).collect();
        let film = picture(200, 12, grey);
        let regions = Regions::new(&film, Division::default(), 100..=4000, None);
        let whole = Equaliser::new(&regions, 3.0).cut(&regions, &film, &film, 0, Cut::whole(&film));
        let whole = Picture::new(200, 160, 12, whole).unwrap();
        let equaliser = Equaliser::new(&regions, 3.0);
        for threads in [1, 3] {
            let cut = Cut { from: [3, 70], size: [40, 30] };
            assert_eq!(equaliser.cut_in_threads(&regions, &film, &film, 0, cut, threads), cut.of(&whole));
        }
        let made = equaliser.tables.iter().filter(|table| table.get().is_some()).count();
        // Regions are 25 by 20: of columns 3 to 42 the first three are near, of rows 70 to 99 those from 3 to 5.
        assert_eq!(made, 3 * 3);
    }

    #[test]
    fn a_reduced_film_has_the_transfer_of_the_film() {
        let grey = (0..600_u32 * 40).map(|at| u16::try_from(at % 600 / 20 * 8).unwrap()).collect();
        let film = picture(600, 8, grey);
        let pyramid = Pyramid::of(&film);
        let regions = Regions::new(&film, Division::default(), 0..=255, None);
        let equaliser = Equaliser::new(&regions, 4.0);
        let fine = equaliser.cut(&regions, &film, &film, 0, Cut::whole(&film));
        let half = pyramid.level(&film, 1);
        let coarse = equaliser.cut(&regions, &film, half, 1, Cut::whole(half));
        for x in 0..300 {
            let (one, other) = (f64::from(fine[2 * x]), f64::from(fine[2 * x + 1]));
            assert!((f64::from(coarse[x]) - f64::midpoint(one, other)).abs() <= 1.5, "column {x}");
        }
    }

    #[test]
    fn films_smaller_than_their_regions_and_ranges_of_one_value_do_no_harm() {
        let film = picture(2, 16, vec![7, 65_535]);
        for range in [0..=0, 7..=7, 65_535..=65_535, 0..=65_535] {
            for most_bins in [0, 1, 1 << 16] {
                let division = Division { regions: [0, 255], most_bins };
                let grey = equalised(&film, (division, range.clone()), 2.0);
                assert!(grey[0] <= grey[1], "{grey:?}");
            }
        }
    }

    proptest! {
        #[test]
        fn within_a_region_order_stays_contrast_is_limited_and_the_range_is_kept(
            grey in proptest::collection::vec(0..4096_u16, 16..400), first in 0..2000_u16, span in 0..2000_u16,
            limit in 1.0..8.0_f64, most_bins in 1..5000_u32,
        ) {
            let length = u32::try_from(grey.len()).unwrap();
            let film = picture(length, 12, grey);
            let division = Division { regions: [1, 1], most_bins };
            let range = first..=first + span;
            let regions = Regions::new(&film, division, range.clone(), None);
            let table = regions.table(&film, 0, limit);
            for (grey, pair) in (0..).zip(table.windows(2)) {
                prop_assert!(pair[0] <= pair[1], "{grey}: {pair:?}");
                let is_within = range.contains(&grey) && range.contains(&(grey + 1));
                let step = f64::from(pair[1] - pair[0]);
                prop_assert!(!is_within || step <= limit + 1.0, "{grey}: {pair:?}");
                prop_assert_eq!(range.contains(&pair[0]), range.contains(&grey));
                prop_assert!(range.contains(&grey) || pair[0] == grey);
            }
        }

        #[test]
        fn a_limit_of_one_changes_nothing(
            grey in proptest::collection::vec(0..4096_u16, 16..400), first in 0..2000_u16, span in 0..2000_u16,
        ) {
            let length = u32::try_from(grey.len()).unwrap();
            let film = picture(length, 12, grey);
            let (division, range) = one_region(first..=first + span);
            for (is, was) in equalised(&film, (division, range), 1.0).iter().zip(film.grey()) {
                prop_assert!(is.abs_diff(*was) <= 1, "{is} for {was}");
            }
        }
    }
}
