//! From grey values to the pixels of the screen. By a table alone one thread does it: two megapixels take about a
//! millisecond, and more threads wait for each other longer than that (docs/performance.md).

use super::shown_film::ShownFilm;
use crate::film::{Cut, Equaliser, FirstLook, Picture, Tone};
use eframe::egui::{Color32, ColorImage};
use std::ops::RangeInclusive;

/// As many grey values as 16 bits can count: then no look-up needs a check.
const GREYS: usize = 1 << 16;

/// The brightness on the screen of every grey value.
#[derive(Debug)]
pub struct Colours(Vec<u8>);

impl Colours {
    /// The colours of a tone where a pixel's brightness depends on its own grey value alone.
    pub fn of(tone: Tone, look: &FirstLook) -> Self {
        Self::from_levels(tone.table(look))
    }

    fn from_levels(mut levels: Vec<u8>) -> Self {
        levels.resize(GREYS, levels.last().copied().unwrap_or_default());
        Self(levels)
    }

    /// A part of a picture in these colours; nothing where it reaches beyond.
    pub fn image(&self, picture: &Picture, cut: Cut) -> ColorImage {
        let [width, height] = cut.size.map(|length| length as usize);
        let mut pixels = vec![Color32::TRANSPARENT; width * height];
        for (row, pixels) in (cut.from[1]..).zip(pixels.chunks_mut(width.max(1))) {
            let row = picture.row(row).and_then(|row| row.get(cut.from[0] as usize..));
            self.paint(row.unwrap_or_default(), pixels);
        }
        ColorImage::new([width, height], pixels)
    }

    fn paint(&self, grey: &[u16], pixels: &mut [Color32]) {
        if let Some(levels) = self.0.first_chunk::<GREYS>() {
            for (pixel, grey) in pixels.iter_mut().zip(grey) {
                *pixel = Color32::from_gray(levels.get(usize::from(*grey)).copied().unwrap_or_default());
            }
        }
    }
}

/// A tone made ready for one film: it turns any part of the film, at any reduction, into colours.
#[derive(Debug)]
pub struct Toner {
    tone: Tone,
    /// The film's serial.
    film: u64,
    colours: Colours,
    local_contrast: Option<Equaliser>,
}

impl Toner {
    /// A tone for a film.
    pub fn new(tone: Tone, film: &ShownFilm) -> Self {
        let look = &film.first_look;
        let colours = if tone.looks_around() {
            Colours::from_levels(tone.levels(look))
        } else {
            Colours::of(tone, look)
        };
        let local_contrast =
            (tone.local_contrast.is_on).then(|| Equaliser::new(&film.regions, tone.local_contrast.limit));
        Self { tone, film: film.serial, colours, local_contrast }
    }

    /// Whether it is this tone for this film.
    pub fn is_for(&self, tone: Tone, film: &ShownFilm) -> bool {
        self.film == film.serial && self.tone == tone
    }

    /// A part of a level of the film's pyramid in its colours.
    pub fn image(&self, film: &ShownFilm, level: usize, cut: Cut) -> ColorImage {
        let whole = &film.film.picture;
        let picture = film.pyramid.level(whole, level);
        if !self.tone.looks_around() {
            return self.colours.image(picture, cut);
        }
        let sharpening = Some(self.tone.sharpening).filter(|sharpening| sharpening.is_on);
        // Sharpening sees pixels around those that are shown, so that tiles meet without a seam.
        let seen = cut.grown(sharpening.map_or(0, |sharpening| sharpening.reach()), picture);
        let mut grey = match &self.local_contrast {
            Some(equaliser) => {
                let level = u32::try_from(level).unwrap_or(u32::MAX);
                equaliser.cut(&film.regions, whole, picture, level, seen)
            }
            None => seen.of(picture),
        };
        let width = seen.size[0] as usize;
        if let Some(sharpening) = sharpening {
            grey = sharpening.sharpened(&grey, width, picture.largest_possible());
        }
        self.coloured(&grey, picture, seen, cut, film.first_look.padding())
    }

