//! The bodies a tooth is made of: its crown, neck and roots as swept sections.

use super::section::{Outline, Section};
use super::space::Point3;
use super::tooth::{Flank, Place, RootForm, Tooth};
use super::treatment::PostTip;
use crate::case::Side;

/// How far coronally of the neck the bodies of roots and canals of a tooth with several roots are carried on.
const INTO_TRUNK: f64 = 1.0;
/// The width of the periodontal ligament space, mm (0.15 to 0.38 in textbooks, from memory).
pub(super) const LIGAMENT: f64 = 0.22;
/// The thickness of the lamina dura, mm (from memory).
pub(super) const LAMINA: f64 = 0.32;

/// The sign of x on a side.
pub(super) const fn sign(side: Side) -> f64 {
    match side {
        Side::Mesial => -1.0,
        Side::Distal => 1.0,
    }
}

/// The hard tissue of a sound tooth.
#[derive(Debug, Clone)]
pub(super) struct Bodies {
    /// The outer surface of the crown: its body, then its cusps.
    pub(super) enamel: Vec<Outline>,
    /// The dentine within the crown: its body, then its horns under the cusps.
    pub(super) dentine: Vec<Outline>,
    /// From the neck to the furcation, where there are several roots.
    pub(super) trunk: Option<Outline>,
    /// Each root.
    pub(super) roots: Vec<Outline>,
}

impl Bodies {
    pub(super) fn of(tooth: &Tooth) -> Self {
        let shape = Shape::of(tooth);
        let length = tooth.crown.length_mm;
        let cover = if tooth.has_cusps() { 1.8 } else { 1.4 };
        let top = -length + if tooth.has_cusps() { shape.cusp_height } else { 0.0 };
        let enamel_body = Outline::swept(top, 0.0, |z| shape.enamel(z));
        let dentine_body = Outline::swept(top + cover, 0.0, |z| shape.dentine(z, top + cover));
        let mut enamel = vec![enamel_body];
        let mut dentine = vec![dentine_body];
        for cusp in shape.cusps() {
            enamel.push(cusp.dome(-length, 1.0));
            dentine.push(cusp.dome(-length + cover, 0.78));
        }
        let trunk = tooth.furcation.map(|furcation| shape.trunk(furcation.roof_mm));
        let roots = tooth.roots.iter().map(|root| shape.root(root)).collect();
        Self { enamel, dentine, trunk, roots }
    }

    /// The body that bounds the tooth on a side at a level: dentine of the crown, trunk, or the outermost root.
    pub(super) fn flank(&self, side: Side, level: f64) -> &Outline {
        let crown = self.dentine.first();
        let below = |body: &&Outline| level > body.ends().1;
        match (crown, &self.trunk) {
            (Some(crown), _) if !below(&crown) => crown,
            (_, Some(trunk)) if !below(&trunk) => trunk,
            _ => self
                .roots
                .iter()
                .max_by(|one, other| {
                    let reach = |body: &Outline| {
                        let section = body.at(level);
                        sign(side) * section.x + section.half_x
                    };
                    reach(one).total_cmp(&reach(other))
                })
                .or(crown)
                .unwrap_or(&NO_BODY),
        }
    }

    /// A place on the tooth's surface.
    pub(super) fn surface(&self, side: Side, place: Place) -> Point3 {
        self.flank(side, place.level_mm).rim(sign(side), place.depth_mm, place.level_mm)
    }

    /// The prepared stump: what a core and standing walls fill, drawn in from the margin by a shoulder and by taper.
    pub(super) fn stump(&self, tooth: &Tooth, top: f64) -> Outline {
        const TAPER: f64 = 0.09;
        const ROUNDED: f64 = 0.6;
        let levels = (tooth.mesial.finish_line.level_mm, tooth.distal.finish_line.level_mm);
        let margin = 0.5 * (levels.0 + levels.1);
        let at_margin = |z: f64| {
            let mesial = self.flank(Side::Mesial, z).at(z);
            let distal = self.flank(Side::Distal, z).at(z);
            let (from, to) = (mesial.x - mesial.half_x, distal.x + distal.half_x);
            let half_y = mesial.half_y.max(distal.half_y);
            Section { x: 0.5 * (from + to), half_x: 0.5 * (to - from), half_y, ..mesial }
        };
        let base = at_margin(margin);
        let shoulder = 0.8_f64.min(0.22 * base.half_x);
        Outline::swept(top, levels.0.max(levels.1) + 2.5, move |z| {
            let rise = (margin - z).max(-1.0);
            let rounding = (1.0 - (z - top) / ROUNDED).max(0.0);
            base.grown(-shoulder - TAPER * rise - 0.35 * ROUNDED * rounding * rounding)
        })
    }
}

/// A canal from one level to another, widened by nothing.
pub(super) fn canal(root: &RootForm, from: f64, to: f64) -> Outline {
    Outline::swept(from, to, |z| {
        let [x, y] = root.axis_at(z);
        let half = 0.5 * root.canal_width_at(z);
        let share = (z / root.foramen_level_mm()).clamp(0.0, 1.0);
        Section::ellipse(x, y, half, half * (root.canal_oval + (1.0 - root.canal_oval) * share))
    })
}

