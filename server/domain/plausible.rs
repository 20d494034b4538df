//! Whether a figure looks like a slipped decimal point. Such a figure is asked about once, then kept
//! as typed and flagged. The phone asks by the same rule (`static/plausible.js`).

use super::number::Decimal;
use super::step::Limits;

/// Ten times a good reading lies from ten times the lower to ten times the upper limit; with one
/// limit missing, five times the other stands for it. The same downwards. A figure within its limits
/// is no slip: nought is the best there is between -0.5 V and 0.5 V.
pub fn is_implausible(value: Decimal, limits: &Limits) -> bool {
    let is_within = limits.lower.is_some_and(|lower| lower <= value)
        && limits.upper.is_some_and(|upper| value <= upper);
    if is_within {
        return false;
    }
    let size = value.abs();
    let known = |limit: Option<Decimal>| limit.map(|l| l.abs()).filter(|l| !l.is_zero());
    let (low, high) = (known(limits.lower), known(limits.upper));
    let (five, ten) = (Decimal::from(5), Decimal::TEN);
    if high.is_some_and(|high| size >= high * five) {
        return low.is_none_or(|low| size >= low * ten);
    }
    if low.is_some_and(|low| size * five <= low) {
        return high.is_none_or(|high| size * ten <= high);
    }
    false
}
