//! Any plan that its file accepts: every figure over its whole range, most of them where vehicles are.

use fusewright::domain::kit::{Circuit, Kit};
use fusewright::domain::kit_check::read_kit;
use fusewright::domain::number::Decimal;
use fusewright::domain::plan::Plan;
use fusewright::domain::plan_file::read_plan;
use fusewright::domain::plan_form::form_to_toml;
use fusewright::engineering::ampacity::Insulation;
use fusewright::engineering::conductor::ConductorSize;
use proptest::prelude::*;
use proptest::sample::select;

const KITS: [&str; 3] = [
    include_str!("../../server/cli/demo/kits/tray-40.toml"),
    include_str!("../../server/cli/demo/kits/duo-24.toml"),
    include_str!("../../server/cli/demo/kits/cool-12.toml"),
];

/// What was typed under each field of the form.
pub(crate) type Typed = Vec<(String, String)>;
type Field = BoxedStrategy<(String, String)>;

/// A kit of any mass, and a plan for it as it was typed.
#[derive(Debug, Clone)]
pub(crate) struct AnyPlan {
    pub(crate) kit: Kit,
    pub(crate) typed: Typed,
}

impl AnyPlan {
    pub(crate) fn plan(&self) -> Plan {
        read_typed(&self.kit, &self.typed)
    }
}

/// The plan that was typed, which must have no fault.
#[track_caller]
pub(crate) fn read_typed(kit: &Kit, typed: &[(String, String)]) -> Plan {
    read_plan(&form_to_toml(kit, typed), kit).unwrap_or_else(|faults| panic!("{faults:#?}"))
}

pub(crate) fn any_plan() -> impl Strategy<Value = AnyPlan> {
    (0..KITS.len(), mass()).prop_flat_map(|(at, mass_kg)| {
        let kit = Kit { mass_kg, ..read_kit(KITS[at]).unwrap() };
        let mut fields = vehicle(&kit);
        fields.extend(kit.circuits.iter().flat_map(circuit));
        fields.extend(mounting(&kit));
        fields.extend(kit.solar.iter().flat_map(|_| solar()));
        fields.extend(weights());
        fields.prop_map(move |typed| {
            let typed = typed.into_iter().filter(|(_, text)| !text.is_empty()).collect();
            AnyPlan { kit: kit.clone(), typed: sensible(typed) }
        })
    })
}

fn mass() -> BoxedStrategy<Decimal> {
    number((5, 100_000), (500, 8_000), 2).prop_map(|text| text.parse().unwrap()).boxed()
}

/// A figure in hundredths, say, over its whole range; its ends often, the usual part of it mostly.
fn number(whole: (i64, i64), usual: (i64, i64), decimals: u32) -> BoxedStrategy<String> {
    prop_oneof![
        6 => usual.0..=usual.1,
        1 => whole.0..=whole.1,
        1 => select(vec![whole.0, whole.1]),
    ]
    .prop_map(move |figure| Decimal::new(figure, decimals).to_string())
    .boxed()
}

fn field(key: &str, value: impl Strategy<Value = String> + 'static) -> Field {
    let key = key.to_owned();
    value.prop_map(move |value| (key.clone(), value)).boxed()
}

/// Left out every other time.
fn maybe(key: &str, value: impl Strategy<Value = String> + 'static) -> Field {
    field(key, prop_oneof![Just(String::new()), value])
}

fn word(key: &str, words: &[&str]) -> Field {
    let words: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
    field(key, select(words))
}

fn vehicle(kit: &Kit) -> Vec<Field> {
    let voltage = kit.nominal_voltage_v.to_string();
    vec![
        field("vehicle.description", Just("Van".to_owned())),
        field("vehicle.registration", Just("HP 21".to_owned())),
        field("vehicle.vin_tail", Just("K4073318".to_owned())),
        field("vehicle.nominal_voltage_v", Just(voltage)),
        word("vehicle.battery", &["flooded", "agm", "gel", "lfp"]),
        field("vehicle.battery_ah", number((10, 20_000), (400, 2_000), 1)),
        maybe("vehicle.battery_milliohm", number((1, 2_000), (20, 200), 1)),
        maybe("vehicle.cold_cranking_a", number((50, 3_000), (400, 900), 0)),
        maybe("vehicle.battery_c", number((-400, 600), (-100, 350), 1)),
        field("vehicle.alternator_a", number((100, 6_000), (900, 2_000), 1)),
        field("vehicle.base_load_a", number((0, 4_000), (200, 800), 1)),
        word("vehicle.smart_alternator", &["true", "false"]),
    ]
}

fn circuit(circuit: &Circuit) -> Vec<Field> {
    let key = |name: &str| format!("circuits.{}.{name}", circuit.id);
    let sizes = ConductorSize::all_metric().chain(ConductorSize::all_awg());
    let sizes: Vec<&str> = sizes.map(ConductorSize::label).collect();
    let classes = Insulation::ALL.map(|class| class.max().0.to_string());
    let classes: Vec<&str> = classes.iter().map(String::as_str).collect();
    let mut fields = vec![
        field(&key("length_out_m"), number((5, 3_000), (40, 900), 2)),
        word(&key("return"), &["cable", "chassis"]),
        field(&key("length_back_m"), number((5, 3_000), (40, 900), 2)),
        field(&key("bond_milliohm"), number((1, 10_000), (50, 500), 2)),
        word(&key("cable"), &sizes),
        word(&key("insulation_c"), &classes),
        field(&key("ambient_c"), number((-200, 1_200), (200, 590), 1)),
        word(&key("place"), &["outside", "engine_space"]),
        field(&key("circuits_bundled"), number((1, 20), (1, 3), 0)),
        maybe(&key("joints"), number((0, 20), (2, 6), 0)),
    ];
    if let Some(fuse) = circuit.fuse {
        let ratings: Vec<String> =
            fuse.form.ratings().iter().map(|rating| rating.0.to_string()).collect();
        let ratings: Vec<&str> = ratings.iter().map(String::as_str).collect();
        fields.push(word(&key("fuse_a"), &ratings));
        fields.push(field(&key("fuse_distance_mm"), number((0, 5_000), (50, 300), 0)));
        fields.push(word(&key("fuse_covered"), &["true", "false"]));
    }
    fields
}

