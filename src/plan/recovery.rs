//! Ferrule recovery: what each way to more ferrule asks for, and what it leaves.
//!
//! At a site, with d the height of sound wall above the crest, f the ferrule wanted and s the distance wanted from
//! margin to crest, the lift needed is e = max(0, f + s − d). Extrusion x lifts all sites at once, surgery y each its
//! own. After them the crown is C + ȳ outside the bone and R − x − ȳ inside it.

use super::depths::Depths;
use super::first::{row, studied};
use super::needs;
use super::rows::{Amount, Need, Recovery, RecoveryOption, RecoverySite, SiteAfter, Way, WayVerdict, Weeks};
use super::rule::{above_zero, sides};
use super::ways::{WAYS, words_for_all, words_of};
use super::window;
use crate::case::{Case, Landmark, Side, Site, Strength, Verdict};
use crate::measure::{FirstOrder, Length, PlaceName, Studied, Study};
use crate::verdict::{Bound, Criteria, Criterion, decide_all};

/// Ferrule and clearance wanted where the criteria ask for none, mm.
const FERRULE_MM: f64 = 2.0;
const CLEARANCE_MM: f64 = 2.5;

/// What is known of a site before anything is done.
struct Now {
    site: Site,
    ferrule: Option<FirstOrder>,
    wall_above_crest: Option<FirstOrder>,
    is_sounded: bool,
    tip_beyond_crest: Option<FirstOrder>,
    crest_to_furcation: Option<FirstOrder>,
}

/// The post: the depths it can have, the one it has or should have, and whether it is there.
pub(super) struct Post<'d> {
    pub(super) depths: &'d Depths,
    pub(super) depth: Option<f64>,
    pub(super) is_there: bool,
}

/// The tooth before anything is done.
struct Tooth<'c> {
    case: &'c Case,
    criteria: &'c Criteria,
    sites: Vec<Now>,
    ferrule_wanted: f64,
    clearance_wanted: f64,
    /// Tooth outside the bone, root inside it.
    crown_and_root: Option<[FirstOrder; 2]>,
    width: Option<FirstOrder>,
    root_length: Option<FirstOrder>,
    /// From the margin down to the next section below it, and the root's width there.
    section: Option<[FirstOrder; 2]>,
    core: Option<FirstOrder>,
    post_depth: Option<FirstOrder>,
    seal: Option<FirstOrder>,
    /// Where a post is to be planned, the depths it can have.
    to_plan: Option<&'c Depths>,
    post_is_there: bool,
}

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

impl<'c> Tooth<'c> {
    fn of(
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
    fn lift_needed(&self, now: &Now) -> Option<FirstOrder> {
        let wall = now.wall_above_crest.as_ref()?;
        Some(wall.times(-1.0).shifted(self.ferrule_wanted + self.clearance_wanted))
    }

    /// How far down the root the margin has to go, mm.
    fn margin_down(&self, now: &Now) -> Option<f64> {
        now.ferrule.as_ref().map(|ferrule| (self.ferrule_wanted - ferrule.value()).max(0.0))
    }

    fn site_row(&self, now: &Now, wanted: &mut Vec<Need>) -> RecoverySite {
        let is_probed = Site::PROBED.contains(&now.site);
        let word = now.site.word();
        let mut lacks = Vec::new();
        if now.wall_above_crest.is_none() {
            if is_probed {
                let key = format!("wall_above_bone_mm/{word}");
                needs::reading(
                    wanted,
                    &key,
                    &format!("sounding of the {word} wall above the bone"),
                    "ferrule recovery",
                );
                lacks.push("sounding");
            } else {
                lacks.push("wall top or crest");
                let words = format!("wall_top.{word} and crest.{word}, or sounding there");
                needs::other(wanted, &words, "ferrule recovery");
            }
        }
        if now.ferrule.is_none() {
            if is_probed {
                let key = format!("ferrule_mm/{word}");
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
            margin_down_mm: self.margin_down(now),
            lacks: (!lacks.is_empty()).then(|| lacks.join(", ")),
        }
    }

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

    fn option(&self, way: Way, share: f64) -> RecoveryOption {
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
            option.weeks = declared.map(super::ways::Declared::weeks).unwrap_or_default();
            option.verdict = has_arithmetic.then_some(Verdict::Undecided);
            return option;
        };
        let any_surgery = lifts.surgery.iter().any(|(_, by)| *by > 0.0);
        option.weeks = weeks(&lifts, any_surgery);
        if lifts.extrusion == 0.0 && !any_surgery && way != Way::SulcusOnly {
            option.words.insert(0, "no lift is needed at the sites that are known".to_owned());
        }
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
            option.post_window_mm = window;
            option.verdicts.push(post_fits(window.is_some()));
        }
        option.verdict = Some(overall(&option.verdicts));
        if way == Way::SulcusOnly {
            self.sulcus_words(&mut option);
        }
        option.sites = after.into_iter().map(|after| after.row).collect();
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
        let down =
            |site: Site| self.sites.iter().find(|now| now.site == site).and_then(|now| self.margin_down(now));
        let down = f64::midpoint(down(Site::Mesial)?, down(Site::Distal)?);
        if let Some([below, narrower]) = self.section.as_ref().filter(|[below, _]| below.value() >= down) {
            let part = FirstOrder::exact(down).over(below)?;
            return Some(width.plus(&narrower.minus(width).by(&part)));
        }
        let part = FirstOrder::exact(down).over(self.root_length.as_ref()?)?;
        Some(width.by(&part.times(-1.0).shifted(1.0)))
    }

