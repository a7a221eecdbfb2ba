//! The study of docs/validation.md: its reading of what is true, on teeth made by hand; a few of its films; its page.

#[allow(dead_code, reason = "the study's own program uses the rest")]
#[path = "../../examples/validation/dice.rs"]
mod dice;
#[allow(dead_code, reason = "the study's own program uses the rest")]
#[path = "../../examples/validation/film.rs"]
mod film;
#[allow(dead_code, reason = "the study's own program uses the rest")]
#[path = "../../examples/validation/practice.rs"]
mod practice;
#[allow(dead_code, reason = "the study's own program uses the rest")]
#[path = "../../examples/validation/study.rs"]
mod study;

use crestgauge::case::{Landmark, LandmarkId, RootName, RowRef, Side, Strength};
use crestgauge::phantom::{Point3, SpatialLandmarks, SpatialRoot, SpatialSection, Vector3};
use crestgauge::verdict::Criteria;
use film::{ScaleFrom, Variation, curvatures_in_plane, true_of};
use practice::PRACTICES;
use std::collections::{BTreeMap, HashMap};
use study::{Plan, SEED, names, run};

/// A frame made by hand: an axis, and the way square to it and to mesial and distal.
struct Frame {
    start: Point3,
    axis: Vector3,
    behind: Vector3,
}

impl Frame {
    /// `level` along the axis, `out` towards distal, `depth` out of the plane.
    fn at(&self, out: f64, level: f64, depth: f64) -> Point3 {
        self.start
            .moved(Vector3::new(out, 0.0, 0.0))
            .moved(self.axis.times(level))
            .moved(self.behind.times(depth))
    }
}

fn root(name: RootName, points: &[(Landmark, Point3)], canal: Vec<Point3>) -> SpatialRoot {
    SpatialRoot {
        name,
        post_here: true,
        points: points.iter().map(|(landmark, place)| (landmark.id(), *place)).collect(),
        canal: canal.clone(),
        fine_canal: canal,
        sections: Vec::new(),
    }
}

fn expect(truth: &HashMap<RowRef, f64>, root: Option<&str>, expected: &[(&str, f64)]) {
    for (id, value) in expected {
        let of = RowRef { id: (*id).to_owned(), root: root.map(str::to_owned) };
        let found = truth.get(&of).unwrap_or_else(|| panic!("no {id}"));
        assert!((found - value).abs() < 1e-9, "{id}: {found}, not {value}");
    }
}

/// The four points of both sides that the tooth's heights are made of, by level and depth.
fn flanks(frame: &Frame) -> BTreeMap<LandmarkId, Point3> {
    use Landmark::{Crest, FinishLine, WallTop};
    BTreeMap::from([
        (WallTop.on(Side::Mesial), frame.at(-2.5, -2.0, 1.0)),
        (WallTop.on(Side::Distal), frame.at(2.5, -3.0, -2.0)),
        (FinishLine.on(Side::Mesial), frame.at(-3.0, 0.0, 2.0)),
        (FinishLine.on(Side::Distal), frame.at(3.0, 0.0, -1.0)),
        (Crest.on(Side::Mesial), frame.at(-3.2, 2.5, 0.0)),
        (Crest.on(Side::Distal), frame.at(3.2, 3.0, 0.0)),
    ])
}

