//! The circle through the rim of a ball: the geometric least-squares fit.
//!
//! The geometric fit minimises the distances from the points to the circle (Gander, Golub & Strebel 1994, BIT
//! 34:558-578). The algebraic fit, which only serves as a start here, is badly biased on a short arc.

use super::{Position, Space};
use crate::quantity::Scalar;

/// A fitted circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Circle<U: Space> {
    /// The centre.
    pub centre: Position<U>,
    /// The radius, in the unit of the points.
    pub radius: f64,
}

/// Why points make no circle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CircleError {
    /// Two points leave the circle open.
    #[error("a circle takes at least three points, here are {0}")]
    TooFew(usize),
    /// The points lie on a line, or all on one spot.
    #[error("the points lie on one line, and no circle passes through a line")]
    Collinear,
    /// The fit ran away: the arc is too short, or the points belong to no circle.
    #[error("no circle fits the points: the arc is too short for them, or a point is misplaced")]
    NoFit,
}

/// Points whose spread across their best line is less than this part of their spread along it are collinear.
const FLAT: f64 = 1e-5;
const MOST_STEPS: usize = 500;

/// The circle with the least sum of squared distances to `points`.
///
/// # Errors
/// Fewer than three points, points on a line, or an arc so short that no circle fits it.
pub fn fit_circle<U: Space>(points: &[Position<U>]) -> Result<Circle<U>, CircleError> {
    if points.len() < 3 {
        return Err(CircleError::TooFew(points.len()));
    }
    let (centroid, spread) = spread(points)?;
    // Work in units of the points' own spread about their centroid, so that no tolerance depends on the scale.
    let local: Vec<Position<U>> = points
        .iter()
        .map(|p| Position::new((p.x - centroid.x) / spread, (p.y - centroid.y) / spread))
        .collect();
    let mut circle = algebraic_start(&local).ok_or(CircleError::Collinear)?;
    let mut damping = 1e-3;
    for _ in 0..MOST_STEPS {
        let (cost, gradient, hessian) = normal_equations(circle, &local);
        let Some(step) = solve_damped(hessian, gradient, damping) else {
            damping *= 10.0;
            continue;
        };
        let trial = Circle {
            centre: Position::new(circle.centre.x - step[0], circle.centre.y - step[1]),
            radius: circle.radius - step[2],
        };
        let size = step.iter().fold(0.0_f64, |most, part| most.max(part.abs()));
        if trial.radius > 0.0 && normal_equations(trial, &local).0 <= cost {
            circle = trial;
            damping = (damping * 0.1).max(1e-300);
        } else {
            damping = damping.max(1e-12) * 10.0;
        }
        if size <= 1e-13 * circle.radius {
            return Ok(Circle {
                centre: Position::new(
                    centroid.x + spread * circle.centre.x,
                    centroid.y + spread * circle.centre.y,
                ),
                radius: spread * circle.radius,
            });
        }
        if !circle.radius.is_finite() || circle.radius > 1e8 {
            return Err(CircleError::NoFit);
        }
    }
    Err(CircleError::NoFit)
}

/// The diameter of the circle fitted to `points`, with its exact derivatives.
///
/// The fit is solved in plain numbers and given one Newton step in `S` with the true second derivatives, which
/// leaves the value where it is and carries the derivatives exactly (implicit function theorem).
///
/// # Errors
/// As [`fit_circle`].
pub fn circle_diameter<U: Space, S: Scalar>(points: &[Position<U, S>]) -> Result<S, CircleError> {
    let plain: Vec<Position<U>> = points.iter().map(|point| point.value()).collect();
    let circle = fit_circle(&plain)?;
    let (_, _, hessian) = normal_equations(circle, &plain);
    let third = inverse_last_row(hessian).ok_or(CircleError::NoFit)?;
    let mut gradient = [S::constant(0.0); 3];
    for point in points {
        let across = S::constant(circle.centre.x) - point.x;
        let down = S::constant(circle.centre.y) - point.y;
        let distance = (across * across + down * down).sqrt();
        let residual = distance - S::constant(circle.radius);
        gradient[0] = gradient[0] + residual * across / distance;
        gradient[1] = gradient[1] + residual * down / distance;
        gradient[2] = gradient[2] - residual;
    }
    let mut radius = S::constant(circle.radius);
    for (weight, slope) in third.into_iter().zip(gradient) {
        radius = radius - S::constant(weight) * slope;
    }
    Ok(radius * S::constant(2.0))
}

/// The centroid, and the root mean square distance from it; refuses points on a line.
#[allow(clippy::cast_precision_loss)] // a count of clicked points is far below 2^52
fn spread<U: Space>(points: &[Position<U>]) -> Result<(Position<U>, f64), CircleError> {
    let centroid = Position::mean(points.iter().copied()).ok_or(CircleError::TooFew(0))?;
    let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
    for point in points {
        let way = point.way_from(centroid);
        xx += way.x * way.x;
        xy += way.x * way.y;
        yy += way.y * way.y;
    }
    let mean = f64::midpoint(xx, yy);
    let swing = ((xx - yy) / 2.0).hypot(xy);
    let (large, small) = (mean + swing, (xx * yy - xy * xy) / (mean + swing));
    let flat = small.is_nan() || small <= FLAT * FLAT * large;
    if flat { Err(CircleError::Collinear) } else { Ok((centroid, ((xx + yy) / points.len() as f64).sqrt())) }
}

