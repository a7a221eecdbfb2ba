//! Edits: everything a person can change of a case. Making one gives the edit that takes it back exactly.

use super::list_change::{ListChange, OutOfList};
use super::refused::EditRefused;
use super::whereabouts::{LandmarkAt, PointAt, root_of};
use crate::calibration::Reference;
use crate::case::{
    Answer, Case, Fdi, FilmSide, Finding, Landmark, LandmarkId, Mark, Point, Reading, Root, RootName,
    Section, Site, SmileLine, Stage, Technique,
};
use crate::geometry::{Position, Stored};

/// A change of the case. What is `None` is taken out of the case, so that its default holds.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// The label.
    Label(Option<String>),
    /// When in the treatment the film was taken.
    Stage(Option<Stage>),
    /// How the film was aimed.
    Technique(Option<Technique>),
    /// When the film was taken, `YYYY-MM-DD`.
    Date(Option<String>),
    /// Which film the case lies on.
    FilmLink(Box<FilmLink>),
    /// Which tooth.
    Fdi(Option<Fdi>),
    /// Where mesial lies on the film.
    MesialIs(Option<FilmSide>),
    /// What is known of a landmark: placed (present or planned), hidden or absent; `None` deletes it.
    Mark {
        /// Which landmark.
        at: LandmarkAt,
        /// What is known of it.
        mark: Option<Mark>,
    },
    /// Moves a point that is placed; whatever else is known of it stays.
    Move {
        /// Which point.
        point: PointAt,
        /// Where to.
        to: Position<Stored>,
    },
    /// Adds, replaces or removes a root.
    Roots(ListChange<Root>),
    /// Renames a root.
    RootName {
        /// Which root.
        root: RootName,
        /// What it is called from now on.
        name: RootName,
    },
    /// Whether a post is in a root or planned for it.
    PostHere {
        /// Which root.
        root: RootName,
        /// Whether it is; `None` where nothing is said.
        post_here: Option<bool>,
    },
    /// Changes the canal of a root.
    Canal {
        /// Which root.
        root: RootName,
        /// The change of its points.
        change: ListChange<Point>,
    },
    /// Adds, replaces or removes widths across a root.
    Sections {
        /// Which root.
        root: RootName,
        /// The change of its sections.
        change: ListChange<Section>,
    },
    /// Adds, replaces or removes what gives the scale.
    References(ListChange<Reference>),
    /// Standard uncertainty of the ratio of transverse to axial scale.
    RatioSd(Option<f64>),
    /// An uncertainty that wins over its default.
    Uncertainty {
        /// Which one.
        of: UncertaintyOf,
        /// Its value, in the unit its key ends in.
        value: Option<f64>,
    },
    /// A reading at one site of the tooth.
    SiteReading {
        /// Which reading.
        of: SiteReading,
        /// Where.
        site: Site,
        /// The reading.
        reading: Option<Reading>,
    },
    /// A reading or plan of the whole tooth.
    ToothReading {
        /// Which one.
        of: ToothReading,
        /// The reading.
        reading: Option<Reading>,
    },
    /// A finding of the first look.
    FirstLook {
        /// Which finding.
        finding: Finding,
        /// What was found.
        answer: Option<Answer>,
    },
    /// How much of the gum a smile shows.
    SmileLine(Option<SmileLine>),
    /// What the instrument's stop rests on, in words.
    StopReferenceName(Option<String>),
    /// The drill for the post space, by its name in the library.
    Drill(Option<String>),
    /// Edits that belong together: all are made, or none.
    Several {
        /// What they are together, in the words of an undo.
        name: String,
        /// The edits, in order.
        edits: Vec<Self>,
    },
    /// The whole case: what was recovered.
    Whole(Box<Case>),
}

/// Which film a case lies on.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FilmLink {
    /// Path of the film, relative to the case.
    pub file: Option<String>,
    /// SHA-256 of the film's bytes, lower hex.
    pub sha256: Option<String>,
    /// Width in pixels, after orientation.
    pub width_px: Option<u32>,
    /// Height in pixels, after orientation.
    pub height_px: Option<u32>,
    /// Height of a pixel over its width.
    pub pixel_aspect: Option<f64>,
}

