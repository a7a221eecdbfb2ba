//! What a screen reader finds: every control has a role and a name, and no two controls of a window go by the same ones.

use crate::desk::{Desk, Window};
use crate::states::STATES;
use eframe::egui::accesskit::{Action, Role};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::collections::BTreeMap;

/// Every control the keyboard comes to, with its role and its name.
fn controls(window: &Window) -> Vec<(Role, Option<String>)> {
    let root = window.harness.root();
    let nodes =
        root.query_all_by(|node| node.data().supports_action(Action::Focus) && node.role() != Role::Window);
    nodes.map(|node| (node.accesskit_node().role(), node.accesskit_node().label())).collect()
}

/// What the pointer presses and the keyboard does not come to: of those without a name their place.
fn nameless(window: &Window) -> Vec<String> {
    let root = window.harness.root();
    let nodes = root.query_all_by(|node| {
        let data = node.data();
        // Words that can be selected are pressed for that alone, and bars for what the keyboard scrolls.
        let is_other = matches!(node.role(), Role::Label | Role::ScrollBar);
        let is_pressed = data.supports_action(Action::Click) && !is_other;
        is_pressed && !data.supports_action(Action::Focus) && node.label().is_none()
    });
    nodes.map(|node| format!("{:?} at {:?}", node.accesskit_node().role(), node.rect())).collect()
}

#[test]
fn every_control_has_a_role_and_a_name_of_its_own() {
    let mut amiss = Vec::new();
    for (state, open) in STATES {
        // What one state leaves behind is not to be found by the next.
        let desk = Desk::new();
        let window = open(&desk);
        let controls = controls(&window);
        // Over the patient's drawing there is nothing but leaving and turning it.
        let fewest = if *state == "the drawing for the patient" { 2 } else { 6 };
        assert!(controls.len() >= fewest, "{state}: {controls:?}");
        amiss.extend(nameless(&window).into_iter().map(|it| format!("{state}: no name: {it}")));
        let mut counted: BTreeMap<String, usize> = BTreeMap::new();
        for (role, name) in controls {
            let name = name.unwrap_or_default();
            if name.trim().is_empty() || matches!(role, Role::Unknown | Role::GenericContainer) {
                amiss.push(format!("{state}: {role:?} {name:?}"));
            }
            *counted.entry(format!("{role:?} {name}")).or_default() += 1;
        }
        // What a menu offers may stand behind it, too.
        let most = if state.starts_with("the menu") { 2 } else { 1 };
        let often = counted.into_iter().filter(|(_, count)| *count > most);
        amiss.extend(often.map(|(name, count)| format!("{state}: {count} times {name}")));
    }
    assert!(amiss.is_empty(), "{amiss:#?}");
}
