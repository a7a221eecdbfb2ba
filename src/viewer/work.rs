//! The case that is open in the window: how its film is seen, what is aimed at, and what its numbers are. No drawing.

use super::action::{Handle, Look, Target};
use super::planning::{Planned, Planning};
use super::practice::Practising;
use super::ruler::Ruler;
use super::shown_film::FilmState;
use super::viewport::Viewport;
use crate::calibration::Extra;
use crate::case::{
    Case, Derived, Landmark, Mark, MeasurementRow, NOT_THERE, Point, RowRef, SAMPLE_FILM, Sight, State,
};
use crate::editor::{
    Edit, EditRefused, Effect, FilmLink, LandmarkAt, ListChange, Numbers, OpenCase, Placing, PointAt,
    Selection, Step, hint, landmarks, marking, next_of, next_step, next_to_place,
};
use crate::film::{Sha256, Tone};
use crate::geometry::{Position, Stored};
use crate::measure::{Measured, Measurement, UnknownObject};
use crate::plan::NoPlan;
use std::borrow::Cow;
use std::path::PathBuf;
use std::sync::{Arc, LazyLock};
use std::time::Instant;

/// Which film a case names: its path and its digest.
pub(super) type FilmNamed = (Option<PathBuf>, Option<String>);

/// How an open case stands: which it is, and what it holds by now, as [`OpenCase::content`] counts.
pub(super) type Stand = (Instant, u64);

/// The digest of the sample's film.
static SAMPLE_FILM_SHA256: LazyLock<String> = LazyLock::new(|| Sha256::of(SAMPLE_FILM).to_string());

/// An open case as the window has it.
#[derive(Debug)]
#[expect(clippy::struct_excessive_bools, reason = "each is switched, or found, by itself")]
pub struct Work {
    /// The case.
    pub open: OpenCase,
    /// When it was opened, which tells one case from the next.
    pub opened: Instant,
    /// Its film.
    pub film: FilmState,
    /// Which film that is, as [`film_named`](Self::film_named) gives it.
    pub(super) film_of: FilmNamed,
    /// How the film is seen.
    pub viewport: Viewport,
    /// How grey values are shown.
    pub tone: Tone,
    /// Whether the film is shown in two tones side by side without a key being held.
    pub compares: bool,
    /// Whether the film is shown without anything that lies on it, without a key being held.
    pub is_bare: bool,
    /// What the next click on the film places.
    pub aim: Option<Target>,
    /// The landmark that is placed once more, as long as it is aimed at.
    pub again: Option<LandmarkAt>,
    /// Where the keyboard's cursor is.
    pub cursor: Option<Position<Stored>>,
    /// The number of the worksheet that is pointed at.
    pub pointed_number: Option<RowRef>,
    /// The point on the film that is pointed at.
    pub pointed_place: Option<PointAt>,
    /// The scratch ruler, where it is taken up.
    pub ruler: Option<Ruler>,
    /// Steps forwards from landmark to landmark, to be retraced.
    trail: Vec<(LandmarkAt, LandmarkAt)>,
    /// What the view last went to.
    pub(super) went_to: Option<Target>,
    /// Whether it repeats another case.
    pub is_repeat: bool,
    /// How many points make what is half-placed whole without being asked.
    pub whole_at: Option<usize>,
    /// Whether it lies on the sample's film: the built-in sample, or a copy of it.
    pub is_sample: bool,
    /// The numbers of the case as it stands.
    pub numbers: Arc<Result<Numbers, UnknownObject>>,
    /// The numbers by Monte Carlo, and the revision of the case they belong to.
    pub drawn: Option<(u64, Arc<Numbers>)>,
    /// Its plan.
    pub planning: Planning,
    /// The revision of the case that a report was written of last.
    pub(super) reported: Option<u64>,
    /// That it is placed for practice.
    pub practice: Option<Practising>,
}

