//! A film on the screen as tiles: only what is seen is toned, at the size it is seen at.
//!
//! Tiles that are missing are made over several frames, so that none of them stalls; meanwhile a coarser tile stands
//! in their place. Where a pixel's brightness depends on those around it (local contrast, sharpening), a tile takes
//! longer than a frame may: another thread makes it, and until then the one before is shown.

use super::behind::Behind;
use super::shown_film::ShownFilm;
use super::tile_grid::{Part, TileAt, level_for, tiles_seen};
use super::toning::Toner;
use super::viewport::Viewport;
use crate::film::Tone;
use eframe::egui::{self, Color32, TextureFilter, TextureHandle, TextureOptions};
use std::collections::HashMap;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, TryRecvError, channel};
use std::time::{Duration, Instant};

/// The name of textures.
const NAME: &str = "film";
/// How long making tiles may take in one frame; the one begun is finished.
const FRAME_SHARE: Duration = Duration::from_millis(5);
/// Bytes of textures that are kept although they are not seen now.
const KEPT_UNSEEN: usize = 64 << 20;

/// The tiles on the screen.
pub(super) struct Tiles {
    textures: HashMap<TileAt, Tile>,
    /// The film the textures belong to.
    film: Option<u64>,
    toner: Option<Arc<Toner>>,
    /// What another thread is making.
    making: Option<Making>,
    behind: Behind,
    /// Counts tones.
    tone_count: u64,
    /// Counts frames.
    frame: u64,
    /// Bytes of textures that are kept although they are not seen now.
    kept_unseen: usize,
}

impl Default for Tiles {
    fn default() -> Self {
        Self {
            textures: HashMap::new(),
            film: None,
            toner: None,
            making: None,
            behind: Behind::default(),
            tone_count: 0,
            frame: 0,
            kept_unseen: KEPT_UNSEEN,
        }
    }
}

struct Tile {
    texture: TextureHandle,
    bytes: usize,
    tone_count: u64,
    seen_in: u64,
}

/// A tile that another thread is making.
struct Making {
    tile: TileAt,
    tone_count: u64,
    receive: Receiver<egui::ColorImage>,
}

impl Tiles {
    /// Draws what is seen of a film into a part of the window.
    pub(super) fn paint(
        &mut self,
        painter: &egui::Painter,
        rect: egui::Rect,
        viewport: &Viewport,
        film: &Arc<ShownFilm>,
        tone: Tone,
    ) {
        self.take_up(film, tone);
        self.take_made(painter.ctx());
        self.frame += 1;
        let view = [rect.width(), rect.height()].map(f64::from);
        let physical = viewport.zoom() * f64::from(painter.ctx().pixels_per_point());
        let level = level_for(physical, viewport.pixel_aspect(), film.pyramid.levels());
        let seen = tiles_seen(viewport, view, level);
        if seen.is_empty() {
            return;
        }
        // The coarsest level is one small tile, which stands in for all others.
        let coarsest = TileAt { level: film.pyramid.levels() - 1, column: 0, row: 0 };
        if tone.looks_around() {
            self.stand_in(painter.ctx(), film, tone, coarsest);
            let next = seen.iter().chain([&coarsest]).find(|tile| !self.is_up_to_date(**tile));
            if let Some(next) = next.copied() {
                self.have_made(painter.ctx(), film, next);
            }
        } else {
            let begun = Instant::now();
            self.make(painter.ctx(), film, coarsest);
            let mut missing = false;
            for tile in &seen {
                if self.is_up_to_date(*tile) {
                    continue;
                }
                if begun.elapsed() < FRAME_SHARE {
                    self.make(painter.ctx(), film, *tile);
                } else {
                    missing = true;
                }
            }
            if missing {
                painter.ctx().request_repaint();
            }
        }
        let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
        let visible = Part::seen(viewport, view);
        for tile in seen {
            self.draw(&painter, rect, viewport, film, tile, &visible);
        }
        self.evict();
    }

    /// Forgets what belongs to another film; makes another tone ready.
    fn take_up(&mut self, film: &ShownFilm, tone: Tone) {
        if self.film != Some(film.serial) {
            self.textures.clear();
            self.making = None;
            self.film = Some(film.serial);
        }
        if self.toner.as_ref().is_none_or(|toner| !toner.is_for(tone, film)) {
            self.toner = Some(Arc::new(Toner::new(tone, film)));
            self.tone_count += 1;
        }
    }

    fn is_up_to_date(&self, tile: TileAt) -> bool {
        self.textures.get(&tile).is_some_and(|made| made.tone_count == self.tone_count)
    }

