//! What a reader must be told: inputs that would give a confident wrong number, or no number without saying why.

use crate::support::{case, find, first_order, library, text};
use crestgauge::case::{Reason, Verdict, VerdictRow, Why};
use crestgauge::measure::{Draws, Missing, measure};
use crestgauge::verdict::{Criteria, assess};
use serde_json::{Value, json};

/// A check case as JSON, changed.
fn changed(name: &str, change: impl FnOnce(&mut Value)) -> Value {
    let mut value: Value = serde_json::from_str(&text(&format!("check-cases/{name}.case.json"))).unwrap();
    change(&mut value);
    value
}

/// The cautions of one kind: what each is about, and its number.
fn cautions(value: &Value, id: &str) -> Vec<(Vec<String>, Option<f64>)> {
    first_order(&case(&value.to_string()))
        .cautions
        .iter()
        .filter(|caution| caution.kind.id() == id)
        .map(|caution| (caution.about.clone(), caution.value))
        .collect()
}

fn about(value: &Value, id: &str) -> Vec<String> {
    cautions(value, id).into_iter().flat_map(|(about, _)| about).collect()
}

fn verdict(value: &Value, criterion: &str) -> VerdictRow {
    let derived = assess(
        &case(&value.to_string()),
        &library(),
        &Criteria::default_set().unwrap(),
        Draws::default(),
        &[],
    );
    let verdicts = derived.unwrap().verdicts;
    verdicts.into_iter().find(|row| row.criterion == criterion).unwrap_or_else(|| panic!("{criterion}"))
}

#[test]
fn section_points_out_of_order_are_noticed() {
    assert_eq!(about(&changed("1-004", |_| {}), "impossible_order"), Vec::<String>::new());
    for swap in [[1, 2], [0, 1], [2, 3]] {
        let value = changed("1-004", |it| {
            it["roots"][0]["sections"][0]["points"].as_array_mut().unwrap().swap(swap[0], swap[1]);
        });
        assert_eq!(about(&value, "impossible_order"), ["sections@0 (single)"], "{swap:?}");
    }
    let reversed = changed("1-004", |it| {
        it["roots"][0]["sections"][0]["points"].as_array_mut().unwrap().reverse();
    });
    assert!(about(&reversed, "sides_crossed").contains(&"sections@0 (single)".to_owned()));
}

/// All sides the other way round is what a wrong tooth number gives: that is said first, and how far in mm.
#[test]
fn sides_that_lie_the_other_way_round_suspect_the_tooths_number_first() {
    assert_eq!(about(&changed("2-004", |_| {}), "sides_crossed"), Vec::<String>::new());
    let value = changed("2-004", |it| it["tooth"]["mesial_is"] = json!("left"));
    let derived = assess(
        &case(&value.to_string()),
        &library(),
        &Criteria::default_set().unwrap(),
        Draws::default(),
        &[],
    );
    let derived = derived.unwrap();
    let (cautions, scale) = (derived.cautions, derived.computed.scale.unwrap());
    let crossed = cautions.iter().find(|it| it.id == "sides_crossed").expect("the caution");
    assert!(
        crossed.text.starts_with("the tooth's number or the side of mesial may be wrong: "),
        "{}",
        crossed.text
    );
    // Its pixels lie across the tooth, which stands upright on this film.
    let wide = crossed.text.strip_suffix(" mm apart on average").and_then(|it| it.rsplit(' ').next());
    let wide: f64 = wide.unwrap().parse().unwrap();
    let by_scale = crossed.value.unwrap() * scale.transverse_mm_per_px;
    assert!((wide - by_scale).abs() < 0.05 + 0.02 * by_scale, "{wide} mm, {by_scale} mm by the scale");
    assert_eq!(crossed.unit, "px");
}

/// What would settle a verdict is said without a term of statistics.
#[test]
fn what_settles_a_verdict_is_said_plainly() {
    let mut found = 0;
    for name in ["1-000", "1-003", "1-020", "2-004", "2-005", "2-014"] {
        let derived = assess(
            &case(&changed(name, |_| {}).to_string()),
            &library(),
            &Criteria::default_set().unwrap(),
            Draws::default(),
            &[],
        );
        for words in derived.unwrap().verdicts.into_iter().filter_map(|row| row.settled_by) {
            assert!(!words.contains("variance"), "{words}");
            found += usize::from(words.contains("(the largest part, "));
        }
    }
    assert!(found > 0);
}