macro_rules! slots {
    ($(#[$doc:meta])* $name:ident: $what:ty, in $part:ident { $($(#[$slot_doc:meta])* $slot:ident: $field:ident, $words:literal;)+ }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name { $($(#[$slot_doc])* $slot),+ }

        impl $name {
            /// Every one, in the order of the case file.
            pub const ALL: &'static [Self] = &[$(Self::$slot),+];

            /// What it is called.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$slot => $words),+ }
            }

            /// Its key in files.
            pub const fn key(self) -> &'static str {
                match self { $(Self::$slot => stringify!($field)),+ }
            }

            /// What a case holds there.
            pub const fn value(self, case: &Case) -> &$what {
                match self { $(Self::$slot => &case.$part.$field),+ }
            }

            fn of(self, case: &mut Case) -> &mut $what {
                match self { $(Self::$slot => &mut case.$part.$field),+ }
            }
        }
    };
}

slots! {
    /// An uncertainty a case can state.
    UncertaintyOf: Option<f64>, in uncertainty {
        /// Of placing a point, each axis, mm.
        Placing: placing_mm, "uncertainty of placing";
        /// Of a point's depth before or behind the canal plane, mm.
        ParallaxDepth: parallax_depth_mm, "parallax depth";
        /// Of the beam's vertical angle, degrees.
        Angulation: angulation_deg, "uncertainty of the beam's angle";
    }
}

slots! {
    /// A reading taken site by site.
    SiteReading: crate::case::Sites, in clinical {
        /// Height of sound wall above the margin.
        Ferrule: ferrule_mm, "ferrule";
        /// Thickness of the wall.
        Wall: wall_mm, "wall thickness";
        /// Height of sound wall above the bone, by sounding.
        WallAboveBone: wall_above_bone_mm, "wall above bone";
        /// Depth of the sulcus.
        Sulcus: sulcus_mm, "sulcus";
    }
}

impl SiteReading {
    /// The sites at which it is read: what a film shows of the other two is measured there.
    pub const fn sites(self) -> &'static [Site] {
        match self {
            Self::Ferrule | Self::Wall => &Site::PROBED,
            Self::WallAboveBone | Self::Sulcus => &Site::ALL,
        }
    }
}

slots! {
    /// A reading or plan of the whole tooth.
    ToothReading: Option<Reading>, in clinical {
        /// Planned height of the core.
        PlannedCoreHeight: planned_core_height_mm, "planned core height";
        /// Planned length of the crown.
        PlannedCrownLength: planned_crown_length_mm, "planned crown length";
        /// Space from the core base to the opposing tooth.
        InterocclusalSpace: interocclusal_space_mm, "interocclusal space";
        /// Thickness of the crown over the core.
        CrownThickness: crown_thickness_mm, "crown thickness";
    }
}

impl Edit {
    /// A landmark of the tooth.
    pub fn tooth_mark(id: LandmarkId, mark: impl Into<Option<Mark>>) -> Self {
        Self::Mark { at: LandmarkAt { root: None, id }, mark: mark.into() }
    }

    /// A landmark of a root.
    pub fn root_mark(root: RootName, landmark: Landmark, mark: impl Into<Option<Mark>>) -> Self {
        Self::Mark { at: LandmarkAt { root: Some(root), id: landmark.id() }, mark: mark.into() }
    }

    /// That a root has no root filling: both its ends are absent, which is the only way to say so.
    pub fn no_root_filling(root: RootName) -> Self {
        let absent = |landmark| {
            let absent = "no root filling".to_owned();
            Self::root_mark(root, landmark, Mark::Absent { absent, extra: crate::calibration::Extra::new() })
        };
        Self::Several {
            name: "no root filling".to_owned(),
            edits: vec![absent(Landmark::FillingTop), absent(Landmark::FillingTip)],
        }
    }

