//! The drawing of the whole tooth with a mark for every landmark, to be pressed in any order.

use super::super::theme;
use super::known::{Known, state_words};
use super::tooth_drawing::{
    APEX, CORE, CREST, DrawnRoot, DrawnTooth, FILLING, FURCATION, MARGIN, ORIFICE, POST, SEPTUM, Spot, WALL,
    WALL_TOP,
};
use crate::case::{Case, Fdi, FilmSide, Sight};
use crate::editor::{LandmarkAt, landmarks};
use eframe::egui::accesskit::Role;
use eframe::egui::{
    self, Align2, Color32, EventFilter, Key, Mesh, Pos2, Rect, Sense, Shape, Stroke, StrokeKind, TextStyle,
    WidgetInfo, pos2, vec2,
};

/// Height of the drawing.
const HEIGHT: f32 = 290.0;
/// How far across the drawing reaches on either side.
const REACH: f64 = 1.22;
/// Radius of a mark.
const MARK: f32 = 5.5;

/// What the drawing points out.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct PointedOut {
    /// The landmark that is chosen.
    pub(super) chosen: Option<LandmarkAt>,
    /// The landmark that comes next.
    pub(super) next: Option<LandmarkAt>,
    /// The landmark whose mark the keyboard stands at.
    pub(super) stands_at: Option<LandmarkAt>,
}

/// Draws the tooth of a case as its film is seen: with left and right, and top and bottom, the other way round where
/// `is_reversed` says so. Gives the landmark whose mark was pressed.
pub(super) fn show(
    ui: &mut egui::Ui,
    case: &Case,
    is_reversed: [bool; 2],
    pointed_out: PointedOut,
) -> Option<LandmarkAt> {
    let tooth = DrawnTooth::of(case);
    let width = ui.available_width().min(430.0);
    let (rect, whole) = ui.allocate_exact_size(vec2(width, HEIGHT), Sense::focusable_noninteractive());
    let (stands_at, mut pressed) = by_keys(ui, &whole, case, &tooth, pointed_out);
    whole.widget_info(|| {
        let words = "drawing of the tooth; arrow keys go from mark to mark, Enter chooses";
        let at =
            stands_at.map(|(at, sight)| format!("; at {}, {}", at.words(), state_words(case, at, sight)));
        WidgetInfo::labeled(Role::Image, true, format!("{words}{}", at.unwrap_or_default()))
    });
    if !ui.is_rect_visible(rect) {
        return pressed;
    }
    let view = View::of(case, is_reversed, rect);
    ui.painter().rect_filled(rect, 4.0, ui.visuals().extreme_bg_color);
    draw_tooth(ui, &view, &tooth);
    for (side, name) in [(-1.0, "mesial"), (1.0, "distal")] {
        let at = view.at([side * 1.13, 0.05]);
        let anchor = if at.x < rect.center().x { Align2::LEFT_CENTER } else { Align2::RIGHT_CENTER };
        let x = if at.x < rect.center().x { rect.left() + 8.0 } else { rect.right() - 8.0 };
        let font = TextStyle::Small.resolve(ui.style());
        ui.painter().text(pos2(x, at.y), anchor, name, font, theme::faint(ui.visuals().dark_mode));
    }
    let stands_at = stands_at.map(|(at, _)| at);
    let mut label = None;
    for (at, sight) in landmarks(case) {
        let Some(spot) = tooth.spot(at) else { continue };
        let centre = view.at(spot);
        let response = mark(ui, case, (at, sight), centre, PointedOut { stands_at, ..pointed_out });
        if response.clicked() {
            pressed = Some(at);
        }
        let shown = stands_at.or(pointed_out.chosen).or(pointed_out.next);
        let is_named = response.hovered() || (label.is_none() && shown == Some(at));
        if is_named {
            label = Some((at, centre));
        }
    }
    if let Some((at, centre)) = label {
        name_at(ui, rect, at, centre);
    }
    if whole.has_focus() {
        ui.painter().rect_stroke(rect, 4.0, ui.visuals().selection.stroke, StrokeKind::Inside);
    }
    pressed
}