/// A post along the straight axis of a root.
pub(super) fn post(root: &RootForm, from: f64, tip: f64, diameter: f64, shape: PostTip) -> Outline {
    const CONE: f64 = 2.0;
    let radius = 0.5 * diameter;
    Outline::swept(from, tip, |z| {
        let [x, y] = root.straight_axis_at(z);
        let left = tip - z;
        let half = match shape {
            PostTip::Flat => radius,
            PostTip::Round => {
                let into = (1.0 - left / radius).max(0.0);
                radius * (1.0 - into * into).max(0.0).sqrt()
            }
            PostTip::Tapered => radius * (0.45 + 0.55 * (left / CONE).min(1.0)),
        };
        Section::ellipse(x, y, half, half)
    })
}

static NO_BODY: Outline = Outline::none();

/// The rules crown and roots are shaped by.
struct Shape<'a> {
    tooth: &'a Tooth,
    /// How far the cemento-enamel junction rises at the sides, on the mean.
    rise: f64,
    square: f64,
    cusp_height: f64,
    enamel_mm: f64,
}

/// One cusp: where its tip stands, how far it stands below the highest, and how wide it is.
struct Cusp {
    at: [f64; 2],
    lower: f64,
    half: [f64; 2],
    height: f64,
}

impl Cusp {
    fn dome(&self, top: f64, size: f64) -> Outline {
        let ([x, y], [half_x, half_y]) = (self.at, self.half);
        let tip = top + self.lower;
        Outline::swept(tip, tip + self.height, |z| {
            let share = ((z - tip) / self.height).clamp(0.0, 1.0);
            // Blunt at the tip, then steep, between a paraboloid and a cone; its foot is drawn in, so that it stays in the body.
            let rising = (share / 0.75).min(1.0);
            let within = 1.0 - 0.3 * ((share - 0.6) / 0.4).max(0.0);
            let width = size * (0.7 * rising.sqrt() + 0.3 * rising) * within;
            Section { x, y, half_x: half_x * width, half_y: half_y * width, square: 0.2 }
        })
    }
}

/// Rises from 0 to 1 and ends level.
const fn eased(share: f64) -> f64 {
    let share = share.clamp(0.0, 1.0);
    share * (2.0 - share)
}

impl<'a> Shape<'a> {
    fn of(tooth: &'a Tooth) -> Self {
        let (square, cusp_height, enamel_mm) = match tooth.fdi.position() {
            1 | 2 => (0.15, 0.0, 0.8),
            3 => (0.05, 0.0, 0.9),
            4 | 5 => (0.3, 2.2, 1.1),
            _ => (0.7, 1.8, 1.25),
        };
        let rise = -0.5 * (tooth.mesial.cej.level_mm + tooth.distal.cej.level_mm);
        Self { tooth, rise, square, cusp_height, enamel_mm }
    }

    fn cusps(&self) -> Vec<Cusp> {
        let crown = &self.tooth.crown;
        let (width, depth) = (crown.width_mm, crown.depth_mm);
        let cusp = |x: f64, y: f64, lower: f64, half: [f64; 2]| Cusp {
            at: [x * width, y * depth],
            lower,
            half: [half[0] * width, half[1] * depth],
            height: self.cusp_height + 2.2,
        };
        match self.tooth.fdi.position() {
            4 | 5 => vec![cusp(0.0, -0.22, 0.0, [0.5, 0.28]), cusp(-0.03, 0.23, 0.6, [0.46, 0.27])],
            6.. => vec![
                cusp(-0.23, -0.24, 0.1, [0.3, 0.27]),
                cusp(0.23, -0.24, 0.2, [0.29, 0.26]),
                cusp(-0.23, 0.24, 0.0, [0.3, 0.27]),
                cusp(0.23, 0.24, 0.3, [0.29, 0.26]),
            ],
            _ => Vec::new(),
        }
    }

    /// Half the width of the sound crown at a level, before it is told mesial from distal.
    fn half_width(&self, z: f64) -> f64 {
        let crown = &self.tooth.crown;
        let (neck, widest) = (0.5 * crown.cervix_mm, 0.5 * crown.width_mm);
        let share = ((-z - self.rise) / (crown.length_mm - self.rise)).clamp(0.0, 1.0);
        match self.tooth.fdi.position() {
            1 | 2 => {
                let corner = ((share - 0.88) / 0.12).max(0.0);
                (neck + (widest - neck) * eased(share / 0.8)) * (1.0 - 0.22 * corner * corner * corner)
            }
            3 => {
                let above = ((share - 0.55) / 0.45).clamp(0.0, 1.0);
                let point = above * above.sqrt();
                (neck + (widest - neck) * eased(share / 0.55)) * (1.0 - 0.82 * point)
            }
            _ => {
                // The body ends where the cusps begin, well drawn in.
                let end = (crown.length_mm - self.cusp_height - self.rise) / (crown.length_mm - self.rise);
                let above = ((share - 0.45) / (end - 0.45)).clamp(0.0, 1.0);
                let drawn_in = (1.0 - 0.97 * (above * above * above) * (above * above * above)).sqrt();
                (neck + (widest - neck) * eased(share / 0.45)) * drawn_in
            }
        }
    }