    fn verdicts(
        &self,
        after: &[After],
        crown_and_root: Option<&[FirstOrder; 2]>,
        core: Option<&FirstOrder>,
    ) -> Vec<WayVerdict> {
        let mut verdicts = Vec::new();
        for criterion in self.criteria.list.iter().filter(|it| it.strength != Strength::Information) {
            let id = criterion.rows.first().map_or("", |row| row.id);
            let margins = |of: &dyn Fn(&After) -> Option<FirstOrder>, sites: &[Site]| -> Vec<Place> {
                after
                    .iter()
                    .filter(|it| sites.contains(&it.row.site))
                    .map(|it| (Some(it.row.site), margins_of(criterion, of(it).as_ref())))
                    .collect()
            };
            let film = [Site::Mesial, Site::Distal];
            let quotient = |above: Option<&FirstOrder>, under: Option<&FirstOrder>| -> Vec<Place> {
                let margins = above.zip(under).and_then(|(above, under)| {
                    let all = sides(&criterion.bound).into_iter().map(|side| {
                        let margin = above.minus(&under.times(side.bound)).times(side.sign);
                        above_zero(margin.estimate(), side.strictly)
                    });
                    all.reduce(f64::min)
                });
                vec![(None, margins)]
            };
            let places = match id {
                _ if matches!(criterion.bound, Bound::SitesAtLeast { .. } | Bound::Classes(_)) => continue,
                "ferrule_height" => margins(&|it| it.ferrule.clone(), &Site::ALL),
                "margin_to_crest" => margins(&|it| it.margin_to_crest.clone(), &Site::ALL),
                "tip_beyond_crest" if self.post_is_there => margins(&|it| it.tip_beyond_crest.clone(), &film),
                "crown_to_root" => quotient(crown_and_root.map(|it| &it[0]), crown_and_root.map(|it| &it[1])),
                "post_to_core" if self.post_is_there => quotient(self.post_depth.as_ref(), core),
                _ => continue,
            };
            verdicts.push(verdict_of(criterion, &places));
        }
        verdicts
    }
}

/// Whether a post can be planned after a way was gone.
fn post_fits(fits: bool) -> WayVerdict {
    WayVerdict {
        criterion: "post_fits".to_owned(),
        title: "a post that satisfies every requirement".to_owned(),
        strength: Strength::Requirement,
        verdict: if fits { Verdict::Meets } else { Verdict::FallsShort },
        probability: None,
        worst: None,
        not_known: Vec::new(),
    }
}

/// A place with the probability that it satisfies the bound.
type Place = (Option<Site>, Option<f64>);

fn margins_of(criterion: &Criterion, quantity: Option<&FirstOrder>) -> Option<f64> {
    let quantity = quantity?;
    sides(&criterion.bound)
        .into_iter()
        .map(|side| {
            let margin = quantity.clone().shifted(-side.bound).times(side.sign);
            above_zero(margin.estimate(), side.strictly)
        })
        .reduce(f64::min)
}

fn verdict_of(criterion: &Criterion, places: &[Place]) -> WayVerdict {
    let decision = decide_all(&places.iter().map(|(_, probability)| *probability).collect::<Vec<_>>());
    let worst = places
        .iter()
        .filter_map(|(site, probability)| Some((*site, (*probability)?)))
        .min_by(|(_, one), (_, other)| one.total_cmp(other));
    let word = |site: Option<Site>| site.map(|site| site.word().to_owned());
    WayVerdict {
        criterion: criterion.id.clone(),
        title: criterion.title.clone(),
        strength: criterion.strength,
        verdict: decision.verdict,
        probability: worst.map(|(_, probability)| probability),
        worst: worst.and_then(|(site, _)| word(site)),
        not_known: places
            .iter()
            .filter(|(_, probability)| probability.is_none())
            .filter_map(|(site, _)| word(*site))
            .collect(),
    }
}

/// What the requirements together say of a way.
fn overall(verdicts: &[WayVerdict]) -> Verdict {
    let required = || verdicts.iter().filter(|it| it.strength == Strength::Requirement);
    if required().any(|it| it.verdict == Verdict::FallsShort) {
        Verdict::FallsShort
    } else if required().count() > 0 && required().all(|it| it.verdict == Verdict::Meets) {
        Verdict::Meets
    } else {
        Verdict::Undecided
    }
}

fn weeks(lifts: &Lifts, any_surgery: bool) -> Vec<Weeks> {
    let mut weeks = Vec::new();
    if lifts.extrusion > 0.0 {
        weeks.extend(super::ways::extrusion_weeks(lifts.extrusion));
    }
    if any_surgery {
        weeks.extend(super::ways::surgery_weeks());
    }
    weeks
}

pub(super) fn site_word(site: Site, case: &Case) -> &'static str {
    if site == Site::Lingual && case.tooth.fdi.is_some_and(crate::case::Fdi::is_upper) {
        "palatal"
    } else {
        site.word()
    }
}

/// A site after a way, with its quantities.
struct After {
    row: SiteAfter,
    ferrule: Option<FirstOrder>,
    margin_to_crest: Option<FirstOrder>,
    tip_beyond_crest: Option<FirstOrder>,
}
