//! A sketch of the tooth for its owner: bone, root, filling, post, and what is missing of the crown. It is no picture of
//! the film and says so; which parts there are and how far the post reaches come from the case.

use crate::case::{Case, FilmSide, Landmark, Mark as Known, MeasurementRow, Point, Root, Side, Sight, Stage};
use crate::geometry::Position;
use crate::report::callouts::{Label, Sides};
use crate::report::drawing::{Block, Colour, Mark, Path, Role, Spot, Step, Stroke};
use crate::report::subject::Subject;

/// Its size, names included, mm.
pub(super) const WIDTH: f64 = 150.0;
pub(super) const HEIGHT: f64 = 100.0;
/// mm of paper for one of the sketch's own units, which are about a millimetre of a tooth.
const SCALE: f64 = 3.7;
/// Half the width of what is drawn, units.
const HALF: f64 = 10.0;

/// What the sketch shows of a tooth.
struct Shown {
    roots: usize,
    has_filling: bool,
    post: Option<Post>,
    /// How far the post reaches from the crown's edge towards the root's end, as a part of that way; none where nobody knows.
    post_reaches: Option<f64>,
    has_core: bool,
    crown: Crown,
    /// How high the walls stand to the left and right, units; none where nobody knows.
    walls: [Option<f64>; 2],
    is_upper: bool,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Crown {
    There,
    ToCome,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Post {
    There,
    Planned,
}

/// Whether a post is in any root of the tooth, and not only planned.
pub(super) fn has_post(case: &Case) -> bool {
    case.roots.iter().any(Root::holds_post)
}

/// How far down its root the post reaches, from the margin, as a part of the root; `None` where its tip or the root's
/// length is not known.
fn share_of_root(subject: &Subject<'_>) -> Option<f64> {
    let row = |root: &Root| {
        let is_it = |row: &&MeasurementRow| {
            row.of.id == "post_to_root" && row.of.root.as_deref() == Some(root.name.word())
        };
        subject.derived.measurements.iter().find(is_it)?.value
    };
    let mut roots = subject.case.roots.iter();
    if let Some(there) = roots.clone().find(|root| root.holds_post()) {
        return row(there);
    }
    let root = roots.find(|root| Some(root.name) == subject.plan.root)?;
    if root.landmarks.point(Landmark::PostTip.id()).is_some() {
        row(root)
    } else {
        recommended(subject, root)
    }
}

/// The same of a tip that is only recommended, of which there is no measurement: by the straight way on the film.
fn recommended(subject: &Subject<'_>, root: &Root) -> Option<f64> {
    let case = subject.case;
    let square = |point: &Point| point.squared(case.film.aspect());
    let margin = Side::BOTH.map(|side| case.landmarks.point(Landmark::FinishLine.on(side)).map(square));
    let margin = Position::mean(margin.into_iter().collect::<Option<Vec<_>>>()?)?;
    let whole = square(root.landmarks.point(Landmark::Apex.id())?).way_from(margin);
    let tip = &subject.plan.marks.recommended.as_ref()?.tip;
    let share = square(&Point::at(tip.x, tip.y)).way_from(margin).dot(whole) / whole.dot(whole);
    share.is_finite().then_some(share)
}

impl Shown {
    fn of(subject: &Subject<'_>) -> Self {
        let case = subject.case;
        let mark = |landmark: Landmark| {
            case.roots.iter().filter_map(move |root| root.landmarks.marks.get(&landmark.id()))
        };
        let is_planned = mark(Landmark::PostTip).any(|it| it.point().is_some_and(Point::is_planned))
            || subject.plan.marks.recommended.is_some();
        let post = if has_post(case) { Some(Post::There) } else { is_planned.then_some(Post::Planned) };
        let wall = |side: Side| {
            let id = format!("ferrule_height.{}", side.word());
            let row = subject.derived.measurements.iter().find(|row| row.of.id == id)?;
            // What stands below the margin is no wall to be seen.
            Some(row.value?.clamp(0.0, 7.0))
        };
        let sides = match case.tooth.mesial_is() {
            Some(FilmSide::Right) => [Side::Distal, Side::Mesial],
            _ => [Side::Mesial, Side::Distal],
        };
        Self {
            roots: case.roots.len(),
            has_filling: has_filling(case),
            post,
            post_reaches: share_of_root(subject),
            has_core: case
                .landmarks
                .marks
                .get(&Landmark::CoreTop.id())
                .is_some_and(|it| it.point().is_some()),
            crown: if case.film.stage.is_some_and(Stage::has_crown) { Crown::There } else { Crown::ToCome },
            walls: sides.map(wall),
            is_upper: case.tooth.fdi.is_some_and(crate::case::Fdi::is_upper),
        }
    }
}

/// Whether the roots are filled: an end of a filling is placed or hidden, or a film of this stage would show one and nobody
/// says that there is none.
fn has_filling(case: &Case) -> bool {
    let ends = [Landmark::FillingTop, Landmark::FillingTip];
    let marks: Vec<&Known> = case
        .roots
        .iter()
        .flat_map(|root| ends.iter().filter_map(|end| root.landmarks.marks.get(&end.id())))
        .collect();
    let is_asked = Landmark::FillingTip.sight(case.film.stage) == Sight::Asked;
    if marks.is_empty() { is_asked } else { marks.iter().any(|mark| !mark.is_absent()) }
}

/// The sketch, its upper left corner at the origin.
pub(super) fn sketch(subject: &Subject<'_>) -> Block {
    let shown = Shown::of(subject);
    let mut drawn = Sketch { shown: &shown, marks: Vec::new(), labels: Vec::new() };
    drawn.bone();
    drawn.core();
    drawn.roots();
    drawn.walls();
    drawn.crown();
    let Sketch { mut marks, labels, .. } = drawn;
    let middle = WIDTH / 2.0;
    let sides = Sides {
        sizes: &[3.4, 3.0, 2.7],
        top: 2.0,
        bottom: HEIGHT - 2.0,
        edges: [middle - HALF * SCALE, middle + HALF * SCALE],
        outer: [0.0, WIDTH],
        beside: 6.0,
    };
    let (leaders, words, _) = sides.placed(labels);
    marks.extend(leaders);
    marks.extend(words);
    Block { role: Role::Figure { alternative: shown.words() }, marks }
}

impl Shown {
    /// The sketch in words.
    fn words(&self) -> String {
        let post = match self.post {
            Some(Post::There) => ", a post in it",
            Some(Post::Planned) => ", a planned post in dashes",
            None => "",
        };
        let filling = if self.has_filling { ", filled" } else { "" };
        let crown = if self.crown == Crown::There {
            "the crown, and under it the walls as far as they are known"
        } else {
            "the walls that stand above the edge of the future crown, and in dashes the crown"
        };
        let missing =
            if self.walls.iter().any(Option::is_some) { ", in dashes what is missing of a wall" } else { "" };
        let unknown =
            if self.walls.contains(&None) { ", in dashes and dots where a wall is not known" } else { "" };
        format!(
            "A sketch of the tooth, not to scale: the root in the bone{filling}{post}; {crown}{missing}{unknown}."
        )
    }
}

struct Sketch<'s> {
    shown: &'s Shown,
    marks: Vec<Mark>,
    labels: Vec<Label>,
}

/// Above the bone, units: where the edge of the crown lies.
const CREST: f64 = 2.2;
/// Where the root of one root ends, and where bone drawn ends.
const APEX: f64 = 13.2;
/// Where the outlines of one and of several roots end indeed: curves stay within the points that guide them.
const ROOT_END: f64 = 13.1;
const ROOT_END_OF_SEVERAL: f64 = 12.65;
/// How far down the canal a post can be drawn, and how far where that is not known, as parts of the canal.
const SHORTEST: f64 = 0.1;
const LONGEST: f64 = 0.96;
const HALFWAY: f64 = 0.58;
const DEEPEST: f64 = 15.5;
const TALLEST: f64 = 9.5;

impl Sketch<'_> {
    /// A place of the sketch: x to the right of its middle, y from the crown's edge towards the root's end. Teeth of the
    /// upper jaw hang.
    fn at(&self, x: f64, y: f64) -> Spot {
        let down = (y + TALLEST) * SCALE + 2.5;
        Spot::new(WIDTH / 2.0 + x * SCALE, if self.shown.is_upper { HEIGHT - down } else { down })
    }