    /// Makes a tile's texture, or tones it anew.
    fn make(&mut self, context: &egui::Context, film: &ShownFilm, tile: TileAt) {
        if self.is_up_to_date(tile) {
            return;
        }
        let Some(toner) = &self.toner else { return };
        let image = toned(toner, film, tile);
        self.put(context, tile, image, self.tone_count);
    }

    /// Makes the texture that stands in for all others, where there is none yet: in the same tone but for what looks
    /// around, which takes too long here.
    fn stand_in(&mut self, context: &egui::Context, film: &ShownFilm, tone: Tone, tile: TileAt) {
        if self.textures.contains_key(&tile) {
            return;
        }
        let Tone { local_contrast, sharpening, .. } = Tone::default();
        let plain = Toner::new(Tone { local_contrast, sharpening, ..tone }, film);
        let image = toned(&plain, film, tile);
        // Of no tone that is wanted, so it is still to be made.
        self.put(context, tile, image, 0);
    }

    /// Has another thread make a tile's texture, one after the other.
    fn have_made(&mut self, context: &egui::Context, film: &Arc<ShownFilm>, tile: TileAt) {
        let Some(toner) = &self.toner else { return };
        if self.making.is_some() {
            return;
        }
        let (send, receive) = channel();
        let (toner, film, context) = (Arc::clone(toner), Arc::clone(film), context.clone());
        self.behind.have_done(move || {
            // Nobody waits any more where another film is shown meanwhile.
            let _ = send.send(toned(&toner, &film, tile));
            context.request_repaint();
        });
        self.making = Some(Making { tile, tone_count: self.tone_count, receive });
    }

    /// Takes in what another thread made: an older tone, too, so that a tone that is dragged is seen to change.
    fn take_made(&mut self, context: &egui::Context) {
        let Some(making) = self.making.take() else { return };
        match making.receive.try_recv() {
            Ok(image) => self.put(context, making.tile, image, making.tone_count),
            Err(TryRecvError::Empty) => self.making = Some(making),
            Err(TryRecvError::Disconnected) => {}
        }
    }

    /// Puts a tile's picture into its texture.
    fn put(&mut self, context: &egui::Context, tile: TileAt, image: egui::ColorImage, tone_count: u64) {
        let bytes = image.pixels.len() * size_of::<Color32>();
        let options = options(tile.level);
        let seen_in = self.frame;
        if let Some(made) = self.textures.get_mut(&tile) {
            made.texture.set(image, options);
            made.tone_count = tone_count;
        } else {
            let texture = context.load_texture(NAME, image, options);
            self.textures.insert(tile, Tile { texture, bytes, tone_count, seen_in });
        }
    }

    /// Draws a tile, or what stands in its place.
    fn draw(
        &mut self,
        painter: &egui::Painter,
        rect: egui::Rect,
        viewport: &Viewport,
        film: &ShownFilm,
        tile: TileAt,
        visible: &Part,
    ) {
        // Cut to what is seen, so that single precision is enough at any magnification.
        let Some(part) = tile.part(viewport.film_size()).shared(visible) else { return };
        let mut shown = tile;
        while !self.textures.contains_key(&shown) {
            if shown.level >= film.pyramid.levels() {
                return;
            }
            shown = shown.coarser();
        }
        let frame = self.frame;
        let Some(made) = self.textures.get_mut(&shown) else { return };
        made.seen_in = frame;
        let picture = film.pyramid.level(&film.film.picture, shown.level);
        let texels = shown.texels([picture.width(), picture.height()]);
        let mut mesh = egui::Mesh::with_texture(made.texture.id());
        for corner in part.corners() {
            let seen = viewport.seen(corner);
            let [u, v] = shown.within(texels, corner);
            mesh.vertices.push(egui::epaint::Vertex {
                pos: to_screen(rect, [seen.x, seen.y]),
                uv: egui::pos2(single(u), single(v)),
                color: Color32::WHITE,
            });
        }
        mesh.add_triangle(0, 1, 2);
        mesh.add_triangle(0, 2, 3);
        painter.add(mesh);
    }

    /// Lets textures go that are not seen, the longest unseen first, down to what may be kept.
    fn evict(&mut self) {
        let mut unseen: Vec<(u64, TileAt, usize)> = self
            .textures
            .iter()
            .filter(|(_, made)| made.seen_in != self.frame)
            .map(|(at, made)| (made.seen_in, *at, made.bytes))
            .collect();
        unseen.sort_by_key(|(seen_in, ..)| std::cmp::Reverse(*seen_in));
        let mut kept = 0;
        for (_, at, bytes) in unseen {
            kept += bytes;
            if kept > self.kept_unseen {
                self.textures.remove(&at);
            }
        }
    }
}

