//! Rows of a picture worked on by several threads at once.

/// Values from which on a second thread pays for being started.
const WORTH_A_THREAD: usize = 1 << 18;
/// The most threads; more wait for the memory, not for each other.
const MOST_THREADS: usize = 4;

/// How many threads pay for so many values on this machine.
pub(crate) fn threads_for(values: usize) -> usize {
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    (values / WORTH_A_THREAD).clamp(1, cores.min(MOST_THREADS))
}

/// Splits rows of a width into as many bands as there are threads, and has each worked on: `work` is given the band's
/// first row and its values.
pub(crate) fn in_bands<T: Send>(
    values: &mut [T],
    width: usize,
    threads: usize,
    work: impl Fn(usize, &mut [T]) + Sync,
) {
    let rows = values.len() / width.max(1);
    let rows_to_a_band = rows.div_ceil(threads.max(1)).max(1);
    let bands = values.chunks_mut((rows_to_a_band * width).max(1));
    if threads <= 1 {
        bands.enumerate().for_each(|(at, band)| work(at * rows_to_a_band, band));
        return;
    }
    std::thread::scope(|scope| {
        for (at, band) in bands.enumerate() {
            let work = &work;
            scope.spawn(move || work(at * rows_to_a_band, band));
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_worked_on_once_whatever_the_threads() {
        for threads in [1, 2, 3, 7, 20] {
            let mut rows = vec![0_usize; 3 * 10];
            in_bands(&mut rows, 3, threads, |first, band| {
                for (row, values) in (first..).zip(band.chunks_mut(3)) {
                    for value in values {
                        *value += row + 1;
                    }
                }
            });
            let expected: Vec<usize> = (1..=10).flat_map(|row| [row; 3]).collect();
            assert_eq!(rows, expected, "{threads} threads");
        }
        in_bands(&mut [] as &mut [u8], 0, 2, |_, _| panic!("there is nothing to work on"));
    }
}
