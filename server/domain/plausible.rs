//! Whether a figure looks like a slipped decimal point. Such a figure is asked about once, then kept
//! as typed and flagged. The phone asks by the same rule (`static/plausible.js`).

use super::number::Decimal;
use super::step::Limits;

/// Ten times a good reading lies from ten times the lower to ten times the upper limit; with one
/// limit missing, five times the other stands for it. The same downwards.
pub fn is_implausible(value: Decimal, limits: &Limits) -> bool {
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
