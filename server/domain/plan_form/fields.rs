//! The fields of the plan's form, each with its unit and what to look at in the vehicle.

use crate::domain::kit::{Circuit, Kit, Purpose};
use crate::domain::kit_check::NOMINAL_VOLTAGES;
use crate::domain::plan::{Chemistry, RatingKind, Surface};
use crate::engineering::ampacity::Insulation;
use crate::engineering::conductor::ConductorSize;
use crate::engineering::fuse::FuseForm;

/// Fields that belong together, under one heading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormSection {
    /// The section of the plan file: `vehicle`, `circuits.supply`.
    pub path: String,
    pub title: String,
    pub hint: String,
    pub fields: Vec<FormField>,
}

/// One field.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormField {
    /// Dotted path in the plan file, and the name of the input: `circuits.supply.cable`.
    pub key: String,
    pub label: &'static str,
    pub unit: Option<&'static str>,
    /// May be empty.
    pub hint: String,
    pub kind: FieldKind,
    pub optional: bool,
}

/// What a field takes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum FieldKind {
    Number,
    Text,
    /// Value and label of each choice, in order.
    Choice(Vec<(String, String)>),
    Flag,
}

/// The whole form for plans of this kit.
pub fn form_sections(kit: &Kit) -> Vec<FormSection> {
    let mut sections = vec![vehicle()];
    sections.extend(kit.circuits.iter().map(circuit));
    sections.push(mounting(kit));
    sections.extend(kit.solar.as_ref().map(|_| solar(kit)));
    sections.push(weights());
    sections
}

fn section(path: &str, title: &str, hint: String, fields: Vec<FormField>) -> FormSection {
    let in_section = |field: FormField| FormField { key: format!("{path}.{}", field.key), ..field };
    FormSection {
        path: path.to_owned(),
        title: title.to_owned(),
        hint,
        fields: fields.into_iter().map(in_section).collect(),
    }
}

fn field(key: &str, label: &'static str, kind: FieldKind) -> FormField {
    let (unit, hint) = (None, String::new());
    FormField { key: key.to_owned(), label, unit, hint, kind, optional: false }
}

fn number(key: &str, label: &'static str, unit: &'static str) -> FormField {
    FormField { unit: Some(unit), ..field(key, label, FieldKind::Number) }
}

fn count(key: &str, label: &'static str) -> FormField {
    field(key, label, FieldKind::Number)
}

fn choice<V: ToString, L: ToString>(
    key: &str,
    label: &'static str,
    choices: impl IntoIterator<Item = (V, L)>,
) -> FormField {
    let choices = choices.into_iter().map(|(value, label)| (value.to_string(), label.to_string()));
    field(key, label, FieldKind::Choice(choices.collect()))
}

fn flag(key: &str, label: &'static str) -> FormField {
    field(key, label, FieldKind::Flag)
}

impl FormField {
    fn hint(self, hint: impl Into<String>) -> Self {
        Self { hint: hint.into(), ..self }
    }

    fn optional(self) -> Self {
        Self { optional: true, ..self }
    }
}

fn vehicle() -> FormSection {
    let voltages = NOMINAL_VOLTAGES.map(|volts| (volts, format!("{volts} V")));
    let fields = vec![
        field("description", "Vehicle", FieldKind::Text).hint("Kind, length, year of make."),
        field("registration", "Registration", FieldKind::Text),
        field("vin_tail", "Identification number, last characters", FieldKind::Text)
            .hint("At least the last four."),
        number("odometer_km", "Odometer", "km").optional(),
        choice("nominal_voltage_v", "Nominal voltage", voltages),
        choice("battery", "Battery", Chemistry::ALL.map(|one| (one.word(), one.label()))),
        number("battery_ah", "Battery capacity", "Ah").hint("From its label."),
        number("battery_milliohm", "Battery internal resistance", "mΩ")
            .optional()
            .hint("If a tester gave it."),
        number("cold_cranking_a", "Cold cranking current", "A")
            .optional()
            .hint("From its label; stands in where no tester gave the resistance."),
        number("battery_c", "Battery temperature", "°C")
            .optional()
            .hint("Expected when it is measured; 25 °C otherwise."),
        number("alternator_a", "Alternator rating", "A").hint("From its plate or the handbook."),
        number("base_load_a", "The vehicle's own load", "A")
            .hint("What it draws while driving, lights and blower on."),
        flag("smart_alternator", "The alternator's voltage is steered by the engine computer"),
    ];
    section("vehicle", "Vehicle", String::new(), fields)
}

