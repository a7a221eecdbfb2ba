//! What cannot be of a tooth: two measures of it that contradict each other.

use super::body::{Bodies, canal};
use super::section::Outline;
use super::tooth::{Impossible, RootForm, Tooth};
use crate::case::Side;

/// The dentine that must at least be left between a canal or post and the root's surface for there to be a root, mm.
const LEAST_DENTINE: f64 = 0.15;

impl Tooth {
    /// Refuses what cannot be, naming the two parameters that contradict each other.
    ///
    /// # Errors
    /// The contradiction.
    pub fn check(&self) -> Result<(), Impossible> {
        let bodies = Bodies::of(self);
        let against = |one, one_value, other, other_value, mend| Impossible::Contradiction {
            one,
            one_value,
            other,
            other_value,
            mend,
        };
        for side in Side::BOTH {
            let flank = self.flank(side);
            let apex = self.roots.iter().map(|root| root.apex_mm).fold(f64::INFINITY, f64::min);
            if flank.crest.level_mm > apex - 2.0 {
                let (crest, length) = (flank.crest.level_mm, apex);
                return Err(against(
                    "the crest's level",
                    crest,
                    "the root's length",
                    length,
                    "leave at least 2 mm of root in bone",
                ));
            }
            let crown = self.crown.length_mm;
            if flank.wall_top.level_mm < -crown + 0.5 {
                let height = flank.finish_line.level_mm - flank.wall_top.level_mm;
                return Err(against(
                    "the ferrule",
                    height,
                    "the crown's length",
                    crown,
                    "a wall ends at least 0.5 mm below the crown's edge",
                ));
            }
        }
        for (root, body) in self.roots.iter().zip(&bodies.roots) {
            self.check_root(root, body)?;
        }
        Ok(())
    }

    fn check_root(&self, root: &RootForm, body: &Outline) -> Result<(), Impossible> {
        let against = |one, one_value, other, other_value, mend| {
            Err(Impossible::Contradiction { one, one_value, other, other_value, mend })
        };
        let floor = self.floor_level_mm();
        let end = root.foramen_level_mm();
        if end < floor + 4.0 {
            return against(
                "the root's length",
                root.apex_mm,
                "the orifice's level",
                floor,
                "leave at least 4 mm of canal",
            );
        }
        let hollow = canal(root, floor, end);
        let mut level = root.from_mm.max(floor).max(0.0);
        while level < end - 1.0 {
            let (canal, root_width) = (2.0 * hollow.at(level).half_x, 2.0 * body.at(level).half_x);
            if canal > root_width - 2.0 * LEAST_DENTINE {
                return against(
                    "the canal's width",
                    canal,
                    "the root's width",
                    root_width,
                    "narrow the canal",
                );
            }
            level += 0.25;
        }
        let treatment = &self.treatment;
        let (depth, width) = match (treatment.post, treatment.post_space) {
            (Some(post), _) if post.root == root.name => (post.tip_mm, post.diameter_mm),
            (_, Some(space)) if space.root == root.name => (space.floor_mm, space.diameter_mm),
            _ => return self.check_filling(root),
        };
        if depth > root.apex_mm - 0.5 {
            let (post, left) = (depth - floor, root.apex_mm - floor);
            return against(
                "the post's depth",
                post,
                "the root's length below the orifice",
                left,
                "shorten the post, or lengthen the root",
            );
        }
        if depth < floor + 1.0 {
            return against(
                "the seal",
                root.apex_mm - depth,
                "the root's length below the orifice",
                root.apex_mm - floor,
                "leave at least 1 mm of post below the orifice",
            );
        }
        let at_tip = body.at(depth - width);
        if width > 2.0 * at_tip.half_x - 2.0 * LEAST_DENTINE {
            return against(
                "the post's width",
                width,
                "the root's width at its tip",
                2.0 * at_tip.half_x,
                "take a narrower or a shorter post",
            );
        }
        let [x, _] = root.straight_axis_at(depth);
        let [axis_x, _] = [at_tip.x, at_tip.y];
        if (x - axis_x).abs() + 0.5 * width > at_tip.half_x - LEAST_DENTINE {
            return against(
                "the post's depth",
                depth - floor,
                "the level at which the root bends",
                root.bend_from_mm - floor,
                "shorten the post: a straight post cannot follow the bend",
            );
        }
        if let Some(core) = treatment.core {
            let walls = self.mesial.wall_top.level_mm.min(self.distal.wall_top.level_mm);
            if core.top_mm > walls {
                return against(
                    "the core's height",
                    floor - core.top_mm,
                    "the higher wall above the core's base",
                    floor - walls,
                    "raise the core, or lower the walls",
                );
            }
            if core.top_mm < -self.crown.length_mm {
                return against(
                    "the core's height",
                    floor - core.top_mm,
                    "the crown's length above the core's base",
                    floor + self.crown.length_mm,
                    "lower the core",
                );
            }
        }
        self.check_filling(root)
    }

    fn check_filling(&self, root: &RootForm) -> Result<(), Impossible> {
        let Some(filling) = self.treatment.filling else { return Ok(()) };
        let (top, tip) = (self.filling_top_mm(root), root.apex_mm - filling.short_of_apex_mm);
        if tip < top {
            return Err(Impossible::Contradiction {
                one: "the filling's end",
                one_value: tip,
                other: "its coronal end",
                other_value: top,
                mend: "lengthen the filling, or shorten the post",
            });
        }
        Ok(())
    }
}