    fn area(&mut self, points: &[[f64; 2]], fill: Option<Colour>, stroke: Option<Stroke>) {
        let spots: Vec<Spot> = points.iter().map(|[x, y]| self.at(*x, *y)).collect();
        self.marks.push(Mark::Path(Path::area(&spots, fill, stroke)));
    }

    fn label(&mut self, x: f64, y: f64, words: &str) {
        self.labels.push(Label::new(self.at(x, y), vec![words.to_owned()], true));
    }

    /// A smooth outline: from the first point by curves, each of two guiding points and an end.
    fn outline(
        &mut self,
        start: [f64; 2],
        curves: &[[[f64; 2]; 3]],
        fill: Option<Colour>,
        stroke: Option<Stroke>,
    ) {
        let mut steps = vec![Step::Move(self.at(start[0], start[1]))];
        steps.extend(curves.iter().map(|curve| Step::Curve(curve.map(|[x, y]| self.at(x, y)))));
        steps.push(Step::Close);
        self.marks.push(Mark::Path(Path { name: None, steps, fill, stroke }));
    }

    fn bone(&mut self) {
        let corners = [[-HALF, CREST], [HALF, CREST], [HALF, DEEPEST], [-HALF, DEEPEST]];
        self.area(&corners, Some(Colour::grey(214)), Some(Stroke::solid(Colour::grey(120), 0.25)));
        self.label(-HALF + 1.2, CREST + 2.0, "bone");
    }