fn mounting(kit: &Kit) -> Vec<Field> {
    let washer: Decimal = kit.mounting.washer_mm;
    let kits = i64::try_from(washer.trunc().mantissa()).unwrap();
    vec![
        word("mounting.surface", &["steel", "aluminium", "plywood", "composite"]),
        field("mounting.thickness_mm", number((4, 1_000), (10, 180), 1)),
        field("mounting.layers", number((1, 10), (1, 2), 0)),
        word("mounting.removable", &["true", "false"]),
        word("mounting.supported", &["true", "false"]),
        maybe("mounting.surface_rating_kg", number((1, 20_000), (20, 900), 0)),
        word("mounting.rating_kind", &["crash", "driving"]),
        word("mounting.backing", &["washers", "plate"]),
        field("mounting.backing_mm", number((5, 500), (10, 60), 1)),
        maybe("mounting.washer_mm", number((kits, 200), (kits, 40), 0)),
        field("mounting.edge_distance_mm", number((1, 3_000), (15, 120), 0)),
        field("mounting.centre_of_mass_mm", number((0, 1_500), (50, 400), 0)),
        maybe("mounting.off_ahead_mm", number((-2_000, 2_000), (-100, 100), 0)),
        maybe("mounting.off_right_mm", number((-2_000, 2_000), (-100, 100), 0)),
        word("mounting.restraint", &["M1N1", "M2N2", "M3N3", "own"]),
        field("mounting.own_forward_g", number((5, 1_000), (50, 200), 1)),
        field("mounting.own_side_g", number((5, 1_000), (50, 200), 1)),
    ]
}

fn solar() -> Vec<Field> {
    vec![
        field("solar.module_voc_v", number((10, 1_200), (200, 500), 1)),
        field("solar.module_isc_a", number((5, 3_000), (300, 1_300), 2)),
        maybe("solar.voc_percent_per_k", number((-100, -5), (-35, -25), 2)),
        field("solar.in_series", number((1, 12), (1, 3), 0)),
        field("solar.in_parallel", number((1, 12), (1, 4), 0)),
        maybe("solar.module_fuse_max_a", number((10, 1_000), (100, 300), 1)),
        maybe("solar.noct_c", number((300, 700), (430, 480), 1)),
        field("solar.coldest_c", number((-600, 399), (-300, 0), 1)),
        field("solar.hottest_c", number((-200, 600), (250, 400), 1)),
    ]
}

fn weights() -> Vec<Field> {
    vec![
        maybe("weights.payload_left_kg", number((0, 40_000), (50, 900), 0)),
        maybe("weights.further_kg", number((0, 5_000), (0, 60), 0)),
        field("weights.wheelbase_mm", number((1_000, 9_000), (2_500, 4_300), 0)),
        field("weights.behind_front_mm", number((-2_000, 12_000), (1_500, 4_000), 0)),
        maybe("weights.front_left_kg", number((0, 20_000), (0, 300), 0)),
        maybe("weights.rear_left_kg", number((0, 40_000), (0, 300), 0)),
    ]
}

/// Without the figures that another choice makes needless, with air that the insulation stands, and
/// fuses on their cables.
fn sensible(mut typed: Typed) -> Typed {
    let mut needless = Vec::new();
    let mut smaller = Vec::new();
    for (key, value) in &typed {
        let beside = |name: &str| key.rsplit_once('.').map(|(path, _)| format!("{path}.{name}"));
        match (key.rsplit('.').next().unwrap(), value.as_str()) {
            ("return", "cable") => needless.extend(beside("bond_milliohm")),
            ("return", "chassis") => needless.extend(beside("length_back_m")),
            ("backing", "washers") => needless.extend(beside("backing_mm")),
            ("restraint", class) if class != "own" => {
                needless.extend(["own_forward_g", "own_side_g"].into_iter().filter_map(beside));
            }
            ("length_out_m", metres) => {
                let most = metres.parse::<Decimal>().unwrap() * Decimal::ONE_THOUSAND;
                smaller.extend(beside("fuse_distance_mm").map(|key| (key, most)));
            }
            ("insulation_c", class) => {
                let most: Decimal = class.parse().unwrap();
                smaller.extend(beside("ambient_c").map(|key| (key, most - Decimal::new(1, 1))));
            }
            _ => {}
        }
    }
    if !typed.iter().any(|(key, _)| key == "mounting.surface_rating_kg") {
        needless.push("mounting.rating_kind".to_owned());
    }
    smaller.push(("solar.coldest_c".to_owned(), hottest(&typed) - Decimal::new(1, 1)));
    typed.retain(|(key, _)| !needless.contains(key));
    for (key, most) in smaller {
        for (_, value) in typed.iter_mut().filter(|(name, _)| *name == key) {
            *value = value.parse::<Decimal>().unwrap().min(most).to_string();
        }
    }
    typed
}

fn hottest(typed: &[(String, String)]) -> Decimal {
    let found = typed.iter().find(|(key, _)| key == "solar.hottest_c");
    found.map_or(Decimal::ONE_HUNDRED, |(_, value)| value.parse().unwrap())
}
