//! A planned post on the film: its outline, the marks of the scale of depths across its canal, the band of the crest
//! and the limit of the seal; and where its tip goes when it is dragged or moved by keys.

use super::sheet::Sheet;
use crate::case::Landmark;
use crate::editor::PointAt;
use crate::geometry::{Displacement, Position, Stored};
use crate::plan::{Depths, End, OnFilm};
use crate::report::plan_words;
use crate::viewer::Work;
use crate::viewer::action::Handle;
use crate::viewer::planning::{Planned, TipKind};
use crate::viewer::theme;
use eframe::egui::{self, Color32, Pos2, Shape, Stroke};

/// How far marks reach to either side of the canal, mm.
const MARK_MM: f64 = 2.5;
/// The same of the band of the crest and the limit of the seal.
const BAND_MM: f64 = 3.5;
/// Marks nearer to one another than this are one, mm.
const SAME_MM: f64 = 0.005;
const EDGE: Color32 = Color32::from_black_alpha(200);

/// Where a planned tip that is dragged here comes to lie; `None` for every other point.
pub(super) fn on_canal(work: &Work, handle: Handle, to: Position<Stored>) -> Option<Position<Stored>> {
    let planned = of_tip(work, handle)?;
    planned.as_ref().as_ref().ok()?.on_canal(work.open.case(), handle, to)
}

/// Where keys move a planned tip; `None` for every other point.
pub(super) fn stepped(work: &Work, handle: Handle, way: Displacement<Stored>) -> Option<Position<Stored>> {
    let planned = of_tip(work, handle)?;
    planned.as_ref().as_ref().ok()?.stepped(work.open.case(), handle, way)
}

type Kept = std::sync::Arc<Result<Planned, crate::plan::NoPlan>>;

/// The plan, if the point is the tip of a post: no other point asks for one.
fn of_tip(work: &Work, handle: Handle) -> Option<Kept> {
    match handle {
        Handle::Case(PointAt::Landmark(at)) if at.id.landmark() == Landmark::PostTip => Some(work.planned()),
        _ => None,
    }
}

/// Draws the plan. Gives where its words belong, what they are, and their colour: that of a caution where a planned tip lies
/// where none may lie.
pub(super) fn draw(painter: &egui::Painter, sheet: &Sheet<'_>, work: &Work) -> Vec<(Pos2, String, Color32)> {
    if !work.planning.shows {
        return Vec::new();
    }
    let planned = work.planned();
    let Ok(planned) = planned.as_ref() else { return Vec::new() };
    let Some(depths) = &planned.depths else { return Vec::new() };
    let drawing = Drawing { painter, sheet, depths };
    let mut words = Vec::new();
    let mut tips = Vec::new();
    if let Some([from, to]) = planned.crest_band {
        words.extend(drawing.band(from, to).map(|at| (at, "the crest: no tip between these".to_owned())));
    }
    if let Some(limit) = planned.seal_limit {
        let stroke = Stroke::new(1.6, theme::YELLOW);
        words.extend(
            drawing.across(limit, BAND_MM, stroke, true).map(|at| (at, "seal: not deeper".to_owned())),
        );
    }
    let mut marks: Vec<(f64, String)> = Vec::new();
    let named = &planned.plan.marks;
    for (name, mark) in [
        ("shortest allowed", &named.shortest_allowed),
        ("all preferences met", &named.all_preferences_met),
        ("recommended", &named.recommended),
        ("deepest allowed", &named.deepest_allowed),
    ] {
        let Some(mark) = mark else { continue };
        let depth = mark.along_canal_mm;
        match marks.iter_mut().find(|(at, _)| (at - depth).abs() < SAME_MM) {
            Some((_, words)) => *words = format!("{words}, {name}"),
            None => marks.push((depth, name.to_owned())),
        }
    }
    for (depth, name) in marks {
        let width = if name.contains("recommended") { 2.6 } else { 1.6 };
        words.extend(
            drawing.across(depth, MARK_MM, Stroke::new(width, Color32::WHITE), false).map(|at| (at, name)),
        );
    }
    if let Some(tip) = planned.tip(work.open.case()).filter(|tip| tip.kind != TipKind::There) {
        drawing.post(tip.depth, tip.kind);
        if tip.kind == TipKind::Planned {
            let depth = plan_words::post_depth(&depths.at(tip.depth));
            let beyond = beyond(planned, tip.depth);
            // What lies over the film is dark in both themes.
            let colour = if beyond.is_some() { theme::caution(true) } else { Color32::WHITE };
            let said = beyond.map_or_else(String::new, |beyond| format!("\n{beyond}"));
            tips.extend(
                drawing
                    .seen(depths.on_film(tip.depth))
                    .map(|at| (at, format!("planned: {depth}{said}"), colour)),
            );
        }
    }
    let marks = words.into_iter().map(|(at, words)| (at, words, Color32::WHITE));
    marks.chain(tips).collect()
}

