//! Ten thousand edits from a seed, with everything that must hold after each.

use super::make::Dice;
use super::{engine, sample_text, text, unfiled};
use crate::support::case;
use crestgauge::case::Derived;
use crestgauge::editor::{HalfPlaced, OpenCase, Placing};
use crestgauge::geometry::Position;
use crestgauge::measure::Draws;
use crestgauge::verdict::assess;

const EDITS: usize = 10_000;
/// Every so many edits all numbers are computed afresh.
const NUMBERS_EVERY: usize = 10;

/// What holds of the case after every edit: it reads back from its bytes as the very same one, and no number in it
/// is anything but finite (JSON has no such number, so it could not read back).
fn holds(open: &OpenCase) {
    let bytes = text(open.case());
    let read = case(&bytes);
    assert!(read == *open.case(), "reads back as another case: {bytes}");
    assert_eq!(text(&read), bytes);
}

/// The numbers are those of a fresh computation on a copy read from bytes, and all are finite.
fn numbers_hold(open: &mut OpenCase) -> bool {
    let read = crestgauge::case::read_text(&text(open.case())).unwrap();
    let engine = engine();
    let fresh = assess(&read.case, &engine.library, &engine.criteria, Draws::default(), &read.cautions);
    let held = open.numbers().map(|numbers| numbers.derived.clone()).map_err(Clone::clone);
    assert_eq!(held, fresh);
    fresh.as_ref().is_ok_and(|derived| {
        assert_finite(derived);
        derived.measurements.iter().any(|row| row.value.is_some())
    })
}

fn assert_finite(derived: &Derived) {
    for row in &derived.measurements {
        let numbers = row.value.iter().chain(&row.sd).chain(row.interval.iter().flatten());
        assert!(numbers.into_iter().all(|number| number.is_finite()), "{row:?}");
        assert_eq!(row.value.is_none(), row.reason.is_some() || !row.lacks.is_empty(), "{row:?}");
    }
    for row in &derived.verdicts {
        assert!(row.probability.is_none_or(|it| (0.0..=1.0).contains(&it)), "{row:?}");
    }
    for caution in &derived.cautions {
        assert!(caution.value.iter().chain(&caution.limit).all(|it| it.is_finite()), "{caution:?}");
    }
}

/// Something half-placed begun, clicked, completed or dropped.
fn place(open: &mut OpenCase, dice: &mut Dice) {
    let at = Position::new(dice.between(0.0, 1000.0), dice.between(0.0, 1300.0));
    // What is refused changes nothing, which `holds` and the undo at the end would notice.
    let _ = match dice.below(12) {
        0 => open.begin_placing(Placing::Reference(Box::new(dice.reference()))),
        1 => {
            let root = dice.root_name(open.case());
            open.begin_placing(Placing::Section { root, level: None })
        }
        2 => Ok(open.cancel_placing()),
        3..=5 => open.complete_placing(),
        6 => open.move_click(0, at),
        _ => open.click(at, None),
    };
}

/// What is half-placed and has points; what was only begun is no step and need not come back.
fn clicked(open: &OpenCase) -> Option<HalfPlaced> {
    open.half_placed().filter(|half| !half.points().is_empty()).cloned()
}

#[test]
fn ten_thousand_random_edits() {
    let mut dice = Dice(20_261_124);
    let mut open = unfiled();
    let start = text(open.case());
    let (mut made, mut refused, mut computed) = (0, 0, 0);
    while made < EDITS {
        match dice.below(100) {
            0..=7 => drop(open.undo()),
            8..=11 => drop(open.redo()),
            12 => open.begin_gesture(),
            13..=15 => drop(open.end_gesture()),
            16 => drop(open.cancel_gesture()),
            17..=24 => place(&mut open, &mut dice),
            _ => {
                let before = (text(open.case()), open.revision());
                let edit = dice.edit(open.case());
                match open.apply(edit.clone()) {
                    Ok(effects) => {
                        assert_eq!(effects.is_empty(), open.revision() == before.1, "{edit:?}");
                        made += usize::from(!effects.is_empty());
                    }
                    Err(why) => {
                        assert_eq!((text(open.case()), open.revision()), before, "{edit:?}");
                        assert!(!why.to_string().is_empty());
                        refused += 1;
                    }
                }
                if made % NUMBERS_EVERY == 0 {
                    computed += usize::from(numbers_hold(&mut open));
                }
            }
        }
        holds(&open);
    }
    // The seed must be worth its time: impossible edits among them, and cases that can be measured.
    assert!(refused > 1000 && computed > 50, "{refused} refused, {computed} with numbers");
    open.end_gesture();
    while open.next_redo().is_some() {
        open.redo();
    }
    numbers_hold(&mut open);
    let end = (text(open.case()), clicked(&open));
    let mut back = vec![end.0.clone()];
    while open.next_undo().is_some() {
        open.undo();
        back.push(text(open.case()));
    }
    assert!(back.len() > EDITS / 2, "{} steps", back.len());
    assert_eq!(text(open.case()), start);
    assert_eq!(text(&case(&sample_text())), start);
    numbers_hold(&mut open);
    for (step, bytes) in back.iter().rev().enumerate().skip(1) {
        open.redo();
        assert_eq!(text(open.case()), *bytes, "step {step}");
    }
    assert!(open.next_redo().is_none());
    assert_eq!((text(open.case()), clicked(&open)), end);
    numbers_hold(&mut open);
}
