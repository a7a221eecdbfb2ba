//! A tooth as parameters: its form, its bone, what was done to it. Drawn from a seed, or set by hand.
//!
//! Levels are coordinates along the tooth's axis, positive towards the apex, 0 where the cemento-enamel junction lies on
//! the buccal side; depths are coordinates towards lingual.

use super::chance::Chance;
use super::form::{AverageForm, AverageRoot, average_form};
use super::space::Point3;
use super::treatment::Treatment;
use crate::case::{Fdi, RootName, Side};

/// A tooth in its socket.
#[derive(Debug, Clone, PartialEq)]
pub struct Tooth {
    /// Which tooth.
    pub fdi: Fdi,
    /// Its crown, and the neck all roots begin at.
    pub crown: CrownForm,
    /// What lies on its mesial side.
    pub mesial: Flank,
    /// What lies on its distal side.
    pub distal: Flank,
    /// Level of the bone's edge on the buccal side.
    pub buccal_crest_mm: f64,
    /// Level of the bone's edge on the lingual side.
    pub lingual_crest_mm: f64,
    /// The furcation, where there are several roots.
    pub furcation: Option<Furcation>,
    /// Its roots.
    pub roots: Vec<RootForm>,
    /// What was done to it.
    pub treatment: Treatment,
}

/// The sound crown and the neck of the tooth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrownForm {
    /// From the neck on the buccal side to the edge or the highest cusp.
    pub length_mm: f64,
    /// Mesiodistal width at the contacts.
    pub width_mm: f64,
    /// Buccolingual depth.
    pub depth_mm: f64,
    /// Mesiodistal width at the neck.
    pub cervix_mm: f64,
    /// Buccolingual depth at the neck.
    pub cervix_depth_mm: f64,
}

/// A place on the mesial or distal side: a level, and how deep it lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Level, towards the apex.
    pub level_mm: f64,
    /// Depth, towards lingual.
    pub depth_mm: f64,
}

/// What lies on one side of the tooth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flank {
    /// The cemento-enamel junction where it rises highest.
    pub cej: Place,
    /// The most coronal point of the crest beside the root.
    pub crest: Place,
    /// How far the septum rises above the crest; 0 where there is no angular defect.
    pub peak_above_crest_mm: f64,
    /// The crown margin where it rises highest.
    pub finish_line: Place,
    /// Top of the standing wall.
    pub wall_top: Place,
}

/// Where the roots part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Furcation {
    /// Level of the roof.
    pub roof_mm: f64,
    /// Level of the bone between the roots.
    pub crest_mm: f64,
}

/// One root and its canal.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RootForm {
    /// Its name.
    pub name: RootName,
    /// Level it begins at as a body of its own.
    pub from_mm: f64,
    /// Level of its apex.
    pub apex_mm: f64,
    /// Where its axis passes the level it begins at.
    pub at_mm: [f64; 2],
    /// Mesiodistal and buccolingual width where it begins.
    pub width_mm: [f64; 2],
    /// How far its straight part leans to distal and lingual for each mm towards the apex.
    pub lean: [f64; 2],
    /// Level at which it begins to bend.
    pub bend_from_mm: f64,
    /// Angle it has turned by at its apex.
    pub bend_deg: f64,
    /// Where it bends to: 0 is distal, 90 lingual, 180 mesial, 270 buccal.
    pub bend_towards_deg: f64,
    /// Width of the canal at the neck, and at its end.
    pub canal_mm: [f64; 2],
    /// The canal's depth over its width at the neck; it is round at its end.
    pub canal_oval: f64,
    /// How far the canal ends short of the apex, mm.
    pub foramen_short_mm: f64,
}

/// An anatomy that cannot be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Impossible {
    /// Two parameters contradict each other.
    #[error("{one} ({one_value:.2} mm) does not go with {other} ({other_value:.2} mm): {mend}")]
    Contradiction {
        /// The first parameter, by its name.
        one: &'static str,
        /// Its value.
        one_value: f64,
        /// The second.
        other: &'static str,
        /// Its value.
        other_value: f64,
        /// What would mend it.
        mend: &'static str,
    },
    /// A number out of the range in which there are teeth.
    #[error("{what} is {value}, and must be {low} to {high} {unit}")]
    Range {
        /// The parameter.
        what: &'static str,
        /// What was given.
        value: f64,
        /// The least.
        low: f64,
        /// The most.
        high: f64,
        /// Its unit.
        unit: &'static str,
    },
    /// A root the tooth does not have.
    #[error("the {tooth} has no {root} root; it has {has}")]
    NoSuchRoot {
        /// Which tooth.
        tooth: String,
        /// Which root.
        root: &'static str,
        /// Its roots.
        has: String,
    },
    /// A thing that needs another.
    #[error("{what} needs {needs}")]
    Needs {
        /// What was asked for.
        what: &'static str,
        /// What it needs.
        needs: &'static str,
    },
}

