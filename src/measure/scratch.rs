//! The way between any two places of a film, in mm with its uncertainty: a scratch measurement that no case keeps.

use super::construction::{Construction, Spot, Term};
use super::inputs::{Inputs, ScaleMissing};
use super::places::{Place, Places};
use super::propagate::{Propagator, Value};
use super::{Assumptions, UnknownObject};
use crate::calibration::Library;
use crate::case::{Case, Landmark, Reason};
use crate::geometry::{Position, Stored};

/// The straight way between two places in the plane of the canal: both as uncertain as a point placed by hand, the
/// scale shared.
///
/// # Errors
/// There is no scale, or the places lie on one another.
pub fn between(
    case: &Case,
    library: &Library,
    ends: [Position<Stored>; 2],
) -> Result<Result<Value, Reason>, UnknownObject> {
    let mut places = Places::of(case);
    let first = places.points.len();
    // A landmark that parallax does not shift: what the ends are of is not known.
    let landmark = Landmark::PostTip.id();
    places.points.extend(ends.map(|end| Place {
        landmark,
        root: None,
        position: Position::new(end.x, end.y * case.film.aspect()),
        stated_sd_px: None,
        is_planned: false,
    }));
    let inputs = match Inputs::new(&places, library, &Assumptions::of(case)) {
        Ok(inputs) => inputs,
        Err(ScaleMissing::Reason(reason)) => return Ok(Err(reason)),
        Err(ScaleMissing::Degenerate { .. }) => return Ok(Err(Reason::Degenerate)),
        Err(ScaleMissing::UnknownObject { reference, object }) => {
            return Err(UnknownObject::new(case, library, reference, object));
        }
    };
    let way = Construction::Plain(Term::Straight(Spot::At(first), Spot::At(first + 1)));
    Ok(Propagator::new(&inputs).value(&way))
}
