//! A defect that a manager opens, and what is done about it.

use super::{Hand, Job};
use crate::acts::ActError;
use crate::acts::defects::{self, Seen, Word};
use crate::domain::ids::EntryId;
use crate::world::new_id;

impl Job<'_> {
    /// Something wrong with the job as a whole.
    pub(in crate::cli::demo) async fn find_wrong(
        &mut self,
        who: &Hand,
        text: &str,
    ) -> Result<(), ActError> {
        let seen = Seen { text: text.to_owned(), ..Seen::default() };
        self.file = Some(defects::open(self.store, &self.by(who), self.id, seen).await?);
        self.pass_minutes(20);
        Ok(())
    }

    /// Notes what was done about the newest defect.
    pub(in crate::cli::demo) async fn put_right(
        &mut self,
        who: &Hand,
        text: &str,
    ) -> Result<(), ActError> {
        let defects = self.file.iter().flat_map(|file| file.state.defects()).collect::<Vec<_>>();
        let defect = defects.last().map(|defect| defect.id);
        let defect = defect.ok_or_else(|| ActError::Ours("nothing is wrong".to_owned()))?;
        let word = Word { id: EntryId(new_id(self.now)?), defect, text: text.to_owned() };
        self.file = Some(defects::rework(self.store, &self.by(who), self.id, word).await?);
        self.pass_minutes(5);
        Ok(())
    }
}
