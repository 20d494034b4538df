//! The drawing of a control chart: sound, on its ground, and telling without colour.

use fusewright::documents::drawing::{ChartWidth, control_chart};
use fusewright::domain::trends::{PathTrend, path_trend};
use roxmltree::Document;

use super::drawing::fault_in;
use crate::domain::trends::{key, measured, steady};

const WIDTHS: [ChartWidth; 2] = [ChartWidth::Narrow, ChartWidth::Wide];

fn trend(permille: &[i64]) -> PathTrend {
    path_trend(&measured(permille), &key())
}

fn shapes(svg: &str, class: &str) -> usize {
    let read = Document::parse(svg).unwrap();
    let class = format!("drawing__{class}");
    read.descendants().filter(|node| node.attribute("class") == Some(class.as_str())).count()
}

#[test]
fn too_few_points_are_not_drawn() {
    for width in WIDTHS {
        assert_eq!(control_chart("c", &trend(&steady(19)), width), None);
        assert!(control_chart("c", &trend(&steady(20)), width).is_some());
    }
}

#[test]
fn a_chart_stays_on_its_ground_whatever_was_measured() {
    let mut wild = steady(50);
    (wild[3], wild[30], wild[44]) = (90_000, 0, 1);
    let rising: Vec<i64> = (0..60).map(|at| 900 + at * 5).collect();
    for points in [wild, rising, steady(300), vec![1000; 25], vec![0; 25]] {
        for width in WIDTHS {
            let svg = control_chart("c", &trend(&points), width).unwrap();
            assert_eq!(fault_in(&svg), None, "{svg}");
        }
    }
}

#[test]
fn a_point_beyond_a_limit_is_a_diamond_and_a_row_is_squares_each_with_its_number() {
    let mut work = steady(24);
    work.extend([1030, 1020, 1030, 1020, 1030, 1020]);
    let svg = control_chart("c", &trend(&work), ChartWidth::Wide).unwrap();
    assert_eq!((shapes(&svg, "head"), shapes(&svg, "needle-out")), (7, 0));
    assert_eq!((shapes(&svg, "disc"), shapes(&svg, "dot")), (1, 30));
    assert!(svg.contains("One signal, described beside the chart"));
    let mut one = steady(30);
    one[9] = 1400;
    let svg = control_chart("c", &trend(&one), ChartWidth::Wide).unwrap();
    assert_eq!(shapes(&svg, "needle-out"), 1);
    let svg = control_chart("c", &trend(&steady(30)), ChartWidth::Wide).unwrap();
    assert_eq!(["head", "needle-out", "disc"].map(|class| shapes(&svg, class)), [0, 0, 0]);
    assert!(svg.contains("Nothing stands out"));
}

#[test]
fn a_long_chart_draws_its_newest_points_and_says_so() {
    let svg = control_chart("c", &trend(&steady(100)), ChartWidth::Narrow).unwrap();
    assert_eq!(shapes(&svg, "dot"), ChartWidth::Narrow.points_max());
    assert!(svg.contains("The last 36 of 100 jobs") && svg.contains(">job 65<"), "{svg}");
}

#[test]
fn a_title_that_somebody_typed_does_nothing() {
    let mut results = measured(&steady(20));
    for result in &mut results {
        result.counted.title = "</title><script>1</script>".to_owned();
    }
    let svg = control_chart("c", &path_trend(&results, &key()), ChartWidth::Wide).unwrap();
    assert_eq!(fault_in(&svg), None);
    assert!(!svg.contains("<script"));
}