#[test]
fn a_tooth_without_a_listed_root_lacks_an_apex() {
    for crests in [true, false] {
        let value = changed("1-004", |it| {
            it["roots"] = json!([]);
            if !crests {
                let landmarks = it["landmarks"].as_object_mut().unwrap();
                landmarks.retain(|key, _| !key.starts_with("crest."));
            }
        });
        let measured = first_order(&case(&value.to_string()));
        for row in &measured.measurements {
            if let Err(Missing::Landmarks(lacks)) = &row.result {
                assert!(!lacks.is_empty(), "{} says nothing of what it lacks", row.of.id);
            }
        }
        let Err(Missing::Landmarks(lacks)) = &find(&measured, "bone_loss.mesial").result else {
            panic!("bone loss needs an apex")
        };
        assert!(
            lacks
                .iter()
                .any(|lack| lack.landmark == "apex" && lack.why == Why::NotPlaced && lack.root.is_none())
        );
    }
}

#[test]
fn a_reference_without_length_is_named() {
    // A width clicked along the axis of a vertical instrument.
    let value = changed("1-004", |it| {
        it["calibration"]["references"] = json!([
            {"kind": "instrument", "points": [{"x": 500, "y": 100}, {"x": 500, "y": 900}], "length_mm": 20.0},
            {"kind": "width", "points": [{"x": 600, "y": 300}, {"x": 600, "y": 340}], "diameter_mm": 1.1}
        ]);
    });
    let measured = first_order(&case(&value.to_string()));
    assert_eq!(measured.scale.err(), Some(Reason::Degenerate));
    assert_eq!(about(&value, "reference_without_length"), ["calibration/references/1"]);
}

/// Of several reasons the first that holds is given: no scale before a degenerate axis.
#[test]
fn no_scale_comes_before_an_axis_without_length() {
    let value = changed("1-004", |it| {
        it["calibration"]["references"] = json!([]);
        for side in ["mesial", "distal"] {
            it["landmarks"][format!("finish_line.{side}")] = it["roots"][0]["landmarks"]["apex"].clone();
        }
    });
    assert_eq!(first_order(&case(&value.to_string())).scale.err(), Some(Reason::NoScale));
}

#[test]
fn a_length_far_beyond_its_reference_is_noticed_also_for_an_object_of_the_library() {
    let with = |size: Value| {
        changed("1-004", |it| {
            let mut reference = json!({
                "kind": "width", "points": [{"x": 500, "y": 300, "sd_px": 0.5}, {"x": 540, "y": 300, "sd_px": 0.5}]
            });
            reference.as_object_mut().unwrap().extend(size.as_object().unwrap().clone());
            it["calibration"]["references"] = json!([reference]);
        })
    };
    let stated = cautions(&with(json!({"diameter_mm": 1.1, "tolerance_mm": 0.05})), "beyond_reference");
    let named = cautions(&with(json!({"object": "peeso-3"})), "beyond_reference");
    assert!(!stated.is_empty());
    assert_eq!(stated, named);
}

#[test]
fn an_object_of_another_kind_gives_no_size() {
    let value = changed("1-004", |it| {
        it["calibration"]["references"][0].as_object_mut().unwrap().remove("length_mm");
        it["calibration"]["references"][0]["object"] = json!("peeso-2");
    });
    let error = measure(&case(&value.to_string()), &library(), Draws::default()).unwrap_err();
    assert_eq!(
        error.to_string(),
        "object \"peeso-2\" is a drill of the library, which gives no size to a reference of kind \"instrument\" (at \
         /calibration/references/0/object)"
    );
}

#[test]
fn a_filling_or_a_post_beyond_the_apex_is_noticed() {
    for landmark in ["filling_tip", "post_tip"] {
        let value = changed("1-004", |it| {
            let root = &mut it["roots"][0]["landmarks"];
            let (apex, orifice) = (root["apex"].clone(), root["orifice"].clone());
            let beyond = |axis: &str| {
                let (apex, orifice) = (apex[axis].as_f64().unwrap(), orifice[axis].as_f64().unwrap());
                apex + 0.2 * (apex - orifice)
            };
            root[landmark] = json!({"x": beyond("x"), "y": beyond("y")});
        });
        let found = cautions(&value, "tip_beyond_apex");
        assert_eq!(found.len(), 1, "{landmark}");
        assert_eq!(found[0].0, [landmark]);
        assert!(found[0].1.unwrap() > 0.5);
    }
}

