//! A way to more ferrule: how far it lifts, and what it leaves.

use super::judged::{overall, post_fits};
use super::site_word;
use super::tooth::{Now, Tooth};
use crate::case::{Site, Verdict};
use crate::measure::FirstOrder;
use crate::plan::rows::{Amount, NO_LIFT, RecoveryOption, SiteAfter, Way, Weeks};
use crate::plan::ways::{self, WAYS, words_of};
use crate::plan::window;

/// The lifts of one way: extrusion, and surgery by site.
struct Lifts {
    extrusion: f64,
    surgery: Vec<(Site, f64)>,
}

impl Lifts {
    fn surgery(&self, site: Site) -> f64 {
        self.surgery.iter().find(|(it, _)| *it == site).map_or(0.0, |(_, by)| *by)
    }

    /// The mean of the mesial and distal surgery: what the crest line goes down.
    fn mean_surgery(&self) -> f64 {
        f64::midpoint(self.surgery(Site::Mesial), self.surgery(Site::Distal))
    }
}

/// A site after a way, with its quantities.
pub(super) struct After {
    pub(super) row: SiteAfter,
    pub(super) ferrule: Option<FirstOrder>,
    pub(super) margin_to_crest: Option<FirstOrder>,
    pub(super) tip_beyond_crest: Option<FirstOrder>,
}

