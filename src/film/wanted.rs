//! Whether a film that is being read is still wanted: what decodes asks from row to row, or the bytes it reads ask for it.

use super::FilmError;
use std::fmt;
use std::io::{self, BufRead, Cursor, Read, Seek, SeekFrom};

/// Nobody waits any more once it is given up, which the function tells; without one somebody always does.
#[derive(Clone, Copy, Default)]
pub(super) struct Wanted<'a>(pub(super) Option<&'a dyn Fn() -> bool>);

impl fmt::Debug for Wanted<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Wanted").field(&self.0.is_some()).finish()
    }
}

impl<'a> Wanted<'a> {
    /// Refuses to go on with a film that was given up.
    pub(super) fn check(self) -> Result<(), FilmError> {
        if self.0.is_some_and(|is_given_up| is_given_up()) { Err(FilmError::GivenUp) } else { Ok(()) }
    }

    /// The bytes of a file for decoders that ask nobody: once the film is given up there is nothing more to be read.
    pub(super) fn bytes(self, bytes: &'a [u8]) -> Bytes<'a> {
        Bytes { bytes: Cursor::new(bytes), wanted: self }
    }
}

/// Bytes that are there as long as somebody waits for the film in them.
#[derive(Debug)]
pub(super) struct Bytes<'a> {
    bytes: Cursor<&'a [u8]>,
    wanted: Wanted<'a>,
}

impl Bytes<'_> {
    /// Whatever a decoder makes of the error, what reads films looks itself whether one was given up.
    fn check(&self) -> io::Result<()> {
        self.wanted.check().map_err(|_| io::Error::other("it was given up"))
    }
}

impl Read for Bytes<'_> {
    fn read(&mut self, to: &mut [u8]) -> io::Result<usize> {
        self.check()?;
        self.bytes.read(to)
    }
}

impl BufRead for Bytes<'_> {
    fn fill_buf(&mut self) -> io::Result<&[u8]> {
        self.check()?;
        self.bytes.fill_buf()
    }

    fn consume(&mut self, amount: usize) {
        self.bytes.consume(amount);
    }
}

impl Seek for Bytes<'_> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.bytes.seek(to)
    }
}