#[test]
fn what_does_not_exist_is_not_judged_with_or_without_a_scale() {
    for scale in [true, false] {
        let value = changed("1-004", |it| {
            for landmark in ["post_head", "post_tip"] {
                it["roots"][0]["landmarks"][landmark] = json!({"absent": "no post"});
            }
            it["clinical"] = json!({});
            if !scale {
                it["calibration"]["references"] = json!([]);
            }
        });
        for criterion in
            ["post_longer_than_the_core", "tip_off_the_crest", "no_void_under_the_post", "apical_seal"]
        {
            assert_eq!(
                verdict(&value, criterion).verdict,
                Some(Verdict::DoesNotApply),
                "{criterion}, scale {scale}"
            );
        }
    }
}

#[test]
fn probed_sites_join_the_ferrule() {
    let with = |probed: Value| {
        changed("1-011", |it| {
            it["uncertainty"] = json!({"placing_mm": 0.01, "parallax_depth_mm": 0.0});
            it["clinical"]["ferrule_mm"] = probed;
            // Walls on the film twice as high as the margin is above the crest: well over 2 mm.
            for side in ["mesial", "distal"] {
                let at = |it: &Value, name: &str, axis: &str| {
                    it["landmarks"][format!("{name}.{side}")][axis].as_f64().unwrap()
                };
                let high = |it: &Value, axis| 3.0 * at(it, "finish_line", axis) - 2.0 * at(it, "crest", axis);
                it["landmarks"][format!("wall_top.{side}")] = json!({"x": high(it, "x"), "y": high(it, "y")});
            }
        })
    };
    let exact = |value: f64| json!({"value": value, "sd": 0.1});
    let all_round = with(json!({"buccal": exact(3.0), "lingual": exact(3.0)}));
    assert_eq!(verdict(&all_round, "ferrule").verdict, Some(Verdict::Meets));
    let short = verdict(&with(json!({"buccal": exact(3.0), "lingual": exact(0.5)})), "ferrule");
    assert_eq!(short.verdict, Some(Verdict::FallsShort));
    assert_eq!(short.worst.unwrap().id, "ferrule_height.lingual");
    let half_known = verdict(&with(json!({"buccal": exact(3.0)})), "ferrule");
    assert_eq!(half_known.verdict, Some(Verdict::Undecided));
    assert_eq!(half_known.settled_by.unwrap(), "probing the lingual ferrule height");
    // Three of four are enough for the count.
    let three = verdict(&with(json!({"buccal": exact(3.0)})), "ferrule_sites");
    assert_eq!(three.verdict, Some(Verdict::Meets));
}

/// Planned and present stand apart, by the points and readings used.
#[test]
fn a_verdict_on_a_planned_point_is_a_plan() {
    use crestgauge::case::State;
    let present = changed("1-004", |it| it["clinical"] = json!({}));
    assert_eq!(verdict(&present, "apical_seal").state, Some(State::Present));
    let planned = changed("1-004", |it| {
        it["roots"][0]["landmarks"]["post_tip"]["state"] = json!("planned");
    });
    assert_eq!(verdict(&planned, "apical_seal").state, Some(State::Planned));
    assert_eq!(verdict(&planned, "no_void_under_the_post").verdict, Some(Verdict::DoesNotApply));
    assert_eq!(verdict(&planned, "margin_clear_of_the_attachment").state, Some(State::Present));
}

/// The direction from the crown to the apex of a check case, a unit vector on the film.
fn apically(value: &Value) -> [f64; 2] {
    let at = |landmark: &Value| [landmark["x"].as_f64().unwrap(), landmark["y"].as_f64().unwrap()];
    let [from, to] =
        [at(&value["landmarks"]["finish_line.mesial"]), at(&value["roots"][0]["landmarks"]["apex"])];
    let length = (to[0] - from[0]).hypot(to[1] - from[1]);
    [(to[0] - from[0]) / length, (to[1] - from[1]) / length]
}