    /// The colours of what was made of the pixels seen, cut to those that are shown; padding stays black.
    fn coloured(
        &self,
        grey: &[u16],
        picture: &Picture,
        seen: Cut,
        cut: Cut,
        padding: Option<&RangeInclusive<u16>>,
    ) -> ColorImage {
        let [width, height] = cut.size.map(|length| length as usize);
        let mut pixels = vec![Color32::TRANSPARENT; width * height];
        let (left, top) = ((cut.from[0] - seen.from[0]) as usize, (cut.from[1] - seen.from[1]) as usize);
        let rows = grey.chunks(seen.size[0].max(1) as usize).skip(top);
        for ((row, grey), pixels) in (cut.from[1]..).zip(rows).zip(pixels.chunks_mut(width.max(1))) {
            self.colours.paint(grey.get(left..).unwrap_or_default(), pixels);
            let stored = picture.row(row).and_then(|row| row.get(cut.from[0] as usize..)).unwrap_or_default();
            if let Some(padding) = padding {
                for (pixel, _) in pixels.iter_mut().zip(stored).filter(|(_, grey)| padding.contains(grey)) {
                    *pixel = Color32::BLACK;
                }
            }
        }
        ColorImage::new([width, height], pixels)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::{Bounds, FirstDisplay, LocalContrast, Sharpening, Window, dicom, read_bytes};
    use crate::quantity::Millimetres;

    /// A film with a slope under grain.
    fn film() -> ShownFilm {
        let (width, height) = (700_u32, 500_u32);
        let grain = |at: u32| (at.wrapping_mul(2_654_435_761) >> 16) % 300;
        let grey = (0..width * height).map(|at| u16::try_from(at % width * 5 + grain(at)).unwrap()).collect();
        let picture = Picture::new(width, height, 12, grey).unwrap();
        let pitch = Millimetres(0.02);
        let film = dicom::NewFilm {
            picture: &picture,
            across: pitch,
            down: pitch,
            magnification: None,
            inverted: false,
        };
        let film = read_bytes(&dicom::encode(&film).unwrap(), &Bounds::default()).unwrap();
        ShownFilm::new(film, Vec::new())
    }

    fn both() -> Tone {
        Tone {
            local_contrast: LocalContrast { is_on: true, limit: 3.0 },
            sharpening: Sharpening { is_on: true, ..Sharpening::default() },
            ..Tone::default()
        }
    }

    #[test]
    fn a_part_has_the_colours_that_the_whole_has_there() {
        let film = film();
        for tone in [both(), Tone { local_contrast: LocalContrast::default(), ..both() }] {
            let toner = Toner::new(tone, &film);
            for level in 0..film.pyramid.levels() {
                let picture = film.pyramid.level(&film.film.picture, level);
                let whole = toner.image(&film, level, Cut::whole(picture));
                let cut = Cut { from: [60, 30], size: [70, 50] };
                let part = toner.image(&film, level, cut);
                for y in 0..50 {
                    for x in 0..70 {
                        assert_eq!(part[(x, y)], whole[(x + 60, y + 30)], "{x}, {y} of level {level}");
                    }
                }
            }
        }
    }

    #[test]
    fn both_change_the_picture_and_neither_the_film() {
        let film = film();
        let before = film.film.picture.clone();
        let image = |tone| Toner::new(tone, &film).image(&film, 0, Cut::whole(&before)).pixels;
        let plain = image(Tone::default());
        let local = image(Tone { sharpening: Sharpening::default(), ..both() });
        let sharp = image(Tone { local_contrast: LocalContrast::default(), ..both() });
        let all = [&plain, &local, &sharp, &image(both())];
        for (at, one) in all.iter().enumerate() {
            assert!(all[at + 1..].iter().all(|other| other != one), "{at}");
        }
        assert_eq!(film.film.picture, before);
    }

    #[test]
    fn padding_stays_black_and_nothing_else_becomes_padding() {
        let mut film = film();
        let display =
            crate::film::FirstDisplay { padding: Some(1000..=1400), ..film.film.first_display.clone() };
        film.first_look = FirstLook::of(&display, &film.histogram);
        film.regions = crate::film::Regions::of(&film.film.picture, &film.first_look);
        let tone = Tone { inverted: true, ..both() };
        let picture = &film.film.picture;
        let image = Toner::new(tone, &film).image(&film, 0, Cut::whole(picture));
        let (mut padded, mut black_beside) = (0, 0);
        for (pixel, grey) in image.pixels.iter().zip(picture.grey()) {
            if (1000..=1400).contains(grey) {
                assert_eq!(*pixel, Color32::BLACK);
                padded += 1;
            } else if (900..=1500).contains(grey) && *pixel == Color32::BLACK {
                black_beside += 1;
            }
        }
        assert!(padded > 1000);
        assert_eq!(black_beside, 0);
    }

    #[test]
    fn a_part_of_a_picture_is_toned_and_what_lies_beyond_stays_empty() {
        // 255 / 3 = 85 for each step of the window.
        let picture = Picture::new(3, 2, 8, vec![10, 11, 12, 13, 14, 9]).unwrap();
        let look = FirstLook::of(&FirstDisplay::plain(8, false), &picture.histogram());
        let tone = Tone { window: Some(Window { low: 10.0, high: 13.0 }), ..Tone::default() };
        let colours = Colours::of(tone, &look);
        let image = colours.image(&picture, Cut { from: [1, 0], size: [2, 3] });
        let grey = Color32::from_gray;
        let beyond = Color32::TRANSPARENT;
        assert_eq!(image.size, [2, 3]);
        assert_eq!(image.pixels, [grey(85), grey(170), grey(255), grey(0), beyond, beyond]);
    }
}