    /// That a tooth has no post: both its ends are absent in every root.
    pub fn no_post(roots: impl IntoIterator<Item = RootName>) -> Self {
        let absent = |root, landmark| {
            let absent = "no post".to_owned();
            Self::root_mark(root, landmark, Mark::Absent { absent, extra: crate::calibration::Extra::new() })
        };
        let ends = |root| [Landmark::PostHead, Landmark::PostTip].map(|landmark| absent(root, landmark));
        Self::Several { name: "no post".to_owned(), edits: roots.into_iter().flat_map(ends).collect() }
    }

    /// Makes the edit and gives the one that takes it back. After an error the case may be half changed: callers
    /// work on a copy.
    pub(super) fn perform(&self, case: &mut Case) -> Result<Self, EditRefused> {
        use std::mem::replace;
        Ok(match self {
            Self::Label(label) => Self::Label(replace(&mut case.label, label.clone())),
            Self::Stage(stage) => Self::Stage(replace(&mut case.film.stage, *stage)),
            Self::Technique(technique) => Self::Technique(replace(&mut case.film.technique, *technique)),
            Self::Date(date) => Self::Date(replace(&mut case.film.date, date.clone())),
            Self::FilmLink(link) => Self::FilmLink(Box::new(link.perform(case))),
            Self::Fdi(fdi) => Self::Fdi(replace(&mut case.tooth.fdi, *fdi)),
            Self::MesialIs(side) => Self::MesialIs(replace(&mut case.tooth.mesial_is, *side)),
            Self::Mark { at, mark } => {
                let marks = &mut at.landmarks(case)?.marks;
                let before = match mark {
                    Some(mark) => marks.insert(at.id, mark.clone()),
                    None => marks.remove(&at.id),
                };
                Self::Mark { at: *at, mark: before }
            }
            Self::Move { point, to } => {
                let (x, y) = point.coordinates(case)?;
                let before = Position::new(replace(x, to.x), replace(y, to.y));
                Self::Move { point: *point, to: before }
            }
            Self::Roots(change) => Self::Roots(in_list("root", change.perform(&mut case.roots))?),
            Self::RootName { root, name } => {
                root_of(case, *root)?.name = *name;
                Self::RootName { root: *name, name: *root }
            }
            Self::PostHere { root, post_here } => {
                let before = replace(&mut root_of(case, *root)?.post_here, *post_here);
                Self::PostHere { root: *root, post_here: before }
            }
            Self::Canal { root, change } => {
                let change = change.perform(&mut root_of(case, *root)?.canal);
                Self::Canal { root: *root, change: in_list("canal point", change)? }
            }
            Self::Sections { root, change } => {
                let change = change.perform(&mut root_of(case, *root)?.sections);
                Self::Sections { root: *root, change: in_list("section", change)? }
            }
            Self::References(change) => {
                Self::References(in_list("reference", change.perform(&mut case.calibration.references))?)
            }
            Self::RatioSd(sd) => Self::RatioSd(replace(&mut case.calibration.ratio_sd, *sd)),
            Self::Uncertainty { of, value } => {
                Self::Uncertainty { of: *of, value: replace(of.of(case), *value) }
            }
            Self::SiteReading { of, site, reading } => {
                let readings = &mut of.of(case).readings;
                let before = match reading {
                    Some(reading) => readings.insert(*site, reading.clone()),
                    None => readings.remove(site),
                };
                Self::SiteReading { of: *of, site: *site, reading: before }
            }
            Self::ToothReading { of, reading } => {
                Self::ToothReading { of: *of, reading: replace(of.of(case), reading.clone()) }
            }
            Self::FirstLook { finding, answer } => {
                let answers = &mut case.clinical.first_look.answers;
                let before = match answer {
                    Some(answer) => answers.insert(*finding, answer.clone()),
                    None => answers.remove(finding),
                };
                Self::FirstLook { finding: *finding, answer: before }
            }
            Self::SmileLine(line) => Self::SmileLine(replace(&mut case.clinical.smile_line, *line)),
            Self::StopReferenceName(name) => {
                Self::StopReferenceName(replace(&mut case.clinical.stop_reference_name, name.clone()))
            }
            Self::Drill(drill) => Self::Drill(replace(&mut case.clinical.drill, drill.clone())),
            Self::Several { name, edits } => {
                let mut back = edits.iter().map(|edit| edit.perform(case)).collect::<Result<Vec<_>, _>>()?;
                back.reverse();
                Self::Several { name: name.clone(), edits: back }
            }
            Self::Whole(whole) => Self::Whole(Box::new(replace(case, Case::clone(whole)))),
        })
    }