fn circuit(circuit: &Circuit) -> FormSection {
    let sizes = ConductorSize::all_metric().chain(ConductorSize::all_awg());
    let classes = Insulation::ALL.map(|class| (class.max().0, format!("{} °C", class.max().0)));
    let places = [("outside", "Elsewhere in the vehicle"), ("engine_space", "Engine space")];
    let returns = [("cable", "By cable"), ("chassis", "By the body")];
    let mut fields = vec![
        number("length_out_m", "Length out", "m").hint("Along the cable, source to gear."),
        choice("return", "Way back", returns),
        number("length_back_m", "Length back", "m").optional().hint("For a return by cable."),
        number("bond_milliohm", "Bond to the body", "mΩ")
            .optional()
            .hint("For a return by the body: both bonds together."),
        choice("cable", "Cable", sizes.map(|size| (size.label(), size.label()))),
        choice("insulation_c", "Temperature class of the cable", classes)
            .hint("Printed on the cable, or in its data sheet."),
        number("ambient_c", "Air around the cable", "°C").hint("At its hottest part, in summer."),
        choice("place", "Place", places),
        count("circuits_bundled", "Circuits in the same bundle")
            .hint("Loaded ones, this one included."),
        count("joints", "Joints in the way")
            .optional()
            .hint("Lugs, splices and fuse contacts, out and back; 2 otherwise."),
    ];
    if let Some(fuse) = circuit.fuse {
        fields.extend(fuse_fields(fuse.form));
    }
    let path = format!("circuits.{}", circuit.id);
    section(&path, &circuit.title, circuit_hint(circuit), fields)
}

fn fuse_fields(form: FuseForm) -> [FormField; 3] {
    let ratings = form.ratings().iter().map(|amps| (amps.0, format!("{} A", amps.0)));
    [
        choice("fuse_a", "Fuse", ratings),
        number("fuse_distance_mm", "Fuse to source", "mm").hint("Along the cable."),
        flag("fuse_covered", "The cable is covered all the way to the fuse"),
    ]
}

/// What the circuit is for and what the kit asks of it.
fn circuit_hint(circuit: &Circuit) -> String {
    let purpose = match circuit.purpose {
        Purpose::Supply => "From the vehicle's battery to the gear.",
        Purpose::Sense => "Tells the gear that the engine runs.",
        Purpose::Solar => "From the solar modules to the gear.",
        Purpose::Load => "From the gear to a second battery or an appliance.",
    };
    let current = circuit.continuous_a.normalize();
    let drop = circuit.allowed_drop_percent.normalize();
    let fuse = circuit.fuse.map_or_else(String::new, |fuse| {
        format!(
            " The maker asks for a {} of {} A within {} mm of the source.",
            fuse.form.label(),
            fuse.rating_a.normalize(),
            fuse.distance_max_mm.normalize()
        )
    });
    let size = circuit.least_size.map_or_else(String::new, |size| {
        format!(" The maker asks for a cable of at least {}.", size.label())
    });
    format!("{purpose} {current} A continuous, at most {drop} % lost.{fuse}{size}")
}

fn mounting(kit: &Kit) -> FormSection {
    let hint = format!(
        "{} kg on {} fasteners {} of class {}.",
        kit.mass_kg.normalize(),
        kit.mounting.count,
        kit.mounting.thread,
        kit.mounting.class
    );
    let mut fields = surface();
    fields.extend(hold());
    section("mounting", "Mounting", hint, fields)
}