/// A tooth that leans by 36.87 deg (3, 4, 5): levels are typed in, and lengths are their differences however deep points lie.
#[test]
fn lengths_of_a_leaning_tooth_are_differences_of_levels_along_its_axis() {
    let frame = Frame {
        start: Point3::new(0.0, 0.0, 0.0),
        axis: Vector3::new(0.0, 0.6, 0.8),
        behind: Vector3::new(0.0, 0.8, -0.6),
    };
    let on = |level| frame.at(0.0, level, 0.0);
    let mut tooth = flanks(&frame);
    tooth.insert(Landmark::CrownEdge.id(), frame.at(0.0, -9.0, 3.0));
    tooth.insert(Landmark::CoreTop.id(), on(-4.0));
    tooth.insert(Landmark::CoreBase.id(), on(1.0));
    let points = [
        (Landmark::Orifice, on(1.0)),
        (Landmark::Apex, on(15.0)),
        (Landmark::PostHead, on(-5.0)),
        (Landmark::PostTip, on(8.0)),
        (Landmark::FillingTop, on(8.5)),
        (Landmark::FillingTip, on(14.0)),
    ];
    let mut root = root(RootName::Single, &points, vec![on(1.0), on(14.5)]);
    root.sections.push(SpatialSection {
        level: "middle",
        points: [-2.5, -0.5, 0.75, 2.0].map(|out| frame.at(out, 5.0, 0.0)),
    });
    let truth = true_of(&SpatialLandmarks { tooth, roots: vec![root] });
    expect(
        &truth,
        None,
        &[
            ("ferrule_height.mesial", 2.0),
            ("ferrule_height.distal", 3.0),
            ("margin_to_crest.mesial", 2.5),
            ("margin_to_crest.distal", 3.0),
            ("core_height", 5.0),
            ("crown_length", 9.0),
        ],
    );
    expect(
        &truth,
        Some("single"),
        &[
            ("post_length", 13.0),
            ("post_depth", 7.0),
            ("post_to_core", 1.4),
            ("post_below_margin", 8.0),
            ("post_to_crown", 8.0 / 9.0),
            ("post_to_root", 8.0 / 15.0),
            ("tip_beyond_crest.mesial", 5.5),
            ("tip_beyond_crest.distal", 5.0),
            ("tip_beyond_crest", 5.25),
            ("root_length", 15.0),
            ("root_in_bone", 12.25),
            ("filling_length", 5.5),
            ("seal_length", 5.5),
            ("filling_short_of_apex", 1.0),
            ("tip_to_filling", 0.5),
            ("root_width@0", 4.5),
            ("canal_width@0", 1.25),
            ("wall.mesial@0", 2.0),
            ("wall.distal@0", 1.25),
            ("canal_to_root@0", 1.25 / 4.5),
        ],
    );
}

/// A root that diverges by 3, 4, 5 from a tooth's axis: what is of the root goes by the root's own axis.
#[test]
fn lengths_of_one_root_of_several_go_by_its_own_axis() {
    let upright = Frame {
        start: Point3::new(0.0, 0.0, 0.0),
        axis: Vector3::new(0.0, 0.0, 1.0),
        behind: Vector3::new(0.0, 1.0, 0.0),
    };
    let mut tooth = flanks(&upright);
    let start = Point3::new(-2.0, 0.0, 1.0);
    let on = |level: f64| start.moved(Vector3::new(-0.6, 0.0, 0.8).times(level));
    // 4 mm along the root, and 1.5 mm square to it.
    tooth.insert(Landmark::FurcalCrest.id(), on(4.0).moved(Vector3::new(0.8, 0.0, 0.6).times(1.5)));
    let points = [(Landmark::Orifice, on(0.0)), (Landmark::Apex, on(10.0)), (Landmark::PostTip, on(6.0))];
    let mesial = root(RootName::Mesial, &points, vec![on(0.0), on(9.5)]);
    let apex = Point3::new(8.0, 0.0, 9.0);
    let distal = root(
        RootName::Distal,
        &[(Landmark::Orifice, Point3::new(2.0, 0.0, 1.0)), (Landmark::Apex, apex)],
        vec![Point3::new(2.0, 0.0, 1.0), apex],
    );
    let truth = true_of(&SpatialLandmarks { tooth, roots: vec![mesial, distal] });
    expect(&truth, None, &[("ferrule_height.mesial", 2.0), ("margin_to_crest.distal", 3.0)]);
    // The margin's midpoint lies 2 mm before the orifice along the root, which is prolonged.
    expect(
        &truth,
        Some("mesial"),
        &[
            ("post_depth", 6.0),
            ("post_below_margin", 8.0),
            ("root_length", 12.0),
            ("tip_beyond_crest.distal", 2.0),
        ],
    );
}

