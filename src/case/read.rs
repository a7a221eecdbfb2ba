//! Reading a case: JSON values into typed ones, every error with its place.

use super::clinical::{Clinical, Instrument, Reading, Sites, SmileLine};
use super::derived::DERIVED_KEYS;
use super::document::{Calibration, Case, Film, Root, Section, Stage, Technique, Tooth, Uncertainty};
use super::error::{CaseError, ErrorKind};
use super::first_look::{Answer, Answers, Finding, FirstLook};
use super::json::{Fields, Node, Trail, Unknown, count, parse, spread, truth, up_to, wrong};
use super::landmark::{Landmark, LandmarkId, Owner};
use super::marks::{Landmarks, Mark, Point, State};
use super::plausible;
use super::read_reference::{placed, reference};
use super::tooth::{Fdi, FilmSide, RootName, Site};
use super::{FORMAT, VERSION};
use crate::caution::Caution;
use crate::wording::did_you_mean;
use serde_json::Value;
use std::collections::BTreeMap;

/// No clinical length of a tooth comes near this, mm.
const MOST_READING_MM: f64 = 60.0;

/// A case as read, with what the reader noticed.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadCase {
    /// The case.
    pub case: Case,
    /// What was noticed on reading: keys not known here.
    pub cautions: Vec<Caution>,
}

/// Reads a case from JSON text.
///
/// # Errors
/// Anything that keeps the case from being understood whole; the error holds the pointer of the value at fault.
pub fn read_text(text: &str) -> Result<ReadCase, CaseError> {
    if text.trim().is_empty() {
        return Err(CaseError::new(ErrorKind::Empty, None));
    }
    let value = parse(text)?;
    let mut cautions = Vec::new();
    let case = case(Node { value: &value, at: &Trail::Root }, &mut cautions)?;
    Ok(ReadCase { case, cautions })
}

