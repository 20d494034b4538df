//! A kit in words, line by line: every figure of it under a name that lasts.

use super::{Line, Subject};
use crate::domain::kit::{
    Charging, Circuit, ExtraKind, Kit, Mounting, Pole, Sense, SolarInput, Terminal, Torque,
};
use crate::domain::number::Decimal;
use crate::domain::step::Unit;

/// Lines that are gathered of one kit.
struct Lines(Vec<Line>);

impl Lines {
    fn say(&mut self, subject: Subject, name: impl Into<String>, value: impl Into<String>) {
        self.0.push(Line { subject, name: name.into(), value: value.into() });
    }

    /// Nothing where the kit gives no figure.
    fn maybe(&mut self, subject: Subject, name: impl Into<String>, value: Option<String>) {
        if let Some(value) = value {
            self.say(subject, name, value);
        }
    }
}

pub(super) fn in_words(kit: &Kit) -> Vec<Line> {
    let mut lines = Lines(Vec::new());
    texts(kit, &mut lines);
    figures(kit, &mut lines);
    for (place, terminal) in (1..).zip(&kit.terminals) {
        self::terminal(place, terminal, &mut lines);
    }
    for circuit in &kit.circuits {
        self::circuit(circuit, &mut lines);
    }
    joints(kit, &mut lines);
    mounting(&kit.mounting, &mut lines);
    inputs(kit, &mut lines);
    steps(kit, &mut lines);
    parts(kit, &mut lines);
    lines.0
}

/// `5.50` and `5.5` are one figure.
fn figure(figure: Decimal, unit: &str) -> String {
    format!("{} {unit}", figure.normalize())
}

fn torque_words(torque: &Torque) -> String {
    format!("{} N·m ± {} %", torque.target_nm.normalize(), torque.tolerance_percent.normalize())
}

fn texts(kit: &Kit, lines: &mut Lines) {
    lines.say(Subject::Texts, "Code", &kit.code);
    lines.say(Subject::Texts, "Title", &kit.title);
    lines.say(Subject::Texts, "Maker", &kit.maker);
    lines.say(Subject::Texts, "Manual", &kit.manual);
}

fn figures(kit: &Kit, lines: &mut Lines) {
    let subject = Subject::Figures;
    lines.say(subject, "Nominal voltage", figure(kit.nominal_voltage_v, "V"));
    lines.say(subject, "Mass", figure(kit.mass_kg, "kg"));
    let standing = kit.standing_current_ma.map(|current| figure(current, "mA"));
    lines.maybe(subject, "Standing current, at most", standing);
    let insulation = kit.insulation_least_megohm.map(|least| figure(least, "MΩ"));
    lines.maybe(subject, "Insulation, at least", insulation);
    for side in &kit.clearances {
        let name = format!("Free space, {}", side.side);
        lines.say(subject, &name, figure(side.least_mm, "mm"));
        lines.say(subject, format!("{name}, page"), &side.page);
    }
}

fn terminal(place: usize, terminal: &Terminal, lines: &mut Lines) {
    let subject = Subject::Terminals;
    let name = |what: &str| format!("{}, {what}", terminal.label);
    let pole = match terminal.pole {
        Pole::Positive => "positive",
        Pole::Negative => "negative",
        Pole::Signal => "signal",
    };
    lines.say(subject, name("place"), format!("{place} from the left"));
    lines.say(subject, name("circuit"), format!("{}, {pole}", terminal.circuit));
    lines.say(subject, name("colour"), &terminal.colour);
    lines.say(subject, name("stud"), terminal.stud.clone().unwrap_or_else(|| "clamp".to_owned()));
    lines.maybe(subject, name("stripped"), terminal.strip_mm.map(|mm| figure(mm, "mm")));
    lines.say(subject, name("page"), &terminal.page);
    let torque = terminal.torque.as_ref().map(torque_words);
    lines.maybe(Subject::Torques, format!("Terminal {}", terminal.label), torque);
}

fn circuit(circuit: &Circuit, lines: &mut Lines) {
    let subject = Subject::Circuits;
    let name = |what: &str| format!("{}, {what}", circuit.id);
    lines.say(subject, name("title"), &circuit.title);
    lines.say(subject, name("purpose"), circuit.purpose.word());
    lines.say(subject, name("current"), figure(circuit.continuous_a, "A"));
    lines.maybe(subject, name("peak"), circuit.peak_a.map(|peak| figure(peak, "A")));
    lines.say(subject, name("allowed drop"), figure(circuit.allowed_drop_percent, "%"));
    let least = circuit.least_size.map(|size| size.label().to_owned());
    lines.maybe(subject, name("least size"), least);
    lines.say(subject, name("page"), &circuit.page);
    let Some(fuse) = circuit.fuse else { return };
    lines.say(Subject::Fuses, name("form"), fuse.form.label());
    lines.say(Subject::Fuses, name("rating"), figure(fuse.rating_a, "A"));
    lines.say(Subject::Fuses, name("to the source, at most"), figure(fuse.distance_max_mm, "mm"));
}