    /// Whether this edit leaves nothing of what an earlier one did, so that in a gesture one of the two is enough.
    pub(super) fn overwrites(&self, earlier: &Self) -> bool {
        match (self, earlier) {
            (Self::Move { point, .. }, Self::Move { point: before, .. }) => point == before,
            (Self::Mark { at, .. }, Self::Mark { at: before, .. }) => at == before,
            (Self::Label(_), Self::Label(_))
            | (Self::RatioSd(_), Self::RatioSd(_))
            | (Self::StopReferenceName(_), Self::StopReferenceName(_)) => true,
            (Self::Uncertainty { of, .. }, Self::Uncertainty { of: before, .. }) => of == before,
            (Self::SiteReading { of, site, .. }, Self::SiteReading { of: before, site: site_before, .. }) => {
                (of, site) == (before, site_before)
            }
            (Self::ToothReading { of, .. }, Self::ToothReading { of: before, .. }) => of == before,
            (Self::FirstLook { finding, .. }, Self::FirstLook { finding: before, .. }) => finding == before,
            (Self::Canal { root, change }, Self::Canal { root: root_before, change: before }) => {
                root == root_before && change.overwrites(before)
            }
            (Self::Sections { root, change }, Self::Sections { root: root_before, change: before }) => {
                root == root_before && change.overwrites(before)
            }
            (Self::References(change), Self::References(before)) => change.overwrites(before),
            _ => false,
        }
    }

    /// Puts an entry into every whole case in this edit.
    pub(super) fn note(&mut self, key: &str, entry: &serde_json::Value) {
        match self {
            Self::Whole(case) => drop(case.extra.insert(key.to_owned(), entry.clone())),
            Self::Several { edits, .. } => edits.iter_mut().for_each(|edit| edit.note(key, entry)),
            _ => {}
        }
    }

    /// Gives every film named in this edit the path it has from another folder.
    pub(super) fn move_film(&mut self, moved: &impl Fn(&str) -> String) {
        let file = match self {
            Self::FilmLink(link) => &mut link.file,
            Self::Whole(case) => &mut case.film.file,
            Self::Several { edits, .. } => return edits.iter_mut().for_each(|edit| edit.move_film(moved)),
            _ => return,
        };
        *file = file.as_deref().map(moved);
    }
}

impl FilmLink {
    /// The film a case lies on.
    pub fn of(case: &Case) -> Self {
        let film = &case.film;
        Self {
            file: film.file.clone(),
            sha256: film.sha256.clone(),
            width_px: film.width_px,
            height_px: film.height_px,
            pixel_aspect: film.pixel_aspect,
        }
    }

    fn perform(&self, case: &mut Case) -> Self {
        let before = Self::of(case);
        let Self { file, sha256, width_px, height_px, pixel_aspect } = self.clone();
        let film = &mut case.film;
        (film.file, film.sha256, film.width_px) = (file, sha256, width_px);
        (film.height_px, film.pixel_aspect) = (height_px, pixel_aspect);
        before
    }
}

fn in_list<T>(what: &'static str, change: Result<T, OutOfList>) -> Result<T, EditRefused> {
    change.map_err(|OutOfList { at, count }| EditRefused::NoEntry { what, at, count })
}