    /// Half the depth of the sound crown at a level.
    fn half_depth(&self, z: f64) -> f64 {
        let crown = &self.tooth.crown;
        let (neck, deepest) = (0.5 * crown.cervix_depth_mm, 0.5 * crown.depth_mm);
        let share = (-z / crown.length_mm).clamp(0.0, 1.0);
        let swelling = |bulge: f64| neck + (deepest - neck) * eased(share / bulge);
        if self.tooth.has_cusps() {
            let end = 1.0 - self.cusp_height / crown.length_mm;
            let above = ((share - 0.35) / (end - 0.35)).clamp(0.0, 1.0);
            return swelling(0.35) * (1.0 - 0.95 * (above * above * above) * above).sqrt();
        }
        let above = ((share - 0.22) / 0.78).clamp(0.0, 1.0);
        let swelling = swelling(0.22);
        swelling + (0.45 - swelling) * above
    }

    /// How thick enamel is at a level, where it begins at level `from`.
    fn cover(&self, z: f64, from: f64) -> f64 {
        let share = ((from - z) / (0.55 * self.tooth.crown.length_mm)).clamp(0.0, 1.0);
        self.enamel_mm * (0.6 * share.sqrt() + 0.4 * share)
    }

    fn enamel(&self, z: f64) -> Section {
        let (half_x, half_y) = (self.half_width(z), self.half_depth(z));
        Section { square: self.square, ..Section::ellipse(0.0, 0.0, half_x, half_y) }
    }

    /// Apical of the junction, which lies at another level on each side, the dentine is the surface.
    fn dentine(&self, z: f64, top: f64) -> Section {
        let half = self.half_width(z);
        let rounded = (1.0 - (z - top) / 1.6).max(0.0);
        let end = (1.0 - 0.95 * rounded * rounded * rounded).sqrt();
        let inner = |flank: &Flank| (half - self.cover(z, flank.cej.level_mm)) * end;
        let (left, right) = (-inner(&self.tooth.mesial), inner(&self.tooth.distal));
        Section {
            x: 0.5 * (left + right),
            y: 0.0,
            half_x: (0.5 * (right - left)).max(0.15),
            half_y: ((self.half_depth(z) - self.cover(z, 0.0)) * end).max(0.15),
            square: self.square,
        }
    }

    /// The section of the neck, carried on along the root of a tooth with one.
    fn root(&self, root: &RootForm) -> Outline {
        let several = self.tooth.furcation.is_some();
        let ([width, depth], apex) = (root.width_mm, root.apex_mm);
        let (from, taper) = if several { (root.from_mm, [0.42, 0.5]) } else { (0.0, [0.55, 0.6]) };
        // The end is a half ellipse, as long as the root there is wide.
        let end = (0.42 * width).min(0.3 * (apex - from)).max(0.4);
        let start = if several { from - INTO_TRUNK } else { 0.0 };
        Outline::swept(start, apex, |z| {
            let [x, y] = root.axis_at(z);
            let into = ((z - (apex - end)) / end).clamp(0.0, 1.0);
            let cap = (1.0 - into * into).max(0.0).sqrt();
            let narrowed = |from: f64, by: f64| 1.0 - by * ((z - from) / (apex - from)).max(0.0);
            let [by_x, by_y] = taper;
            Section {
                x,
                y,
                half_x: 0.5 * width * narrowed(from, by_x) * cap,
                half_y: 0.5 * depth * narrowed(from, by_y) * cap,
                square: if several { 0.1 } else { self.square * (1.0 - z / apex).max(0.0) },
            }
        })
    }

    /// From the neck to the furcation: the neck's section turns into the one that encloses all roots.
    fn trunk(&self, roof: f64) -> Outline {
        let neck = self.dentine(0.0, -10.0);
        let enclose = |at: usize| {
            self.tooth.roots.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(least, most), root| {
                let (middle, half) = match (at, root.axis_at(roof), root.width_mm) {
                    (0, [x, _], [width, _]) => (x, 0.5 * width),
                    (_, [_, y], [_, depth]) => (y, 0.5 * depth),
                };
                (least.min(middle - half), most.max(middle + half))
            })
        };
        let ((left, right), (front, back)) = (enclose(0), enclose(1));
        Outline::swept(0.0, roof, |z| {
            let share = z / roof;
            let mix = |one: f64, two: f64| one + (two - one) * share;
            Section {
                x: mix(neck.x, 0.5 * (left + right)),
                y: mix(neck.y, 0.5 * (front + back)),
                half_x: mix(neck.half_x, 0.5 * (right - left)),
                half_y: mix(neck.half_y, 0.5 * (back - front)),
                square: mix(neck.square, 0.3),
            }
        })
    }
}
