//! What a person asked for. Panels draw and collect actions; the session takes them in after the frame is drawn.

use super::agreement::Ask as AgreementAsk;
use super::command::Command;
use super::practice::Ask as PracticeAsk;
use super::question::Answer;
use super::remembered::Setting;
use super::session::Choosing;
use super::viewport::View;
use crate::case::{RootName, RowRef};
use crate::editor::{Edit, LandmarkAt, Placing, PointAt, Selection};
use crate::film::Tone;
use crate::geometry::{Displacement, Position, Stored};
use crate::report::Day;
use std::path::PathBuf;

/// One thing a person asked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// A command of the menus and shortcuts.
    Command(Command),
    /// A change of the case.
    Edit(Edit),
    /// What follows is one step of undo, until it ends.
    BeginGesture,
    /// The gesture is over.
    EndGesture,
    /// The gesture never was.
    CancelGesture,
    /// Selects something, or nothing.
    Select(Option<Selection>),
    /// What the next click on the film places; `None` puts it down.
    Aim(Option<Target>),
    /// Puts what is aimed at here.
    Place(Position<Stored>),
    /// Moves a point.
    Move {
        /// Which point.
        point: Handle,
        /// Where to.
        to: Position<Stored>,
    },
    /// Aims at a landmark that is placed, to place it once more: its earlier point is not seen meanwhile.
    PlaceAgain(LandmarkAt),
    /// Begins to place a reference or a section, point by point.
    BeginPlacing {
        /// What.
        what: Placing,
        /// How many points make it whole without being asked; `None` where one says so oneself.
        whole_at: Option<usize>,
    },
    /// What is half-placed is whole.
    CompletePlacing,
    /// What is half-placed is not wanted.
    CancelPlacing,
    /// Looks at the film otherwise.
    Look(Look),
    /// A number of the worksheet is pointed at, or none any more.
    PointNumber(Option<RowRef>),
    /// A point on the film is pointed at, or none any more.
    PointPlace(Option<PointAt>),
    /// Whether the plan is drawn on the film.
    ShowPlan(bool),
    /// The share of a lift that extrusion takes, 0 to 1.
    ShareExtrusion(f64),
    /// Puts words on the clipboard.
    Copy(String),
    /// Shows grey values otherwise.
    Tone(Tone),
    /// Moves the keyboard's cursor on the film; `None` takes it away.
    Cursor(Option<Position<Stored>>),
    /// Opens a film or a case.
    Open(PathBuf),
    /// Opens what unsaved work belongs to, and takes that work in.
    GoOn {
        /// The case, or the film where there is none yet.
        opens: PathBuf,
        /// Where the work was found.
        unsaved: PathBuf,
    },
    /// Names another film for the case.
    FindFilm(PathBuf),
    /// Gives up opening a film.
    CancelOpening,
    /// Saves the case under this name.
    SaveAs(PathBuf),
    /// Takes in unsaved work that was found.
    TakeOffer(PathBuf),
    /// Leaves it where it is.
    LeaveOffer(PathBuf),
    /// Deletes it.
    DeleteOffer(PathBuf),
    /// Writes the report under this name.
    WriteReportAs(PathBuf),
    /// The day that stands on reports; `None` for today.
    ReportDay(Option<Day>),
    /// Goes to a page of the report, counted from 0.
    Page(usize),
    /// Sees pages in another size: 1 is the paper's, `None` a whole page.
    PageSize(Option<f64>),
    /// The size at which a whole page is seen has changed.
    WholePage(f64),
    /// Turns the patient's drawing for somebody opposite, or back.
    TurnPicture,
    /// The screen the patient's drawing fills is so many times as wide as high.
    ShapeOfScreen(f64),
    /// Answers the question that is asked.
    Answer(Answer),
    /// Something could not be done, and why.
    Problem(String),
    /// The oldest notice was read.
    DismissNotice,
    /// Forgets the recent files.
    ForgetRecent,
    /// Whether recent files are remembered.
    RememberRecent(bool),
    /// How the program looks from now on.
    Set(Setting),
    /// Something about practice.
    Practice(PracticeAsk),
    /// Something about agreement.
    Agreement(AgreementAsk),
    /// A dialog of the system is wanted.
    Choose(Choosing),
}

impl Action {
    /// Begins to place a section of a root, whole once its four points are there.
    pub const fn begin_section(root: RootName) -> Self {
        Self::BeginPlacing { what: Placing::Section { root, level: None }, whole_at: Some(4) }
    }
}

/// What the next click on the film places.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Target {
    /// A landmark.
    Landmark(LandmarkAt),
    /// One more point at the apical end of a canal.
    CanalPoint(RootName),
    /// The next point of what is half-placed.
    HalfPlaced,
    /// The next end of the scratch ruler.
    Ruler,
}

/// A point on the film that can be dragged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Handle {
    /// A point of the case.
    Case(PointAt),
    /// A point of what is half-placed, counted from 0.
    Clicked(usize),
    /// An end of the scratch ruler, counted from 0.
    Ruler(usize),
}

/// Another look at the film.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Look {
    /// Its part of the window has another size, points.
    Resize([f64; 2]),
    /// It moves with the pointer.
    Pan(Displacement<View>),
    /// It grows by a factor around a point of the view.
    Zoom {
        /// The factor.
        by: f64,
        /// The point that stays.
        at: Position<View>,
    },
    /// It grows to so many physical pixels of the screen a pixel of the film.
    ZoomTo(f64),
    /// It turns to an angle, degrees clockwise.
    TurnTo(f64),
    /// A place comes into the middle.
    Centre(Position<Stored>),
}