impl Work {
    /// A case whose film is yet to come.
    pub fn new(mut open: OpenCase) -> Self {
        let numbers = open.shared_numbers();
        let film = &open.case().film;
        let size = [film.width_px.unwrap_or(1000), film.height_px.unwrap_or(1000)];
        let viewport = Viewport::new(size, film.aspect());
        let film = if film.file.is_some() { FilmState::Opening } else { FilmState::None };
        let mut work = Self {
            open,
            opened: Instant::now(),
            film,
            film_of: (None, None),
            viewport,
            tone: Tone::default(),
            compares: false,
            is_bare: false,
            aim: None,
            again: None,
            cursor: None,
            pointed_number: None,
            pointed_place: None,
            ruler: None,
            trail: Vec::new(),
            went_to: None,
            is_repeat: false,
            whole_at: None,
            is_sample: false,
            numbers,
            drawn: None,
            planning: Planning::default(),
            reported: None,
            practice: None,
        };
        work.film_of = work.film_named();
        work.refresh();
        work
    }

    /// The plan of the case as it stands.
    pub fn planned(&self) -> Arc<Result<Planned, NoPlan>> {
        self.planning.of(&self.open)
    }

    /// What comes next in it. Of a placing for practice nothing is asked but
    /// what is compared.
    pub(super) fn next_step(&self) -> Option<Step> {
        let numbers = self.numbers.as_ref().as_ref().ok();
        let step = next_step(self.open.case(), numbers.map(|numbers| &numbers.derived));
        step.filter(|step| {
            !self.hides_results() || !matches!(step, Step::AddSection(_) | Step::Read | Step::Settle(_))
        })
    }

    /// Whether a number uses a landmark.
    pub(super) fn uses(&self, number: &RowRef, at: LandmarkAt) -> bool {
        self.shown_row(number).is_some_and(|row| PointAt::Landmark(at).is_used_by(&row.of, &row.from))
    }

    /// Aims at a landmark that is placed, to place it once more.
    pub(super) const fn place_again(&mut self, at: LandmarkAt) {
        self.aim = Some(Target::Landmark(at));
        self.again = Some(at);
    }