impl Tooth<'_> {
    /// The lifts a way takes, by the sites that are known.
    fn lifts(&self, way: Way, share: f64) -> Option<Lifts> {
        let needed: Vec<(Site, f64)> = self
            .sites
            .iter()
            .filter_map(|now| Some((now.site, self.lift_needed(now)?.value().max(0.0))))
            .collect();
        if needed.is_empty() {
            return None;
        }
        let most = needed.iter().map(|(_, lift)| *lift).fold(0.0, f64::max);
        let extrusion = match way {
            Way::SulcusOnly | Way::Surgery => 0.0,
            Way::Extrusion => most,
            Way::Both => share * most,
            Way::SurgicalExtrusion | Way::Extraction => return None,
        };
        let surgery = match way {
            Way::Surgery | Way::Both => {
                needed.into_iter().map(|(site, lift)| (site, (lift - extrusion).max(0.0))).collect()
            }
            _ => Vec::new(),
        };
        Some(Lifts { extrusion, surgery })
    }

    pub(super) fn option(&self, way: Way, share: f64) -> RecoveryOption {
        let declared = WAYS.iter().find(|it| it.way == way);
        let mut option = RecoveryOption {
            way,
            title: declared.map_or("", |it| it.title).to_owned(),
            verdict: None,
            extrusion_mm: None,
            sites: Vec::new(),
            crown_to_root: None,
            root_in_bone_mm: None,
            root_width_at_margin_mm: None,
            core_height_mm: None,
            seal_length_mm: None,
            post_window_mm: None,
            verdicts: Vec::new(),
            weeks: Vec::new(),
            words: words_of(way, self.case),
        };
        let has_arithmetic = declared.is_some_and(|it| it.has_arithmetic);
        let Some(lifts) = self.lifts(way, share) else {
            option.weeks = declared.map(ways::Declared::weeks).unwrap_or_default();
            option.verdict = has_arithmetic.then_some(Verdict::Undecided);
            return option;
        };
        option.weeks = weeks(&lifts);
        option.extrusion_mm = (way == Way::Extrusion || way == Way::Both).then_some(lifts.extrusion);
        let after: Vec<After> = self.sites.iter().map(|now| self.after(now, &lifts)).collect();
        let crown_and_root = self.crown_and_root.as_ref().map(|[crown, root]| {
            let down = lifts.mean_surgery();
            [crown.clone().shifted(down), root.clone().shifted(-lifts.extrusion - down)]
        });
        option.root_in_bone_mm = crown_and_root.as_ref().map(|[_, root]| root.into());
        option.crown_to_root = crown_and_root
            .as_ref()
            .filter(|[_, root]| root.value() > 0.5)
            .and_then(|[crown, root]| crown.over(root))
            .as_ref()
            .map(Into::into);
        option.root_width_at_margin_mm = self.width_at_margin().as_ref().map(Into::into);
        let core = self.core.as_ref().map(|core| core.clone().shifted(-lifts.extrusion));
        option.core_height_mm = core.as_ref().map(Into::into);
        option.seal_length_mm = self.seal.as_ref().map(Into::into);
        option.verdicts = self.verdicts(&after, crown_and_root.as_ref(), core.as_ref());
        if let Some(depths) = self.to_plan {
            let window =
                window::after_lift(depths, lifts.extrusion, |site| lifts.surgery(site)).first().copied();
            let is_judged = depths.cannot_be_judged(|rule| !depths.is_judged(rule)).next().is_none();
            option.post_window_mm = window.filter(|_| is_judged);
            // What excludes every depth does so whatever else is missing; one that is admitted needs all of it judged.
            option.verdicts.push(post_fits(match window {
                None => Some(false),
                Some([from, to]) => depths.is_judged_within(from, to).then_some(true),
            }));
        }
        option.verdict = Some(overall(&option.verdicts));
        if way == Way::SulcusOnly {
            self.sulcus_words(&mut option);
        }
        option.sites = after.into_iter().map(|after| after.row).collect();
        if option.needs_no_lift() {
            option.words.insert(0, NO_LIFT.to_owned());
        }
        option
    }

    /// Whether there is room in the sulcus, in words.
    fn sulcus_words(&self, option: &mut RecoveryOption) {
        let short: Vec<String> = self
            .sites
            .iter()
            .filter(|now| self.lift_needed(now).is_some_and(|lift| lift.value() > 0.0))
            .map(|now| site_word(now.site, self.case).to_owned())
            .collect();
        option.words.push(if short.is_empty() {
            "at every site that is known there is room for the margin to go down".to_owned()
        } else {
            format!("not enough room at the {} site", crate::wording::list(&short))
        });
    }

    /// A site once the tooth is lifted, the bone taken away and the margin prepared a ferrule below the wall's top.
    fn after(&self, now: &Now, lifts: &Lifts) -> After {
        let bone = lifts.surgery(now.site);
        let lift = lifts.extrusion + bone;
        let ferrule = now.ferrule.as_ref().map(|ferrule| {
            // A margin that is cut anew is cut by the wall itself: the ferrule is what is cut.
            if ferrule.value() < self.ferrule_wanted {
                FirstOrder::exact(self.ferrule_wanted)
            } else {
                ferrule.clone()
            }
        });
        let margin_to_crest = now
            .wall_above_crest
            .as_ref()
            .zip(ferrule.as_ref())
            .map(|(wall, ferrule)| wall.minus(ferrule).shifted(lift));
        let tip_beyond_crest = now.tip_beyond_crest.clone().map(|tip| tip.shifted(-lift));
        let crest_to_furcation = now.crest_to_furcation.clone().map(|it| it.shifted(-bone));
        let shown = |quantity: &Option<FirstOrder>| -> Option<Amount> { quantity.as_ref().map(Into::into) };
        After {
            row: SiteAfter {
                site: now.site,
                bone_mm: bone,
                ferrule_mm: shown(&ferrule),
                margin_to_crest_mm: shown(&margin_to_crest),
                tip_beyond_crest_mm: shown(&tip_beyond_crest),
                crest_to_furcation_mm: shown(&crest_to_furcation),
            },
            ferrule,
            margin_to_crest,
            tip_beyond_crest,
        }
    }

    /// The root's width at the new margin: towards the next section below, else as of a cone, d0 (1 − t/L).
    fn width_at_margin(&self) -> Option<FirstOrder> {
        let width = self.width.as_ref()?;
        let down = |site: Site| {
            let now = self.sites.iter().find(|now| now.site == site)?;
            Some(self.margin_down(now)?.value().max(0.0))
        };
        let down = f64::midpoint(down(Site::Mesial)?, down(Site::Distal)?);
        if let Some([below, narrower]) = self.section.as_ref().filter(|[below, _]| below.value() >= down) {
            let part = FirstOrder::exact(down).over(below)?;
            return Some(width.plus(&narrower.minus(width).by(&part)));
        }
        let part = FirstOrder::exact(down).over(self.root_length.as_ref()?)?;
        Some(width.by(&part.times(-1.0).shifted(1.0)))
    }
}

fn weeks(lifts: &Lifts) -> Vec<Weeks> {
    let mut weeks = Vec::new();
    let any_surgery = lifts.surgery.iter().any(|(_, by)| *by > 0.0);
    if lifts.extrusion > 0.0 {
        weeks.extend(ways::extrusion_weeks(lifts.extrusion));
    }
    if any_surgery {
        weeks.extend(ways::surgery_weeks());
    }
    weeks
}