/// The mark the keyboard stands at while it is in the drawing, and the one it chose.
fn by_keys(
    ui: &egui::Ui,
    whole: &egui::Response,
    case: &Case,
    tooth: &DrawnTooth,
    pointed_out: PointedOut,
) -> (Option<(LandmarkAt, Sight)>, Option<LandmarkAt>) {
    if !whole.has_focus() {
        return (None, None);
    }
    let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(whole.id, arrows));
    let marks: Vec<(LandmarkAt, Sight)> =
        landmarks(case).into_iter().filter(|(at, _)| tooth.spot(*at).is_some()).collect();
    let find = |wanted: LandmarkAt| marks.iter().position(|(at, _)| *at == wanted);
    let stood: Option<LandmarkAt> = ui.data(|data| data.get_temp(whole.id));
    let begins = || pointed_out.chosen.or(pointed_out.next).and_then(find).unwrap_or(0);
    let was = if whole.gained_focus() { None } else { stood.and_then(find) }.unwrap_or_else(begins);
    let pressed = |key| ui.input(|input| input.modifiers.is_none() && input.key_pressed(key));
    let now = if pressed(Key::ArrowRight) || pressed(Key::ArrowDown) {
        (was + 1).min(marks.len().saturating_sub(1))
    } else if pressed(Key::ArrowLeft) || pressed(Key::ArrowUp) {
        was.saturating_sub(1)
    } else {
        was
    };
    let Some((at, sight)) = marks.get(now).copied() else { return (None, None) };
    ui.data_mut(|data| data.insert_temp(whole.id, at));
    let chooses = pressed(Key::Enter) || pressed(Key::Space);
    (Some((at, sight)), chooses.then_some(at))
}

/// How the drawing lies on the screen: mesial where it is seen on the film, upper teeth with the root upwards, but on a
/// film that is turned by half.
struct View {
    rect: Rect,
    mesial_is_right: bool,
    root_is_up: bool,
}

impl View {
    fn of(case: &Case, [sides, ends]: [bool; 2], rect: Rect) -> Self {
        Self {
            rect: rect.shrink2(vec2(4.0, 8.0)),
            mesial_is_right: (case.tooth.mesial_is() == Some(FilmSide::Right)) != sides,
            root_is_up: case.tooth.fdi.is_some_and(Fdi::is_upper) != ends,
        }
    }

    // A drawing needs no more than the precision of the screen.
    #[allow(clippy::cast_possible_truncation)]
    fn at(&self, [across, down]: Spot) -> Pos2 {
        let across = (if self.mesial_is_right { -across } else { across } / REACH) as f32;
        let down = (if self.root_is_up { 1.0 - down } else { down }) as f32;
        let rect = self.rect;
        pos2(rect.center().x + across * rect.width() / 2.0, rect.top() + down * rect.height())
    }

    fn polygon(&self, spots: &[Spot], fill: Color32, stroke: Stroke) -> Shape {
        Shape::convex_polygon(spots.iter().map(|spot| self.at(*spot)).collect(), fill, stroke)
    }

    /// A polygon without softened edges, so that no seam shows beside another.
    fn flat(&self, spots: &[Spot], fill: Color32) -> Shape {
        let mut mesh = Mesh::default();
        for spot in spots {
            mesh.colored_vertex(self.at(*spot), fill);
        }
        for (one, other) in (1_u32..).zip(2_u32..).take(spots.len().saturating_sub(2)) {
            mesh.add_triangle(0, one, other);
        }
        Shape::mesh(mesh)
    }

    fn line(&self, spots: &[Spot], stroke: Stroke) -> Shape {
        Shape::line(spots.iter().map(|spot| self.at(*spot)).collect(), stroke)
    }
}

/// The colours of the drawing's parts.
struct Palette {
    bone: Color32,
    dentine: Color32,
    edge: Stroke,
    core: Color32,
    crown: Stroke,
    canal: Stroke,
    post: Stroke,
    filling: Stroke,
}

impl Palette {
    fn of(dark: bool) -> Self {
        let grey = Color32::from_gray;
        let pick = |on_dark: u8, on_light: u8| grey(if dark { on_dark } else { on_light });
        Self {
            bone: pick(38, 228),
            dentine: pick(72, 205),
            edge: Stroke::new(1.0, pick(120, 140)),
            core: pick(56, 186),
            crown: Stroke::new(1.2, pick(120, 140)),
            canal: Stroke::new(4.0, pick(24, 246)),
            post: Stroke::new(7.0, pick(126, 138)),
            filling: Stroke::new(5.0, pick(150, 110)),
        }
    }
}

