//! A plan for a kit that nobody has planned yet, so that the sheet it makes can be looked at.

use super::{FieldKind, FormField, form_sections, form_start, form_to_toml};
use crate::domain::document::Fault;
use crate::domain::kit::{Circuit, Kit};
use crate::domain::number::Decimal;
use crate::domain::plan::Plan;
use crate::domain::plan_file::read_plan;

/// What a vehicle without particulars is taken to have, by the last part of the field's key. Assumed for
/// looking at a sheet: no vehicle is planned with these.
const ASSUMED: [(&str, &str); 25] = [
    ("description", "Assumed vehicle"),
    ("registration", "NONE"),
    ("vin_tail", "0000"),
    ("battery_ah", "90"),
    ("alternator_a", "150"),
    ("base_load_a", "30"),
    ("length_out_m", "3"),
    ("length_back_m", "3"),
    ("return", "cable"),
    ("insulation_c", "105"),
    ("ambient_c", "40"),
    ("place", "outside"),
    ("fuse_distance_mm", "150"),
    ("fuse_covered", "true"),
    ("surface", "steel"),
    ("removable", "false"),
    ("supported", "true"),
    ("backing", "washers"),
    ("edge_distance_mm", "60"),
    ("centre_of_mass_mm", "100"),
    ("restraint", "M1N1"),
    ("in_series", "1"),
    ("in_parallel", "1"),
    ("coldest_c", "-10"),
    ("hottest_c", "40"),
];

/// A plan of what is known, under the keys of the form's fields; the kit's own figures and assumed ones
/// stand where nothing is. A fault means that what is known does not fit this kit.
pub fn standard_plan(kit: &Kit, known: &[(String, String)]) -> Result<Plan, Vec<Fault>> {
    let mut fields = form_start(kit);
    for section in form_sections(kit) {
        let is_known = known.iter().any(|(key, _)| {
            key.strip_prefix(&section.path).is_some_and(|rest| rest.starts_with('.'))
        });
        // Beside known figures an optional one may be one too many: a length back where the body returns.
        for field in section.fields.into_iter().filter(|field| !(is_known && field.optional)) {
            if let Some(value) = assumed(kit, &field) {
                fields.push((field.key, value));
            }
        }
    }
    // Of a key that comes twice the last counts.
    fields.extend(known.iter().cloned());
    read_plan(&form_to_toml(kit, &fields), kit)
}

fn assumed(kit: &Kit, field: &FormField) -> Option<String> {
    let last = field.key.rsplit('.').next().unwrap_or_default();
    if let Some(value) = of_kit(kit, field, last) {
        return Some(value);
    }
    if let Some((_, value)) = ASSUMED.iter().find(|(name, _)| *name == last) {
        return Some((*value).to_owned());
    }
    match &field.kind {
        FieldKind::Choice(choices) if !field.optional => {
            choices.first().map(|(value, _)| value.clone())
        }
        _ => None,
    }
}

/// What follows from the kit's own figures.
fn of_kit(kit: &Kit, field: &FormField, last: &str) -> Option<String> {
    let half = |figure: Decimal| (figure / Decimal::TWO).normalize().to_string();
    let solar = kit.solar.as_ref();
    match last {
        "nominal_voltage_v" => Some(kit.nominal_voltage_v.normalize().to_string()),
        "thickness_mm" => Some(kit.mounting.least_thickness_mm.normalize().to_string()),
        "layers" | "circuits_bundled" => Some("1".to_owned()),
        "cable" => cable(circuit_of(kit, field)?, field),
        "fuse_a" => circuit_of(kit, field)?.fuse.map(|fuse| fuse.rating_a.normalize().to_string()),
        "module_voc_v" => solar.map(|input| half(input.voltage_max_v)),
        "module_isc_a" => solar.map(|input| half(input.current_max_a)),
        _ => None,
    }
}

fn circuit_of<'a>(kit: &'a Kit, field: &FormField) -> Option<&'a Circuit> {
    kit.circuit(field.key.strip_prefix("circuits.")?.split('.').next()?)
}

/// The least size that the maker asks for, else one that is common.
fn cable(circuit: &Circuit, field: &FormField) -> Option<String> {
    let FieldKind::Choice(choices) = &field.kind else { return None };
    let least = circuit.least_size.map(|size| size.label().to_owned());
    let common = choices.iter().map(|(value, _)| value).find(|value| value.starts_with("10 "));
    least.or(common.cloned())
}
