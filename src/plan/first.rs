//! What comes before any depth: what to settle, whether a post is needed, and the core.

use super::needs;
use super::rows::{Amount, Core, CoreFrom, CoreWithoutPost, Need, Settle, SettleState, WithoutPost};
use super::rule::above_zero;
use crate::calibration::ToothLimit;
use crate::case::{Case, Fdi, Finding, Landmark, Reading, Site};
use crate::measure::{FirstOrder, Studied, Study};
use crate::verdict::{Bound, Criteria, decide_all};

/// Thickness of a crown over its core where none is stated, mm; 1.0 to 2.5 are plausible (common practice).
const CROWN_THICKNESS_MM: f64 = 2.0;
/// How high an abutment is wanted, in front teeth and premolars, and in molars, mm (common practice).
const ABUTMENT_MM: [f64; 2] = [3.0, 4.0];
/// A filling this much short of the apex reads as short, where the criteria do not say, mm.
const SHORT_FILLING_MM: f64 = 2.0;

/// What the first look, the filling and the choice of the root ask to be settled.
pub(super) fn settle(
    case: &Case,
    criteria: &Criteria,
    filling_short: Option<&FirstOrder>,
    limit: Option<&ToothLimit>,
) -> Vec<Settle> {
    let look = &case.clinical.first_look;
    let row = |about: &str, state: SettleState, words: &str| Settle {
        about: about.to_owned(),
        state,
        words: words.to_owned(),
        amount: None,
        probability: None,
    };
    let mut red = Vec::new();
    let mut blank = Vec::new();
    for finding in Finding::ALL {
        let declaration = finding.declaration();
        if let Some(words) = look.settle(*finding) {
            red.push(row(declaration.key, SettleState::Red, words));
        } else if !look.answers.contains_key(finding) && finding.can_be_looked_at(case) {
            blank.push(row(declaration.key, SettleState::Blank, declaration.question));
        }
    }
    if let Some(short) = filling_short {
        let most = shortest_filling(criteria);
        let probability = above_zero(short.clone().shifted(-most).estimate(), true);
        if probability >= 0.5 {
            red.push(Settle {
                amount: Some(short.into()),
                probability: Some(probability),
                ..row(
                    "filling_short_of_apex",
                    SettleState::Red,
                    &format!("the root filling ends more than {most} mm short: review or retreat first"),
                )
            });
        }
    }
    if let Some(why) = limit.and_then(|limit| limit.not_advised.as_ref()) {
        let words = format!("a post is not advised in this root: {why}");
        red.push(row("root", SettleState::Red, &words));
    }
    red.extend(blank);
    red
}

/// How far a filling may end short of the apex by the criteria.
fn shortest_filling(criteria: &Criteria) -> f64 {
    criteria
        .list
        .iter()
        .filter(|it| it.rows.iter().any(|row| row.id == "filling_short_of_apex"))
        .find_map(|it| match it.bound {
            Bound::Between(_, most) | Bound::AtMost(most) | Bound::LessThan(most) => Some(most),
            _ => None,
        })
        .unwrap_or(SHORT_FILLING_MM)
}

/// Whether a core could do without a post.
pub(super) fn without_a_post(case: &Case, wanted: &mut Vec<Need>) -> CoreWithoutPost {
    let look = &case.clinical.first_look;
    let walls = look.count(Finding::WallsStanding);
    let chamber = look.depth(Finding::ChamberDepth);
    let title = "core without a post";
    if walls.is_none() {
        needs::reading(wanted, "first_look/walls_standing", "how many walls stand", title);
    }
    if chamber.is_none() && Finding::ChamberDepth.can_be_looked_at(case) {
        needs::reading(wanted, "first_look/chamber_depth_mm", "how deep the pulp chamber is", title);
    }
    let (outlook, words) = match walls {
        Some(2..) => (
            WithoutPost::SpeaksForIt,
            "two walls or more hold a core; most studies find no effect of a post while walls stand",
        ),
        Some(1) => {
            (WithoutPost::ToBeWeighed, "one wall: the depth of the chamber decides what a core can hold on")
        }
        Some(_) => (
            WithoutPost::LittleToHoldOn,
            "no wall stands: here an effect of a post is possible, and a core has only chamber and canal to hold on",
        ),
        None => (WithoutPost::NotKnown, "not known until the walls standing are counted"),
    };
    CoreWithoutPost {
        outlook,
        walls_standing: walls,
        chamber_depth_mm: chamber.map(amount),
        words: words.to_owned(),
        source: "Naumann, Schmitter & Krastl 2018, J Adhes Dent; the count of walls by common practice"
            .to_owned(),
    }
}