/// The linear least-squares circle of x² + y² = 2ax + 2by + c, for points about their centroid.
#[allow(clippy::cast_precision_loss)] // a count of clicked points is far below 2^52
fn algebraic_start<U: Space>(points: &[Position<U>]) -> Option<Circle<U>> {
    let (mut xx, mut xy, mut yy, mut xz, mut yz, mut z) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for p in points {
        let square = p.x * p.x + p.y * p.y;
        xx += p.x * p.x;
        xy += p.x * p.y;
        yy += p.y * p.y;
        xz += p.x * square;
        yz += p.y * square;
        z += square;
    }
    let determinant = 2.0 * (xx * yy - xy * xy);
    let centre = Position::new((xz * yy - yz * xy) / determinant, (yz * xx - xz * xy) / determinant);
    let radius = (z / points.len() as f64 + centre.x * centre.x + centre.y * centre.y).sqrt();
    radius.is_finite().then_some(Circle { centre, radius })
}

/// Half the sum of squared distances, its gradient and its true second derivatives by (x, y, radius).
fn normal_equations<U: Space>(circle: Circle<U>, points: &[Position<U>]) -> (f64, [f64; 3], [[f64; 3]; 3]) {
    let (mut cost, mut gradient, mut hessian) = (0.0, [0.0; 3], [[0.0; 3]; 3]);
    for point in points {
        let way = circle.centre.way_from(*point);
        let distance = way.length().max(f64::MIN_POSITIVE);
        let (u, v) = (way.x / distance, way.y / distance);
        let residual = distance - circle.radius;
        let bend = residual / distance;
        cost += 0.5 * residual * residual;
        gradient[0] += residual * u;
        gradient[1] += residual * v;
        gradient[2] -= residual;
        hessian[0][0] += u * u + bend * (1.0 - u * u);
        hessian[0][1] += u * v - bend * u * v;
        hessian[1][1] += v * v + bend * (1.0 - v * v);
        hessian[0][2] -= u;
        hessian[1][2] -= v;
        hessian[2][2] += 1.0;
    }
    hessian[1][0] = hessian[0][1];
    hessian[2][0] = hessian[0][2];
    hessian[2][1] = hessian[1][2];
    (cost, gradient, hessian)
}

/// The step of the damped normal equations; `None` where they are not positive definite.
fn solve_damped(mut hessian: [[f64; 3]; 3], gradient: [f64; 3], damping: f64) -> Option<[f64; 3]> {
    for (index, row) in hessian.iter_mut().enumerate() {
        if let Some(diagonal) = row.get_mut(index) {
            *diagonal += damping;
        }
    }
    let [[a, b, c], [_, d, e], [_, _, f]] = hessian;
    let leading = a * d - b * b;
    let determinant = a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
    if a <= 0.0 || leading <= 0.0 || determinant <= 0.0 {
        return None;
    }
    let [p, q, r] = gradient;
    let step = [
        (d * f - e * e) * p + (c * e - b * f) * q + (b * e - c * d) * r,
        (c * e - b * f) * p + (a * f - c * c) * q + (b * c - a * e) * r,
        (b * e - c * d) * p + (b * c - a * e) * q + leading * r,
    ];
    Some(step.map(|part| part / determinant))
}

/// The last row of the inverse of a symmetric matrix.
fn inverse_last_row(hessian: [[f64; 3]; 3]) -> Option<[f64; 3]> {
    let [[a, b, c], [_, d, e], [_, _, f]] = hessian;
    let determinant = a * (d * f - e * e) - b * (b * f - c * e) + c * (b * e - c * d);
    let row = [b * e - c * d, b * c - a * e, a * d - b * b].map(|part| part / determinant);
    row.iter().all(|part| part.is_finite()).then_some(row)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Square;
    use crate::quantity::Dual;

    fn points(coordinates: &[(f64, f64)]) -> Vec<Position<Square>> {
        coordinates.iter().map(|&(x, y)| Position::new(x, y)).collect()
    }

    #[test]
    fn collinear_and_coinciding_points_are_refused() {
        for line in [
            vec![(0., 0.), (1., 0.), (2., 0.)],
            vec![(5., 5.); 4],
            vec![(0., 0.), (1e6, 1e6), (2e6, 2e6 + 1e-3)],
        ] {
            assert_eq!(fit_circle(&points(&line)), Err(CircleError::Collinear), "{line:?}");
        }
        assert_eq!(fit_circle(&points(&[(0., 0.), (1., 0.)])), Err(CircleError::TooFew(2)));
    }

    /// The derivatives of the fitted diameter against central differences, on points that lie on no circle, where
    /// the second derivatives of the residuals matter.
    #[test]
    fn the_diameter_carries_exact_derivatives() {
        let rim = [(1., 7.), (2., 6.), (5., 8.), (7., 7.), (9., 5.), (3., 7.)];
        for moved in 0..rim.len() {
            let duals: Vec<Position<Square, Dual>> = rim
                .iter()
                .enumerate()
                .map(|(i, &(x, y))| {
                    let slot = if i == moved { 0 } else { usize::MAX };
                    Position::new(Dual::input(x, slot), Dual::constant(y))
                })
                .collect();
            let slope = circle_diameter(&duals).expect("a circle").slopes()[0];
            let at = |by: f64| {
                let mut shifted = points(&rim);
                shifted[moved].x += by;
                2.0 * fit_circle(&shifted).expect("a circle").radius
            };
            let difference = (at(1e-5) - at(-1e-5)) / 2e-5;
            assert!((slope - difference).abs() < 1e-5 * difference.abs().max(1.0), "{slope} {difference}");
        }
    }
}
