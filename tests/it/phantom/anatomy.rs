//! Teeth from a seed: sound in themselves, and what is true of them measured by hand.

use crestgauge::case::{Fdi, Landmark, RootName, Side, Site};
use crestgauge::phantom::{Filling, Point3, Post, PostKind, PostTip, Tooth, true_values};

fn value(tooth: &Tooth, id: &str, root: Option<&str>) -> f64 {
    true_values(tooth)
        .into_iter()
        .find(|it| it.of.id == id && it.of.root.as_deref() == root)
        .unwrap_or_else(|| panic!("no {id}"))
        .value
}

#[test]
fn every_tooth_of_every_seed_is_in_order_along_its_axis() {
    for fdi in Fdi::all() {
        for seed in 0..25 {
            let mut tooth = Tooth::drawn(fdi, seed);
            tooth.treatment.walls = true;
            let landmarks = tooth.landmarks();
            let at = |id| landmarks.tooth.get(&id).unwrap_or_else(|| panic!("{fdi}: {id:?}")).z;
            for (side, out) in [(Side::Mesial, -1.0), (Side::Distal, 1.0)] {
                // On its own side of the tooth, and not in the middle of a crown that is thin where the margin climbs.
                for id in [Landmark::FinishLine.on(side), Landmark::Cej.on(side)] {
                    let place = landmarks.tooth.get(&id).unwrap_or_else(|| panic!("{fdi}: {id:?}"));
                    assert!(out * place.x > 0.1 * tooth.crown.cervix_mm, "{fdi} {seed} {id:?}: {place:?}");
                }
                let order = [
                    at(Landmark::CrownEdge.id()),
                    at(Landmark::WallTop.on(side)),
                    at(Landmark::FinishLine.on(side)),
                    at(Landmark::Crest.on(side)),
                ];
                assert!(order.is_sorted(), "{fdi} {seed}: {order:?}");
                assert!(at(Landmark::Cej.on(side)) < at(Landmark::Crest.on(side)));
            }
            let names: Vec<RootName> = landmarks.roots.iter().map(|root| root.name).collect();
            assert_eq!(names, fdi.usual_roots(), "{fdi}");
            for root in &landmarks.roots {
                for section in &root.sections {
                    let x = section.points.map(|point| point.x);
                    assert!(x.is_sorted(), "{fdi} {seed} {:?}: {x:?}", root.name);
                }
                assert!(root.canal.iter().zip(root.canal.iter().skip(1)).all(|(one, other)| {
                    let way = other.way_from(*one);
                    way.z > 0.0 && way.length() >= 1.5
                }));
            }
            let all =
                landmarks.tooth.values().chain(landmarks.roots.iter().flat_map(|root| root.points.values()));
            for Point3 { x, y, z } in all {
                assert!([x, y, z].iter().all(|it| it.abs() < 40.0), "{fdi} {seed}");
            }
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_tooth_and_another_gives_another() {
    let fdi = Fdi::parse("36").unwrap();
    assert_eq!(Tooth::drawn(fdi, 4), Tooth::drawn(fdi, 4));
    assert_ne!(Tooth::drawn(fdi, 4), Tooth::drawn(fdi, 5));
}

/// A tooth stood upright by hand, whose lengths are differences of the levels typed in here.
fn upright() -> Tooth {
    let mut tooth = Tooth::drawn(Fdi::parse("21").unwrap(), 1);
    for (side, wall, margin, crest, cej) in
        [(Side::Mesial, -5.0, -3.0, -0.5, -2.5), (Side::Distal, -4.5, -3.0, 0.0, -2.5)]
    {
        let flank = tooth.flank_mut(side);
        for (place, level) in [
            (&mut flank.wall_top, wall),
            (&mut flank.finish_line, margin),
            (&mut flank.crest, crest),
            (&mut flank.cej, cej),
        ] {
            place.level_mm = level;
            place.depth_mm = 0.0;
        }
    }
    let root = &mut tooth.roots[0];
    root.lean = [0.0, 0.0];
    root.bend_deg = 0.0;
    root.apex_mm = 13.0;
    root.foramen_short_mm = 0.5;
    tooth.treatment.walls = true;
    tooth.treatment.filling = Some(Filling { short_of_apex_mm: 1.0 });
    tooth.treatment.post = Some(Post {
        root: RootName::Single,
        head_mm: -8.0,
        tip_mm: 7.5,
        diameter_mm: 1.1,
        tip: PostTip::Flat,
        kind: PostKind::Steel,
        gap_mm: 0.0,
    });
    tooth
}

#[test]
fn true_lengths_of_an_upright_tooth_are_differences_of_levels() {
    let tooth = upright();
    for (id, root, expected) in [
        ("ferrule_height.mesial", None, 2.0),
        ("ferrule_height.distal", None, 1.5),
        ("margin_to_crest.mesial", None, 2.5),
        ("margin_to_crest.distal", None, 3.0),
        ("cej_to_crest.mesial", None, 2.0),
        ("crown_length", None, tooth.crown.length_mm - 3.0),
        ("post_length", Some("single"), 15.5),
        ("post_depth", Some("single"), 12.0),
        ("tip_beyond_crest.distal", Some("single"), 7.5),
        ("root_length", Some("single"), 16.0),
        ("seal_length", Some("single"), 4.5),
        ("filling_length", Some("single"), 4.5),
        ("filling_short_of_apex", Some("single"), 1.0),
        ("tip_to_filling", Some("single"), 0.0),
        ("canal_width@2", Some("single"), 1.1),
    ] {
        let value = value(&tooth, id, root);
        // The margin's middle lies a trifle beside the axis, where the crown's sides differ.
        assert!((value - expected).abs() < 0.005, "{id}: {value}, not {expected}");
    }
}

/// Schneider's angle of a circular arc that starts along the straight part is half the arc.
#[test]
fn schneiders_angle_is_half_the_arc() {
    let mut tooth = upright();
    let root = &mut tooth.roots[0];
    root.foramen_short_mm = 0.0;
    for (bend, towards) in [(20.0, 0.0), (30.0, 90.0), (40.0, 225.0)] {
        let root = &mut tooth.roots[0];
        (root.bend_deg, root.bend_towards_deg) = (bend, towards);
        let angle = value(&tooth, "curvature", Some("single"));
        assert!((angle - bend / 2.0).abs() < 0.01, "{angle}");
        let radius = value(&tooth, "curvature_radius", Some("single"));
        let root = &tooth.roots[0];
        let expected = (root.apex_mm - root.bend_from_mm) / bend.to_radians().sin();
        assert!((radius / expected - 1.0).abs() < 0.002, "{radius}, not {expected}");
    }
}

/// Walls before and behind the tooth, which no film shows, of the tooth above with the bone's edge at level 0.5: the margin
/// falls from level −3 at the sides to 1.5 mm above that edge, −1, where the neck is deepest.
#[test]
fn probed_walls_of_an_upright_tooth_are_differences_of_levels() {
    let mut tooth = upright();
    (tooth.buccal_crest_mm, tooth.lingual_crest_mm) = (0.5, 0.5);
    let depth = 0.5 * tooth.crown.cervix_depth_mm;
    let walls = tooth.probed_walls();
    assert_eq!(walls.iter().map(|wall| wall.site).collect::<Vec<_>>(), [Site::Buccal, Site::Lingual]);
    for wall in &walls {
        assert!((wall.above_bone_mm - wall.ferrule_mm - 1.5).abs() < 1e-9, "{wall:?}");
        // Between the sides, the walls' tops lie between levels −5 and −4.5, and fall by at most 0.05 mm per mm².
        let highest = -1.0 + 5.0;
        let lowest = -1.0 + 4.5 - 0.05 * depth * depth;
        assert!((lowest..highest).contains(&wall.ferrule_mm), "{wall:?}");
        assert!(
            wall.thickness_mm < depth - 0.5 * tooth.roots[0].canal_mm[0] && wall.thickness_mm > 0.3,
            "{wall:?}"
        );
    }
    // A canal that is wider by 0.4 mm from front to back leaves walls that are thinner by 0.2 mm.
    tooth.roots[0].canal_oval = 1.0;
    let round = tooth.probed_walls();
    let [width, end] = tooth.roots[0].canal_mm;
    tooth.roots[0].canal_mm = [width + 0.4, end + 0.4];
    for (one, wider) in round.iter().zip(tooth.probed_walls()) {
        assert!((one.thickness_mm - wider.thickness_mm - 0.2).abs() < 1e-6, "{one:?} {wider:?}");
    }
    tooth.treatment.walls = false;
    assert!(tooth.probed_walls().is_empty(), "a sound crown has no margin");
}