    fn core(&mut self) {
        if !self.shown.has_core {
            return;
        }
        let half = self.half() - 1.35;
        let corners = [[-half, 0.0], [-half + 0.3, -5.6], [half - 0.3, -5.6], [half, 0.0]];
        self.area(&corners, Some(Colour::grey(228)), Some(Stroke::solid(Colour::grey(90), 0.3)));
        self.label(half - 0.6, -4.9, "build-up (core)");
    }

    fn roots(&mut self) {
        let line = || Some(Stroke::solid(Colour::BLACK, 0.45));
        let dentine = Some(Colour::grey(250));
        // Where canals run: from the crown's edge to the end of the filling, as x and y of both ends.
        let canals: Vec<[[f64; 2]; 2]> = if self.shown.roots < 2 {
            self.outline(
                [-3.0, 0.0],
                &[
                    [[-3.0, 4.0], [-2.3, 9.0], [-0.8, APEX - 0.5]],
                    [[-0.4, APEX], [0.4, APEX], [0.8, APEX - 0.5]],
                    [[2.3, 9.0], [3.0, 4.0], [3.0, 0.0]],
                ],
                dentine,
                line(),
            );
            vec![[[0.0, 0.0], [0.0, APEX - 1.2]]]
        } else {
            self.outline(
                [-4.6, 0.0],
                &[
                    [[-4.8, 4.0], [-5.2, 8.0], [-4.6, 12.2]],
                    [[-4.4, 12.8], [-3.8, 12.8], [-3.6, 12.2]],
                    [[-3.0, 9.0], [-1.6, 5.6], [0.0, 4.6]],
                    [[1.6, 5.6], [3.0, 9.0], [3.6, 12.2]],
                    [[3.8, 12.8], [4.4, 12.8], [4.6, 12.2]],
                    [[5.2, 8.0], [4.8, 4.0], [4.6, 0.0]],
                ],
                dentine,
                line(),
            );
            vec![[[-2.3, 1.6], [-4.0, 11.4]], [[2.3, 1.6], [4.0, 11.4]]]
        };
        let post_in = canals.len() - 1;
        let root_end = if self.shown.roots < 2 { ROOT_END } else { ROOT_END_OF_SEVERAL };
        for (index, [from, to]) in canals.iter().enumerate() {
            let along = |part: f64| [from[0] + part * (to[0] - from[0]), from[1] + part * (to[1] - from[1])];
            let here = self.shown.post.filter(|_| index == post_in);
            // To its measured share of the root, as far as that can be drawn. A post whose share nobody knows is drawn to
            // the middle of the canal: it has to end somewhere, and the sketch says that it is not to scale.
            let measured =
                self.shown.post_reaches.map(|share| (share * root_end - from[1]) / (to[1] - from[1]));
            let tip = measured.unwrap_or(HALFWAY).clamp(SHORTEST, LONGEST);
            let begin = if here.is_some() { tip - 0.01 } else { 0.06 };
            if self.shown.has_filling {
                let ([a, b], [c, d]) = (along(begin), *to);
                let corners = [[a - 0.42, b], [a + 0.42, b], [c + 0.16, d], [c - 0.16, d]];
                self.area(&corners, Some(Colour::grey(40)), None);
                if index == post_in {
                    let [x, y] = along(f64::midpoint(begin, 1.0).max(0.85));
                    self.label(x, y, "root filling");
                }
            }
            if let Some(post) = here {
                let ([a, b], [c, d]) = (along(-0.34), along(tip));
                let corners = [[a - 0.62, b], [a + 0.62, b], [c + 0.45, d], [c - 0.45, d]];
                let words = match post {
                    Post::There => {
                        self.area(&corners, Some(Colour::BLUE), Some(Stroke::solid(Colour::BLACK, 0.25)));
                        "post"
                    }
                    Post::Planned => {
                        let dashes = Some(Stroke::dashed(Colour::BLUE, 0.5, &[1.2, 0.8]));
                        self.area(&corners, Some(Colour::WHITE), dashes);
                        "post, planned"
                    }
                };
                let [x, y] = along(0.3_f64.min(tip / 2.0));
                self.label(x, y, words);
            }
        }
    }

