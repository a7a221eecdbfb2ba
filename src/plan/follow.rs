//! Every quantity that moves with the post's tip, followed along the canal of one root.

use super::rule::moves_with_the_tip;
use super::track::Track;
use crate::case::{Landmark, Reason, RowRef, Site};
use crate::geometry::{Path, Plane};
use crate::measure::{Construction, FirstOrder, Length, Missing, PlaceName, Studied, Study};
use crate::verdict::Criteria;

/// How far beyond both ends of the root quantities are followed, to say by how much rules miss one another, mm.
pub(super) const BEYOND_MM: f64 = 30.0;
/// Just inside a stretch, so that its own branch is taken, mm.
const INSIDE_MM: f64 = 1e-5;
/// Corners nearer than this are one, mm.
const SAME_CORNER_MM: f64 = 1e-3;

/// From the stop reference to the tip, along the straight coronal canal.
const STOP_DEPTH: Length =
    Length::AlongStraightCanal(PlaceName::The(Landmark::StopReference), PlaceName::The(Landmark::PostTip));
/// From the tip to where the canal leaves its straight line.
const TO_CURVE: Length =
    Length::AlongCanal(PlaceName::The(Landmark::PostTip), PlaceName::The(Landmark::CurveStart));
/// From the tip to a section.
const TO_SECTION: Length = Length::AlongCanal(PlaceName::The(Landmark::PostTip), PlaceName::SectionMiddle);

/// Where a post's tip can go.
#[derive(Debug, Clone)]
pub(super) struct Canal {
    pub(super) path: Path<Plane>,
    /// Length along the path to where the post starts to hold.
    pub(super) start: f64,
    /// The depth at which the root ends.
    pub(super) root_end: f64,
}

/// What is followed.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Key {
    Row(RowRef),
    Stop,
    ToCurve,
    ToSection(usize),
}

/// A track, or the two of a quotient.
pub(super) type Tracks = Result<[Option<Track>; 2], Missing>;

/// Quantities along the canal.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Followed(Vec<(Key, Tracks)>);

impl Followed {
    /// Follows every row a criterion about the tip asks for, and what planning asks for besides.
    pub(super) fn all(study: &mut Study<'_>, canal: &Canal, criteria: &Criteria, sections: usize) -> Self {
        let mut tracks: Vec<(Key, Tracks)> = Vec::new();
        let mut wanted: Vec<(Key, Construction)> = Vec::new();
        let mut want = |key: Key, construction: Result<Construction, Missing>| match construction {
            Ok(construction) => wanted.push((key, construction)),
            Err(missing) => tracks.push((key, Err(missing))),
        };
        let judged: Vec<_> = criteria
            .list
            .iter()
            .filter(|criterion| moves_with_the_tip(criterion))
            .flat_map(|criterion| &criterion.rows)
            .collect();
        for row in study.rows() {
            let besides = matches!(row.row.id, "post_depth" | "tip_beyond_crest" | "seal_length");
            if besides || judged.iter().any(|it| std::ptr::eq(**it, row.row)) {
                want(Key::Row(row.of.clone()), study.construction_of(row));
            }
        }
        want(Key::Stop, study.construct(STOP_DEPTH, true, None, None));
        want(Key::ToCurve, study.construct(TO_CURVE, true, None, None));
        for section in 0..sections {
            want(Key::ToSection(section), study.construct(TO_SECTION, true, None, Some(section)));
        }
        let constructions: Vec<&Construction> = wanted.iter().map(|(_, construction)| construction).collect();
        let made = follow(study, canal, &constructions);
        tracks.extend(wanted.into_iter().map(|(key, _)| key).zip(made));
        Self(tracks)
    }

    fn get(&self, key: &Key) -> Option<&Tracks> {
        self.0.iter().find(|(it, _)| it == key).map(|(_, tracks)| tracks)
    }

    /// The tracks of a row.
    pub(super) fn row(&self, of: &RowRef) -> Option<&Tracks> {
        self.get(&Key::Row(of.clone()))
    }

