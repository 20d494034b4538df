//! Guesses at the set-up code. They are counted in memory and not in the record: there is no
//! workshop yet to count them for, and a new start brings a new code that no old guess helps with.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use crate::domain::ids::Moment;
use crate::storage::sign_ins::{BY_SIGN_IN_MAX, IN_A_ROW_MAX, WINDOW_MS};
use crate::web::error::WebError;

/// Wrong codes so far. It grows to at most [`IN_A_ROW_MAX`] addresses: then no code counts any more.
#[derive(Default)]
pub(in crate::web) struct SetupTries(Mutex<Tries>);

#[derive(Default)]
struct Tries {
    in_a_row: u32,
    by_address: BTreeMap<String, Window>,
}

struct Window {
    begun: Moment,
    tries: u32,
}

impl SetupTries {
    /// Counts a try before the code is looked at, and refuses it if there were too many: as many as
    /// a sign-in allows for one name, but by address, so that a stranger does not lock the owner out.
    pub(super) fn count(&self, address: &str, now: Moment) -> Result<(), WebError> {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if tries.in_a_row >= IN_A_ROW_MAX {
            let sentence = "Too many set-up codes were tried. Start the server again: it prints a \
                            new code.";
            return Err(WebError::Forbidden(sentence));
        }
        tries.by_address.retain(|_, window| now.0 - window.begun.0 < WINDOW_MS);
        let fresh = Window { begun: now, tries: 0 };
        let window = tries.by_address.entry(address.to_owned()).or_insert(fresh);
        if window.tries >= BY_SIGN_IN_MAX {
            return Err(WebError::too_many("set-up codes", window.begun.0 + WINDOW_MS - now.0));
        }
        window.tries += 1;
        tries.in_a_row += 1;
        Ok(())
    }

    /// The code was right: what else is wrong with the form is no guess.
    pub(super) fn clear(&self, address: &str) {
        let mut tries = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        tries.in_a_row = 0;
        tries.by_address.remove(address);
    }
}
