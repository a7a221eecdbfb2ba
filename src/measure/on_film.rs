//! What is drawn on a film without being a measurement: places and ways by its scale, and the lines of the tooth. A way
//! here is corrected by nothing and has no uncertainty.

use super::axes::tooth_axis;
use super::construction::{Axis, Spot};
use super::places::Places;
use crate::calibration::Scale;
use crate::case::{Case, Landmark, Side};
use crate::geometry::{Displacement, Plane, Position, Square, Stored};
use crate::quantity::{Millimetres, Pixels};

/// Where a place of a case's film lies in the millimetre plane: x along the tooth, apical positive, and y across it,
/// both from the outer corner of the film's first pixel.
pub fn in_plane(case: &Case, scale: &Scale, place: Position<Stored>) -> Position<Plane> {
    scale.plane(Position::new(place.x, place.y * case.film.aspect()))
}

/// How many millimetres of the plane a way on a case's film is.
pub fn way_in_plane(case: &Case, scale: &Scale, way: Displacement<Stored>) -> Millimetres {
    let at = |x: f64, y: f64| in_plane(case, scale, Position::new(x, y));
    Millimetres(at(way.x, way.y).way_from(at(0.0, 0.0)).length())
}

/// How many square pixels a way on a case's film is: as wide as a stored pixel.
pub fn way_in_pixels(case: &Case, way: Displacement<Stored>) -> Pixels {
    let way: Displacement<Square> = Displacement::new(way.x, way.y * case.film.aspect());
    Pixels(way.length())
}

/// The lines of a tooth as far as their points are placed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ToothLines {
    /// The bone's crest, from mesial to distal.
    pub crest: Option<[Position<Stored>; 2]>,
    /// The tooth's axis that measurements go by, from its coronal end to its apical one; none where it is only a
    /// direction.
    pub axis: Option<[Position<Stored>; 2]>,
}

impl ToothLines {
    /// The lines of a case.
    pub fn of(case: &Case) -> Self {
        let places = Places::of(case);
        let aspect = case.film.aspect();
        let spot = |spot: &Spot| {
            let at = spot.position(&|place| Some(places.points.get(place)?.position))?;
            Some(Position::<Stored>::new(at.x, at.y / aspect))
        };
        let crest = |side| Some(Spot::At(places.find(Landmark::Crest.on(side), None)?));
        let both = |from: &Spot, to: &Spot| Some([spot(from)?, spot(to)?]);
        Self {
            crest: crest(Side::Mesial).zip(crest(Side::Distal)).and_then(|(from, to)| both(&from, &to)),
            axis: match tooth_axis(&places).ok().map(|made| made.axis) {
                Some(Axis::Along(from, to)) => both(&from, &to),
                Some(Axis::SquareTo { .. }) | None => None,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::{self, Given, Library};
    use crate::case::{Mark, Point};

    fn case() -> Case {
        let mut case = crate::case::film_102();
        case.landmarks.marks.clear();
        case.roots.truncate(1);
        case.roots[0].landmarks.marks.clear();
        case
    }

    /// 3, 4, 5: four rows of twice the height of a pixel's width are 8 across, so 6 and 8 make 10.
    #[test]
    fn ways_are_counted_in_square_pixels() {
        let mut case = case();
        let way = Displacement::new(6.0, 4.0);
        case.film.pixel_aspect = Some(2.0);
        assert_eq!(way_in_pixels(&case, way), Pixels(10.0));
        case.film.pixel_aspect = None;
        assert_eq!(way_in_pixels(&case, Displacement::new(3.0, 4.0)), Pixels(5.0));
    }

    /// An instrument of 20 mm straight down 1000 rows: 0.02 mm a pixel along the tooth, and across it by itself, too.
    #[test]
    fn places_go_along_the_tooth_and_across_it() {
        let text = r#"{"format": "crestgauge.case", "version": 1, "calibration": {"references": [{"kind": "instrument",
            "points": [{"x": 100.0, "y": 100.0}, {"x": 100.0, "y": 1100.0}], "length_mm": 20.0,
            "between": "tip-stop"}]}}"#;
        let case = crate::case::read_text(text).expect("it reads").case;
        let library = Library::embedded().expect("it is embedded");
        let given = Given {
            references: &case.calibration.references,
            library: &library,
            pixel_aspect: 1.0,
            ratio_sd: 0.03,
            placing: Millimetres(0.15),
            axis_angle: None,
        };
        let scale = calibration::scale(&given).expect("it has a scale");
        let at = in_plane(&case, &scale, Position::new(300.0, 250.0));
        assert!((at.x - 5.0).abs() < 1e-9 && (at.y.abs() - 6.0).abs() < 1e-9, "{at:?}");
        let way = way_in_plane(&case, &scale, Displacement::new(30.0, 40.0));
        assert!((way.get() - 1.0).abs() < 1e-9, "{way:?}");
    }

    #[test]
    fn the_lines_go_through_the_middles_of_what_is_placed() {
        let mut case = case();
        assert_eq!(ToothLines::of(&case), ToothLines::default());
        let mut place = |id, x, y| case.landmarks.marks.insert(id, Mark::Placed(Point::at(x, y)));
        place(Landmark::Crest.on(Side::Mesial), 10.0, 50.0);
        place(Landmark::Crest.on(Side::Distal), 90.0, 54.0);
        place(Landmark::FinishLine.on(Side::Mesial), 20.0, 30.0);
        place(Landmark::FinishLine.on(Side::Distal), 80.0, 34.0);
        case.roots[0].landmarks.marks.insert(Landmark::Apex.id(), Mark::Placed(Point::at(52.0, 200.0)));
        case.film.pixel_aspect = Some(0.5);
        let at = |x, y| Position::new(x, y);
        let lines = ToothLines::of(&case);
        assert_eq!(lines.crest, Some([at(10.0, 50.0), at(90.0, 54.0)]));
        assert_eq!(lines.axis, Some([at(50.0, 32.0), at(52.0, 200.0)]));
    }
}
