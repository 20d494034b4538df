//! The bar of one finding: what is allowed, where the value lies, how much is in hand.

use super::{Anchor, Canvas};
use crate::documents::gauge::{Gauge, GaugeLimits};
use crate::domain::finding::Finding;

const WIDTH: f64 = 340.0;
const HEIGHT: f64 = 34.0;
const BAND_Y: f64 = 6.0;
const BAND_HEIGHT: f64 = 10.0;

/// Nothing for a finding without a limit, or whose limit gives no scale.
pub fn limit_bar(finding: &Finding) -> Option<String> {
    let limits = GaugeLimits { low: finding.lower, high: finding.upper };
    let gauge = Gauge::new(limits, 0.0, finding.value)?;
    let margin = finding.margin_percent()?;
    let words = margin_words(margin);
    let mut canvas = Canvas::new(
        &format!("bar-{}", finding.id.replace('.', "-")),
        &format!("{}: {words}", finding.title),
        (WIDTH, HEIGHT),
    );
    canvas.description = format!("{} against {}.", finding.value_text(), finding.limit_text());
    let x = |fraction: f64| fraction * WIDTH;
    let (from, to) = (gauge.low.unwrap_or(0.0), gauge.high.unwrap_or(1.0));
    canvas.rect("ground", (0.0, BAND_Y), (WIDTH, BAND_HEIGHT));
    canvas.rect("allowed", (x(from), BAND_Y), (x(to - from), BAND_HEIGHT));
    for mark in [gauge.low, gauge.high].into_iter().flatten() {
        canvas.line("limit", (x(mark), 2.0), (x(mark), BAND_Y + BAND_HEIGHT + 4.0));
    }
    let needle = x(gauge.needle);
    canvas.area(
        if margin < 0.0 { "needle-out" } else { "needle" },
        &[(needle - 6.0, 0.0), (needle + 6.0, 0.0), (needle, 13.0)],
    );
    let (at, anchor) = if gauge.needle > 0.5 { (WIDTH, Anchor::End) } else { (0.0, Anchor::Start) };
    canvas.words("small", (at, HEIGHT - 2.0), anchor, &words);
    Some(canvas.svg())
}

/// `18 % in hand`, `12 % over the limit`.
fn margin_words(margin: f64) -> String {
    if margin >= 0.0 {
        format!("{margin:.0} % in hand")
    } else if margin > -0.5 {
        "just beyond the limit".to_owned()
    } else {
        format!("{:.0} % beyond the limit", -margin)
    }
}
