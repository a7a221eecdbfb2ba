//! Every quantity that moves with the post's tip, followed along the canal of one root.

use super::rule::moves_with_the_tip;
use super::track::Track;
use crate::case::{Landmark, Reason, RowRef, Site};
use crate::geometry::{Displacement, Path, Plane};
use crate::measure::{Construction, Course, FirstOrder, Length, Missing, PlaceName, Studied, Study, Term};
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

/// Whether a construction measures along a bent canal, so that it changes its ways at the canal's corners.
fn bends(construction: &Construction) -> bool {
    construction.terms().any(|term| match term {
        Term::Along(_, _, course) | Term::Seal(_, course) => matches!(course, Course::Canal(_)),
        _ => false,
    })
}

/// Constructions along the whole canal. Most are in proportion to the tip's two coordinates wherever it is, so that
/// three places give them everywhere; those that measure along the canal are evaluated at both ends of each stretch.
fn follow(study: &mut Study<'_>, canal: &Canal, constructions: &[&Construction]) -> Vec<Tracks> {
    let stretches = stretches(study, canal);
    let (bent, straight): (Vec<_>, Vec<_>) =
        constructions.iter().copied().enumerate().partition(|(_, construction)| {
            bends(construction) || matches!(construction, Construction::Plain(Term::Seal(..)))
        });
    let mut all: Vec<Tracks> = constructions.iter().map(|_| Ok([None, None])).collect();
    let made = along_stretches(study, canal, &stretches, &only(&bent));
    let made = bent.iter().zip(made).chain(straight.iter().zip(by_places(
        study,
        canal,
        &stretches,
        &only(&straight),
    )));
    for ((index, _), tracks) in made {
        if let Some(place) = all.get_mut(*index) {
            *place = tracks;
        }
    }
    all
}

fn only<'c>(numbered: &[(usize, &'c Construction)]) -> Vec<&'c Construction> {
    numbered.iter().map(|(_, construction)| *construction).collect()
}

/// A construction's two parts at one place; the second of a quotient alone.
fn parts(studied: Result<Studied, Reason>) -> Result<(FirstOrder, Option<FirstOrder>), Missing> {
    match studied {
        Ok(Studied::Plain(value)) => Ok((value, None)),
        Ok(Studied::Quotient(above, under)) => Ok((above, Some(under))),
        Err(reason) => Err(Missing::Reason(reason)),
    }
}

/// From the tip at three places, what holds at both ends of each stretch.
fn by_places(
    study: &mut Study<'_>,
    canal: &Canal,
    stretches: &[[f64; 2]],
    constructions: &[&Construction],
) -> Vec<Tracks> {
    /// How far the places stand apart, mm.
    const APART_MM: f64 = 10.0;
    let Some(origin) = canal.path.at(canal.start) else { return Vec::new() };
    let places = [(0.0, 0.0), (APART_MM, 0.0), (0.0, APART_MM)];
    let [here, along, across] = places.map(|(x, y)| {
        study.put_tip(origin.moved(Displacement::new(x, y)));
        study.evaluate(constructions.iter().copied())
    });
    let track = |here: &FirstOrder, along: &FirstOrder, across: &FirstOrder| {
        let (by_x, by_y) = (along.minus(here), across.minus(here));
        Track::new(stretches.iter().map(|[from, to]| {
            let (from, to) = (from + INSIDE_MM, to - INSIDE_MM);
            let ends = [from, to].map(|depth| {
                let way = canal.path.at(canal.start + depth).map(|place| place.way_from(origin));
                let (x, y) = way.map_or((0.0, 0.0), |way| (way.x / APART_MM, way.y / APART_MM));
                here.plus(&by_x.times(x)).plus(&by_y.times(y))
            });
            (from, to, ends)
        }))
    };
    here.into_iter()
        .zip(along)
        .zip(across)
        .map(|((here, along), across)| {
            let (here, here_under) = parts(here)?;
            let ((along, along_under), (across, across_under)) = (parts(along)?, parts(across)?);
            let under = match (&here_under, &along_under, &across_under) {
                (Some(here), Some(along), Some(across)) => Some(track(here, along, across)),
                _ => None,
            };
            Ok([Some(track(&here, &along, &across)), under])
        })
        .collect()
}

/// Constructions at both ends of each stretch.
fn along_stretches(
    study: &mut Study<'_>,
    canal: &Canal,
    stretches: &[[f64; 2]],
    constructions: &[&Construction],
) -> Vec<Tracks> {
    type Spans = Vec<(f64, f64, [FirstOrder; 2])>;
    let mut all: Vec<Result<[Spans; 2], Missing>> =
        constructions.iter().map(|_| Ok([Spans::new(), Spans::new()])).collect();
    for [from, to] in stretches {
        let (from, to) = (from + INSIDE_MM, to - INSIDE_MM);
        let [at_from, at_to] = [from, to].map(|depth| {
            if let Some(place) = canal.path.at(canal.start + depth) {
                study.put_tip(place);
            }
            study.evaluate(constructions.iter().copied())
        });
        for ((spans, one), other) in all.iter_mut().zip(at_from).zip(at_to) {
            let Ok([above, under]) = spans else { continue };
            match (parts(one), parts(other)) {
                (Ok((one, one_under)), Ok((other, other_under))) => {
                    above.push((from, to, [one, other]));
                    under.extend(one_under.zip(other_under).map(|(one, other)| (from, to, [one, other])));
                }
                (Err(missing), _) | (_, Err(missing)) => *spans = Err(missing),
            }
        }
    }
    let track = |spans: Spans| (!spans.is_empty()).then(|| Track::new(spans));
    all.into_iter().map(|spans| spans.map(|spans| spans.map(track))).collect()
}