fn amount(reading: &Reading) -> Amount {
    (&FirstOrder::alone(reading.value, reading.sd())).into()
}

/// The planned core height that the space between the jaws leaves, where no core is built and none is planned.
///
/// # Errors
/// In words, where the space leaves no core.
pub(super) fn core_from_space(case: &Case) -> Result<Option<Reading>, String> {
    let clinical = &case.clinical;
    let built = [Landmark::CoreTop, Landmark::CoreBase]
        .into_iter()
        .all(|landmark| case.landmarks.point(landmark.id()).is_some());
    let Some(space) = clinical.interocclusal_space_mm.as_ref().filter(|_| !built) else { return Ok(None) };
    if clinical.planned_core_height_mm.is_some() {
        return Ok(None);
    }
    let (thickness, thickness_sd) = clinical
        .crown_thickness_mm
        .as_ref()
        .map_or((CROWN_THICKNESS_MM, 0.5), |reading| (reading.value, reading.sd()));
    let height = space.value - thickness;
    if height <= 0.0 {
        return Err(format!(
            "interocclusal_space_mm is {} and the crown is {thickness} mm thick: no room for a core is left",
            space.value
        ));
    }
    Ok(Some(Reading {
        value: height,
        sd: Some(space.sd().hypot(thickness_sd)),
        by: None,
        extra: crate::calibration::Extra::new(),
    }))
}

/// The core, and whether ferrule and core together make an abutment high enough.
pub(super) fn core(
    case: &Case,
    study: &Study<'_>,
    height: Option<FirstOrder>,
    from_space: bool,
) -> Option<Core> {
    let height = height?;
    let from = if from_space {
        CoreFrom::SpaceLessCrown
    } else if case.clinical.planned_core_height_mm.is_some() {
        CoreFrom::Planned
    } else {
        CoreFrom::Built
    };
    let [front, molar] = ABUTMENT_MM;
    let wanted = if case.tooth.fdi.is_some_and(Fdi::is_molar) { molar } else { front };
    let sides: Vec<Option<FirstOrder>> = [Site::Mesial, Site::Distal]
        .into_iter()
        .map(|site| row(study, "ferrule_height", Some(site)).map(|ferrule| ferrule.plus(&height)))
        .collect();
    let decision = decide_all(
        &sides
            .iter()
            .map(|side| side.as_ref().map(|it| above_zero(it.clone().shifted(-wanted).estimate(), false)))
            .collect::<Vec<_>>(),
    );
    let lower = sides.into_iter().flatten().min_by(|one, other| one.value().total_cmp(&other.value()));
    Some(Core {
        height_mm: (&height).into(),
        from,
        abutment_mm: lower.as_ref().map(Into::into),
        abutment_wanted_mm: wanted,
        abutment: decision.verdict,
        abutment_probability: decision.probability,
    })
}

/// A row of the tooth or of the root studied, as one quantity.
pub(super) fn row(study: &Study<'_>, id: &str, site: Option<Site>) -> Option<FirstOrder> {
    studied(study, id, site)?.single()
}

/// A row of the tooth or of the root studied.
pub(super) fn studied(study: &Study<'_>, id: &str, site: Option<Site>) -> Option<Studied> {
    let row = study.rows().find(|row| row.row.id == id && row.site == site && row.section.is_none())?;
    let construction = study.construction_of(row).ok()?;
    study.evaluate([&construction]).pop()?.ok()
}