    /// The case as far as it is seen: without the point that is placed once more, and so without the lines that run through
    /// it.
    pub(super) fn seen_case(&self) -> Cow<'_, Case> {
        let case = self.open.case();
        let Some(at) = self.again else { return Cow::Borrowed(case) };
        let mut seen = case.clone();
        seen.landmarks.marks.retain(|id, _| at.root.is_some() || *id != at.id);
        for root in seen.roots.iter_mut().filter(|root| Some(root.name) == at.root) {
            root.landmarks.marks.remove(&at.id);
            // A canal ends where the apex is.
            if at.id.landmark() == Landmark::Apex {
                root.canal.clear();
            }
        }
        Cow::Owned(seen)
    }

    /// How it stands, to be compared with how it stands later.
    pub const fn stand(&self) -> Stand {
        (self.opened, self.open.content())
    }

    /// Whether there is work that no file holds and that was not there at `given_up`, when it was settled that the case may
    /// be left.
    pub(super) fn has_new_work(&self, given_up: Option<Stand>) -> bool {
        self.open.has_unsaved_work() && given_up != Some(self.stand())
    }

    /// Which film the case names.
    pub(super) fn film_named(&self) -> FilmNamed {
        let film = &self.open.case().film;
        (film.file.as_ref().map(|file| self.open.folder().join(file)), film.sha256.clone())
    }

    /// Brings what follows from the case up to date.
    pub fn refresh(&mut self) {
        self.numbers = self.open.shared_numbers();
        self.is_sample = self.open.case().film.sha256.as_ref() == Some(&*SAMPLE_FILM_SHA256);
        // Unsaved work that is taken over, and an undo, may know the film's pixels to be of another shape.
        let film = &self.open.case().film;
        let stated = [film.width_px, film.height_px];
        let size = match (self.film.shown().map(|film| &film.film.picture), stated) {
            (Some(picture), _) => [picture.width(), picture.height()],
            (None, [width, height]) => [width.unwrap_or(1000), height.unwrap_or(1000)],
        };
        self.viewport.reshape(size, film.aspect());
        if self.drawn.as_ref().is_some_and(|(revision, _)| *revision != self.open.revision()) {
            self.drawn = None;
        }
        let still_there = match self.aim {
            Some(Target::Landmark(LandmarkAt { root: Some(root), .. }) | Target::CanalPoint(root)) => {
                self.open.case().roots.iter().any(|it| it.name == root)
            }
            Some(Target::HalfPlaced) => self.open.half_placed().is_some(),
            Some(Target::Ruler) => self.ruler.is_some(),
            _ => true,
        };
        if let Some(ruler) = &mut self.ruler {
            ruler.measure(self.open.case(), &self.open.engine().library);
        }
        self.again = self.again.filter(|at| self.aim == Some(Target::Landmark(*at)));
        if !still_there {
            self.aim = None;
        }
    }

    /// The landmark that a command about landmarks means: the one aimed at, else the one selected.
    pub fn landmark_meant(&self) -> Option<LandmarkAt> {
        match (self.aim, self.open.selection()) {
            (Some(Target::Landmark(at)), _)
            | (None, Some(Selection::Landmark(at) | Selection::Point(PointAt::Landmark(at)))) => Some(at),
            _ => None,
        }
    }

    /// Puts what is aimed at here, and aims at what comes next.
    ///
    /// # Errors
    /// The case refuses it; nothing is changed.
    pub fn place(&mut self, to: Position<Stored>) -> Result<(), EditRefused> {
        match self.aim {
            None => {}
            Some(Target::Landmark(at)) => {
                self.place_landmark(at, to)?;
                self.aim_after(at);
            }
            Some(Target::CanalPoint(root)) => {
                let length =
                    self.open.case().roots.iter().find(|it| it.name == root).map_or(0, |it| it.canal.len());
                let item = Box::new(Point::at(to.x, to.y));
                self.open.apply(Edit::Canal { root, change: ListChange::Insert { at: length, item } })?;
                self.open.select(Some(Selection::Point(PointAt::Canal { root, at: length })));
            }
            Some(Target::Ruler) => {
                if let Some(mut ruler) = self.ruler.take() {
                    ruler.place(to);
                    if ruler.ends().len() == 2 {
                        self.put_down_ruler(&ruler);
                    }
                    self.ruler = Some(ruler);
                }
            }
            Some(Target::HalfPlaced) => {
                self.open.click(to, None)?;
                // Within a gesture the point may still move: it is whole once the gesture ends.
                if !self.open.in_gesture() {
                    self.complete_if_whole()?;
                }
            }
        }
        Ok(())
    }

    /// Ends a gesture; what is half-placed and has all its points becomes whole.
    ///
    /// # Errors
    /// The case refuses what is half-placed; it stays so.
    pub fn end_gesture(&mut self) -> Result<(), EditRefused> {
        self.open.end_gesture();
        if self.aim == Some(Target::HalfPlaced) { self.complete_if_whole() } else { Ok(()) }
    }

    fn complete_if_whole(&mut self) -> Result<(), EditRefused> {
        let Some(half) = self.open.half_placed() else { return Ok(()) };
        let count = half.points().len();
        if half.takes_no_more() || self.whole_at.is_some_and(|wanted| count >= wanted) {
            self.complete()?;
        }
        Ok(())
    }

    /// Places a landmark, or moves it where it is placed already; what else is known of it stays.
    fn place_landmark(&mut self, at: LandmarkAt, to: Position<Stored>) -> Result<(), EditRefused> {
        let placed = at.mark(self.open.case()).and_then(Mark::point).is_some();
        let edit = if placed {
            Edit::Move { point: PointAt::Landmark(at), to }
        } else {
            let planned = at.id.landmark().sight(self.open.case().film.stage) == Sight::ToPlan;
            let point = Point { state: planned.then_some(State::Planned), ..Point::at(to.x, to.y) };
            marking(self.open.case(), at, Some(Mark::Placed(point)))
        };
        self.open.apply(edit)?;
        self.open.select(Some(Selection::Landmark(at)));
        Ok(())
    }

    /// Aims at what comes after a landmark: at one that the film can show. What is to be planned is a decision, and is
    /// aimed at only by whoever asks for it.
    fn aim_after(&mut self, at: LandmarkAt) {
        self.aim = next_of(self.open.case(), Some(at), Sight::Asked).map(Target::Landmark);
    }

    /// Takes the last step back. Where a landmark was being aimed at, the one that was given up by that is aimed at again:
    /// the next click replaces what was undone, and no other.
    pub fn undo(&mut self) {
        self.stepping(OpenCase::undo);
    }

    /// Makes the last undone step again; the aim goes on as it does.
    pub fn redo(&mut self) {
        self.stepping(OpenCase::redo);
    }

    fn stepping(&mut self, step: impl FnOnce(&mut OpenCase) -> Vec<Effect>) {
        let marked = |open: &OpenCase| -> Vec<LandmarkAt> {
            let case = open.case();
            let listed = landmarks(case).into_iter().map(|(at, _)| at);
            listed.filter(|at| at.mark(case).is_some()).collect()
        };
        let before = marked(&self.open);
        step(&mut self.open);
        let Some(Target::Landmark(aimed)) = self.aim else { return };
        let after = marked(&self.open);
        if let Some(given_up) = before.iter().find(|at| !after.contains(at)) {
            self.aim = Some(Target::Landmark(*given_up));
        } else if after.contains(&aimed) && !before.contains(&aimed) {
            self.aim_after(aimed);
        }
    }

    /// Begins to place a reference or a section.
    ///
    /// # Errors
    /// It has no points to click.
    pub fn begin(&mut self, what: Placing, whole_at: Option<usize>) -> Result<(), EditRefused> {
        self.open.begin_placing(what)?;
        self.whole_at = whole_at;
        self.aim = Some(Target::HalfPlaced);
        Ok(())
    }

    /// Makes what is half-placed whole.
    ///
    /// # Errors
    /// Points are missing, or the case refuses it; it stays half-placed.
    pub fn complete(&mut self) -> Result<(), EditRefused> {
        self.open.complete_placing()?;
        self.aim = next_of(self.open.case(), None, Sight::Asked).map(Target::Landmark);
        Ok(())
    }

    /// Moves a point.
    ///
    /// # Errors
    /// It is not there, or the case refuses the place.
    pub fn move_point(&mut self, point: Handle, to: Position<Stored>) -> Result<(), EditRefused> {
        match point {
            Handle::Case(point) => self.open.apply(Edit::Move { point, to })?,
            Handle::Clicked(at) => self.open.move_click(at, to)?,
            Handle::Ruler(end) => {
                if let Some(ruler) = &mut self.ruler {
                    ruler.put(end, to);
                }
                return Ok(());
            }
        };
        Ok(())
    }

    /// The landmark that the last step forwards came from, where that step led to this one.
    fn back_on_the_trail(&mut self, now: Option<LandmarkAt>) -> Option<LandmarkAt> {
        match self.trail.pop() {
            Some((from, to)) if now == Some(to) => Some(from),
            _ => {
                self.trail.clear();
                None
            }
        }
    }

    /// Aims at the next landmark to be placed, or goes back: by the steps that were made forwards, and from where there is
    /// none to the one before in the list.
    pub fn aim_along(&mut self, forwards: bool) {
        let now = self.landmark_meant();
        let next = if forwards {
            let next = next_to_place(self.open.case(), now);
            self.trail.extend(now.zip(next).filter(|(from, to)| from != to));
            next
        } else if let Some(from) = self.back_on_the_trail(now) {
            Some(from)
        } else {
            let listed = landmarks(self.open.case());
            let at = now.and_then(|now| listed.iter().position(|(at, _)| *at == now)).unwrap_or(0);
            let before = at.checked_sub(1).unwrap_or(listed.len().saturating_sub(1));
            listed.get(before).map(|(at, _)| *at)
        };
        self.aim = next.map(Target::Landmark);
        if let Some(at) = next {
            self.open.select(Some(Selection::Landmark(at)));
        }
    }

    /// Marks the landmark that is meant as hidden, for what usually hides it.
    ///
    /// # Errors
    /// The case refuses it.
    pub fn hide(&mut self) -> Result<(), EditRefused> {
        let Some(at) = self.landmark_meant() else { return Ok(()) };
        let sight = at.id.landmark().sight(self.open.case().film.stage);
        self.mark_as(Mark::Hidden { hidden: sight.why_hidden().to_owned(), extra: Extra::new() })
    }

    /// Marks the landmark that is meant as absent.
    ///
    /// # Errors
    /// The case refuses it.
    pub fn rule_out(&mut self) -> Result<(), EditRefused> {
        self.mark_as(Mark::Absent { absent: NOT_THERE.to_owned(), extra: Extra::new() })
    }

    fn mark_as(&mut self, mark: Mark) -> Result<(), EditRefused> {
        let Some(at) = self.landmark_meant() else { return Ok(()) };
        self.open.apply(marking(self.open.case(), at, Some(mark)))?;
        if self.aim.is_some() {
            self.aim_after(at);
        }
        Ok(())
    }

    /// Makes a placed landmark planned, or a planned one present.
    ///
    /// # Errors
    /// The case refuses it.
    pub fn toggle_planned(&mut self) -> Result<(), EditRefused> {
        let Some(at) = self.landmark_meant() else { return Ok(()) };
        if let Some(Mark::Placed(point)) = at.mark(self.open.case()) {
            let state = if point.is_planned() { None } else { Some(State::Planned) };
            let mark = Some(Mark::Placed(Point { state, ..point.clone() }));
            self.open.apply(Edit::Mark { at, mark })?;
        }
        Ok(())
    }

    /// Deletes what is selected: a landmark, a point of a canal, a section, a reference.
    ///
    /// # Errors
    /// The case refuses it.
    pub fn delete_selected(&mut self) -> Result<(), EditRefused> {
        let edit = match self.open.selection() {
            Some(Selection::Landmark(at) | Selection::Point(PointAt::Landmark(at))) => {
                marking(self.open.case(), at, None)
            }
            Some(Selection::Point(PointAt::Canal { root, at })) => {
                Edit::Canal { root, change: ListChange::Remove { at } }
            }
            Some(
                Selection::Section { root, at }
                | Selection::Point(PointAt::Section { root, section: at, .. }),
            ) => Edit::Sections { root, change: ListChange::Remove { at } },
            Some(Selection::Reference(at) | Selection::Point(PointAt::Reference { reference: at, .. })) => {
                Edit::References(ListChange::Remove { at })
            }
            // A root takes many landmarks with it: the worksheet removes it by name.
            Some(Selection::Root(_)) | None => return Ok(()),
        };
        self.open.apply(edit)?;
        Ok(())
    }

    /// Puts down what is aimed at, or gives up what is half-placed; then what is selected.
    pub fn cancel(&mut self) {
        if self.open.in_gesture() {
            self.open.cancel_gesture();
        } else if self.open.half_placed().is_some() && self.aim == Some(Target::HalfPlaced) {
            self.open.cancel_placing();
            self.aim = None;
        } else if self.ruler.is_some() {
            self.toggle_ruler();
        } else if self.aim.is_some() {
            self.aim = None;
        } else {
            self.open.select(None);
        }
    }

    /// Takes up the scratch ruler, or puts it away and goes on with what was aimed at before.
    pub fn toggle_ruler(&mut self) {
        if let Some(ruler) = self.ruler.take() {
            self.put_down_ruler(&ruler);
        } else {
            self.ruler = Some(Ruler::taken_up(self.aim));
            self.aim = Some(Target::Ruler);
        }
    }

    /// Once it is laid, or put away, what was aimed at before is aimed at again.
    const fn put_down_ruler(&mut self, ruler: &Ruler) {
        if let Some(Target::Ruler) = self.aim {
            self.aim = ruler.aim_before;
        }
    }

    /// Goes to where the landmark aimed at is likely to be, once for each aim; the whole film where nothing tells.
    /// Never while a point is on its way.
    pub fn go_to_next(&mut self) {
        let Some(target @ Target::Landmark(at)) = self.aim else { return };
        if self.went_to == Some(target) || self.open.in_gesture() {
            return;
        }
        self.went_to = Some(target);
        match hint(self.open.case(), at) {
            Some(hint) => self.viewport.show_ground(&hint.ground()),
            None => self.viewport.fit(),
        }
        if self.cursor.is_some() {
            // Whoever works by keyboard looks there, too.
            self.cursor = Some(self.viewport.place(Position::new(0.0, 0.0)));
        }
    }

    /// The numbers as they are shown.
    pub fn shown_numbers(&self) -> Option<Derived> {
        let mut derived = self.numbers.as_ref().as_ref().ok()?.derived.clone();
        for row in &mut derived.measurements {
            if let Some(shown) = self.shown_row(&row.of) {
                *row = shown.clone();
            }
        }
        Some(derived)
    }

    /// A number as it is shown: a doubtful one as drawn, where there are draws.
    pub fn shown_row(&self, of: &RowRef) -> Option<&MeasurementRow> {
        let row =
            self.numbers.as_ref().as_ref().ok()?.derived.measurements.iter().find(|row| row.of == *of)?;
        let drawn = self.drawn.as_ref().filter(|_| row.first_order_doubtful);
        drawn.and_then(|(_, drawn)| drawn.derived.measurements.iter().find(|row| row.of == *of)).or(Some(row))
    }

    /// A measurement as it is shown, with all it was measured with.
    pub fn measurement(&self, of: &RowRef) -> Option<(&Measured, &Measurement)> {
        let find = |measured: &'_ Measured| measured.measurements.iter().position(|it| it.of == *of);
        let first_order = &self.numbers.as_ref().as_ref().ok()?.measured;
        let drawn = self.drawn.as_ref().map(|(_, drawn)| &drawn.measured);
        let is_doubtful = first_order.measurements.get(find(first_order)?)?.first_order_is_doubtful();
        let measured = drawn.filter(|_| is_doubtful).unwrap_or(first_order);
        Some((measured, measured.measurements.get(find(measured)?)?))
    }

    /// Looks at the film otherwise. `points_per_pixel` is how many points of the screen a physical pixel has.
    pub fn look(&mut self, look: Look, points_per_pixel: f64) {
        let middle = Position::new(0.0, 0.0);
        match look {
            Look::Resize(view) => self.viewport.resize(view),
            Look::Pan(by) => self.viewport.pan(by),
            Look::Zoom { by, at } => self.viewport.zoom_by(by, at),
            Look::ZoomTo(zoom) => self.viewport.zoom_to(zoom * points_per_pixel, middle),
            Look::TurnTo(degrees) => self.viewport.turn_to(degrees),
            Look::Centre(place) => self.viewport.centre_on(place),
        }
    }

    /// Which film the case lies on, were it the one at this path.
    pub fn link_to(file: &str, film: &crate::film::Description) -> FilmLink {
        let drafted = crate::case::draft(file, film, &crate::case::Begun::default());
        FilmLink::of(&drafted)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{Extra, Instrument, Reference};
    use crate::case::{Landmark, Side};
    use crate::editor::Engine;
    use std::path::PathBuf;

    fn work() -> Work {
        let mut case = crate::case::film_102();
        case.landmarks.marks.clear();
        case.calibration.references.clear();
        let engine = Arc::new(Engine::embedded().expect("the engine is embedded"));
        Work::new(OpenCase::unfiled(case, PathBuf::new(), engine, None))
    }

    fn at(x: f64, y: f64) -> Position<Stored> {
        Position::new(x, y)
    }

    fn instrument() -> Placing {
        Placing::Reference(Box::new(Reference::Instrument(Instrument {
            points: Vec::new(),
            length_mm: Some(21.0),
            tolerance_mm: None,
            length_sd_mm: None,
            between: None,
            object: None,
            extra: Extra::new(),
        })))
    }

    #[test]
    fn the_view_follows_the_shape_of_pixels_that_the_case_states() {
        let mut work = work();
        let mut flat = work.open.case().clone();
        flat.film.pixel_aspect = Some(0.5);
        work.open.apply(Edit::FilmLink(Box::new(FilmLink::of(&flat)))).expect("it is the same film");
        work.refresh();
        assert_eq!(work.viewport.pixel_aspect(), 0.5);
        work.open.undo();
        work.refresh();
        assert_eq!(work.viewport.pixel_aspect(), 1.0);
    }

    #[test]
    fn a_landmark_and_its_refinement_are_one_step() {
        let mut work = work();
        let finish_line = LandmarkAt { root: None, id: Landmark::FinishLine.on(Side::Mesial) };
        work.aim = Some(Target::Landmark(finish_line));
        work.open.begin_gesture();
        work.place(at(500.0, 400.0)).expect("it can be placed");
        work.move_point(Handle::Case(PointAt::Landmark(finish_line)), at(510.0, 401.0)).expect("it is there");
        work.end_gesture().expect("nothing is half-placed");
        let place = PointAt::Landmark(finish_line).position(work.open.case());
        assert_eq!(place, Some(at(510.0, 401.0)));
        assert_eq!(work.open.next_undo(), Some("place finish line, mesial"));
        work.open.undo();
        assert_eq!(work.open.next_undo(), None);
    }

    #[test]
    fn what_is_undone_is_aimed_at_again() {
        let mut work = work();
        let first = LandmarkAt { root: None, id: Landmark::CrownEdge.id() };
        work.aim = Some(Target::Landmark(first));
        work.place(at(10.0, 10.0)).unwrap();
        assert_ne!(work.aim, Some(Target::Landmark(first)), "the aim goes on");
        work.undo();
        assert_eq!(work.aim, Some(Target::Landmark(first)));
        work.redo();
        assert_ne!(work.aim, Some(Target::Landmark(first)), "it is placed again");
        // Nobody who aims at nothing is made to.
        work.aim = None;
        work.undo();
        assert_eq!(work.aim, None);
    }

    #[test]
    fn the_last_point_of_a_reference_may_move_until_it_is_let_go() {
        let mut work = work();
        work.begin(instrument(), Some(2)).expect("an instrument has points");
        work.place(at(500.0, 100.0)).expect("a first point");
        work.open.begin_gesture();
        work.place(at(500.0, 900.0)).expect("a second point");
        assert!(work.open.case().calibration.references.is_empty(), "its click is still held");
        work.move_point(Handle::Clicked(1), at(500.0, 910.0)).expect("the point is there");
        work.end_gesture().expect("it is whole");
        let points = work.open.case().calibration.references[0].points();
        assert_eq!(points.last().map(|point| point.y), Some(910.0));
        work.open.undo();
        assert!(work.open.case().calibration.references.is_empty());
        assert_eq!(work.open.next_undo(), None, "all its points are one step");
    }

    #[test]
    fn without_a_gesture_the_last_point_makes_it_whole_at_once() {
        let mut work = work();
        work.begin(instrument(), Some(2)).expect("an instrument has points");
        work.place(at(500.0, 100.0)).expect("a first point");
        work.place(at(500.0, 900.0)).expect("a second point");
        assert_eq!(work.open.case().calibration.references.len(), 1);
    }
}
