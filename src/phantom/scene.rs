//! Everything on a film, in the order in which one thing displaces another: what was put in, the tooth, its neighbours,
//! ligament, lamina dura, bone, gum, and the lip or cheek before it all.

use super::beam::Thickness;
use super::body::{Bodies, LAMINA, LIGAMENT, canal, post, sign};
use super::bone::{Bone, Top};
use super::chance::Chance;
use super::material::Material;
use super::mesh::Mesh;
use super::rims::Rims;
use super::section::{Outline, Section};
use super::solid::{Cut, Filling, Ray, Solid, Taken};
use super::tooth::Tooth;
use super::treatment::{Beside, CrownKind, PostKind};
use crate::case::{Fdi, Side};

/// What rays are sent through.
#[derive(Debug, Clone)]
pub struct Scene {
    /// What displaces comes first.
    solids: Vec<Solid>,
    bone: Bone,
    /// Lip or cheek, mm.
    cheek: f64,
}

/// Who stands beside the tooth.
struct Neighbour {
    tooth: Tooth,
    bodies: Bodies,
    /// Whether it is of the other quadrant, so that its mesial side faces this tooth.
    is_mirrored: bool,
    shift: f64,
    lean: f64,
    lower: f64,
}

impl Scene {
    /// The scene of a tooth; `seed` draws its neighbours and its bone.
    pub fn of(tooth: &Tooth, seed: u64) -> Self {
        let chance = Chance::of(seed).part("scene");
        let bodies = Bodies::of(tooth);
        let mut solids = Vec::new();
        put_in(tooth, &mut solids);
        own_hard_tissue(tooth, &bodies, &mut solids);
        let neighbours = neighbours(tooth, chance);
        for neighbour in &neighbours {
            neighbour.hard_tissue(&mut solids);
        }
        if let Some(radius) = tooth.treatment.lesion_mm {
            for root in &tooth.roots {
                let [x, y] = root.axis_at(root.apex_mm);
                let from = root.apex_mm - radius * 0.8;
                let ball = Outline::swept(from, from + 2.0 * radius, |z| {
                    let up = z - from - radius;
                    let half = (radius * radius - up * up).max(0.0).sqrt();
                    Section::ellipse(x, y, half, half)
                });
                solids.push(Solid::of(Filling::Of(Material::SoftTissue), ball, Vec::new()));
            }
        }
        let mut sockets: Vec<Outline> = bodies.roots.iter().chain(&bodies.trunk).cloned().collect();
        for neighbour in &neighbours {
            let bodies = neighbour.bodies.roots.iter().chain(&neighbour.bodies.trunk);
            sockets.extend(bodies.map(|body| neighbour.placed(body)));
        }
        for socket in &sockets {
            let ligament = socket.shell(LIGAMENT);
            solids.push(Solid::of(Filling::Of(Material::SoftTissue), ligament, Vec::new()));
        }
        for socket in &sockets {
            let lamina = socket.shell(LIGAMENT + LAMINA);
            solids.push(Solid::of(Filling::Lamina, lamina, Vec::new()));
        }
        let cheek = chance.between("cheek", 8.0, 12.0);
        Self { solids, bone: bone(tooth, &bodies, &neighbours, chance), cheek }
    }

    /// The solids a bundle of rays with x and z in these ranges could meet, in their order.
    pub(super) fn candidates<'a>(&'a self, x: (f64, f64), z: (f64, f64), found: &mut Vec<&'a Solid>) {
        found.clear();
        found.extend(self.solids.iter().filter(|solid| solid.may_meet(x, z)));
    }

    /// What a ray meets.
    pub(super) fn thickness(&self, ray: &Ray, candidates: &[&Solid], taken: &mut Taken) -> Thickness {
        taken.clear();
        let mut thickness = Thickness::NOTHING;
        thickness.add(Material::SoftTissue, self.cheek);
        for solid in candidates {
            let Some(piece) = solid.piece(ray) else { continue };
            taken.take(piece, |free| match solid.filling {
                Filling::Of(material) => thickness.add(material, (free[1] - free[0]) * ray.stretch),
                Filling::Lamina => self.bone.fill(ray, free, true, &mut thickness),
            });
        }
        if let Some(piece) = self.bone.piece(ray) {
            taken.take(piece, |free| self.bone.fill(ray, free, false, &mut thickness));
        }
        thickness
    }
}