    /// The track of a row that is no quotient, by its id.
    pub(super) fn plain(&self, id: &str, site: Option<Site>) -> Option<Track> {
        let wanted = site.map_or_else(|| id.to_owned(), |site| format!("{id}.{}", site.word()));
        let is_it = |key: &Key| matches!(key, Key::Row(of) if of.id == wanted);
        let (_, tracks) = self.0.iter().find(|(key, _)| is_it(key))?;
        tracks.as_ref().ok().and_then(|[track, _]| track.clone())
    }

    fn one(&self, key: &Key) -> Result<Track, Missing> {
        match self.get(key) {
            Some(Ok([Some(track), _])) => Ok(track.clone()),
            Some(Err(missing)) => Err(missing.clone()),
            _ => Err(Missing::Reason(Reason::Degenerate)),
        }
    }

    /// From the stop reference to the tip.
    pub(super) fn stop(&self) -> Result<Track, Missing> {
        self.one(&Key::Stop)
    }

    /// From the tip to the start of the curve.
    pub(super) fn to_curve(&self) -> Option<Track> {
        self.one(&Key::ToCurve).ok()
    }

    /// From the tip to a section.
    pub(super) fn to_section(&self, section: usize) -> Option<Track> {
        self.one(&Key::ToSection(section)).ok()
    }
}

/// The stretches within which everything is in proportion: between corners of the canal, and where the tip passes the
/// filling's top.
fn stretches(study: &Study<'_>, canal: &Canal) -> Vec<[f64; 2]> {
    let filling_top = study.position(Landmark::FillingTop.id());
    let filling_top = filling_top.and_then(|place| canal.path.nearest(place)).map(|foot| foot.arc);
    let mut kinks: Vec<f64> = canal.path.corners().chain(filling_top).map(|arc| arc - canal.start).collect();
    kinks.sort_unstable_by(f64::total_cmp);
    let (from, to) = (-BEYOND_MM, canal.root_end + BEYOND_MM);
    let mut stretches = Vec::new();
    let mut begun = from;
    for kink in kinks.into_iter().filter(|kink| *kink < to - SAME_CORNER_MM) {
        if kink > begun + SAME_CORNER_MM {
            stretches.push([begun, kink]);
            begun = kink;
        }
    }
    stretches.push([begun, to]);
    stretches
}

/// Constructions along the whole canal.
fn follow(study: &mut Study<'_>, canal: &Canal, constructions: &[&Construction]) -> Vec<Tracks> {
    type Spans = Vec<(f64, f64, [FirstOrder; 2])>;
    let mut all: Vec<Result<[Spans; 2], Missing>> =
        constructions.iter().map(|_| Ok([Spans::new(), Spans::new()])).collect();
    for [from, to] in stretches(study, canal) {
        let (from, to) = (from + INSIDE_MM, to - INSIDE_MM);
        let [at_from, at_to] = [from, to].map(|depth| {
            if let Some(place) = canal.path.at(canal.start + depth) {
                study.put_tip(place);
            }
            study.evaluate(constructions.iter().copied())
        });
        for ((spans, one), other) in all.iter_mut().zip(at_from).zip(at_to) {
            let Ok([above, under]) = spans else { continue };
            match (one, other) {
                (Ok(Studied::Plain(one)), Ok(Studied::Plain(other))) => above.push((from, to, [one, other])),
                (Ok(Studied::Quotient(a, b)), Ok(Studied::Quotient(c, d))) => {
                    above.push((from, to, [a, c]));
                    under.push((from, to, [b, d]));
                }
                (Err(reason), _) | (_, Err(reason)) => *spans = Err(Missing::Reason(reason)),
                _ => *spans = Err(Missing::Reason(Reason::Degenerate)),
            }
        }
    }
    let track = |spans: Spans| (!spans.is_empty()).then(|| Track::new(spans));
    all.into_iter().map(|spans| spans.map(|spans| spans.map(track))).collect()
}
