//! Ferrule recovery: what each way to more ferrule asks for, and what it leaves.
//!
//! At a site, with d the height of sound wall above the crest, f the ferrule wanted and s the distance wanted from
//! margin to crest, the lift needed is e = max(0, f + s − d). Extrusion x lifts all sites at once, surgery y each its
//! own. After them the crown is C + ȳ outside the bone and R − x − ȳ inside it.

mod judged;
mod tooth;
mod way;

pub(super) use tooth::Post;

use super::rows::{Need, Recovery, RecoveryOption};
use super::ways::{WAYS, words_for_all};
use crate::case::{Case, Fdi, Site, Strength, Verdict};
use crate::measure::Study;
use crate::verdict::{Bound, Criteria};
use tooth::Tooth;

/// Ferrule and clearance wanted where the criteria ask for none, mm.
const FERRULE_MM: f64 = 2.0;
const CLEARANCE_MM: f64 = 2.5;

/// A recovery of which nothing is known.
pub(super) fn empty(criteria: &Criteria, share: f64) -> Recovery {
    Recovery {
        ferrule_wanted_mm: wanted_at_least(criteria, "ferrule_height").unwrap_or(FERRULE_MM),
        margin_to_crest_wanted_mm: wanted_at_least(criteria, "margin_to_crest").unwrap_or(CLEARANCE_MM),
        extrusion_share: if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.5 },
        sites: Vec::new(),
        crown_to_root: None,
        root_in_bone_mm: None,
        root_width_at_margin_mm: None,
        options: Vec::new(),
        words: words_for_all(),
    }
}

/// What it takes to recover the ferrule.
pub(super) fn recovery(
    case: &Case,
    study: &Study<'_>,
    criteria: &Criteria,
    root: usize,
    post: Option<&Post<'_>>,
    share: f64,
    wanted: &mut Vec<Need>,
) -> Recovery {
    let tooth = Tooth::of(case, study, criteria, root, post);
    let sites = tooth.sites.iter().map(|now| tooth.site_row(now, wanted)).collect();
    let options: Vec<RecoveryOption> = WAYS.iter().map(|way| tooth.option(way.way, share)).collect();
    let mut words = words_for_all();
    let judged = || options.iter().filter_map(|option| option.verdict);
    if judged().all(|verdict| verdict == Verdict::FallsShort) {
        words.insert(0, "no way with arithmetic meets the requirements".to_owned());
    }
    let [crown_to_root, root_in_bone] = match &tooth.crown_and_root {
        Some([crown, root]) => [crown.over(root), Some(root.clone())],
        None => [None, None],
    };
    Recovery {
        ferrule_wanted_mm: tooth.ferrule_wanted,
        margin_to_crest_wanted_mm: tooth.clearance_wanted,
        extrusion_share: share,
        sites,
        crown_to_root: crown_to_root.as_ref().map(Into::into),
        root_in_bone_mm: root_in_bone.as_ref().map(Into::into),
        root_width_at_margin_mm: tooth.width.as_ref().map(Into::into),
        options,
        words,
    }
}

/// The value a criterion about a measurement asks for at least: the preferred one, else the required one.
fn wanted_at_least(criteria: &Criteria, id: &str) -> Option<f64> {
    let of = |strength: Strength| {
        criteria
            .list
            .iter()
            .filter(|it| it.strength == strength && it.rows.iter().all(|row| row.id == id))
            .find_map(|it| match it.bound {
                Bound::AtLeast(value) | Bound::MoreThan(value) => Some(value),
                _ => None,
            })
    };
    of(Strength::Preference).or_else(|| of(Strength::Requirement))
}

pub(super) fn site_word(site: Site, case: &Case) -> &'static str {
    if site == Site::Lingual && case.tooth.fdi.is_some_and(Fdi::is_upper) { "palatal" } else { site.word() }
}
