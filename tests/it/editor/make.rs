//! Edits from a seed: sensible ones, useless ones and impossible ones.

use crestgauge::calibration::{
    Between, Extra, Instrument, Placed, Receptor, Reference, ReferencePoint, Scan, Sphere, Width,
};
use crestgauge::case::{
    self, Answer, Answers, Case, Fdi, FilmSide, Finding, LandmarkId, Mark, Owner, Point, Reading, Root,
    RootName, Section, Site, SmileLine, Stage, State, Technique,
};
use crestgauge::editor::{
    Edit, FilmLink, LandmarkAt, ListChange, PointAt, SiteReading, ToothReading, UncertaintyOf,
};
use crestgauge::geometry::Position;

/// Random numbers by splitmix64: the same everywhere, from a seed.
pub(super) struct Dice(pub(super) u64);

impl Dice {
    pub(super) fn roll(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    pub(super) fn below(&mut self, end: usize) -> usize {
        usize::try_from(self.roll() % end as u64).unwrap()
    }

    pub(super) fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }

    pub(super) fn between(&mut self, least: f64, most: f64) -> f64 {
        #[allow(clippy::cast_precision_loss)] // 53 bits are what an f64 holds.
        let share = (self.roll() >> 11) as f64 / (1_u64 << 53) as f64;
        least + (most - least) * share
    }

    pub(super) fn pick<T: Clone>(&mut self, choices: &[T]) -> T {
        choices[self.below(choices.len())].clone()
    }

    fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        (!self.one_in(3)).then(|| make(self))
    }

    fn words(&mut self) -> String {
        self.pick(&["", "palatal cusp", "Zahn \"zwei\" \\ \u{e9}\n", "\u{1f9b7}"]).to_owned()
    }

    /// A size that is mostly sound.
    fn size(&mut self, most: f64) -> f64 {
        match self.below(40) {
            0 => self.pick(&[f64::NAN, f64::INFINITY, -1.0]),
            1 => 0.0,
            _ => self.between(0.01, most),
        }
    }

    fn coordinates(&mut self) -> (f64, f64) {
        match self.below(60) {
            0 => (f64::NAN, 1.0),
            1 => (2e6, 1.0),
            2 => (-0.0, 700.0),
            _ => (self.between(0.0, 1000.0), self.between(0.0, 1300.0)),
        }
    }

    fn point(&mut self) -> Point {
        let (x, y) = self.coordinates();
        let mut point = Point::at(x, y);
        if self.one_in(3) {
            point.sd_px = Some(self.size(3.0));
            point.state = Some(self.pick(&[State::Present, State::Planned]));
            point.placed = Some(self.pick(&[Placed::Hand, Placed::Snapped]));
            point.planned_from = self.maybe(|dice| vec![dice.words()]);
            point.extra = self.extra();
        }
        point
    }

    fn extra(&mut self) -> Extra {
        let mut extra = Extra::new();
        if self.one_in(4) {
            extra.insert("x-own".to_owned(), serde_json::json!([1, null, {"deep": 0.1}]));
        }
        if self.one_in(30) {
            // A key that stands already: it would stand twice in the file.
            extra.insert("x".to_owned(), 1.into());
        }
        extra
    }

    fn mark(&mut self) -> Mark {
        match self.below(8) {
            0 => Mark::Hidden { hidden: self.words(), extra: self.extra() },
            1 => Mark::Absent { absent: self.words(), extra: Extra::new() },
            _ => Mark::Placed(self.point()),
        }
    }

    fn reading(&mut self) -> Reading {
        Reading {
            value: self.size(12.0),
            sd: self.maybe(|dice| dice.size(1.0)),
            by: self.maybe(|dice| dice.pick(&[case::Instrument::Probe, case::Instrument::Calliper])),
            extra: Extra::new(),
        }
    }

    /// Mostly an answer the finding takes.
    fn answer(&mut self, finding: Finding) -> Answer {
        match finding.declaration().answers {
            Answers::Words(_) if self.one_in(20) => Answer::Word("of no finding"),
            Answers::Words(choices) => Answer::Word(self.pick(choices).word),
            Answers::Count { most, .. } => {
                Answer::Count(u8::try_from(self.below(usize::from(most) + 2)).unwrap())
            }
            Answers::Depth => Answer::Depth(self.reading()),
        }
    }

    pub(super) fn root_name(&mut self, case: &Case) -> RootName {
        if self.one_in(20) || case.roots.is_empty() {
            return self.any_root();
        }
        case.roots[self.below(case.roots.len())].name
    }

    fn any_root(&mut self) -> RootName {
        self.pick(RootName::ALL).1
    }

    fn reference_points(&mut self, least: usize) -> Vec<ReferencePoint> {
        let count = least + self.below(2);
        (0..count)
            .map(|_| {
                let (x, y) = self.coordinates();
                let placed = self.maybe(|_| Placed::Hand);
                ReferencePoint { x, y, sd_px: self.maybe(|dice| dice.size(2.0)), placed, extra: Extra::new() }
            })
            .collect()
    }

    fn object(&mut self) -> Option<String> {
        self.one_in(6).then(|| self.pick(&["peeso-2", "no-such-object"]).to_owned())
    }

    pub(super) fn reference(&mut self) -> Reference {
        let (tolerance_mm, extra) = (self.maybe(|dice| dice.size(0.5)), Extra::new());
        let magnification = self.maybe(|dice| dice.size(1.2));
        let size = self.maybe(|dice| dice.size(25.0));
        match self.below(5) {
            0 => Reference::Instrument(Instrument {
                points: self.reference_points(2),
                length_mm: size,
                tolerance_mm,
                length_sd_mm: None,
                between: self.maybe(|_| Between::TipStop),
                object: self.object(),
                extra,
            }),
            1 => Reference::Width(Width {
                points: self.reference_points(2),
                diameter_mm: size,
                tolerance_mm,
                diameter_sd_mm: None,
                object: self.object(),
                extra,
            }),
            2 => Reference::Sphere(Sphere {
                points: self.reference_points(3),
                diameter_mm: size,
                tolerance_mm,
                diameter_sd_mm: None,
                object: self.object(),
                extra,
            }),
            3 => Reference::Receptor(Receptor {
                pitch_mm: [self.size(0.1), self.size(0.1)],
                magnification,
                magnification_sd: None,
                extra,
            }),
            _ => {
                Reference::Scan(Scan { dpi: self.size(1200.0), magnification, magnification_sd: None, extra })
            }
        }
    }

    /// A change of a list that keeps it short.
    fn change<T>(&mut self, count: usize, most: usize, make: impl Fn(&mut Self) -> T) -> ListChange<T> {
        let at = self.below(count + 1);
        if count >= most {
            return ListChange::Remove { at };
        }
        match self.below(6) {
            0 => ListChange::Remove { at },
            1 | 2 => ListChange::Replace { at, item: Box::new(make(self)) },
            3 => ListChange::Whole((0..self.below(most)).map(|_| make(self)).collect()),
            _ => ListChange::Insert { at, item: Box::new(make(self)) },
        }
    }

    fn section(&mut self) -> Section {
        Section {
            level: self.maybe(Self::words),
            points: std::array::from_fn(|_| self.point()),
            extra: Extra::new(),
        }
    }

    fn root(&mut self) -> Root {
        Root {
            name: self.any_root(),
            post_here: self.maybe(|dice| dice.one_in(2)),
            landmarks: case::Landmarks::default(),
            canal: (0..self.below(4)).map(|_| self.point()).collect(),
            sections: Vec::new(),
            extra: self.extra(),
        }
    }

    fn landmark(&mut self, case: &Case) -> LandmarkAt {
        let of_tooth = self.one_in(2);
        let ids: Vec<_> = if of_tooth == self.one_in(30) {
            LandmarkId::all(Owner::Root).collect()
        } else {
            LandmarkId::points(if of_tooth { Owner::Tooth } else { Owner::Root }).collect()
        };
        LandmarkAt { root: (!of_tooth).then(|| self.root_name(case)), id: self.pick(&ids) }
    }

    fn point_at(&mut self, case: &Case) -> PointAt {
        let root = self.root_name(case);
        match self.below(6) {
            0 => PointAt::Canal { root, at: self.below(5) },
            1 => PointAt::Section { root, section: self.below(2), at: self.below(5) },
            2 => PointAt::Reference { reference: self.below(3), at: self.below(3) },
            _ => PointAt::Landmark(self.landmark(case)),
        }
    }

    /// Any edit.
    pub(super) fn edit(&mut self, case: &Case) -> Edit {
        let root = self.root_name(case);
        let held = case.roots.iter().find(|it| it.name == root);
        match self.below(30) {
            0 => Edit::Label(self.maybe(Self::words)),
            1 => Edit::Stage(self.maybe(|dice| dice.pick(Stage::ALL).1)),
            2 => Edit::Technique(self.maybe(|dice| dice.pick(Technique::ALL).1)),
            3 => Edit::Date(
                self.maybe(|dice| dice.pick(&["2026-11-24", "24.11.2026", "2026-13-01"]).to_owned()),
            ),
            4 => Edit::FilmLink(Box::new(FilmLink {
                file: self.maybe(Self::words),
                sha256: self.maybe(|dice| dice.pick(&["a", "A", "x"]).repeat(64)),
                width_px: self.maybe(|_| 1000),
                height_px: Some(1300),
                pixel_aspect: self.maybe(|dice| dice.size(1.5)),
            })),
            5 => Edit::Fdi(self.maybe(|dice| Fdi::parse(dice.pick(&["11", "26", "36", "44"])).unwrap())),
            6 => Edit::MesialIs(self.maybe(|dice| dice.pick(&[FilmSide::Left, FilmSide::Right]))),
            7..=11 => Edit::Mark { at: self.landmark(case), mark: self.maybe(Self::mark) },
            12..=16 => {
                let (x, y) = self.coordinates();
                Edit::Move { point: self.point_at(case), to: Position::new(x, y) }
            }
            17 => Edit::Roots(self.change(case.roots.len(), 4, Self::root)),
            18 => Edit::RootName { root, name: self.any_root() },
            19 => Edit::PostHere { root, post_here: self.maybe(|dice| dice.one_in(2)) },
            20 | 21 => {
                Edit::Canal { root, change: self.change(held.map_or(0, |it| it.canal.len()), 6, Self::point) }
            }
            22 => Edit::Sections {
                root,
                change: self.change(held.map_or(0, |it| it.sections.len()), 3, Self::section),
            },
            23 => Edit::References(self.change(case.calibration.references.len(), 4, Self::reference)),
            24 => Edit::RatioSd(self.maybe(|dice| dice.size(0.1))),
            25 => Edit::Uncertainty {
                of: self.pick(UncertaintyOf::ALL),
                value: self.maybe(|dice| dice.size(4.0)),
            },
            26 => Edit::SiteReading {
                of: self.pick(SiteReading::ALL),
                site: self.pick(&Site::ALL),
                reading: self.maybe(Self::reading),
            },
            27 => Edit::ToothReading { of: self.pick(ToothReading::ALL), reading: self.maybe(Self::reading) },
            28 if self.one_in(3) => {
                let finding = self.pick(Finding::ALL);
                Edit::FirstLook { finding, answer: self.maybe(|dice| dice.answer(finding)) }
            }
            28 if self.one_in(3) => Edit::SmileLine(self.maybe(|dice| dice.pick(SmileLine::ALL).1)),
            28 if self.one_in(2) => Edit::StopReferenceName(self.maybe(Self::words)),
            28 => Edit::Drill(self.maybe(Self::words)),
            _ if self.one_in(2) => Edit::no_root_filling(root),
            _ => {
                let edits = (0..=self.below(3)).map(|_| self.edit(case)).collect();
                Edit::Several { name: "several at once".to_owned(), edits }
            }
        }
    }
}
