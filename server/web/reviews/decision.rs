//! What can be decided about a job, and what stands in the way.

use crate::acts::job::JobFile;
use crate::domain::certificate::on_paper;
use crate::domain::release::{Refusal, may_release};
use crate::storage::certificates::CertificateRow;
use crate::web::session::Who;

pub(super) struct DecisionView {
    pub(super) words: String,
    pub(super) points: Vec<String>,
    /// Address of the release, with the name of whoever signs.
    pub(super) release: Option<(String, String)>,
    pub(super) make: Option<String>,
    /// The newest one: address, and number.
    pub(super) certificate: Option<(String, String)>,
    /// Address of the customer's paper, where there is a certificate.
    pub(super) handover: Option<String>,
    /// The same, where it stands no longer.
    pub(super) withdrawn: Option<(String, String)>,
}

impl DecisionView {
    fn saying(words: impl Into<String>) -> Self {
        Self {
            words: words.into(),
            points: Vec::new(),
            release: None,
            make: None,
            certificate: None,
            handover: None,
            withdrawn: None,
        }
    }
}

/// What can be decided, and what stands in the way.
pub(super) fn decision(file: &JobFile, who: &Who, newest: Option<&CertificateRow>) -> DecisionView {
    let job = format!("/jobs/{}", file.row.id);
    if file.state.released.is_some() {
        let released = DecisionView::saying("Released.");
        return match newest {
            Some(row) => {
                let link = (format!("/certificates/{}", row.number), on_paper(&row.number));
                match row.withdrawn {
                    None => DecisionView {
                        certificate: Some(link),
                        handover: Some(format!("{job}/handover")),
                        ..released
                    },
                    Some(_) => DecisionView {
                        withdrawn: Some(link),
                        ..DecisionView::saying("Released. Its certificate is withdrawn.")
                    },
                }
            }
            None => DecisionView { make: Some(format!("{job}/certificate")), ..released },
        };
    }
    match may_release(&file.state, &who.person, file.workshop.one_person_release) {
        Ok(same) => {
            let words = if same {
                "Nothing is open. You did the work yourself; the certificate will say so."
            } else {
                "Nothing is open. Every measurement passes."
            };
            let release = Some((format!("{job}/release"), who.person.name.clone()));
            DecisionView { release, ..DecisionView::saying(words) }
        }
        Err(Refusal::Open(points)) => DecisionView {
            points: points.into_iter().map(|point| point.sentence).collect(),
            ..DecisionView::saying("No certificate yet.")
        },
        Err(refusal) => DecisionView::saying(format!("No certificate yet. {refusal}.")),
    }
}