/// A straight cylinder of steel, its middle line through these points.
fn rod(x: f64, from: f64, to: f64, radius: f64) -> Outline {
    Outline::swept(from, to, |_| Section::ellipse(x, 0.0, radius, radius))
}

/// What was put into or beside the tooth.
fn put_in(tooth: &Tooth, solids: &mut Vec<Solid>) {
    let treatment = &tooth.treatment;
    let simple = |material, outline| Solid::of(Filling::Of(material), outline, Vec::new());
    if let Some(beside) = treatment.beside {
        let at = tooth.beside_at();
        match beside {
            Beside::Ball { diameter_mm } => {
                let radius = 0.5 * diameter_mm;
                let ball = Outline::swept(at.z - radius, at.z + radius, |z| {
                    let up = z - at.z;
                    let half = (radius * radius - up * up).max(0.0).sqrt();
                    Section::ellipse(at.x, at.y, half, half)
                });
                solids.push(simple(Material::StainlessSteel, ball));
            }
            Beside::Wire { length_mm } => {
                let (from, to) = (at.z - 0.5 * length_mm, at.z + 0.5 * length_mm);
                solids.push(simple(Material::StainlessSteel, rod(at.x, from, to, 0.35)));
            }
        }
    }
    if let Some((tip, stop)) = tooth.instrument_ends()
        && let Some(instrument) = treatment.instrument
        && let Some(root) = tooth.root(instrument.root)
    {
        // ISO 3630-1, from memory: a tip of 0.25 mm, 0.02 mm wider with each mm up to 16 mm.
        let file = Outline::swept(stop.z - 5.0, tip.z, |z| {
            let [x, y] = root.axis_at(z);
            let half = 0.5 * (0.25 + 0.02 * (tip.z - z).clamp(0.0, 16.0));
            Section::ellipse(x, y, half, half)
        });
        let [x, y] = root.axis_at(stop.z);
        let disc = Outline::swept(stop.z - 1.5, stop.z, |_| Section::ellipse(x, y, 1.4, 1.4));
        solids.push(simple(Material::NickelTitanium, file));
        solids.push(simple(Material::Rubber, disc));
    }
    let floor = tooth.floor_level_mm();
    if let Some(it) = treatment.post
        && let Some(root) = tooth.root(it.root)
    {
        let material = match it.kind {
            PostKind::Steel => Material::StainlessSteel,
            PostKind::Titanium => Material::Titanium,
            PostKind::Fibre => Material::GlassFibre,
            PostKind::Gold => Material::GoldAlloy,
        };
        solids.push(simple(material, post(root, it.head_mm, it.tip_mm, it.diameter_mm, it.tip)));
    }
    let open = if treatment.walls { tooth.stump_top_mm() } else { -0.42 * tooth.crown.length_mm };
    // What stands open to the crown is filled by a core or for the time being, unless work goes on in it.
    let is_open = treatment.instrument.is_some() || treatment.post_space.is_some();
    let plug = if is_open { Material::Air } else { Material::Composite };
    // Without a core it ends with the walls around it.
    let walls = if treatment.core.is_none() { Rims::of(tooth).walls } else { None };
    let level_with_walls: Vec<Cut> = walls.into_iter().map(Cut::ApicalOf).collect();
    let plugged = |outline| Solid::of(Filling::Of(plug), outline, level_with_walls.clone());
    for root in &tooth.roots {
        let end = root.foramen_level_mm();
        let mut coronal = floor;
        if let Some(filling) = treatment.filling {
            let (top, tip) = (tooth.filling_top_mm(root), root.apex_mm - filling.short_of_apex_mm);
            solids.push(simple(Material::GuttaPercha, canal(root, top, tip.max(top + 0.1))));
            coronal = top;
        }
        if let Some(space) = treatment.post_space.filter(|space| space.root == root.name) {
            let hole = post(root, floor, space.floor_mm, space.diameter_mm, super::treatment::PostTip::Round);
            solids.push(simple(Material::Air, hole));
        }
        if treatment.walls {
            let above = if tooth.furcation.is_some() { floor - 0.5 } else { open };
            if coronal > above {
                solids.push(plugged(canal(root, above, coronal)));
            }
        }
        let pulp_from = if treatment.walls { coronal.min(end - 0.1) } else { floor.min(0.0) };
        solids.push(simple(Material::SoftTissue, canal(root, pulp_from, end)));
    }
    let chamber = chamber(tooth, if treatment.walls { open } else { 0.6 * open }, floor);
    if !treatment.walls {
        solids.push(simple(Material::SoftTissue, chamber));
    } else if tooth.furcation.is_some() {
        solids.push(plugged(chamber));
    }
}