/// That a tip lies where none may lie, with the rule that stands there.
fn beyond(planned: &Planned, depth: f64) -> Option<String> {
    let end = planned.beyond(depth)?;
    let plan = &planned.plan;
    let rules: Vec<String> = plan
        .binding
        .iter()
        .filter(|binding| binding.end == end)
        .map(|binding| plan_words::rule_title(plan, &binding.rule).to_owned())
        .collect();
    let lead = match end {
        End::Deepest => "beyond what is allowed",
        End::Shortest => "short of what is asked for",
    };
    Some(if rules.is_empty() { lead.to_owned() } else { format!("{lead}: {}", crate::wording::list(&rules)) })
}

struct Drawing<'a> {
    painter: &'a egui::Painter,
    sheet: &'a Sheet<'a>,
    depths: &'a Depths,
}

impl Drawing<'_> {
    fn seen(&self, place: Option<OnFilm>) -> Option<Pos2> {
        place.map(|place| self.sheet.seen(Position::new(place.x, place.y)))
    }

    fn ends(&self, depth: f64, reach: f64) -> Option<[Pos2; 2]> {
        let [one, other] = self.depths.across(depth, reach)?;
        Some([self.seen(Some(one))?, self.seen(Some(other))?])
    }

    /// A line across the canal; gives its end on the right of the screen.
    fn across(&self, depth: f64, reach: f64, stroke: Stroke, dashed: bool) -> Option<Pos2> {
        let ends = self.ends(depth, reach)?;
        for stroke in [Stroke::new(stroke.width + 2.4, EDGE), stroke] {
            if dashed {
                self.painter.extend(Shape::dashed_line(&ends, stroke, 7.0, 4.0));
            } else {
                self.painter.line_segment(ends, stroke);
            }
        }
        Some(right(ends))
    }

    /// The band of the crest, hatched, so that it is seen without its colour; gives its middle on the right.
    fn band(&self, from: f64, to: f64) -> Option<Pos2> {
        const HATCHES: u8 = 14;
        let (top, bottom) = (self.ends(from, BAND_MM)?, self.ends(to, BAND_MM)?);
        let outline = vec![top[0], top[1], bottom[1], bottom[0]];
        let colour = theme::SKY_BLUE;
        self.painter.add(Shape::convex_polygon(outline.clone(), colour.gamma_multiply(0.10), Stroke::NONE));
        for hatch in 0..HATCHES {
            let at = |step: u8| f32::from(step) / f32::from(HATCHES);
            let line = [bottom[0].lerp(bottom[1], at(hatch)), top[0].lerp(top[1], at(hatch + 1))];
            self.painter.line_segment(line, Stroke::new(1.0, colour.gamma_multiply(0.7)));
        }
        self.painter.add(Shape::closed_line(outline.clone(), Stroke::new(3.0, EDGE)));
        self.painter.add(Shape::closed_line(outline, Stroke::new(1.2, colour)));
        Some(right(top).lerp(right(bottom), 0.5))
    }

    /// The outline of the post at its drill's width: dashed, for it is not there.
    fn post(&self, depth: f64, kind: TipKind) {
        let Some(outline) = self.depths.outline(depth) else { return };
        let mut corners: Vec<Pos2> = outline.into_iter().filter_map(|place| self.seen(Some(place))).collect();
        corners.extend(corners.first().copied());
        let (width, dash, gap) = if kind == TipKind::Planned { (2.0, 9.0, 4.0) } else { (1.2, 3.0, 5.0) };
        for stroke in [Stroke::new(width + 2.4, EDGE), Stroke::new(width, theme::REDDISH_PURPLE)] {
            self.painter.extend(Shape::dashed_line(&corners, stroke, dash, gap));
        }
    }
}

/// The end further to the right of the screen.
fn right([one, other]: [Pos2; 2]) -> Pos2 {
    if one.x > other.x { one } else { other }
}
