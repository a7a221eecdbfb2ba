//! Where on the film the depths of a post lie: its tip, its outline, lines across its canal, the band of the crest.

use super::depths::Depths;
use super::rows::{Amount, OnFilm};
use super::rule::TipBy;
use crate::case::{Case, Landmark, RootName, Strength};
use crate::geometry::{Position, Square};

/// How far apart the corners of an outline lie, mm.
const CORNER_MM: f64 = 0.25;
/// Half the way by which the canal's direction at a depth is taken, mm.
const AHEAD_MM: f64 = 0.02;

impl Depths {
    /// The depth on the canal nearest to a place on the film, in stored pixels: where a dragged tip comes to lie.
    pub fn nearest(&self, x: f64, y: f64) -> Option<f64> {
        let place = self.film.in_plane(Position::<Square>::new(x, y * self.aspect));
        self.canal.path.nearest(place).map(|foot| foot.arc - self.canal.start)
    }

    /// From the stop to the tip that a case plans in a root, mm; none where it plans none, or nothing is known of a stop.
    pub fn planned_tip_from_stop(&self, case: &Case, root: Option<RootName>) -> Option<Amount> {
        let root = case.roots.iter().find(|it| Some(it.name) == root)?;
        let tip = root.landmarks.point(Landmark::PostTip.id()).filter(|tip| tip.is_planned())?;
        self.at(self.nearest(tip.x, tip.y)?).stop_depth_mm
    }

    /// Where a tip at a depth lies on the film.
    pub fn on_film(&self, depth: f64) -> Option<OnFilm> {
        self.beside(depth, 0.0)
    }

    /// A depth kept within the root: from where the post starts to hold to the root's end.
    pub fn within_root(&self, depth: f64) -> f64 {
        depth.clamp(0.0, self.end_of_root().max(0.0))
    }

    /// A line across the canal at a depth, so many mm long to either side of it.
    pub fn across(&self, depth: f64, reach_mm: f64) -> Option<[OnFilm; 2]> {
        Some([self.beside(depth, -reach_mm)?, self.beside(depth, reach_mm)?])
    }

    /// The outline of a post with its tip at a depth, as wide as the drill it is reckoned with, the tip of the drill
    /// included: a closed line on the film. `None` where no drill is chosen or can be proposed.
    pub fn outline(&self, depth: f64) -> Option<Vec<OnFilm>> {
        let drill = self.drill.as_ref()?;
        let mut levels = vec![0.0];
        let mut at = CORNER_MM;
        while at < depth {
            levels.push(at);
            at += CORNER_MM;
        }
        // Where the drill reaches its full width there is a corner.
        levels.extend([depth - drill.shoulder(), depth].into_iter().filter(|level| *level > 0.0));
        levels.sort_unstable_by(f64::total_cmp);
        let side = |sign: f64| -> Option<Vec<OnFilm>> {
            levels
                .iter()
                .map(|level| self.beside(*level, sign * drill.diameter_at((depth - level).max(0.0)) / 2.0))
                .collect()
        };
        let mut outline = side(-1.0)?;
        outline.extend(side(1.0)?.into_iter().rev());
        Some(outline)
    }

    /// How wide the drill is that the depths are reckoned with, mm.
    pub fn drill_width_mm(&self) -> Option<f64> {
        self.drill.as_ref().map(|drill| drill.diameter)
    }

    /// The depths between which a tip is not surely off the crest, neither apical nor coronal of it.
    pub fn crest_band(&self) -> Option<[f64; 2]> {
        let coronal = self.coronal.as_ref()?;
        let apical = self.rules.iter().find(|rule| rule.id == coronal.id)?;
        let from = self.admitted(coronal, TipBy::Film).last().map_or(0.0, |stretch| stretch[1]);
        let to = self.admitted(apical, TipBy::Film).first().map_or(self.end_of_root(), |stretch| stretch[0]);
        (from < to).then_some([from, to])
    }

