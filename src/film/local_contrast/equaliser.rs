//! Local contrast at one limit: what the regions around each pixel make of it, mixed.

use super::regions::{Regions, table_length};
use crate::film::bands::{in_bands, threads_for};
use crate::film::cut::Cut;
use crate::film::picture::Picture;
use std::ops::Range;
use std::sync::OnceLock;

/// Local contrast at one limit, region by region as they are needed.
#[derive(Debug)]
pub struct Equaliser {
    limit: f64,
    pub(super) tables: Vec<OnceLock<Vec<u16>>>,
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
