//! The tooth before anything is done: what is known of each site, of crown, root and core.

use super::{CLEARANCE_MM, FERRULE_MM, site_word, wanted_at_least};
use crate::case::{Case, Landmark, Side, Site};
use crate::measure::{FirstOrder, Length, PlaceName, Studied, Study};
use crate::plan::depths::Depths;
use crate::plan::first::{row, studied};
use crate::plan::needs;
use crate::plan::rows::{Need, RecoverySite};
use crate::verdict::Criteria;

/// What is known of a site before anything is done.
pub(super) struct Now {
    pub(super) site: Site,
    pub(super) ferrule: Option<FirstOrder>,
    pub(super) wall_above_crest: Option<FirstOrder>,
    pub(super) is_sounded: bool,
    pub(super) tip_beyond_crest: Option<FirstOrder>,
    pub(super) crest_to_furcation: Option<FirstOrder>,
}

/// The post: the depths it can have, the one it has or should have, and whether it is there.
pub(in crate::plan) struct Post<'d> {
    pub(in crate::plan) depths: &'d Depths,
    pub(in crate::plan) depth: Option<f64>,
    pub(in crate::plan) is_there: bool,
}

/// The tooth before anything is done.
pub(super) struct Tooth<'c> {
    pub(super) case: &'c Case,
    pub(super) criteria: &'c Criteria,
    pub(super) sites: Vec<Now>,
    pub(super) ferrule_wanted: f64,
    pub(super) clearance_wanted: f64,
    /// Tooth outside the bone, root inside it.
    pub(super) crown_and_root: Option<[FirstOrder; 2]>,
    pub(super) width: Option<FirstOrder>,
    pub(super) root_length: Option<FirstOrder>,
    /// From the margin down to the next section below it, and the root's width there.
    pub(super) section: Option<[FirstOrder; 2]>,
    pub(super) core: Option<FirstOrder>,
    pub(super) post_depth: Option<FirstOrder>,
    pub(super) seal: Option<FirstOrder>,
    /// Where a post is to be planned, the depths it can have.
    pub(super) to_plan: Option<&'c Depths>,
    pub(super) post_is_there: bool,
}

impl<'c> Tooth<'c> {
    pub(super) fn of(
        case: &'c Case,
        study: &Study<'_>,
        criteria: &'c Criteria,
        root: usize,
        post: Option<&Post<'c>>,
    ) -> Self {
        let at = post.and_then(|post| Some((post.depths, post.depth?)));
        let length = |length: Length, side: Option<Side>, of_root: bool, section: Option<usize>| {
            let construction = study.construct(length, of_root, side, section).ok()?;
            study.evaluate([&construction]).pop()?.ok()?.single()
        };
        let wall_above_crest =
            Length::Axial(PlaceName::OnSide(Landmark::WallTop), PlaceName::OnSide(Landmark::Crest));
        let sites = Site::ALL
            .into_iter()
            .map(|site| {
                let side = match site {
                    Site::Mesial => Some(Side::Mesial),
                    Site::Distal => Some(Side::Distal),
                    Site::Buccal | Site::Lingual => None,
                };
                // Sounding overrides the film.
                let sounded = case.clinical.wall_above_bone_mm.readings.get(&site);
                let sounded = sounded.map(|reading| FirstOrder::alone(reading.value, reading.sd()));
                Now {
                    site,
                    ferrule: row(study, "ferrule_height", Some(site)),
                    is_sounded: sounded.is_some(),
                    wall_above_crest: sounded
                        .or_else(|| side.and_then(|side| length(wall_above_crest, Some(side), false, None))),
                    tip_beyond_crest: at.and_then(|(depths, depth)| {
                        let track = depths.tips_beyond_crest.iter().find(|(it, _)| *it == site);
                        track.map(|(_, track)| track.at(depth))
                    }),
                    crest_to_furcation: row(study, "crest_to_furcation", Some(site)),
                }
            })
            .collect();
        let crown_and_root = match studied(study, "crown_to_root", None) {
            Some(Studied::Quotient(crown, root)) => Some([crown, root]),
            _ => None,
        };
        let several = case.roots.len() > 1;
        let below_margin = Length::AlongCanal(PlaceName::MarginMiddle, PlaceName::SectionMiddle);
        let sections = case.roots.get(root).map_or(0, |root| root.sections.len());
        let section = (0..sections)
            .filter(|_| !several)
            .filter_map(|section| {
                let below = length(below_margin, None, true, Some(section))?;
                let width = length(Length::AcrossSection(0, 3), None, true, Some(section))?;
                (below.value() > 0.0).then_some([below, width])
            })
            .min_by(|[one, _], [other, _]| one.value().total_cmp(&other.value()));
        Self {
            case,
            criteria,
            sites,
            ferrule_wanted: wanted_at_least(criteria, "ferrule_height").unwrap_or(FERRULE_MM),
            clearance_wanted: wanted_at_least(criteria, "margin_to_crest").unwrap_or(CLEARANCE_MM),
            crown_and_root,
            // The cervix of a tooth of several roots is no cone.
            width: (!several).then(|| length(Length::AcrossMargin, None, false, None)).flatten(),
            root_length: row(study, "root_length", None),
            section,
            core: length(Length::CoreOrPlanned, None, true, None),
            post_depth: at.and_then(|(depths, depth)| Some(depths.post_depth.as_ref()?.at(depth))),
            seal: at.and_then(|(depths, depth)| Some(depths.seal.as_ref()?.at(depth))),
            to_plan: post.filter(|post| !post.is_there).map(|post| post.depths),
            post_is_there: post.is_some_and(|post| post.is_there),
        }
    }

