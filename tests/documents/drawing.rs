//! The drawings of a plan: sound XML with a title and a description, every coordinate on its ground, and
//! no text of people that does anything.

use std::collections::BTreeSet;

use fusewright::documents::drawing::{drop_path, fastener_pattern, fuse_curve, limit_bar};
use fusewright::domain::curves;
use fusewright::domain::figures;
use fusewright::domain::findings::findings;
use fusewright::domain::kit::Kit;
use fusewright::domain::plan::Plan;
use proptest::prelude::*;
use roxmltree::{Document, Node};

use crate::domain::any_plan::any_plan;
use crate::domain::cast::{dec, kit, plan};

/// Everything that is drawn of a plan.
fn drawings(kit: &Kit, plan: &Plan) -> Vec<String> {
    let mut all: Vec<String> = findings(kit, plan).iter().filter_map(limit_bar).collect();
    for circuit in &kit.circuits {
        let Some(found) = figures::circuit(kit, plan, &circuit.id).ok().flatten() else { continue };
        all.push(drop_path(&format!("path-{}", circuit.id), &curves::drop_path(&found)));
        let faults = found
            .plan
            .fuse
            .and_then(|pick| figures::faults(&plan.vehicle, found.plan, pick).ok().flatten());
        let curve = curves::fuse_curve(&found, faults.as_ref());
        all.extend(curve.map(|curve| fuse_curve(&format!("fuse-{}", circuit.id), &curve)));
    }
    let mount = figures::mount(kit, &plan.mounting).ok();
    all.extend(mount.and_then(|mount| fastener_pattern("mount-pattern", &mount)));
    all
}

/// How far a word or a mark may reach over the edge of its ground.
const BEYOND: f64 = 12.0;

/// What is wrong with a drawing, if anything is.
pub(super) fn fault_in(svg: &str) -> Option<String> {
    let read = match Document::parse(svg) {
        Ok(read) => read,
        Err(error) => return Some(error.to_string()),
    };
    let root = read.root_element();
    let ground: Vec<f64> = numbers(root.attribute("viewBox")?);
    let [_, _, width, height] = ground.as_slice() else { return Some("no ground".to_owned()) };
    let beyond = |node: &Node<'_, '_>| {
        let on = |at: f64, size: f64| at.is_finite() && at >= -BEYOND && at <= size + BEYOND;
        !places(*node).into_iter().all(|(x, y)| on(x, *width) && on(y, *height))
    };
    if let Some(node) = root.descendants().find(beyond) {
        return Some(format!("off its ground: {}", &svg[node.range()]));
    }
    named(root)
}

/// The drawing is an image whose title and description its label points at, and names nothing else.
fn named(root: Node<'_, '_>) -> Option<String> {
    let ids: Vec<&str> = root.descendants().filter_map(|node| node.attribute("id")).collect();
    let label = root.attribute("aria-labelledby").unwrap_or_default();
    let told: Vec<Node<'_, '_>> = root
        .children()
        .filter(|node| ["title", "desc"].contains(&node.tag_name().name()))
        .collect();
    let sound = root.has_tag_name("svg")
        && root.attribute("role") == Some("img")
        && told.len() == 2
        && told.iter().all(|node| node.text().is_some_and(|text| !text.trim().is_empty()))
        && told.iter().filter_map(|node| node.attribute("id")).collect::<Vec<_>>() == ids
        && label.split(' ').collect::<Vec<_>>() == ids;
    (!sound).then(|| format!("badly named: {ids:?}, {label}"))
}

fn numbers(text: &str) -> Vec<f64> {
    text.split([' ', ',']).map(|number| number.parse().unwrap_or(f64::NAN)).collect()
}

