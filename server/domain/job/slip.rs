//! Whether a second figure only puts a slip of the finger right: told apart from a reading that was made to
//! pass, which needs a word about what was done.

use super::Recorded;
use crate::domain::entry::Payload;
use crate::domain::number::Decimal;

/// Nobody loosens, cleans, tightens and reads again within so long.
pub const SLIP_MS_MAX: i64 = 60_000;

/// The same person corrects the figure at once, with the same digits: the point was elsewhere, two neighbours
/// were swapped, or one digit was missing or one too many so that the figure was far off.
pub(super) fn is_slip(failed: &Recorded, passed: &Recorded) -> bool {
    let apart = passed.act.recorded.0.saturating_sub(failed.act.recorded.0);
    let (Some(was), Some(is)) = (typed(failed), typed(passed)) else { return false };
    failed.act.person == passed.act.person
        && (0..=SLIP_MS_MAX).contains(&apart)
        && is_slip_of(was, is)
}

fn typed(result: &Recorded) -> Option<Decimal> {
    match result.body.payload {
        Payload::Torque { value, .. } | Payload::Reading { value, .. } => Some(value),
        Payload::Fuse { rating_a } => Some(rating_a),
        _ => None,
    }
}

fn is_slip_of(was: Decimal, is: Decimal) -> bool {
    let (old, new) = (digits(was), digits(is));
    if is_swapped(&old, &new) {
        return true;
    }
    let shifted = old == new;
    let longer = one_more(&old, &new) || one_more(&new, &old);
    (shifted || longer) && is_far(was, is)
}

/// The digits that count, without point and without zeros around them.
fn digits(value: Decimal) -> Vec<u8> {
    let text = value.normalize().mantissa().unsigned_abs().to_string();
    text.trim_end_matches('0').bytes().collect()
}

fn is_far(was: Decimal, is: Decimal) -> bool {
    let (small, large) = (was.abs().min(is.abs()), was.abs().max(is.abs()));
    large >= small * Decimal::TWO
}

/// Two neighbours the other way round, and all else alike.
fn is_swapped(old: &[u8], new: &[u8]) -> bool {
    if old.len() != new.len() {
        return false;
    }
    let apart: Vec<usize> =
        old.iter().zip(new).enumerate().filter(|(_, (a, b))| a != b).map(|(at, _)| at).collect();
    let [first, second] = apart[..] else { return false };
    second == first + 1 && old.get(first) == new.get(second) && old.get(second) == new.get(first)
}

/// The longer one is the shorter one with a digit put in somewhere.
fn one_more(longer: &[u8], shorter: &[u8]) -> bool {
    longer.len() == shorter.len() + 1
        && (0..longer.len()).any(|at| {
            let without = longer.iter().enumerate().filter(|(place, _)| *place != at);
            without.map(|(_, digit)| digit).eq(shorter)
        })
}