/// Schneider's angle of two straight parts, 4 mm on and 3 mm aside: its tangent is 3/4, its radius 5 / (2 · 3/5). Towards
/// lingual, the plane of mesial and distal shows none of it.
#[test]
fn a_curve_in_space_and_in_the_plane() {
    let bent = |x: f64, y: f64| {
        let canal = vec![Point3::new(0.0, 0.0, 1.0), Point3::new(0.0, 0.0, 6.0), Point3::new(x, y, 10.0)];
        let points = [(Landmark::Orifice, canal[0]), (Landmark::CurveStart, canal[1])];
        let root = root(RootName::Single, &points, canal);
        SpatialLandmarks { tooth: BTreeMap::new(), roots: vec![root] }
    };
    let expected = [("curvature", 0.75_f64.atan().to_degrees()), ("curvature_radius", 25.0 / 6.0)];
    for landmarks in [bent(3.0, 0.0), bent(0.0, 3.0)] {
        expect(&true_of(&landmarks), Some("single"), &expected);
    }
    expect(&curvatures_in_plane(&bent(3.0, 0.0)), Some("single"), &expected);
    let unseen = curvatures_in_plane(&bent(0.0, 3.0));
    expect(&unseen, Some("single"), &[("curvature", 0.0)]);
    assert!(!unseen.keys().any(|of| of.id == "curvature_radius"));
}

/// The bounds leave room for two teeth of each kind instead of a thousand; docs/validation.md has the whole study. What it
/// found to be covered less often by first order is left out by name.
#[test]
fn intervals_of_a_few_films_contain_the_truth() {
    const COVERED_LESS: [&str; 4] = ["core_height", "filling_length", "curvature_radius", "post_to_core"];
    let plan = Plan {
        practice: PRACTICES[0],
        variation: Variation::AsTheyAre,
        assume: |_| (),
        seed: SEED,
        films: 64,
        draws: 0,
        lean_sd: 0.0,
    };
    for (scale, findings) in ScaleFrom::ALL.iter().zip(run(&plan).unwrap()) {
        for (at, name) in names().iter().enumerate() {
            let tally = findings.of(at);
            let what = format!("{}: {name}", scale.word());
            assert!(tally.count > 0.0, "{what} was never compared");
            let (bias, rms, half) = (tally.bias(), tally.rms(), tally.half_width());
            assert!(bias.is_finite() && rms > 0.0 && half > 0.0, "{what}: {bias} {rms} {half}");
            assert!(bias.abs() < 0.6 * rms, "{what}: bias {bias}, rms error {rms}");
            let is_covered_less = COVERED_LESS.iter().any(|it| name.starts_with(it));
            let least = if is_covered_less { 0.7 } else { 0.85 };
            assert!(tally.coverage() > least, "{what}: {} of {}", tally.coverage(), tally.count);
        }
        let strangers: Vec<_> = findings.unmatched.keys().filter(|it| *it != "curvature_radius").collect();
        assert!(strangers.is_empty(), "{}: {strangers:?}", scale.word());
        let (meets, wrong) = findings
            .verdicts
            .values()
            .fold((0, 0), |(meets, wrong), it| (meets + it.meets, wrong + it.false_meets));
        assert!(meets > 200 && 20 * wrong < meets, "{}: {wrong} of {meets} are false", scale.word());
    }
}

/// The page was written by this study: its seed, every measurement and every judged criterion stand on it.
#[test]
fn the_page_is_the_studys() {
    let page = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/validation.md")).unwrap();
    assert!(page.contains(&format!(
        "1000 films of each kind, 5000 for verdicts; draws: 300 films, 1000 draws each. Seed {SEED},"
    )));
    for name in names() {
        let cell = if name.contains(',') { name } else { format!("`{name}`") };
        // Coverage, errors, other practices, draws.
        assert!(page.matches(&format!("\n| {cell} |")).count() >= 4, "{cell}");
    }
    let criteria = Criteria::default_set().unwrap().list;
    for criterion in criteria.iter().filter(|it| it.strength != Strength::Information) {
        assert!(page.contains(&format!("\n| `{}` |", criterion.id)), "{}", criterion.id);
    }
}
