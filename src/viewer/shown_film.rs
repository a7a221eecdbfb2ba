//! A film made ready to be shown.

use crate::caution::Caution;
use crate::film::{Film, FirstLook, Pyramid, Regions};
use crate::report::{Shades, shades_of};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, OnceLock};

/// A film with all that drawing it needs.
#[derive(Debug)]
pub struct ShownFilm {
    /// Tells films apart that were shown in one run.
    pub serial: u64,
    /// The film as read.
    pub film: Film,
    /// The same picture reduced by halves.
    pub pyramid: Pyramid,
    /// How often each grey value occurs.
    pub histogram: Vec<u32>,
    /// How it is shown before anybody changes its tone.
    pub first_look: FirstLook,
    /// Its division for local contrast; computed where and when that is looked at.
    pub regions: Regions,
    /// What a look at it beside its case came to.
    pub cautions: Vec<Caution>,
    /// As reports show it; made where and when one is.
    shades: OnceLock<Option<Arc<Shades>>>,
}

impl ShownFilm {
    /// Makes a film ready: its smaller copies and its histogram.
    pub fn new(film: Film, cautions: Vec<Caution>) -> Self {
        static SHOWN: AtomicU64 = AtomicU64::new(0);
        let (pyramid, histogram) = std::thread::scope(|scope| {
            let pyramid = scope.spawn(|| Pyramid::of(&film.picture));
            let histogram = film.picture.histogram();
            // Reducing does not panic; it would be done again here.
            (pyramid.join().unwrap_or_else(|_| Pyramid::of(&film.picture)), histogram)
        });
        let first_look = FirstLook::of(&film.first_display, &histogram);
        let regions = Regions::of(&film.picture, &first_look);
        let serial = SHOWN.fetch_add(1, Ordering::Relaxed);
        Self { serial, film, pyramid, histogram, first_look, regions, cautions, shades: OnceLock::new() }
    }

    /// The film as reports show it.
    pub fn shades(&self) -> Option<Arc<Shades>> {
        self.shades.get_or_init(|| shades_of(&self.film).map(Arc::new)).clone()
    }
}

/// What became of a case's film.
#[derive(Debug, Clone)]
pub enum FilmState {
    /// The case names none.
    None,
    /// It is being opened.
    Opening,
    /// It is shown.
    Shown(Arc<ShownFilm>),
    /// It cannot be shown, and why.
    Failed(String),
}

impl FilmState {
    /// The film, where it is shown, to be kept by another thread.
    pub const fn shared(&self) -> Option<&Arc<ShownFilm>> {
        match self {
            Self::Shown(film) => Some(film),
            _ => None,
        }
    }

    /// The film, where it is shown.
    pub fn shown(&self) -> Option<&ShownFilm> {
        match self {
            Self::Shown(film) => Some(film),
            _ => None,
        }
    }
}