impl Tooth {
    /// Halfway between the crown's edge and the furthest apex: what an exposure is aimed at.
    pub fn middle(&self) -> Point3 {
        let apex = self.roots.iter().map(|root| root.apex_mm).fold(0.0, f64::max);
        Point3::new(0.0, 0.0, 0.5 * (apex - self.crown.length_mm))
    }

    /// The tooth a seed gives: an average one with the spread of nature, bone with some loss, no treatment.
    pub fn drawn(fdi: Fdi, seed: u64) -> Self {
        let chance = Chance::of(seed).part("tooth");
        Self::of_form(fdi, chance)
    }

    pub(super) fn of_form(fdi: Fdi, chance: Chance) -> Self {
        // Every designation from 11 to 48 has a form (a test reads them all); this one stands in where the file is broken.
        let form = average_form(fdi).unwrap_or_default();
        let size = 1.0 + chance.normal("size", 0.04);
        let crown = CrownForm {
            length_mm: form.crown_length * size * (1.0 + chance.normal("crown length", 0.03)),
            width_mm: form.width * size,
            depth_mm: form.depth * size,
            cervix_mm: form.cervix * size * (1.0 + chance.normal("cervix", 0.02)),
            cervix_depth_mm: form.cervix_depth * size,
        };
        let root_length = form.root_length * size * (1.0 + chance.normal("root length", 0.05));
        let roof = form.furcation.map(|level| level * size * (1.0 + chance.normal("furcation", 0.06)));
        let roots = form
            .roots
            .iter()
            .map(|root| RootForm::of_form(&form, root, &crown, root_length, roof, chance.part(&root.name)))
            .collect();
        let loss = chance.between("loss", 0.0, 1.2);
        let flank = |name: &str, rise: f64| {
            let chance = chance.part(name);
            let cej = Place {
                level_mm: -rise * size * (1.0 + chance.normal("cej", 0.1)),
                depth_mm: chance.normal("cej depth", 0.3),
            };
            let depth = |what| chance.normal(what, 0.13 * crown.cervix_depth_mm);
            let crest = Place {
                level_mm: cej.level_mm
                    + chance.between("crest", 1.0, 1.9)
                    + loss
                    + chance.between("own loss", 0.0, 0.6),
                depth_mm: depth("crest depth"),
            };
            Flank {
                cej,
                crest,
                peak_above_crest_mm: 0.0,
                finish_line: Place { depth_mm: depth("margin depth"), ..crest },
                wall_top: Place { depth_mm: depth("wall depth"), ..crest },
            }
        };
        let [mesial_rise, distal_rise] = form.cej;
        let (mut mesial, mut distal) = (flank("mesial", mesial_rise), flank("distal", distal_rise));
        // A margin is cut at about one level all round, clear of the higher crest.
        let margin = mesial.crest.level_mm.min(distal.crest.level_mm) - chance.between("margin", 2.2, 3.2);
        for (flank, name) in [(&mut mesial, "mesial"), (&mut distal, "distal")] {
            let chance = chance.part(name);
            flank.finish_line.level_mm = margin + chance.between("margin", -0.3, 0.2);
            flank.wall_top.level_mm = flank.finish_line.level_mm - chance.between("wall", 1.2, 2.8);
        }
        let edge = |name: &str| chance.between(name, 1.2, 2.2) + loss;
        Self {
            fdi,
            crown,
            mesial,
            distal,
            buccal_crest_mm: edge("buccal crest") + chance.between("buccal loss", 0.0, 1.0),
            lingual_crest_mm: edge("lingual crest"),
            furcation: roof.map(|roof_mm| Furcation {
                roof_mm,
                crest_mm: roof_mm + chance.between("furcal crest", 0.7, 1.3),
            }),
            roots,
            treatment: Treatment::default(),
        }
    }

    /// What lies on a side.
    pub const fn flank(&self, side: Side) -> &Flank {
        match side {
            Side::Mesial => &self.mesial,
            Side::Distal => &self.distal,
        }
    }