fn draw_tooth(ui: &egui::Ui, view: &View, tooth: &DrawnTooth) {
    let palette = Palette::of(ui.visuals().dark_mode);
    let neck = tooth.half_neck;
    let mut shapes = Vec::new();
    // Bone on either side, with the septum's slope.
    for sign in [-1.0, 1.0] {
        let levels = [(REACH, SEPTUM), (neck + 0.30, SEPTUM), (neck + 0.05, CREST), (0.0, CREST)];
        for pair in levels.windows(2) {
            let [(outer, outer_top), (inner, inner_top)] = pair else { continue };
            let bone = [
                [sign * outer, *outer_top],
                [sign * inner, *inner_top],
                [sign * inner, 1.02],
                [sign * outer, 1.02],
            ];
            shapes.push(view.flat(&bone, palette.bone));
        }
    }
    for root in &tooth.roots {
        shapes.push(view.polygon(&root_outline(root), palette.dentine, palette.edge));
    }
    // The neck holds the roots together.
    let foot = if tooth.roots.len() > 1 { FURCATION - 0.015 } else { CREST + 0.01 };
    let narrow = if tooth.roots.len() > 1 { neck - 0.02 } else { neck - 0.07 };
    let body = [
        [-neck, MARGIN],
        [neck, MARGIN],
        [neck, CREST - 0.05],
        [narrow, foot],
        [-narrow, foot],
        [-neck, CREST - 0.05],
    ];
    shapes.push(view.polygon(&body, palette.dentine, Stroke::NONE));
    let inside = neck - WALL;
    let floor = [[-inside, CORE[1]], [inside, CORE[1]], [inside, MARGIN + 0.01], [-inside, MARGIN + 0.01]];
    shapes.push(view.polygon(&floor, palette.dentine, Stroke::NONE));
    for sign in [-1.0, 1.0] {
        let wall = [
            [sign * (neck - WALL), WALL_TOP],
            [sign * (neck - 0.01), WALL_TOP],
            [sign * neck, MARGIN + 0.005],
            [sign * (neck - WALL), MARGIN + 0.005],
        ];
        shapes.push(view.polygon(&wall, palette.dentine, palette.edge));
        shapes.push(view.line(&crown_outline(neck, sign), palette.crown));
    }
    let core = [[-inside * 0.8, CORE[0]], [inside * 0.8, CORE[0]], [inside, CORE[1]], [-inside, CORE[1]]];
    shapes.push(view.polygon(&core, palette.core, palette.edge));
    for root in &tooth.roots {
        let course = |from: f64, to: f64| {
            [0.0, 0.25, 0.5, 0.75, 1.0].map(|part| {
                let down = from + part * (to - from);
                [root.across(down), down]
            })
        };
        shapes.push(view.line(&course(ORIFICE - 0.09, APEX - 0.01), palette.canal));
        shapes.push(view.line(&course(POST[0], POST[1]), palette.post));
        shapes.push(view.line(&course(FILLING[0], FILLING[1]), palette.filling));
    }
    ui.painter().extend(shapes);
}

/// Half the crown's outline, from the margin to the middle of its edge: a cubic curve of Bezier.
fn crown_outline(neck: f64, sign: f64) -> Vec<Spot> {
    let [from, one, other, to] =
        [[neck + 0.03, MARGIN], [neck + 0.20, 0.20], [neck * 0.95, 0.005], [0.0, 0.025]];
    (0..=12)
        .map(|step| {
            let part = f64::from(step) / 12.0;
            let rest = 1.0 - part;
            let weights =
                [rest * rest * rest, 3.0 * rest * rest * part, 3.0 * rest * part * part, part * part * part];
            let along = |axis: fn(Spot) -> f64| {
                [from, one, other, to]
                    .into_iter()
                    .zip(weights)
                    .map(|(spot, weight)| weight * axis(spot))
                    .sum::<f64>()
            };
            [sign * along(|[across, _]| across), along(|[_, down]| down)]
        })
        .collect()
}

fn root_outline(root: &DrawnRoot) -> Vec<Spot> {
    let levels = [CREST - 0.06, 0.52, 0.60, 0.68, 0.76, 0.83, 0.89, 0.93, 0.96, 0.98, 0.99];
    let side = |sign: f64| levels.map(|down| [root.across(down) + sign * root.half_at(down), down]);
    let mut outline = side(-1.0).to_vec();
    outline.extend(side(1.0).into_iter().rev());
    outline
}

fn mark(
    ui: &mut egui::Ui,
    case: &Case,
    (at, sight): (LandmarkAt, Sight),
    centre: Pos2,
    pointed_out: PointedOut,
) -> egui::Response {
    let around = Rect::from_center_size(centre, vec2(17.0, 17.0));
    // The keyboard goes from mark to mark within the drawing; to Tab they are one.
    let response = ui.interact(around, ui.scope_id().with(("mark", at)), Sense::CLICK);
    let is_chosen = pointed_out.chosen == Some(at);
    let is_next = pointed_out.next == Some(at);
    let chosen = theme::chosen(ui.visuals().dark_mode);
    let colour = if is_chosen { chosen } else { ui.visuals().strong_text_color() };
    shape(ui, centre, Known::of(case, at, sight), colour);
    response.widget_info(|| {
        let words = format!("mark of {}, {}", at.words(), state_words(case, at, sight));
        WidgetInfo::labeled(Role::Button, true, words)
    });
    if is_chosen || response.hovered() || pointed_out.stands_at == Some(at) {
        ui.painter().circle_stroke(centre, MARK + 4.0, Stroke::new(1.8, chosen));
    } else if is_next {
        ui.painter().circle_stroke(
            centre,
            MARK + 4.0,
            Stroke::new(1.8, theme::to_do(ui.visuals().dark_mode)),
        );
    }
    response.on_hover_ui(|ui| {
        ui.strong(at.words());
        ui.label(at.id.landmark().declaration().meaning);
        ui.label(state_words(case, at, sight));
    })
}