/// A tile's pixels in a tone.
fn toned(toner: &Toner, film: &ShownFilm, tile: TileAt) -> egui::ColorImage {
    let picture = film.pyramid.level(&film.film.picture, tile.level);
    toner.image(film, tile.level, tile.texels([picture.width(), picture.height()]))
}

/// Sharp where pixels of the film are magnified, filtered where they are reduced.
const fn options(level: usize) -> TextureOptions {
    TextureOptions {
        magnification: if level == 0 { TextureFilter::Nearest } else { TextureFilter::Linear },
        ..TextureOptions::LINEAR
    }
}

/// A point of the view as a point of the window: single precision only here.
fn to_screen(rect: egui::Rect, seen: [f64; 2]) -> egui::Pos2 {
    let middle = rect.center();
    egui::pos2(single(f64::from(middle.x) + seen[0]), single(f64::from(middle.y) + seen[1]))
}

/// What is on the screen fits into single precision.
#[expect(clippy::cast_possible_truncation, reason = "see above")]
const fn single(value: f64) -> f32 {
    value as f32
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::film::{Bounds, Picture, dicom, read_bytes};
    use crate::geometry::{Displacement, Position};
    use crate::quantity::Millimetres;

    /// A film whose grey values grow to the right.
    fn film(width: u32, height: u32) -> Arc<ShownFilm> {
        let row: Vec<u16> = (0..width).map(|x| u16::try_from(x % 4000).unwrap()).collect();
        let picture = Picture::new(width, height, 12, row.repeat(height as usize)).unwrap();
        let pitch = Millimetres(0.02);
        let film = dicom::NewFilm {
            picture: &picture,
            across: pitch,
            down: pitch,
            magnification: None,
            inverted: false,
        };
        let film = read_bytes(&dicom::encode(&film).unwrap(), &Bounds::default()).unwrap();
        Arc::new(ShownFilm::new(film, Vec::new()))
    }

    /// Draws frames until nothing is missing, and gives what the last one draws and how many there were.
    fn settle(
        context: &egui::Context,
        tiles: &mut Tiles,
        viewport: &Viewport,
        film: &Arc<ShownFilm>,
        tone: Tone,
    ) -> (Vec<egui::Mesh>, usize) {
        for frames in 1..1000 {
            let (meshes, waits) = frame(context, tiles, viewport, film, tone);
            if !waits {
                return (meshes, frames);
            }
        }
        panic!("tiles are missing for ever");
    }

    /// Draws a frame, and gives what it draws and whether another one is wanted at once.
    fn frame(
        context: &egui::Context,
        tiles: &mut Tiles,
        viewport: &Viewport,
        film: &Arc<ShownFilm>,
        tone: Tone,
    ) -> (Vec<egui::Mesh>, bool) {
        let mut output = context.run_ui(egui::RawInput::default(), |ui| {
            let rect = egui::Rect::from_min_size(egui::pos2(0.0, 0.0), egui::vec2(800.0, 600.0));
            tiles.paint(&ui.painter_at(rect), rect, viewport, film, tone);
        });
        output.textures_delta.clear();
        let waits = output.viewport_output.values().any(|it| it.repaint_delay.is_zero());
        let meshes = output.shapes.into_iter().filter_map(|shape| match shape.shape {
            egui::Shape::Mesh(mesh) => Some((*mesh).clone()),
            _ => None,
        });
        (meshes.collect(), waits)
    }

    fn viewport(width: u32, height: u32) -> Viewport {
        let mut viewport = Viewport::new([width, height], 1.0);
        viewport.resize([800.0, 600.0]);
        viewport
    }

    fn bytes(context: &egui::Context) -> usize {
        let textures = context.tex_manager();
        let textures = textures.read();
        textures
            .allocated()
            .filter(|(_, about)| about.name == NAME)
            .map(|(_, about)| about.bytes_used())
            .sum()
    }

    #[test]
    fn once_all_is_there_no_frame_is_asked_for_and_nothing_is_made_anew() {
        let (context, mut tiles, film) = (egui::Context::default(), Tiles::default(), film(2500, 1800));
        let viewport = viewport(2500, 1800);
        settle(&context, &mut tiles, &viewport, &film, Tone::default());
        let mut output = context.run_ui(egui::RawInput::default(), |ui| {
            let rect = egui::Rect::from_min_size(egui::pos2(0.0, 0.0), egui::vec2(800.0, 600.0));
            tiles.paint(&ui.painter_at(rect), rect, &viewport, &film, Tone::default());
        });
        let made = output.textures_delta.set.len();
        output.textures_delta.clear();
        assert_eq!(made, 0);
        assert!(output.viewport_output.values().all(|it| it.repaint_delay == Duration::MAX));
    }

    #[test]
    fn neighbouring_tiles_share_their_corners_to_the_last_digit() {
        let (context, mut tiles, film) = (egui::Context::default(), Tiles::default(), film(2500, 1200));
        let mut viewport = viewport(2500, 1200);
        viewport.turn_to(17.0);
        viewport.zoom_to(1.5, Position::new(0.0, 0.0));
        viewport.pan(Displacement::new(350.0, -40.0));
        let (meshes, _) = settle(&context, &mut tiles, &viewport, &film, Tone::default());
        assert!(meshes.len() >= 2);
        let corners: Vec<egui::Pos2> =
            meshes.iter().flat_map(|mesh| mesh.vertices.iter().map(|it| it.pos)).collect();
        let shared =
            corners.iter().filter(|one| corners.iter().filter(|other| other == one).count() > 1).count();
        assert!(shared >= 4, "{corners:?}");
    }

    #[test]
    fn textures_out_of_sight_are_let_go() {
        let (context, film) = (egui::Context::default(), film(9000, 1100));
        let kept_unseen = 3 * 4 * 1024 * 1024;
        let mut tiles = Tiles { kept_unseen, ..Tiles::default() };
        let mut viewport = viewport(9000, 1100);
        viewport.zoom_to(1.0, Position::new(0.0, 0.0));
        viewport.pan(Displacement::new(4000.0, 0.0));
        for _ in 0..20 {
            settle(&context, &mut tiles, &viewport, &film, Tone::default());
            // At most four tiles are seen at once, beside the coarsest.
            assert!(bytes(&context) <= kept_unseen + 5 * 4 * 1024 * 1024, "{}", bytes(&context));
            viewport.pan(Displacement::new(-400.0, 0.0));
        }
        // Another film has none of these.
        let other = self::film(300, 200);
        settle(&context, &mut tiles, &self::viewport(300, 200), &other, Tone::default());
        assert!(bytes(&context) <= 2 * 4 * 300 * 200);
    }

    /// How many tiles are in the tone that is wanted, and how many there are.
    fn up_to_date(tiles: &Tiles) -> (usize, usize) {
        let count = tiles.textures.keys().filter(|tile| tiles.is_up_to_date(**tile)).count();
        (count, tiles.textures.len())
    }

    #[test]
    fn what_looks_around_is_made_by_another_thread_and_what_was_there_stays_until_then() {
        let (context, mut tiles, film) = (egui::Context::default(), Tiles::default(), film(700, 500));
        let viewport = viewport(700, 500);
        settle(&context, &mut tiles, &viewport, &film, Tone::default());
        // The film itself, and its half, which stands in for what is missing.
        assert_eq!(up_to_date(&tiles), (2, 2));
        let local = crate::film::LocalContrast { is_on: true, ..crate::film::LocalContrast::default() };
        let tone = Tone { local_contrast: local, ..Tone::default() };
        let (meshes, _) = settle(&context, &mut tiles, &viewport, &film, tone);
        assert!(!meshes.is_empty(), "what was there is shown");
        let begun = Instant::now();
        while up_to_date(&tiles) != (2, 2) {
            assert!(begun.elapsed() < Duration::from_mins(1), "it is never made");
            std::thread::yield_now();
            settle(&context, &mut tiles, &viewport, &film, tone);
        }
        // A film first seen in such a tone is seen without it until then.
        let mut tiles = Tiles::default();
        // In one frame: what the other thread makes is taken in by the next, however soon it is there.
        let (meshes, _) = frame(&context, &mut tiles, &viewport, &film, tone);
        assert!(!meshes.is_empty() && tiles.making.is_some());
        assert_eq!(up_to_date(&tiles), (0, 1));
    }

    #[test]
    fn another_tone_is_put_on_what_is_seen_and_on_nothing_else() {
        let (context, mut tiles, film) = (egui::Context::default(), Tiles::default(), film(9000, 600));
        let mut viewport = viewport(9000, 600);
        viewport.zoom_to(1.0, Position::new(0.0, 0.0));
        settle(&context, &mut tiles, &viewport, &film, Tone::default());
        viewport.pan(Displacement::new(-3000.0, 0.0));
        settle(&context, &mut tiles, &viewport, &film, Tone::default());
        let inverted = Tone { inverted: true, ..Tone::default() };
        settle(&context, &mut tiles, &viewport, &film, inverted);
        let old = tiles.textures.values().filter(|tile| tile.tone_count != tiles.tone_count).count();
        assert!(old >= 1, "tiles out of sight wait until they are seen");
        for (at, tile) in &tiles.textures {
            let is_seen = tile.seen_in == tiles.frame;
            assert!(!is_seen || tile.tone_count == tiles.tone_count, "{at:?}");
        }
    }
}