fn case(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Case, CaseError> {
    if node.value.get("format").and_then(Value::as_str) != Some(FORMAT) {
        return Err(CaseError::new(ErrorKind::NotACase, None));
    }
    let mut fields = node.fields()?;
    fields.skip(&["format"]);
    fields.required("version", |it| match it.value.as_u64() {
        Some(VERSION) => Ok(()),
        Some(newer) if newer > VERSION => Err(CaseError::new(ErrorKind::Newer(newer, VERSION), None)),
        _ => Err(it.wrong(format!("is {}, but case files have version {VERSION}", it.value))),
    })?;
    let film = fields.optional("film", |it| film(it, cautions))?.unwrap_or_default();
    let tooth = fields.optional("tooth", |it| tooth(it, cautions))?.unwrap_or_default();
    let label = fields.optional("label", |it| it.text().map(str::to_owned))?;
    let calibration = fields.optional("calibration", |it| calibration(it, cautions))?.unwrap_or_default();
    let uncertainty = fields.optional("uncertainty", |it| uncertainty(it, cautions))?.unwrap_or_default();
    let landmarks =
        fields.optional("landmarks", |it| landmarks(it, Owner::Tooth, cautions))?.unwrap_or_default();
    let roots = fields.optional("roots", |it| roots(it, cautions))?.unwrap_or_default();
    let clinical = fields.optional("clinical", |it| clinical(it, cautions))?.unwrap_or_default();
    // What `measure --json` adds is no unknown key, so that its lines can be kept as cases.
    fields.skip(&["case_file"]);
    fields.skip(&DERIVED_KEYS);
    let extra = fields.rest(Unknown::Keep, cautions)?;
    Ok(Case { film, tooth, label, calibration, uncertainty, landmarks, roots, clinical, extra })
}

fn film(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Film, CaseError> {
    let mut fields = node.fields()?;
    Ok(Film {
        file: fields.optional("file", |it| it.text().map(str::to_owned))?,
        sha256: fields.optional("sha256", sha256)?,
        width_px: fields.optional("width_px", count)?,
        height_px: fields.optional("height_px", count)?,
        pixel_aspect: fields.optional("pixel_aspect", |it| it.number_in(0.1, 10.0, ""))?,
        date: fields.optional("date", date)?,
        stage: fields.optional("stage", |it| it.word(Stage::ALL))?,
        technique: fields.optional("technique", |it| it.word(Technique::ALL))?,
        extra: fields.rest(Unknown::Keep, cautions)?,
    })
}

fn sha256(node: Node<'_>) -> Result<String, CaseError> {
    let text = node.text()?.to_lowercase();
    if text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit()) {
        Ok(text)
    } else {
        Err(node
            .wrong("is not a SHA-256, which is 64 hexadecimal digits; leave it out where it is not known"))
    }
}

fn date(node: Node<'_>) -> Result<String, CaseError> {
    let text = node.text()?;
    let mut parts = text
        .split('-')
        .map(|part| part.parse::<u32>().ok().filter(|_| part.bytes().all(|b| b.is_ascii_digit())));
    let well_formed = text.len() == 10
        && matches!(
            (parts.next().flatten(), parts.next().flatten(), parts.next().flatten(), parts.next()),
            (Some(_), Some(1..=12), Some(1..=31), None)
        );
    if well_formed {
        Ok(text.to_owned())
    } else {
        Err(node.wrong(format!("is {text:?}, but a date is YYYY-MM-DD")))
    }
}

fn tooth(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Tooth, CaseError> {
    let mut fields = node.fields()?;
    Ok(Tooth {
        fdi: fields.optional("fdi", |it| Fdi::parse(it.text()?).map_err(|why| it.wrong(why)))?,
        mesial_is: fields.optional("mesial_is", |it| it.word(&FilmSide::ALL))?,
        extra: fields.rest(Unknown::Keep, cautions)?,
    })
}

fn calibration(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Calibration, CaseError> {
    let mut fields = node.fields()?;
    Ok(Calibration {
        references: fields
            .optional("references", |it| it.items(|one| reference(one, cautions)))?
            .unwrap_or_default(),
        ratio_sd: fields.optional("ratio_sd", |it| it.number_in(0.0, 1.0, ""))?,
        extra: fields.rest(Unknown::Refuse, cautions)?,
    })
}

fn uncertainty(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Uncertainty, CaseError> {
    let mut fields = node.fields()?;
    Ok(Uncertainty {
        placing_mm: fields.optional("placing_mm", |it| it.number_in(0.0, 5.0, " mm"))?,
        parallax_depth_mm: fields.optional("parallax_depth_mm", |it| it.number_in(0.0, 20.0, " mm"))?,
        angulation_deg: fields.optional("angulation_deg", |it| it.number_in(0.0, 20.0, " deg"))?,
        extra: fields.rest(Unknown::Refuse, cautions)?,
    })
}

/// Landmarks that are single points; the canal and the sections have keys of their own beside them.
fn landmarks(node: Node<'_>, owner: Owner, cautions: &mut Vec<Caution>) -> Result<Landmarks, CaseError> {
    let mut fields = node.fields()?;
    let mut marks = BTreeMap::new();
    for id in LandmarkId::points(owner) {
        if let Some(mark) = fields.optional(id.key(), |it| mark(it, cautions))? {
            marks.insert(id, mark);
        }
    }
    if let Some((key, _)) = fields.others().find(|(key, _)| !key.starts_with("x-")) {
        let at = Trail::Key(fields.at, key);
        let elsewhere = match owner {
            Owner::Tooth => LandmarkId::all(Owner::Root)
                .any(|id| id.key() == key)
                .then_some("belongs to a root: put it under \"roots\""),
            Owner::Root if matches!(key.as_str(), "canal" | "sections") => {
                Some("stands beside \"landmarks\", not in it")
            }
            Owner::Root => LandmarkId::all(Owner::Tooth)
                .any(|id| id.key() == key)
                .then_some("belongs to the tooth: put it under the case's own \"landmarks\""),
        };
        if let Some(advice) = elsewhere {
            return Err(wrong(&at, advice));
        }
        if let Some((wall, site)) =
            key.split_once('.').filter(|(_, site)| matches!(*site, "buccal" | "lingual" | "palatal"))
        {
            let why = format!(
                "a film does not show the {site} {}; what was probed goes under \"clinical\"",
                wall.replace('_', " ")
            );
            return Err(wrong(&at, format!("is not a landmark: {why}")));
        }
        if let Some(sided) = Landmark::ALL.iter().find(|it| it.declaration().sided && it.id().key() == key) {
            let [mesial, distal] = super::tooth::Side::BOTH.map(|side| sided.on(side).key());
            return Err(wrong(&at, format!("has two sides: write {mesial:?} or {distal:?}")));
        }
        let near = did_you_mean(key, LandmarkId::points(owner).map(LandmarkId::key));
        let advice = if near.is_empty() { "; `docs/case.md` lists them".to_owned() } else { near };
        return Err(wrong(&at, format!("is not a landmark{advice} (keys of your own begin with x-)")));
    }
    Ok(Landmarks { marks, extra: fields.rest(Unknown::Refuse, cautions)? })
}

/// One landmark: which of `x`, `hidden` and `absent` is there decides what it is.
fn mark(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Mark, CaseError> {
    let mut fields = node.fields()?;
    let present: Vec<_> = ["x", "hidden", "absent"].into_iter().filter(|key| fields.has(key)).collect();
    match present.as_slice() {
        ["hidden"] => Ok(Mark::Hidden {
            hidden: fields.required("hidden", |it| it.text().map(str::to_owned))?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
        ["absent"] => Ok(Mark::Absent {
            absent: fields.required("absent", |it| it.text().map(str::to_owned))?,
            extra: fields.rest(Unknown::Refuse, cautions)?,
        }),
        ["x"] | [] => Ok(Mark::Placed(point_of(fields, cautions)?)),
        several => Err(node.wrong(format!("is {} at once; it can be only one", several.join(" and ")))),
    }
}

fn point(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Point, CaseError> {
    point_of(node.fields()?, cautions)
}

fn point_of(mut fields: Fields<'_>, cautions: &mut Vec<Caution>) -> Result<Point, CaseError> {
    Ok(Point {
        x: fields.required("x", coordinate)?,
        y: fields.required("y", coordinate)?,
        sd_px: fields.optional("sd_px", spread)?,
        state: fields.optional("state", |it| it.word(State::ALL))?,
        placed: fields.optional("placed", placed)?,
        planned_from: fields.optional("planned_from", |it| it.items(|one| one.text().map(str::to_owned)))?,
        extra: fields.rest(Unknown::Refuse, cautions)?,
    })
}

/// A coordinate: no film is a million pixels wide, and beyond that differences lose their digits.
pub(super) fn coordinate(node: Node<'_>) -> Result<f64, CaseError> {
    node.number_in(-1e6, 1e6, " px")
}

fn roots(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Vec<Root>, CaseError> {
    let mut seen: Vec<RootName> = Vec::new();
    node.items(|one| {
        let root = root(one, cautions)?;
        if seen.contains(&root.name) {
            return Err(wrong(
                &Trail::Key(one.at, "name"),
                format!("is {:?}, which names another root already", root.name.word()),
            ));
        }
        seen.push(root.name);
        Ok(root)
    })
}

fn root(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Root, CaseError> {
    let mut fields = node.fields()?;
    let root = Root {
        name: fields.required("name", |it| it.word(RootName::ALL))?,
        post_here: fields.optional("post_here", truth)?,
        landmarks: fields
            .optional("landmarks", |it| landmarks(it, Owner::Root, cautions))?
            .unwrap_or_default(),
        canal: fields.optional("canal", |it| canal(it, cautions))?.unwrap_or_default(),
        sections: fields
            .optional("sections", |it| it.items(|one| section(one, cautions)))?
            .unwrap_or_default(),
        extra: fields.rest(Unknown::Keep, cautions)?,
    };
    let absent = |landmark: Landmark| root.landmarks.marks.get(&landmark.id()).is_some_and(Mark::is_absent);
    let (top, tip) = (absent(Landmark::FillingTop), absent(Landmark::FillingTip));
    if top != tip {
        let (one, other) = if top { ("filling_top", "filling_tip") } else { ("filling_tip", "filling_top") };
        let marks = Trail::Key(node.at, "landmarks");
        return Err(wrong(
            &Trail::Key(&marks, one),
            format!("is absent, but {other} is not; where there is no root filling both are absent"),
        ));
    }
    Ok(root)
}

fn canal(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Vec<Point>, CaseError> {
    let points = node.items(|one| point(one, cautions))?;
    for (index, pair) in points.windows(2).enumerate() {
        if let [one, next] = pair
            && (one.x, one.y) == (next.x, next.y)
        {
            return Err(wrong(
                &Trail::Index(node.at, index + 1),
                "lies on the canal point before it; delete one of the two",
            ));
        }
    }
    Ok(points)
}

fn section(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Section, CaseError> {
    let mut fields = node.fields()?;
    Ok(Section {
        level: fields.optional("level", |it| it.text().map(str::to_owned))?,
        points: fields.required("points", |it| {
            <[Point; 4]>::try_from(it.items(|one| point(one, cautions))?).map_err(|points| {
                it.wrong(format!(
                    "takes 4 points (outer wall, canal, canal, outer wall; mesial first), here are {}",
                    points.len()
                ))
            })
        })?,
        extra: fields.rest(Unknown::Keep, cautions)?,
    })
}

fn clinical(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<Clinical, CaseError> {
    let mut fields = node.fields()?;
    let mut reading_at = |fields: &mut Fields<'_>, key| {
        fields.optional(key, |it| reading(it, plausible::range(key), cautions))
    };
    let planned_core_height_mm = reading_at(&mut fields, "planned_core_height_mm")?;
    let planned_crown_length_mm = reading_at(&mut fields, "planned_crown_length_mm")?;
    let interocclusal_space_mm = reading_at(&mut fields, "interocclusal_space_mm")?;
    let crown_thickness_mm = reading_at(&mut fields, "crown_thickness_mm")?;
    let mut sites_at = |fields: &mut Fields<'_>, key, allowed: &[Site]| {
        fields
            .optional(key, |it| sites(it, allowed, plausible::range(key), cautions))
            .map(Option::unwrap_or_default)
    };
    Ok(Clinical {
        ferrule_mm: sites_at(&mut fields, "ferrule_mm", &Site::PROBED)?,
        wall_mm: sites_at(&mut fields, "wall_mm", &Site::PROBED)?,
        wall_above_bone_mm: sites_at(&mut fields, "wall_above_bone_mm", &Site::ALL)?,
        sulcus_mm: sites_at(&mut fields, "sulcus_mm", &Site::ALL)?,
        planned_core_height_mm,
        planned_crown_length_mm,
        interocclusal_space_mm,
        crown_thickness_mm,
        first_look: fields.optional("first_look", |it| first_look(it, cautions))?.unwrap_or_default(),
        smile_line: fields.optional("smile_line", |it| it.word(SmileLine::ALL))?,
        stop_reference_name: fields.optional("stop_reference_name", |it| it.text().map(str::to_owned))?,
        drill: fields.optional("drill", |it| it.text().map(str::to_owned))?,
        extra: fields.rest(Unknown::Refuse, cautions)?,
    })
}

fn first_look(node: Node<'_>, cautions: &mut Vec<Caution>) -> Result<FirstLook, CaseError> {
    let mut fields = node.fields()?;
    let mut answers = BTreeMap::new();
    for finding in Finding::ALL {
        let declaration = finding.declaration();
        let answer = fields.optional(declaration.key, |it| match declaration.answers {
            Answers::Words(choices) => {
                let words: Vec<_> = choices.iter().map(|choice| (choice.word, choice.word)).collect();
                it.word(&words).map(Answer::Word)
            }
            Answers::Count { most, .. } => up_to(it, most).map(Answer::Count),
            Answers::Depth => reading(it, plausible::range(declaration.key), cautions).map(Answer::Depth),
        })?;
        if let Some(answer) = answer {
            answers.insert(*finding, answer);
        }
    }
    Ok(FirstLook { answers, extra: fields.rest(Unknown::Refuse, cautions)? })
}

fn sites(
    node: Node<'_>,
    allowed: &[Site],
    plausible: Option<[f64; 2]>,
    cautions: &mut Vec<Caution>,
) -> Result<Sites, CaseError> {
    let mut fields = node.fields()?;
    for (key, why) in [
        ("palatal", "is written \"lingual\" in files, in both jaws"),
        ("mesial", "is measured on the film, not typed in; only buccal and lingual are probed here"),
        ("distal", "is measured on the film, not typed in; only buccal and lingual are probed here"),
    ] {
        if fields.has(key) && !allowed.iter().any(|site| site.word() == key) {
            return Err(wrong(&Trail::Key(node.at, key), why));
        }
    }
    let mut readings = BTreeMap::new();
    for site in allowed {
        if let Some(reading) = fields.optional(site.word(), |it| reading(it, plausible, cautions))? {
            readings.insert(*site, reading);
        }
    }
    Ok(Sites { readings, extra: fields.rest(Unknown::Refuse, cautions)? })
}

fn reading(
    node: Node<'_>,
    plausible: Option<[f64; 2]>,
    cautions: &mut Vec<Caution>,
) -> Result<Reading, CaseError> {
    let unit = plausible.map_or_else(
        || " mm".to_owned(),
        |[least, most]| format!(" mm ({least} to {most} mm is what one meets)"),
    );
    let millimetres = |it: Node<'_>| it.number_in(0.0, MOST_READING_MM, &unit);
    if !node.value.is_object() {
        return Ok(Reading { value: millimetres(node)?, sd: None, by: None, extra: serde_json::Map::new() });
    }
    let mut fields = node.fields()?;
    Ok(Reading {
        value: fields.required("value", millimetres)?,
        sd: fields.optional("sd", spread)?,
        by: fields.optional("by", |it| it.word(Instrument::ALL))?,
        extra: fields.rest(Unknown::Refuse, cautions)?,
    })
}