/// Every place that an element names.
fn places(node: Node<'_, '_>) -> Vec<(f64, f64)> {
    let at = |name| node.attribute(name).map(|text| numbers(text)[0]);
    let pair = |x, y| at(x).zip(at(y));
    let mut all: Vec<(f64, f64)> =
        [pair("x", "y"), pair("x1", "y1"), pair("x2", "y2"), pair("cx", "cy")]
            .into_iter()
            .flatten()
            .collect();
    if let (Some((x, y)), Some((width, height))) = (pair("x", "y"), pair("width", "height")) {
        all.push((x + width, y + height));
    }
    let points = node.attribute("points").map(numbers).unwrap_or_default();
    all.extend(points.chunks(2).map(|pair| (pair[0], pair[1])));
    all
}

fn ids_of(svg: &str) -> Vec<String> {
    let read = Document::parse(svg).unwrap();
    let ids = read.descendants().filter_map(|node| node.attribute("id"));
    ids.map(str::to_owned).collect()
}

#[test]
fn every_drawing_of_the_tray_is_sound() {
    let mut plan = plan();
    plan.vehicle.battery_milliohm = Some(dec("6"));
    let all = drawings(&kit(), &plan);
    // Three paths, two fuses, the mount; a bar for each finding with a limit.
    assert!(all.len() > 6 + 20, "{}", all.len());
    for svg in &all {
        assert_eq!(fault_in(svg), None, "{svg}");
    }
}

/// The check itself finds what it looks for.
#[test]
fn an_unsound_drawing_is_found_out() {
    let sound = drawings(&kit(), &plan()).pop().unwrap();
    for (from, to) in [
        ("<title", "<titel"),
        ("</svg>", ""),
        ("mount-pattern-desc\">", "other-desc\">"),
        ("cx=\"", "cx=\"NaN"),
        ("cy=\"", "cy=\"9"),
        ("role=\"img\"", ""),
    ] {
        assert!(sound.contains(from), "{from}");
        assert!(fault_in(&sound.replacen(from, to, 1)).is_some(), "{from} to {to}");
    }
}

#[test]
fn text_of_people_is_inert() {
    let mut kit = kit();
    let title = "<script>alert(1)</script> & \"so\" <!-- ]]> 'on'";
    kit.circuits[0].title = title.to_owned();
    let plan = plan();
    let mut told = 0;
    for svg in drawings(&kit, &plan) {
        assert_eq!(fault_in(&svg), None, "{svg}");
        let read = Document::parse(&svg).unwrap();
        let wild = |node: &Node<'_, '_>| node.is_comment() || node.has_tag_name("script");
        assert!(!read.descendants().any(|node| wild(&node)), "{svg}");
        told += usize::from(read.descendants().any(|node| {
            node.has_tag_name("title") && node.text().is_some_and(|text| text.contains(title))
        }));
    }
    assert!(told >= 6, "the title stands unharmed in {told} bars");
}

/// A centre of mass two metres off is drawn at the rim, not beyond it.
#[test]
fn a_centre_of_mass_far_off_stays_on_the_ground() {
    assert!(drawings(&kit(), &plan()).pop().unwrap().contains(">mass<"));
    for (ahead, right) in [("2000", "0"), ("-2000", "0"), ("0", "2000"), ("-2000", "-2000")] {
        let mut plan = plan();
        plan.mounting.off_centre.ahead_mm = dec(ahead);
        plan.mounting.off_centre.right_mm = dec(right);
        for svg in drawings(&kit(), &plan) {
            assert_eq!(fault_in(&svg), None, "{ahead} {right}");
        }
        let svg = drawings(&kit(), &plan).pop().unwrap();
        assert!(svg.contains(">mass, farther out<"), "{ahead} {right}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_drawing_of_any_plan_is_sound_and_names_nothing_twice(any in any_plan()) {
        let mut ids = BTreeSet::new();
        for svg in drawings(&any.kit, &any.plan()) {
            prop_assert_eq!(fault_in(&svg), None, "{}", svg);
            for id in ids_of(&svg) {
                prop_assert!(ids.insert(id.clone()), "{} stands twice", id);
            }
        }
    }
}
