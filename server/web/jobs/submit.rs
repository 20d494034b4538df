//! The form that signs the work, on the page of the job and at the end of its sheet.

use super::super::app::App;
use super::super::error::WebError;
use super::super::session::Who;
use crate::acts::job::JobFile;
use crate::domain::release::may_submit;

/// What `components/submit.html` prints.
pub(in crate::web) struct SubmitView {
    pub(in crate::web) action: String,
    pub(in crate::web) id: String,
    pub(in crate::web) name: String,
    /// Every step has its result and nobody has signed for it yet.
    pub(in crate::web) is_due: Option<()>,
    pub(in crate::web) is_signed: Option<()>,
}

impl SubmitView {
    /// Nothing once the job is released.
    pub(in crate::web) fn of(
        app: &App,
        who: &Who,
        file: &JobFile,
    ) -> Result<Option<Self>, WebError> {
        if file.state.released.is_some() {
            return Ok(None);
        }
        let is_due = file.state.submitted.is_none() && may_submit(&file.state).is_ok();
        Ok(Some(Self {
            action: format!("/jobs/{}/submit", file.row.id),
            id: app.new_id()?.to_string(),
            name: who.person.name.clone(),
            is_due: is_due.then_some(()),
            is_signed: file.state.submitted.as_ref().map(|_| ()),
        }))
    }
}
