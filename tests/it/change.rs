//! Changes to a case that a whole film could undergo, and the check cases they are tried on.

use crate::support::{case, text};
use crestgauge::calibration::{Instrument, Reference, ReferencePoint, Sphere};
use crestgauge::case::{Case, Mark, Point, RootName, Side};
use crestgauge::geometry::Displacement;
use crestgauge::geometry::Stored;

/// One of the 24 check cases.
pub(crate) fn check_case(number: usize) -> Case {
    case(&text(&format!("check-cases/1-{number:03}.case.json")))
}

/// All check cases, and one whose only reference is a ball, which none of them has.
pub(crate) fn check_cases() -> Vec<Case> {
    let mut cases: Vec<Case> = (0..24).map(check_case).collect();
    let mut ball = check_case(12);
    let rim = [(0.0, 60.0), (55.0, 31.0), (41.0, -47.0), (-20.0, -58.0), (-61.0, 3.0)];
    let point = |(x, y): (f64, f64)| ReferencePoint {
        x: 300.0 + x,
        y: 200.0 + y,
        sd_px: None,
        placed: None,
        extra: serde_json::Map::new(),
    };
    ball.calibration.references = vec![Reference::Sphere(Sphere {
        points: rim.into_iter().map(point).collect(),
        diameter_mm: Some(5.0),
        tolerance_mm: None,
        diameter_sd_mm: None,
        object: None,
        extra: serde_json::Map::new(),
    })];
    cases.push(ball);
    cases
}

/// A placed point of a case or of a reference.
pub(crate) struct Spot<'a> {
    pub(crate) x: &'a mut f64,
    pub(crate) y: &'a mut f64,
    pub(crate) sd_px: &'a mut Option<f64>,
}

/// Every placed point: landmarks, canals, sections, and those of references.
pub(crate) fn spots(case: &mut Case) -> Vec<Spot<'_>> {
    fn spot(Point { x, y, sd_px, .. }: &mut Point) -> Spot<'_> {
        Spot { x, y, sd_px }
    }
    fn marked(mark: &mut Mark) -> Option<Spot<'_>> {
        match mark {
            Mark::Placed(point) => Some(spot(point)),
            Mark::Hidden { .. } | Mark::Absent { .. } => None,
        }
    }
    let mut spots: Vec<Spot<'_>> = case.landmarks.marks.values_mut().filter_map(marked).collect();
    for root in &mut case.roots {
        spots.extend(root.landmarks.marks.values_mut().filter_map(marked));
        spots.extend(root.canal.iter_mut().map(spot));
        spots.extend(root.sections.iter_mut().flat_map(|section| &mut section.points).map(spot));
    }
    for reference in &mut case.calibration.references {
        spots.extend(points_of(reference).iter_mut().map(|ReferencePoint { x, y, sd_px, .. }| Spot {
            x,
            y,
            sd_px,
        }));
    }
    spots
}

fn points_of(reference: &mut Reference) -> &mut [ReferencePoint] {
    match reference {
        Reference::Instrument(it) => &mut it.points,
        Reference::Width(it) => &mut it.points,
        Reference::Sphere(it) => &mut it.points,
        Reference::Receptor(_) | Reference::Scan(_) => &mut [],
    }
}

pub(crate) fn has_instrument(case: &Case) -> bool {
    case.calibration.references.iter().any(Reference::is_axial)
}

/// Turns film and landmarks about a point, and shifts them.
pub(crate) fn turn(case: &mut Case, angle: f64, way: Displacement<Stored>) {
    let (sine, cosine) = angle.sin_cos();
    for Spot { x, y, .. } in spots(case) {
        let (across, down) = (*x - 700.0, *y - 800.0);
        *x = 700.0 + cosine * across - sine * down + way.x;
        *y = 800.0 + sine * across + cosine * down + way.y;
    }
}

/// Looks at the film from its other side.
pub(crate) fn mirror(case: &mut Case) {
    for Spot { x, .. } in spots(case) {
        *x = 1600.0 - *x;
    }
    if let Some(side) = case.tooth.mesial_is() {
        use crestgauge::case::FilmSide::{Left, Right};
        case.tooth.mesial_is = Some(if side == Left { Right } else { Left });
    }
}

/// States every point's own uncertainty, where it has none, so that no default depends on the pixel's size.
pub(crate) fn state_placing(case: &mut Case, sd: f64) {
    for Spot { sd_px, .. } in spots(case) {
        sd_px.get_or_insert(sd);
    }
}