    /// The deepest tip that leaves the root filling required, for sure enough; `None` where no criterion asks for a
    /// seal, or no depth leaves it.
    pub fn seal_limit(&self) -> Option<f64> {
        let seals = self.rules.iter().filter(|rule| {
            rule.measurement == "seal_length"
                && rule.strength == Strength::Requirement
                && self.is_judged(rule)
        });
        seals
            .filter_map(|rule| self.admitted(rule, TipBy::Film).last().map(|it| it[1]))
            .min_by(f64::total_cmp)
    }

    /// A place so many mm beside the canal at a depth.
    fn beside(&self, depth: f64, by_mm: f64) -> Option<OnFilm> {
        let path = &self.canal.path;
        let arc = self.canal.start + depth;
        let mut place = path.at(arc)?;
        if by_mm != 0.0 {
            let along = path.at(arc + AHEAD_MM)?.way_from(path.at(arc - AHEAD_MM)?).direction()?;
            place = place.moved(along.quarter_turn().displacement().times(by_mm));
        }
        let place = self.film.on_film(place);
        Some(OnFilm { x: place.x, y: place.y / self.aspect })
    }
}

#[cfg(test)]
mod tests {
    use crate::calibration::Library;
    use crate::case::read_text;
    use crate::plan::{Wish, depths};
    use crate::verdict::Criteria;

    /// A straight canal down the film, 0.02 mm a pixel in both directions by its receptor alone.
    fn straight(drill: &str) -> super::Depths {
        let text = format!(
            r#"{{"format": "crestgauge.case", "version": 1, "film": {{"width_px": 800, "height_px": 1400}},
            "tooth": {{"fdi": "13", "mesial_is": "right"}},
            "calibration": {{"references": [{{"kind": "receptor", "pitch_mm": [0.02, 0.02], "magnification": 1.0}}]}},
            "landmarks": {{"core_base": {{"x": 400, "y": 300}},
                "finish_line.mesial": {{"x": 560, "y": 320}}, "finish_line.distal": {{"x": 240, "y": 320}}}},
            "roots": [{{"name": "single", "landmarks": {{"apex": {{"x": 400, "y": 1200}}}},
                "canal": [{{"x": 400, "y": 300}}, {{"x": 400, "y": 1190}}]}}],
            "clinical": {{"drill": "{drill}"}}}}"#
        );
        let case = read_text(&text).unwrap().case;
        let (library, criteria) = (Library::embedded().unwrap(), Criteria::default_set().unwrap());
        depths(&case, &library, &criteria, &Wish::default()).unwrap().unwrap()
    }

    #[test]
    fn an_outline_is_as_wide_as_its_drill_and_as_long_as_its_depth() {
        let depths = straight("peeso-2");
        let outline = depths.outline(6.0).unwrap();
        let xs = || outline.iter().map(|corner| corner.x);
        let ys = || outline.iter().map(|corner| corner.y);
        let least = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::INFINITY, f64::min);
        let most = |values: &mut dyn Iterator<Item = f64>| values.fold(f64::NEG_INFINITY, f64::max);
        // 0.9 mm wide and 6 mm long at 0.02 mm a pixel: 45 by 300 pixels.
        let wide = most(&mut xs()) - least(&mut xs());
        assert!((wide - 45.0).abs() < 1e-6, "{wide}");
        assert!((most(&mut ys()) - 600.0).abs() < 1e-6 && (least(&mut ys()) - 300.0).abs() < 1e-6);
        assert_eq!(depths.drill_width_mm(), Some(0.9));
        let [one, other] = depths.across(6.0, 1.0).unwrap();
        assert!(((one.x - other.x).abs() - 100.0).abs() < 1e-6 && (one.y - 600.0).abs() < 1e-6);
    }

    #[test]
    fn a_place_beside_the_canal_comes_to_its_nearest_depth_and_stays_within_the_root() {
        let depths = straight("peeso-2");
        let depth = depths.nearest(700.0, 500.0).unwrap();
        assert!((depth - 4.0).abs() < 1e-9, "{depth}");
        assert_eq!(depths.within_root(-3.0), 0.0);
        assert!((depths.within_root(99.0) - 18.0).abs() < 1e-9);
    }
}
