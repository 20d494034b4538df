//! The circuits of a kit and the fuses that the maker asks for.

use super::{RESERVED_IDS, is_id};
use crate::domain::document::{Section, listed};
use crate::domain::kit::{Circuit, FuseAsk, Purpose};
use crate::domain::number::{Decimal, physical};
use crate::engineering::conductor::ConductorSize;
use crate::engineering::fuse::FuseForm;

const CIRCUITS_MAX: usize = 12;

/// A circuit as far as it could be read: others refer to it even if it has faults.
pub(super) struct CircuitSection<'d> {
    pub(super) id: String,
    pub(super) section: Section<'d>,
    pub(super) purpose: Option<Purpose>,
    pub(super) continuous_a: Option<Decimal>,
    pub(super) circuit: Option<Circuit>,
}

impl CircuitSection<'_> {
    /// The largest charge current: the continuous one, and never above four fifths of the fuse.
    pub(super) fn charge_most_a(&self) -> Option<Decimal> {
        let fuse = self.circuit.as_ref().and_then(|circuit| circuit.fuse);
        let by_fuse = fuse.map(|fuse| (fuse.rating_a * FUSE_SHARE).normalize());
        let continuous = self.continuous_a?;
        Some(by_fuse.map_or(continuous, |most| continuous.min(most)))
    }
}

/// What a fuse carries continuously, of its rating: fuse makers' selection notes (from memory).
const FUSE_SHARE: Decimal = Decimal::from_parts(8, 0, 0, false, 1);

pub(super) fn circuits<'d>(top: &Section<'d>) -> Vec<CircuitSection<'d>> {
    let sections = top.named_sections("circuits", 1..=CIRCUITS_MAX);
    let circuits: Vec<_> = sections.into_iter().map(|(id, section)| circuit(id, section)).collect();
    let feeds = |circuit: &CircuitSection<'_>| {
        !matches!(circuit.purpose, Some(Purpose::Sense | Purpose::Load))
    };
    if !circuits.is_empty() && !circuits.iter().any(feeds) {
        top.fault("circuits", "Nothing feeds the gear.", "Write a circuit of purpose \"supply\".");
    }
    circuits
}

fn circuit(id: String, section: Section<'_>) -> CircuitSection<'_> {
    id_faults(&id, &section);
    let title = section.text("title", 1..=60);
    let purpose = section.choice("purpose", &Purpose::ALL.map(|one| (one.word(), one)));
    let continuous_a = section.decimal("continuous_a", "0.01 to 400");
    let peak_a = peak(&section, continuous_a);
    let allowed_drop_percent = section.decimal("allowed_drop_percent", "0.5 to 15");
    let least_size = section.maybe_parsed("least_size", SIZE_EXPECTED, conductor_size);
    let page = section.page();
    let fuse = fuse(&section, purpose, continuous_a);
    let whole = || {
        Some(Circuit {
            id: id.clone(),
            title: title?,
            purpose: purpose?,
            continuous_a: continuous_a?,
            peak_a,
            allowed_drop_percent: allowed_drop_percent?,
            fuse,
            least_size,
            page: page?,
        })
    };
    let circuit = whole();
    CircuitSection { id, section, purpose, continuous_a, circuit }
}

fn id_faults(id: &str, section: &Section<'_>) {
    let instead = "Write lower case letters, digits and underscores, a letter first.";
    if !is_id(id) {
        section.fault("", "This name cannot be an id.", instead);
    } else if RESERVED_IDS.contains(&id) {
        section.fault("", format!("The name {id} is taken by the sheet."), "Write another name.");
    }
}

fn peak(section: &Section<'_>, continuous_a: Option<Decimal>) -> Option<Decimal> {
    let peak = section.maybe_decimal("peak_a", "0.01 to 2000")?;
    let least = continuous_a?;
    if peak < least {
        let wrong = format!("A peak of {peak} A is below the continuous {least} A.");
        section.fault("peak_a", wrong, format!("Write at least {least}, or leave it out."));
    }
    Some(peak)
}

fn fuse(
    section: &Section<'_>,
    purpose: Option<Purpose>,
    continuous_a: Option<Decimal>,
) -> Option<FuseAsk> {
    if purpose == Some(Purpose::Supply) && !section.has("fuse") {
        let instead = "Write fuse = { form = …, rating_a = …, distance_max_mm = … }: a cable from \
                       a battery is protected at the battery.";
        section.missing("fuse", instead);
    }
    let fuse = section.maybe_section("fuse")?;
    let form = fuse.choice("form", &FuseForm::ALL.map(|form| (form.key(), form)));
    let rating_a = fuse.decimal("rating_a", "0.5 to 500");
    let distance_max_mm = fuse.decimal("distance_max_mm", "10 to 3000");
    let rating_a =
        rating_a.zip(form).and_then(|(figure, form)| rating(&fuse, "rating_a", figure, form));
    if let Some((rating, current)) = rating_a.zip(continuous_a).filter(|(fuse, load)| fuse < load) {
        let wrong = format!("A fuse of {rating} A does not carry {current} A continuously.");
        fuse.fault("rating_a", wrong, format!("Write a rating of at least {current}."));
    }
    Some(FuseAsk { form: form?, rating_a: rating_a?, distance_max_mm: distance_max_mm? })
}

/// The figure, if the form is made with this rating.
pub(in crate::domain) fn rating(
    section: &Section<'_>,
    key: &str,
    figure: Decimal,
    form: FuseForm,
) -> Option<Decimal> {
    let made = form.ratings();
    let found = made.iter().any(|amps| amps.0.total_cmp(&physical(figure)).is_eq());
    if !found {
        let ratings: Vec<String> = made.iter().map(|amps| amps.0.to_string()).collect();
        let wrong = format!("{figure} A is not a rating of the {}.", form.label());
        section.fault(key, wrong, format!("Write {}.", listed(&ratings)));
    }
    found.then_some(figure)
}

pub(in crate::domain) const SIZE_EXPECTED: &str =
    "a size in quotes, such as \"6 mm2\" or \"10 AWG\"";

/// A conductor size as it stands on the reel.
pub(in crate::domain) fn conductor_size(text: &str) -> Option<ConductorSize> {
    ConductorSize::parse(text).ok()
}