    /// What lies on a side, to be changed.
    pub const fn flank_mut(&mut self, side: Side) -> &mut Flank {
        match side {
            Side::Mesial => &mut self.mesial,
            Side::Distal => &mut self.distal,
        }
    }

    /// A root by its name.
    pub fn root(&self, name: RootName) -> Option<&RootForm> {
        self.roots.iter().find(|root| root.name == name)
    }

    /// The root a post usually goes into: the palatal of an upper, the distal of a lower molar, else the first.
    pub fn post_root(&self) -> Option<RootName> {
        [RootName::Palatal, RootName::Distal]
            .into_iter()
            .find(|name| self.root(*name).is_some())
            .or_else(|| self.roots.first().map(|root| root.name))
    }

    /// Whether the crown has cusps rather than an edge.
    pub(super) const fn has_cusps(&self) -> bool {
        self.fdi.position() >= 4
    }
}

impl RootForm {
    fn of_form(
        form: &AverageForm,
        root: &AverageRoot,
        crown: &CrownForm,
        tooth_length: f64,
        roof: Option<f64>,
        chance: Chance,
    ) -> Self {
        let name =
            RootName::ALL.iter().find(|(word, _)| *word == root.name).map_or(RootName::Single, |(_, it)| *it);
        let from = roof.unwrap_or(0.0);
        let length = tooth_length - root.shorter + chance.normal("length", 0.4);
        let [bend_least, bend_most] = root.bend;
        let [half_x, half_y] = root.half;
        let [lean_x, lean_y] = root.lean;
        let apex_mm = length.max(from + 4.0);
        let wide = form.cervix > 4.5;
        Self {
            name,
            from_mm: from,
            apex_mm,
            at_mm: [root.x * crown.cervix_mm, root.y * crown.cervix_depth_mm],
            width_mm: [2.0 * half_x * crown.cervix_mm, 2.0 * half_y * crown.cervix_depth_mm],
            lean: [lean_x + chance.normal("lean x", 0.012), lean_y + chance.normal("lean y", 0.015)],
            bend_from_mm: from + (apex_mm - from) * chance.between("bend from", 0.5, 0.72),
            bend_deg: chance.between("bend", bend_least, bend_most),
            bend_towards_deg: root.towards.bearing_deg() + chance.normal("bend towards", 25.0),
            canal_mm: [
                if wide { chance.between("canal", 0.9, 1.3) } else { chance.between("canal", 0.7, 0.95) },
                chance.between("canal end", 0.3, 0.45),
            ],
            canal_oval: chance.between("canal oval", 1.0, 1.5),
            foramen_short_mm: chance.between("foramen", 0.2, 0.7),
        }
    }

    /// The axis of root and canal at a level: straight, then along an arc of a circle; straight on beyond the apex.
    pub fn axis_at(&self, level_mm: f64) -> [f64; 2] {
        let [x, y] = self.straight_axis_at(level_mm);
        let bend = self.bend_at(level_mm);
        let towards = self.bend_towards_deg.to_radians();
        [x + bend * libm::cos(towards), y + bend * libm::sin(towards)]
    }

    /// The axis as if the root never bent.
    pub fn straight_axis_at(&self, level_mm: f64) -> [f64; 2] {
        let ([x, y], [lean_x, lean_y]) = (self.at_mm, self.lean);
        let along = level_mm - self.from_mm;
        [x + lean_x * along, y + lean_y * along]
    }

    /// How far the arc has left the straight line.
    fn bend_at(&self, level_mm: f64) -> f64 {
        let height = self.apex_mm - self.bend_from_mm;
        let sine = libm::sin(self.bend_deg.to_radians());
        if !(level_mm > self.bend_from_mm && height > 0.0 && sine > 1e-6) {
            return 0.0;
        }
        let radius = height / sine;
        let along = (level_mm - self.bend_from_mm).min(height);
        let beyond = level_mm - self.bend_from_mm - along;
        radius - (radius * radius - along * along).max(0.0).sqrt()
            + beyond * libm::tan(self.bend_deg.to_radians())
    }

    /// The canal's width at a level, mm.
    pub fn canal_width_at(&self, level_mm: f64) -> f64 {
        let [wide, narrow] = self.canal_mm;
        let share = (level_mm / (self.apex_mm - self.foramen_short_mm)).clamp(-0.3, 1.0);
        wide + (narrow - wide) * share
    }

    /// Level of the canal's end.
    pub fn foramen_level_mm(&self) -> f64 {
        self.apex_mm - self.foramen_short_mm
    }
}