/// The same film stored with `factor` times as many pixels a side.
pub(crate) fn resample(case: &mut Case, factor: f64) {
    for Spot { x, y, sd_px } in spots(case) {
        *x *= factor;
        *y *= factor;
        if let Some(sd) = sd_px {
            *sd *= factor;
        }
    }
    for reference in &mut case.calibration.references {
        match reference {
            Reference::Receptor(it) => it.pitch_mm = it.pitch_mm.map(|pitch| pitch / factor),
            Reference::Scan(it) => it.dpi *= factor,
            _ => {}
        }
    }
}

/// Everything whose size is known is `factor` times as large, with what is not known of it.
pub(crate) fn enlarge_references(case: &mut Case, factor: f64) {
    let scale = |sizes: [&mut Option<f64>; 3], default_tolerance: f64| {
        let [size, tolerance, sd] = sizes;
        if sd.is_none() {
            tolerance.get_or_insert(default_tolerance);
        }
        for it in [size, tolerance, sd].into_iter().flatten() {
            *it *= factor;
        }
    };
    for reference in &mut case.calibration.references {
        match reference {
            Reference::Instrument(Instrument { length_mm, tolerance_mm, length_sd_mm, .. }) => {
                scale([length_mm, tolerance_mm, length_sd_mm], 0.5);
            }
            Reference::Width(it) => {
                scale([&mut it.diameter_mm, &mut it.tolerance_mm, &mut it.diameter_sd_mm], 0.05);
            }
            Reference::Sphere(it) => {
                scale([&mut it.diameter_mm, &mut it.tolerance_mm, &mut it.diameter_sd_mm], 0.05);
            }
            Reference::Receptor(it) => it.pitch_mm = it.pitch_mm.map(|pitch| pitch * factor),
            Reference::Scan(it) => it.dpi /= factor,
        }
    }
    let placing = case.uncertainty.placing_mm.get_or_insert(0.15);
    *placing *= factor;
}

/// Calls mesial distal and distal mesial: landmarks, section points and roots.
pub(crate) fn swap_sides(case: &mut Case) {
    let marks = std::mem::take(&mut case.landmarks.marks);
    case.landmarks.marks = marks
        .into_iter()
        .map(|(id, mark)| match id.side() {
            Some(Side::Mesial) => (id.landmark().on(Side::Distal), mark),
            Some(Side::Distal) => (id.landmark().on(Side::Mesial), mark),
            None => (id, mark),
        })
        .collect();
    for root in &mut case.roots {
        for section in &mut root.sections {
            section.points.reverse();
        }
        root.name = across(root.name);
    }
}

/// The root's name with its sides exchanged.
pub(crate) fn across(name: RootName) -> RootName {
    let word = swapped(name.word());
    RootName::ALL.iter().find(|(known, _)| *known == word).map_or(name, |(_, found)| *found)
}

/// A word with mesial and distal, or mesio and disto, exchanged.
pub(crate) fn swapped(word: &str) -> String {
    word.replace("mesi", "\u{0}").replace("dist", "mesi").replace('\u{0}', "dist")
}

/// Nothing is uncertain any more.
pub(crate) fn make_exact(case: &mut Case) {
    for Spot { sd_px, .. } in spots(case) {
        *sd_px = Some(0.0);
    }
    case.calibration.ratio_sd = Some(0.0);
    case.uncertainty.parallax_depth_mm = Some(0.0);
    for reference in &mut case.calibration.references {
        match reference {
            Reference::Instrument(it) => it.length_sd_mm = Some(0.0),
            Reference::Width(it) => it.diameter_sd_mm = Some(0.0),
            Reference::Sphere(it) => it.diameter_sd_mm = Some(0.0),
            Reference::Receptor(it) => it.magnification_sd = Some(0.0),
            Reference::Scan(it) => it.magnification_sd = Some(0.0),
        }
    }
    let clinical = &mut case.clinical;
    let planned = [&mut clinical.planned_core_height_mm, &mut clinical.planned_crown_length_mm];
    let probed = clinical.ferrule_mm.readings.values_mut().chain(clinical.wall_mm.readings.values_mut());
    for reading in planned.into_iter().flatten().chain(probed) {
        reading.sd = Some(0.0);
    }
}