fn joints(kit: &Kit, lines: &mut Lines) {
    for joint in &kit.joints {
        let name = format!("Joint {}", joint.id);
        lines.say(Subject::Torques, &name, torque_words(&joint.torque));
        lines.say(Subject::Torques, format!("{name}, title"), &joint.title);
        lines.say(Subject::Torques, format!("{name}, page"), &joint.page);
    }
}

fn mounting(held: &Mounting, lines: &mut Lines) {
    let subject = Subject::Mounting;
    let fasteners = format!("{} × {}, class {}", held.count, held.thread, held.class);
    lines.say(subject, "Fasteners", fasteners);
    let pattern = [held.pattern_length_mm, held.pattern_width_mm].map(|mm| mm.normalize());
    lines.say(subject, "Pattern", format!("{} × {} mm", pattern[0], pattern[1]));
    for (number, place) in (1..).zip(&held.positions) {
        let (along, across) = (place.along_mm.normalize(), place.across_mm.normalize());
        lines.say(subject, format!("Place of fastener {number}"), format!("{along} / {across} mm"));
    }
    lines.say(subject, "Washers", figure(held.washer_mm, "mm"));
    lines.say(subject, "Surface, at least", figure(held.least_thickness_mm, "mm"));
    let rating = held.least_surface_rating_kg.map(|rating| figure(rating, "kg"));
    lines.maybe(subject, "Surface rating, at least", rating);
    lines.say(subject, "Page", &held.page);
    lines.say(Subject::Torques, "Fasteners of the mounting", torque_words(&held.torque));
    let prevailing = held.prevailing_nm.map(|torque| figure(torque, "N·m"));
    lines.maybe(Subject::Torques, "Prevailing torque of their nuts", prevailing);
}

fn inputs(kit: &Kit, lines: &mut Lines) {
    if let Some(sense) = &kit.sense {
        self::sense(sense, lines);
    }
    if let Some(solar) = &kit.solar {
        self::solar(solar, lines);
    }
    if let Some(charging) = &kit.charging {
        self::charging(charging, lines);
    }
}

fn sense(sense: &Sense, lines: &mut Lines) {
    let subject = Subject::Inputs;
    lines.say(subject, "Sensing, circuit", &sense.circuit);
    lines.say(subject, "Sensing, engine running at least", figure(sense.on_least_v, "V"));
    lines.say(subject, "Sensing, engine off at most", figure(sense.off_most_v, "V"));
    let cranking = Some(sense.cranking.words(Unit::Volt)).filter(|words| !words.is_empty());
    lines.maybe(subject, "Sensing, while the starter turns", cranking);
    lines.say(subject, "Sensing, page", &sense.page);
}

fn solar(solar: &SolarInput, lines: &mut Lines) {
    let subject = Subject::Inputs;
    lines.say(subject, "Solar, circuit", &solar.circuit);
    lines.say(subject, "Solar, voltage at most", figure(solar.voltage_max_v, "V"));
    lines.say(subject, "Solar, starts at", figure(solar.voltage_start_v, "V"));
    lines.say(subject, "Solar, current at most", figure(solar.current_max_a, "A"));
    lines.say(subject, "Solar, page", &solar.page);
}

fn charging(charging: &Charging, lines: &mut Lines) {
    let subject = Subject::Inputs;
    lines.say(subject, "Charging, circuit", &charging.circuit);
    lines.say(subject, "Charging, voltage at least", figure(charging.voltage_least_v, "V"));
    lines.say(subject, "Charging, voltage at most", figure(charging.voltage_most_v, "V"));
    lines.say(subject, "Charging, current at least", figure(charging.current_least_a, "A"));
    let efficiency = charging.efficiency_percent.map(|share| figure(share, "%"));
    lines.maybe(subject, "Charging, efficiency", efficiency);
    lines.maybe(subject, "Charging, pack holds", charging.pack_wh.map(|wh| figure(wh, "Wh")));
    lines.say(subject, "Charging, page", &charging.page);
}

fn steps(kit: &Kit, lines: &mut Lines) {
    let subject = Subject::Steps;
    for step in &kit.extra_steps {
        let kind = match step.kind {
            ExtraKind::Confirm => "a tick",
            ExtraKind::Photo => "a photo",
            ExtraKind::Note => "a note",
        };
        let caution = step.caution.as_ref().map(|words| format!(" Caution: {words}"));
        let value = format!(
            "{}: {}; {kind}. {}{}",
            step.phase.title(),
            step.title,
            step.how,
            caution.unwrap_or_default()
        );
        lines.say(subject, &step.id, value);
    }
    for reading in &kit.extra_readings {
        let value = format!(
            "{}: {}; {}. {} Page {}.",
            reading.phase.title(),
            reading.title,
            reading.limits.words(reading.unit),
            reading.how,
            reading.page
        );
        lines.say(subject, &reading.id, value);
    }
}

fn parts(kit: &Kit, lines: &mut Lines) {
    for part in &kit.parts {
        let marks: Vec<&str> = part.marks.iter().map(|mark| mark.word()).collect();
        let value = format!(
            "{}, number {}; {}, at “{}”",
            part.name,
            part.number,
            marks.join(" and "),
            part.phase.title()
        );
        lines.say(Subject::Parts, &part.id, value);
    }
}
