//! The landmarks this film does not show, in words in its corner: nothing of them stands on the film itself.

use super::sheet::Sheet;
use crate::case::{Case, LandmarkId, Mark, RootName};
use crate::editor::LandmarkAt;
use eframe::egui::accesskit::Role;
use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{self, Color32, FontId, Id, Rect, Sense, WidgetInfo, pos2, vec2};

/// The most that are listed, and how much of the height of the film's part of the window they may take.
const MOST: (usize, f32) = (6, 0.25);
/// The size of the letters.
const LETTERS: f32 = 11.5;
/// From the foot of the film's part of the window to the list: the scale's bar stands below.
const FOOT: f32 = 44.0;
/// The widest the list gets, and how much of the film's part that may be.
const WIDEST: (f32, f32) = (330.0, 0.6);

/// Each landmark that is hidden or absent, with why.
fn lines(case: &Case) -> Vec<String> {
    let line = |root: Option<RootName>, id: LandmarkId, mark: &Mark| {
        let (how, why) = match mark {
            Mark::Hidden { hidden, .. } => ("hidden", hidden),
            Mark::Absent { absent, .. } => ("absent", absent),
            Mark::Placed(_) => return None,
        };
        let words = LandmarkAt { root, id }.words();
        let why = why.trim();
        Some(if why.is_empty() {
            format!("{how}: {words}")
        } else {
            format!("{how}: {words} \u{2013} {why}")
        })
    };
    let of_tooth = case.landmarks.marks.iter().filter_map(|(id, mark)| line(None, *id, mark));
    let of_roots = case.roots.iter().flat_map(|root| {
        root.landmarks.marks.iter().filter_map(move |(id, mark)| line(Some(root.name), *id, mark))
    });
    of_tooth.chain(of_roots).collect()
}

/// As many as are listed, and how many are not.
fn listed(mut lines: Vec<String>, most: usize) -> Vec<String> {
    if most <= 1 && lines.len() > 1 {
        return vec![format!("{} are hidden or absent", lines.len())];
    }
    if lines.len() > most {
        let rest = lines.split_off(most - 1).len();
        lines.push(format!("and {rest} more, in the worksheet\u{2019}s list"));
    }
    lines
}

/// Draws the list above the scale's bar. Gives where it stands.
pub(super) fn draw(ui: &egui::Ui, sheet: &Sheet<'_>, case: &Case) -> Option<Rect> {
    let all = lines(case);
    if all.is_empty() {
        return None;
    }
    let said = all.join("; ");
    let painter = ui.painter_at(sheet.rect);
    let colour = Color32::from_gray(225);
    let line = painter.fonts_mut(|fonts| fonts.row_height(&FontId::proportional(LETTERS)));
    let room = sheet.rect.height() * MOST.1;
    let heights = std::iter::successors(Some(line), |height| Some(height + line));
    let most = heights.take(MOST.0).take_while(|height| *height <= room).count();
    let galleys: Vec<_> = listed(all, most)
        .into_iter()
        .map(|words| {
            let format = TextFormat::simple(FontId::proportional(LETTERS), colour);
            let mut job = LayoutJob::single_section(words, format);
            job.wrap =
                egui::text::TextWrapping::truncate_at_width(WIDEST.0.min(sheet.rect.width() * WIDEST.1));
            painter.layout_job(job)
        })
        .collect();
    let width = galleys.iter().map(|galley| galley.size().x).fold(0.0, f32::max);
    let height: f32 = galleys.iter().map(|galley| galley.size().y).sum();
    let foot = pos2(sheet.rect.left() + 12.0, sheet.rect.bottom() - FOOT);
    let plate = Rect::from_min_size(foot - vec2(0.0, height + 6.0), vec2(width + 10.0, height + 6.0));
    painter.rect_filled(plate, 3.0, Color32::from_black_alpha(190));
    let mut at = plate.min + vec2(5.0, 3.0);
    for galley in galleys {
        let down = galley.size().y;
        painter.galley(at, galley, colour);
        at.y += down;
    }
    let response = ui.interact(plate, Id::unique("landmarks not on the film"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    Some(plate)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calibration::Extra;
    use crate::case::{Landmark, Side};

    #[test]
    fn what_is_hidden_or_absent_is_listed_with_why() {
        let mut case = crate::case::film_102();
        case.landmarks.marks.clear();
        case.roots.truncate(1);
        case.roots[0].landmarks.marks.retain(|_, mark| mark.point().is_some());
        assert_eq!(lines(&case), Vec::<String>::new());
        let hidden = Mark::Hidden { hidden: "under the crown".to_owned(), extra: Extra::new() };
        let absent = Mark::Absent { absent: String::new(), extra: Extra::new() };
        case.landmarks.marks.insert(Landmark::WallTop.on(Side::Mesial), hidden);
        case.roots[0].landmarks.marks.insert(Landmark::FillingTop.id(), absent);
        let expected = ["hidden: wall top, mesial \u{2013} under the crown", "absent: root filling top"];
        let lines = lines(&case);
        assert_eq!(lines[0], expected[0]);
        assert!(lines[1].starts_with("absent: ") && !lines[1].contains('\u{2013}'), "{lines:?}");
    }

    #[test]
    fn a_long_list_says_how_many_more_there_are() {
        let many = |count: usize| (0..count).map(|at| at.to_string()).collect::<Vec<_>>();
        assert_eq!(listed(many(6), 6).len(), 6);
        assert_eq!(listed(many(1), 1), ["0"]);
        assert_eq!(listed(many(4), 1), ["4 are hidden or absent"]);
        let long = listed(many(9), 6);
        assert_eq!(long.len(), 6);
        assert!(long[5].starts_with("and 4 more"), "{long:?}");
    }
}