/// The pulp chamber, from where it opens to its floor: of a tooth with one root a canal that swells and ends in a horn.
fn chamber(tooth: &Tooth, from: f64, floor: f64) -> Outline {
    let crown = &tooth.crown;
    let Some(root) = tooth.roots.first().filter(|_| tooth.furcation.is_none()) else {
        let (half_x, half_y) = (0.24 * crown.cervix_mm, 0.22 * crown.cervix_depth_mm);
        let wide = if tooth.treatment.walls { 1.25 } else { 1.0 };
        return Outline::swept(from.min(floor - 0.5), floor, |z| {
            let up = ((floor - z) / (floor - from)).clamp(0.0, 1.0);
            let narrow = if tooth.treatment.walls { 0.8 + 0.2 * up } else { 1.0 - 0.4 * up * up * up };
            Section {
                square: 0.3,
                ..Section::ellipse(0.0, 0.0, half_x * wide * narrow, half_y * wide * narrow)
            }
        });
    };
    let to = 1.5;
    Outline::swept(from, to, |z| {
        let up = (to - z) / (to - from);
        let [x, y] = root.axis_at(z);
        let half =
            0.31 * root.canal_width_at(to) * (1.0 + 1.6 * up * (1.0 - up)) * (1.0 - up * up).max(0.0).sqrt();
        Section::ellipse(x, y, 1.3 * half, half * root.canal_oval)
    })
}

/// Where enamel ends: at the neck in the middle, higher at the sides.
fn neck(tooth: &Tooth, at: [f64; 2]) -> Cut {
    let rise = -0.5 * (tooth.mesial.cej.level_mm + tooth.distal.cej.level_mm);
    Cut::CoronalOfNeck { at, rise: rise.max(0.0), beside: 0.5 * tooth.crown.cervix_mm }
}

fn own_hard_tissue(tooth: &Tooth, bodies: &Bodies, solids: &mut Vec<Solid>) {
    let mut add = |material, outline: &Outline, cuts: Vec<Cut>| {
        solids.push(Solid::of(Filling::Of(material), outline.clone(), cuts));
    };
    let roots = || bodies.roots.iter().chain(&bodies.trunk);
    if !tooth.treatment.walls {
        for dentine in roots().chain(&bodies.dentine) {
            add(Material::Dentine, dentine, Vec::new());
        }
        for enamel in &bodies.enamel {
            add(Material::Enamel, enamel, vec![neck(tooth, [0.0, 0.0])]);
        }
        return;
    }
    let stump = bodies.stump(tooth, tooth.stump_top_mm());
    let rims = Rims::of(tooth);
    if let (Some(margin), Some(dentine)) = (rims.margin, bodies.dentine.first()) {
        for body in roots().chain([dentine]) {
            add(Material::Dentine, body, vec![Cut::ApicalOf(margin)]);
        }
    }
    if let Some(walls) = rims.walls {
        add(Material::Dentine, &stump, vec![Cut::ApicalOf(walls)]);
    }
    if tooth.treatment.core.is_some() {
        add(Material::Composite, &stump, Vec::new());
    }
    if let Some(kind) = tooth.treatment.crown {
        let material = match kind {
            CrownKind::Metal => Material::GoldAlloy,
            CrownKind::Ceramic => Material::Ceramic,
        };
        let margin = tooth.mesial.finish_line.level_mm.max(tooth.distal.finish_line.level_mm);
        for enamel in &bodies.enamel {
            add(material, &enamel.cut_at(margin + 0.4), Vec::new());
        }
    }
}

