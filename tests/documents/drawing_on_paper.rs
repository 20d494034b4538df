//! Drawings for paper: their own colours and face, the same shapes as on the page.

use std::collections::BTreeSet;

use fusewright::documents::drawing::{PaperDrawing, fuse_curve, fuse_curve_on_paper};
use fusewright::domain::curves::{FuseCurve, GatePoint};

use super::sample::paper;

/// The classes of all shapes.
fn classes(svg: &str) -> BTreeSet<&str> {
    svg.split("class=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect()
}

fn style(drawing: &PaperDrawing) -> &str {
    let (_, after) = drawing.svg.split_once("<style>").unwrap();
    after.split_once("</style>").unwrap().0
}

/// A shape without a colour of its own would be black.
#[test]
fn every_shape_on_paper_has_its_colour() {
    for drawing in paper().drawings {
        let classes = classes(&drawing.svg);
        assert!(classes.len() > 5, "{classes:?}");
        let style = style(&drawing);
        for class in classes {
            let rules = style.split('}').filter(|rule| {
                let names = rule.split('{').next().unwrap_or_default();
                names.split(',').any(|name| name.trim() == format!(".{class}"))
            });
            let rules: Vec<&str> = rules.collect();
            assert_eq!(rules.len(), 1, "{class}: {rules:?}");
            assert!(rules[0].contains('#'), "{class} has no colour: {}", rules[0]);
        }
        // The screen's names mean nothing to the engine of papers.
        assert!(!style.contains("var("), "{style}");
    }
}

#[test]
fn the_colours_are_those_of_all_papers() {
    let look = include_str!("../../templates/documents/look.typ");
    let drawing = &paper().drawings[0];
    let colours = style(drawing).split('#').skip(1).map(|rest| &rest[..6]);
    let known = |colour: &&str| look.contains(&format!("rgb(\"#{colour}\")"));
    let others: BTreeSet<&str> =
        colours.filter(|colour| !known(colour) && *colour != "ffffff").collect();
    // The thin marks, which no other part of a paper has.
    assert_eq!(others, BTreeSet::from(["78857c"]));
    assert!(look.contains("\"Atkinson Hyperlegible Next\""));
    assert!(drawing.svg.contains("font-family=\"Atkinson Hyperlegible Next\""));
}

#[test]
fn page_and_paper_show_the_same_shapes() {
    let curve = FuseCurve {
        rating_a: 50.0,
        continuous_a: 40.0,
        ampacity_a: 127.0,
        gate: vec![
            GatePoint { current_a: 75.0, shortest_s: 90.0, longest_s: Some(3600.0) },
            GatePoint { current_a: 100.0, shortest_s: 3.0, longest_s: Some(100.0) },
        ],
        cable: vec![(1000.0, 5.0), (7000.0, 0.1)],
        faults: None,
    };
    let page = fuse_curve("one", &curve);
    let paper = fuse_curve_on_paper(&curve);
    let shapes = page.split_once("</desc>").unwrap().1;
    assert!(paper.svg.ends_with(shapes), "{page}\n{}", paper.svg);
    assert!(page.contains(&paper.caption) && !page.contains("<style>"));
    assert!(paper.description.starts_with(&paper.caption));
    assert!(paper.description.contains("load 40.0 A"), "{}", paper.description);
}