/// What the gear is bolted to, and what spreads the load.
fn surface() -> Vec<FormField> {
    let backings = [("washers", "Washers only"), ("plate", "A plate under all fasteners")];
    vec![
        choice("surface", "Surface", Surface::ALL.map(|one| (one.word(), one.label()))),
        number("thickness_mm", "Thickness", "mm").hint("Of one layer."),
        count("layers", "Layers").hint("1, unless sheets or boards lie loose on each other."),
        flag("removable", "The panel comes off or moves"),
        flag("supported", "Beams or a frame carry the panel from beneath"),
        number("surface_rating_kg", "Rating of the surface", "kg")
            .optional()
            .hint("If its maker gives one."),
        choice(
            "rating_kind",
            "What that rating means",
            RatingKind::ALL.map(|k| (k.word(), k.label())),
        )
        .optional(),
        choice("backing", "On the far side", backings),
        number("backing_mm", "Thickness of the plate", "mm")
            .optional()
            .hint("If there is a plate."),
        number("washer_mm", "Washers, outer diameter", "mm")
            .optional()
            .hint("If other ones than the kit's are taken."),
        number("edge_distance_mm", "Hole to the nearest free edge", "mm"),
    ]
}

/// What has to be held, and how hard.
fn hold() -> Vec<FormField> {
    let restraints = [
        ("M1N1", "Car, or van up to 3.5 t"),
        ("M2N2", "Minibus up to 5 t, or truck up to 12 t"),
        ("M3N3", "Bus above 5 t, or truck above 12 t"),
        ("own", "Levels of your own"),
    ];
    vec![
        number("centre_of_mass_mm", "Centre of mass above the surface", "mm")
            .hint("Of the gear with its load."),
        number("off_ahead_mm", "Centre of mass ahead of the fasteners' middle", "mm")
            .optional()
            .hint("Negative if it lies behind."),
        number("off_right_mm", "Centre of mass right of the fasteners' middle", "mm")
            .optional()
            .hint("Negative if it lies to the left."),
        choice("restraint", "Kind of vehicle", restraints)
            .hint("Sets how hard the mount must hold in a crash."),
        number("own_forward_g", "Own level, in travel direction", "g").optional(),
        number("own_side_g", "Own level, across", "g").optional(),
    ]
}

fn solar(kit: &Kit) -> FormSection {
    let hint = kit.solar.as_ref().map_or_else(String::new, |input| {
        format!(
            "The input takes {} V to {} V and at most {} A.",
            input.voltage_start_v.normalize(),
            input.voltage_max_v.normalize(),
            input.current_max_a.normalize()
        )
    });
    let fields = vec![
        number("module_voc_v", "Open-circuit voltage of one module", "V").hint("At 25 °C."),
        number("module_isc_a", "Short-circuit current of one module", "A"),
        number("voc_percent_per_k", "Temperature coefficient of the voltage", "%/K")
            .optional()
            .hint("Negative; leave it empty if the data sheet is missing."),
        count("in_series", "Modules in series"),
        count("in_parallel", "Strings in parallel"),
        number("module_fuse_max_a", "Largest string fuse", "A")
            .optional()
            .hint("By the module's data sheet."),
        number("noct_c", "Nominal operating cell temperature", "°C")
            .optional()
            .hint("By the data sheet; 45 °C otherwise."),
        number("coldest_c", "Coldest day", "°C"),
        number("hottest_c", "Hottest day", "°C"),
    ];
    section("solar", "Solar modules", hint, fields)
}

fn weights() -> FormSection {
    let fields = vec![
        number("payload_left_kg", "Payload left", "kg")
            .optional()
            .hint("Weighed, or from the papers: with people and usual load."),
        number("further_kg", "Fitted besides the kit", "kg")
            .optional()
            .hint("Second battery, cable, modules."),
        number("wheelbase_mm", "Wheelbase", "mm").optional(),
        number("behind_front_mm", "Gear behind the front axle", "mm").optional().hint(
            "To the middle of the gear; more than the wheelbase if it sits behind the rear axle.",
        ),
        number("front_left_kg", "Left on the front axle", "kg").optional(),
        number("rear_left_kg", "Left on the rear axle", "kg").optional(),
    ];
    let hint = "Not needed for the sheet. Drivers are weighed: what is looked up here is checked.";
    section("weights", "Weight", hint.to_owned(), fields)
}