/// The teeth beside this one: two on either side, as far as there are any.
fn neighbours(tooth: &Tooth, chance: Chance) -> Vec<Neighbour> {
    let (quadrant, position) = (tooth.fdi.quadrant(), tooth.fdi.position());
    let across = match quadrant {
        1 => 2,
        2 => 1,
        3 => 4,
        _ => 3,
    };
    let mut found: Vec<Neighbour> = Vec::new();
    for (side, part) in [(Side::Mesial, "mesial"), (Side::Distal, "distal")] {
        let mut edge = 0.5 * tooth.crown.width_mm;
        for step in 1..=2_u8 {
            let (own, at) = match side {
                Side::Distal => (true, position + step),
                Side::Mesial if position > step => (true, position - step),
                Side::Mesial => (false, step + 1 - position),
            };
            let text = format!("{}{at}", if own { quadrant } else { across });
            let Ok(fdi) = Fdi::parse(&text) else { break };
            let chance = chance.part(part).part(&text);
            let other = Tooth::of_form(fdi, chance);
            let half = 0.5 * other.crown.width_mm;
            let out = sign(side);
            let wish = |tooth: &Tooth| if tooth.fdi.position() == 2 { 0.8 } else { 0.0 };
            found.push(Neighbour {
                bodies: Bodies::of(&other),
                is_mirrored: !own,
                shift: out * (edge + half + chance.between("gap", -0.05, 0.1)),
                lean: out * chance.between("lean", 0.0, 0.07),
                // Edges stand in one line, lateral incisors a little short of it.
                lower: other.crown.length_mm - tooth.crown.length_mm + wish(&other) - wish(tooth),
                tooth: other,
            });
            edge += 2.0 * half;
        }
    }
    found
}

impl Neighbour {
    fn placed(&self, body: &Outline) -> Outline {
        let turned = if self.is_mirrored { body.mirrored() } else { body.clone() };
        turned.moved([self.shift, 0.0], [self.lean, 0.0]).lowered(self.lower)
    }

    fn hard_tissue(&self, solids: &mut Vec<Solid>) {
        let mut add = |material, outline: &Outline| {
            let cuts = if material == Material::Enamel {
                vec![neck(&self.tooth, [self.shift, self.lower])]
            } else {
                Vec::new()
            };
            solids.push(Solid::of(Filling::Of(material), self.placed(outline), cuts));
        };
        for root in &self.tooth.roots {
            let narrow = super::tooth::RootForm { canal_mm: [0.62 * root.canal_mm[0], 0.18], ..*root };
            add(Material::SoftTissue, &canal(&narrow, 0.0, root.foramen_level_mm()));
        }
        let floor = self.tooth.floor_level_mm();
        add(Material::SoftTissue, &chamber(&self.tooth, -0.3 * self.tooth.crown.length_mm, floor));
        for body in self.bodies.roots.iter().chain(&self.bodies.trunk).chain(&self.bodies.dentine) {
            add(Material::Dentine, body);
        }
        for body in &self.bodies.enamel {
            add(Material::Enamel, body);
        }
    }

    /// Where its bone stands on the side of this tooth that faces `towards` (−1 mesial, 1 distal): x and level.
    fn crest(&self, towards: f64) -> (f64, f64) {
        let side = if (towards < 0.0) == self.is_mirrored { Side::Distal } else { Side::Mesial };
        let crest = self.tooth.flank(side).crest;
        let at = self.bodies.surface(side, crest);
        let x = if self.is_mirrored { -at.x } else { at.x };
        (self.shift + x + self.lean * at.z + towards * LIGAMENT, at.z + self.lower)
    }
}