#[test]
fn landmarks_in_the_wrong_order_are_noticed() {
    assert_eq!(about(&changed("1-004", |_| {}), "impossible_order"), Vec::<String>::new());
    for (moved, beyond) in
        [("crown_edge", "core_top"), ("wall_top.mesial", "crest.mesial"), ("wall_top.distal", "crest.distal")]
    {
        let value = changed("1-004", |it| {
            let [x, y] = apically(it);
            let beside = it["landmarks"][beyond].clone();
            let along = |key: &str, by: f64| beside[key].as_f64().unwrap() + 30.0 * by;
            it["landmarks"][moved] = json!({"x": along("x", x), "y": along("y", y)});
        });
        let raised = cautions(&value, "impossible_order");
        let raised: Vec<_> = raised.iter().filter(|(about, _)| about.len() == 2).collect();
        assert_eq!(raised.len(), 1, "{moved}: {raised:?}");
        assert_eq!(raised[0].0, [moved, beyond]);
        assert!(raised[0].1.unwrap() > 0.0);
    }
}

#[test]
fn a_tooth_the_other_way_up_is_asked_for_its_mesial_side() {
    let raised = |fdi: &str, says: bool, down: bool| {
        let value = changed("1-004", |it| {
            it["tooth"] = if says { json!({"fdi": fdi, "mesial_is": "left"}) } else { json!({"fdi": fdi}) };
            let apex = it["roots"][0]["landmarks"]["apex"]["y"].as_f64().unwrap();
            let margin = it["landmarks"]["finish_line.mesial"]["y"].as_f64().unwrap();
            if (apex > margin) != down {
                // Seen in a mirror that lies on the floor.
                let height = it["film"]["height_px"].as_f64().unwrap_or(2000.0);
                flip(it, height);
            }
        });
        !about(&value, "film_turned").is_empty()
    };
    assert!(raised("21", false, true) && !raised("21", false, false));
    assert!(raised("31", false, false) && !raised("31", false, true));
    assert!(!raised("21", true, true), "somebody has said it");
}

/// Every `y` of a case counted from the foot of the film.
fn flip(value: &mut Value, height: f64) {
    match value {
        Value::Object(map) => {
            if let Some(y) = map.get("y").and_then(Value::as_f64) {
                map.insert("y".to_owned(), json!(height - y));
            }
            map.values_mut().for_each(|it| flip(it, height));
        }
        Value::Array(items) => items.iter_mut().for_each(|it| flip(it, height)),
        _ => {}
    }
}

/// Both roots of a lower molar have sections and apices: widths that were clicked across the mesial root are no section of the
/// distal one, whether a canal says how that runs or only its ends do.
#[test]
fn a_section_of_another_root_is_noticed() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("sample-images");
    let text = std::fs::read_to_string(folder.join("curved-46.case.json")).unwrap();
    let mut value: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(about(&value, "section_elsewhere"), Vec::<String>::new());
    let roots = value["roots"].as_array_mut().unwrap();
    let at = |roots: &[Value], name: &str| roots.iter().position(|root| root["name"] == name).unwrap();
    let (mesial, distal) = (at(roots, "mesial"), at(roots, "distal"));
    roots[distal]["sections"] = json!([roots[mesial]["sections"][1].clone()]);
    assert_eq!(about(&value, "section_elsewhere"), ["sections@0 (distal)"]);
    for root in value["roots"].as_array_mut().unwrap() {
        root["canal"] = json!([]);
    }
    assert_eq!(about(&value, "section_elsewhere"), ["sections@0 (distal)"]);
}

#[test]
fn a_reading_beyond_what_one_meets_is_noticed() {
    let read = |mm: f64| changed("1-004", |value| value["clinical"] = json!({"wall_mm": {"buccal": mm}}));
    assert_eq!(about(&read(1.4), "reading_out_of_range"), Vec::<String>::new());
    for (mm, limit) in [(45.0, 6.0), (0.1, 0.2)] {
        let raised = cautions(&read(mm), "reading_out_of_range");
        assert_eq!(raised, [(vec!["clinical/wall_mm/buccal".to_owned()], Some(mm))], "limit {limit}");
    }
}