    /// f + s − d, not clipped.
    pub(super) fn lift_needed(&self, now: &Now) -> Option<FirstOrder> {
        let wall = now.wall_above_crest.as_ref()?;
        Some(wall.times(-1.0).shifted(self.ferrule_wanted + self.clearance_wanted))
    }

    /// How far down the root the margin has to go: f less the ferrule there is, not clipped.
    pub(super) fn margin_down(&self, now: &Now) -> Option<FirstOrder> {
        Some(now.ferrule.as_ref()?.times(-1.0).shifted(self.ferrule_wanted))
    }

    pub(super) fn site_row(&self, now: &Now, wanted: &mut Vec<Need>) -> RecoverySite {
        let is_probed = Site::PROBED.contains(&now.site);
        let (key, word) = (now.site.word(), site_word(now.site, self.case));
        let mut lacks = Vec::new();
        if now.wall_above_crest.is_none() {
            if is_probed {
                let key = format!("wall_above_bone_mm/{key}");
                needs::reading(
                    wanted,
                    &key,
                    &format!("sounding of the {word} wall above the bone"),
                    "ferrule recovery",
                );
                lacks.push("sounding");
            } else {
                lacks.push("wall top or crest");
                let words = format!("wall top and crest, {word}, or sounding there");
                needs::other(wanted, &words, "ferrule recovery");
            }
        }
        if now.ferrule.is_none() {
            if is_probed {
                let key = format!("ferrule_mm/{key}");
                needs::reading(wanted, &key, &format!("probing of the {word} ferrule"), "ferrule recovery");
                lacks.push("probed ferrule");
            } else {
                lacks.push("wall top or finish line");
            }
        }
        RecoverySite {
            site: now.site,
            ferrule_mm: now.ferrule.as_ref().map(Into::into),
            wall_above_crest_mm: now.wall_above_crest.as_ref().map(Into::into),
            sounded: now.is_sounded,
            lift_needed_mm: self.lift_needed(now).as_ref().map(Into::into),
            margin_down_mm: self.margin_down(now).as_ref().map(Into::into),
            lacks: (!lacks.is_empty()).then(|| lacks.join(", ")),
        }
    }
}