/// The shape of what is known of a landmark.
pub(super) fn shape(ui: &egui::Ui, centre: Pos2, known: Known, colour: Color32) {
    let painter = ui.painter();
    let behind = ui.visuals().extreme_bg_color;
    let line = Stroke::new(1.8, colour);
    let faint = theme::faint(ui.visuals().dark_mode);
    match known {
        Known::ToPlace => {
            painter.circle(centre, MARK, behind, line);
        }
        Known::MayBe => {
            painter.circle(centre, MARK - 2.0, behind, Stroke::new(1.5, colour));
        }
        Known::NotShown => {
            painter.circle(centre, MARK - 2.0, behind, Stroke::new(1.0, faint));
            painter.line_segment([centre - vec2(2.5, 0.0), centre + vec2(2.5, 0.0)], Stroke::new(1.0, faint));
        }
        Known::Placed => {
            painter.circle_filled(centre, MARK, colour);
        }
        Known::Planned => {
            let tips =
                [vec2(0.0, -7.0), vec2(7.0, 0.0), vec2(0.0, 7.0), vec2(-7.0, 0.0)].map(|by| centre + by);
            painter.add(Shape::convex_polygon(tips.to_vec(), colour, Stroke::new(1.0, behind)));
        }
        Known::Hidden => {
            let square = Rect::from_center_size(centre, vec2(10.0, 10.0));
            painter.rect(square, 0.0, behind, line, StrokeKind::Middle);
            painter.line_segment([square.left_bottom(), square.right_top()], line);
        }
        Known::Absent => {
            for by in [vec2(4.5, 4.5), vec2(4.5, -4.5)] {
                painter.line_segment([centre - by, centre + by], Stroke::new(2.2, colour));
            }
        }
    }
}

/// The name of a landmark beside its mark.
fn name_at(ui: &egui::Ui, rect: Rect, at: LandmarkAt, centre: Pos2) {
    let font = TextStyle::Small.resolve(ui.style());
    let colour = ui.visuals().strong_text_color();
    let galley = ui.painter().layout_no_wrap(at.words(), font, colour);
    let size = galley.size() + vec2(8.0, 4.0);
    let right = centre.x + 13.0;
    let left =
        if right + size.x <= rect.right() { right } else { (centre.x - 13.0 - size.x).max(rect.left()) };
    let frame = Rect::from_min_size(pos2(left, centre.y - size.y / 2.0), size);
    ui.painter().rect_filled(frame, 3.0, ui.visuals().window_fill.gamma_multiply(0.92));
    ui.painter().galley(frame.min + vec2(4.0, 2.0), galley, colour);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::viewer::viewport::Viewport;

    /// Tooth 21, whose mesial side lies left of the middle and whose root points upwards on a film as it is mounted.
    #[test]
    fn the_drawing_lies_as_the_film_is_seen() {
        let mut case = crate::case::film_102();
        case.tooth.fdi = Fdi::parse("21").ok();
        case.tooth.mesial_is = None;
        let rect = Rect::from_min_size(pos2(0.0, 0.0), vec2(200.0, 200.0));
        for (is_mirrored, turn, mesial_is_right, root_is_up) in [
            (false, 0.0, false, true),
            (true, 0.0, true, true),
            (false, 180.0, true, false),
            (true, 180.0, false, false),
            (false, 10.0, false, true),
            (false, 90.0, false, true),
        ] {
            let mut viewport = Viewport::new([100, 200], 1.0);
            viewport.turn_to(turn);
            if is_mirrored {
                viewport.mirror();
            }
            let view = View::of(&case, viewport.is_reversed(), rect);
            let (mesial, apex) = (view.at([-1.0, 0.5]), view.at([0.0, APEX]));
            assert_eq!(mesial.x > 100.0, mesial_is_right, "{is_mirrored} {turn}");
            assert_eq!(apex.y < 100.0, root_is_up, "{is_mirrored} {turn}");
        }
    }
}