/// The bone around the tooth: its crest beside each root, septa between, edges before and behind.
fn bone(tooth: &Tooth, bodies: &Bodies, neighbours: &[Neighbour], chance: Chance) -> Bone {
    const SCALLOP: f64 = 0.9;
    let septum = |x: f64, level: f64, depth: f64| Top {
        x,
        level,
        depth,
        buccal: level + SCALLOP,
        lingual: level + SCALLOP,
    };
    let mut knots = Vec::new();
    let (mut inner, mut edges) = ([0.0; 2], [0.0; 2]);
    for (side, at) in [(Side::Mesial, 0), (Side::Distal, 1)] {
        let (out, flank) = (sign(side), tooth.flank(side));
        let surface = bodies.surface(side, flank.crest);
        let x = surface.x + out * LIGAMENT;
        let depth = flank.crest.depth_mm;
        knots.push(septum(x - 0.15 * out, flank.crest.level_mm, depth));
        knots.push(septum(x + 0.25 * out, flank.crest.level_mm, depth));
        let peak = flank.crest.level_mm - flank.peak_above_crest_mm;
        if flank.peak_above_crest_mm > 0.0 {
            knots.push(septum(x + 1.1 * out, peak, depth));
        }
        let facing: Vec<&Neighbour> = neighbours.iter().filter(|it| it.shift * out > 0.0).collect();
        match facing.first() {
            Some(next) => {
                let (there, level) = next.crest(-out);
                // In a narrow septum the peak and the neighbour's crest could stand in each other's way.
                let there = if (there - x) * out < 1.4 { x + 1.4 * out } else { there };
                knots.push(septum(there, level, 0.0));
                let over = Top {
                    x: there + 0.8 * out,
                    level: level + 0.6,
                    depth: 0.0,
                    buccal: level + 2.0,
                    lingual: level + 1.8,
                };
                knots.push(over);
                let (far, far_level) = next.crest(out);
                if (far - there) * out > 2.5 {
                    knots.push(Top { x: far - 0.8 * out, level: far_level + 0.6, ..over });
                    knots.push(septum(far, far_level, 0.0));
                }
            }
            None => knots.push(septum(x + 6.0 * out, peak + 0.5, 0.0)),
        }
        if let (Some(slot), Some(edge)) = (inner.get_mut(at), edges.get_mut(at)) {
            (*slot, *edge) = (x, flank.crest.level_mm);
        }
    }
    let over = |x: f64, level: f64| Top {
        x,
        level,
        depth: 0.0,
        buccal: tooth.buccal_crest_mm,
        lingual: tooth.lingual_crest_mm,
    };
    let level = tooth.furcation.map_or(
        0.5 * (tooth.buccal_crest_mm + tooth.lingual_crest_mm).min(edges[0] + edges[1] + 2.0),
        |furcation| furcation.crest_mm,
    );
    knots.push(over(inner[0] + 1.2, level));
    knots.push(over(inner[1] - 1.2, level));
    knots.sort_by(|one, other| one.x.total_cmp(&other.x));
    knots.dedup_by(|later, earlier| later.x - earlier.x < 1e-6);
    let upper = tooth.fdi.is_upper();
    let (space, plate) = if upper { (0.8, 0.17) } else { (1.1, 0.2) };
    let mesh = Mesh::of(chance.part("mesh"), space, plate * chance.between("plate", 0.85, 1.15));
    let half = 0.5 * tooth.crown.cervix_depth_mm;
    let (plates, widening) = match (upper, tooth.has_cusps()) {
        (true, false) => ([0.5, 0.9], [0.04, 0.22]),
        (true, true) => ([0.6, 0.9], [0.06, 0.14]),
        (false, false) => ([0.6, 0.9], [0.05, 0.12]),
        (false, true) => ([1.2, 1.4], [0.12, 0.10]),
    };
    Bone::of(&knots, [half + 0.8, half + 1.2], widening, plates, mesh)
}