    /// Half the tooth's width at the crown's edge.
    fn half(&self) -> f64 {
        if self.shown.roots < 2 { 3.0 } else { 4.6 }
    }

    fn walls(&mut self) {
        let half = self.half();
        for (walls, side) in self.shown.walls.iter().zip([-1.0, 1.0]) {
            let (outer, inner) = (side * half, side * (half - 1.35));
            if let Some(height) = walls.filter(|height| *height > 0.2) {
                let corners = [[outer, 0.05], [outer, -height], [inner, -height], [inner, 0.05]];
                self.area(&corners, Some(Colour::grey(250)), Some(Stroke::solid(Colour::BLACK, 0.45)));
                self.label(side * (half - 0.6), -height / 2.0, "wall that stands");
            }
            // A wall nobody knows is no wall that is missing: it has a stroke of its own.
            let not_known = || Stroke::dashed(Colour::grey(70), 0.4, &[2.0, 0.7, 0.4, 0.7]);
            let (low, words, stroke) = match (walls, self.shown.crown) {
                (Some(height), _) => (
                    height.max(0.0),
                    "wall that is missing",
                    Stroke::dashed(Colour::VERMILION, 0.4, &[1.4, 1.0]),
                ),
                (None, Crown::There) => (0.0, "wall: not known under the crown", not_known()),
                (None, Crown::ToCome) => (0.0, "wall: not known yet", not_known()),
            };
            let corners = [[outer, -low], [outer, -6.2], [inner, -6.2], [inner, -low]];
            self.area(&corners, None, Some(stroke));
            self.label(side * (half - 0.6), f64::midpoint(-low, -6.2), words);
        }
    }

    fn crown(&mut self) {
        let half = self.half();
        let (line, words) = if self.shown.crown == Crown::There {
            (Stroke::solid(Colour::BLACK, 0.45), "crown")
        } else {
            (Stroke::dashed(Colour::grey(70), 0.4, &[0.5, 0.9]), "crown to come")
        };
        let wide = half + 1.0;
        self.outline(
            [-half - 0.3, 0.0],
            &[
                [[-wide - 0.3, -3.0], [-wide, -6.0], [-wide + 0.6, -8.2]],
                [[-wide + 1.2, -9.2], [wide - 1.2, -9.2], [wide - 0.6, -8.2]],
                [[wide, -6.0], [wide + 0.3, -3.0], [half + 0.3, 0.0]],
            ],
            None,
            Some(line),
        );
        self.label(wide - 0.6, -8.2, words);
        let edge = [self.at(-HALF, 0.0), self.at(HALF, 0.0)];
        self.marks.push(Mark::Path(Path::line(&edge, Stroke::dashed(Colour::grey(110), 0.2, &[0.6, 0.8]))));
        self.label(-HALF + 1.2, 0.0, "edge of the crown");
    }
}
