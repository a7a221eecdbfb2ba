//! Quantities that change as the post's tip goes down the canal. Between two corners they do so in proportion, and so
//! do their derivatives: two evaluations give every depth between.

use crate::measure::FirstOrder;
use crate::quantity::Estimate;

/// A stretch of the canal and a quantity at its two ends.
#[derive(Debug, Clone, PartialEq)]
struct Span {
    from: f64,
    to: f64,
    ends: [FirstOrder; 2],
}

/// A quantity along the canal, by the depth of the tip in mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Track {
    spans: Vec<Span>,
}

impl Track {
    /// From stretches that follow one another, each with the quantity at its two ends.
    pub(super) fn new(spans: impl IntoIterator<Item = (f64, f64, [FirstOrder; 2])>) -> Self {
        Self { spans: spans.into_iter().map(|(from, to, ends)| Span { from, to, ends }).collect() }
    }

    fn span(&self, depth: f64) -> Option<&Span> {
        self.spans.iter().find(|span| depth <= span.to).or(self.spans.last())
    }

    /// The quantity with the tip at a depth; 0 of a track without stretches.
    pub(super) fn at(&self, depth: f64) -> FirstOrder {
        let Some(span) = self.span(depth) else { return FirstOrder::exact(0.0) };
        let [one, other] = &span.ends;
        let part = (depth - span.from) / (span.to - span.from);
        one.toward(other, part)
    }

    /// Its value alone.
    pub(super) fn value(&self, depth: f64) -> f64 {
        self.span(depth).map_or(0.0, |span| {
            let [one, other] = [span.ends[0].value(), span.ends[1].value()];
            one + (other - one) * (depth - span.from) / (span.to - span.from)
        })
    }

    /// By how much it changes with each mm of depth.
    pub(super) fn slope(&self, depth: f64) -> f64 {
        self.span(depth)
            .map_or(0.0, |span| (span.ends[1].value() - span.ends[0].value()) / (span.to - span.from))
    }

    /// A quantity made of this one in proportion: both ends through the same function.
    pub(super) fn map(&self, make: impl Fn(&FirstOrder) -> FirstOrder) -> Self {
        Self::new(self.spans.iter().map(|span| (span.from, span.to, span.ends.each_ref().map(&make))))
    }

    /// A quantity made of this and another over the same stretches, in proportion.
    pub(super) fn with(&self, other: &Self, make: impl Fn(&FirstOrder, &FirstOrder) -> FirstOrder) -> Self {
        Self::new(self.spans.iter().zip(&other.spans).map(|(one, other)| {
            let ([a, b], [c, d]) = (&one.ends, &other.ends);
            (one.from, one.to, [make(a, c), make(b, d)])
        }))
    }

    /// What is left of a margin where the tip is not where the film says but where a stop puts it: `stop` is the
    /// depth of the stop, and it is set with an uncertainty of its own.
    pub(super) fn set_by(&self, stop: &Self, setting_sd: f64) -> Self {
        Self::new(self.spans.iter().zip(&stop.spans).map(|(margin, stop)| {
            let rise = |ends: &[FirstOrder; 2]| ends[1].value() - ends[0].value();
            let along = rise(&stop.ends);
            let by_stop = if along.abs() > 1e-12 { rise(&margin.ends) / along } else { 0.0 };
            let at = |margin: &FirstOrder, stop: &FirstOrder| {
                // The value stays: the depth is the one the stop is set to.
                let put_back = by_stop * stop.value();
                margin.minus(&stop.times(by_stop)).shifted(put_back).blurred(by_stop * setting_sd)
            };
            let ([a, b], [c, d]) = (&margin.ends, &stop.ends);
            (margin.from, margin.to, [at(a, c), at(b, d)])
        }))
    }

    /// Value and variance alone, for asking often.
    pub(super) fn curve(&self) -> Curve {
        Curve(
            self.spans
                .iter()
                .map(|span| {
                    let [one, other] = &span.ends;
                    let (first, last) = (one.variance(), other.variance());
                    let shared = one.shared_variance(other) + own_shared(one, other);
                    Piece {
                        from: span.from,
                        to: span.to,
                        value: [one.value(), other.value() - one.value()],
                        variance: [first, 2.0 * (shared - first), first + last - 2.0 * shared],
                    }
                })
                .collect(),
        )
    }
}

/// The own uncertainty of a quantity stays the same thing from one end of a stretch to the other.
fn own_shared(one: &FirstOrder, other: &FirstOrder) -> f64 {
    (one.own_variance() * other.own_variance()).sqrt()
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Piece {
    from: f64,
    to: f64,
    value: [f64; 2],
    variance: [f64; 3],
}

/// Value and variance of a quantity along the canal.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Curve(Vec<Piece>);

impl Curve {
    /// The same with a number added.
    pub(super) fn shifted(&self, by: f64) -> Self {
        Self(
            self.0
                .iter()
                .map(|piece| Piece { value: [piece.value[0] + by, piece.value[1]], ..*piece })
                .collect(),
        )
    }

    /// Value and standard uncertainty with the tip at a depth.
    pub(super) fn at(&self, depth: f64) -> Estimate {
        let Some(piece) = self.0.iter().find(|piece| depth <= piece.to).or(self.0.last()) else {
            return Estimate { value: 0.0, sd: 0.0 };
        };
        let part = (depth - piece.from) / (piece.to - piece.from);
        let [constant, linear, square] = piece.variance;
        let variance = constant + part * (linear + part * square);
        Estimate { value: piece.value[0] + part * piece.value[1], sd: variance.max(0.0).sqrt() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ends 2 ± 0.3 and 4 ± 0.1 that share nothing: the middle is 3 with √(0.15² + 0.05²) (JCGM 100:2008, 5.1.2).
    #[test]
    fn between_two_ends_value_and_derivatives_are_in_proportion() {
        let one = FirstOrder::exact(2.0).plus(&FirstOrder::alone(0.0, 0.3));
        let track = Track::new([(0.0, 10.0, [one, FirstOrder::exact(4.0)])]);
        let middle = track.at(5.0).estimate();
        assert!((middle.value - 3.0).abs() < 1e-12 && (middle.sd - 0.15).abs() < 1e-12);
        assert_eq!(track.slope(5.0), 0.2);
        let curve = track.curve().at(5.0);
        assert!((curve.value - 3.0).abs() < 1e-12 && (curve.sd - 0.15).abs() < 1e-12, "{curve:?}");
    }
}
