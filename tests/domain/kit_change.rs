//! What changed between two editions of a kit: every figure is found, nothing else is told.

use fusewright::domain::kit::Kit;
use fusewright::domain::kit_change::{Subject, kit_changes};
use fusewright::domain::kit_check::read_kit;

use super::cast::{KIT, kit};

fn changed(from: &str, to: &str) -> Kit {
    assert!(KIT.contains(from), "{from}");
    read_kit(&KIT.replacen(from, to, 1)).unwrap()
}

#[test]
fn an_edition_differs_from_itself_in_nothing_and_its_number_is_no_change() {
    assert_eq!(kit_changes(&kit(), &kit()), []);
    assert_eq!(kit_changes(&kit(), &changed("edition = 1", "edition = 2")), []);
    assert_eq!(kit_changes(&kit(), &changed("mass_kg = 29.5", "mass_kg = 29.50")), []);
}

#[test]
fn a_changed_figure_is_told_with_both_values_under_its_subject() {
    for (from, to, subject, was, now) in [
        ("mass_kg = 29.5", "mass_kg = 30.5", Subject::Figures, "29.5 kg", "30.5 kg"),
        ("rating_a = 50", "rating_a = 60", Subject::Fuses, "50 A", "60 A"),
        ("count = 8", "count = 6", Subject::Mounting, "8 × M6, class 8.8", "6 × M6, class 8.8"),
        ("pack_wh = 1850", "pack_wh = 2000", Subject::Inputs, "1850 Wh", "2000 Wh"),
        ("upper = 0.6", "upper = 0.5", Subject::Steps, "at most 0.6 mm", "at most 0.5 mm"),
    ] {
        let changes = kit_changes(&kit(), &changed(from, to));
        let [change] = changes.as_slice() else { panic!("{from}: {changes:?}") };
        assert_eq!(change.subject, subject, "{from}");
        assert!(change.from.as_ref().unwrap().contains(was), "{change:?}");
        assert!(change.to.as_ref().unwrap().contains(now), "{change:?}");
    }
}

#[test]
fn what_is_added_has_no_value_before_and_what_is_gone_none_after() {
    let part = "\n[[parts]]\nid = \"latch\"\nname = \"Latch\"\nnumber = \"L-4\"\nphase = \"mount\"\nbatch = true\n";
    let more = read_kit(&format!("{KIT}{part}")).unwrap();
    let added = kit_changes(&kit(), &more);
    assert_eq!((added.len(), added[0].subject), (1, Subject::Parts));
    assert_eq!((added[0].from.is_none(), added[0].to.is_some()), (true, true));
    let gone = kit_changes(&more, &kit());
    assert_eq!((gone[0].from.is_some(), gone[0].to.is_none()), (true, true));
}

/// A figure that the words forgot would change without a word.
#[test]
fn no_line_of_a_kit_can_change_without_being_told() {
    let mut tried = 0;
    for line in KIT.lines().filter(|line| line.contains(" = ") && !line.starts_with("edition")) {
        let Some((key, value)) = line.split_once(" = ") else { continue };
        let other = match value.trim_matches('"') {
            text if text.parse::<f64>().is_ok() => format!("{key} = {text}1"),
            text if value.starts_with('"') => format!("{key} = \"{text} x\""),
            _ => continue,
        };
        // What makes no sound kit any more is no change of one.
        let Ok(new) = read_kit(&KIT.replacen(line, &other, 1)) else { continue };
        assert!(!kit_changes(&kit(), &new).is_empty(), "{line}");
        tried += 1;
    }
    assert!(tried > 25, "only {tried} lines were tried");
}
