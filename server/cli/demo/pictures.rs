//! The photos of the demo, drawn for it: flat, plain, each with the job and the time on its edge.

use super::canvas::{Canvas, Colour, HEIGHT, Point, WIDTH};
use super::job::Opening;
use crate::acts::ActError;
use crate::domain::kit::Kit;

const WHITE: Colour = [244, 244, 240];
const INK: Colour = [28, 32, 34];
const FLOOR: Colour = [126, 128, 126];
const WALL: Colour = [206, 208, 202];
const STEEL: Colour = [164, 168, 170];
const DARK_STEEL: Colour = [112, 116, 120];
const GLASS: Colour = [88, 108, 122];
const PAINT_MARK: Colour = [236, 186, 40];
const COPPER: Colour = [186, 112, 66];

/// What is on a photo.
#[derive(Debug, Clone)]
pub(super) enum Scene {
    Vehicle {
        body: Body,
        colour: Colour,
        plate: String,
    },
    Underside,
    Run {
        conductor: Colour,
    },
    /// Terminals from the left: label and conductor.
    Row(Vec<(String, Colour)>),
    Meter {
        figures: String,
        unit: String,
    },
    Bolt,
    Locks,
    Switches,
}

#[derive(Debug, Clone, Copy)]
pub(super) enum Body {
    Van,
    Estate,
    Truck,
    Camper,
}

/// What somebody photographs at a step.
pub(super) fn scene(key: &str, opening: &Opening, kit: &Kit) -> Scene {
    match key.rsplit('.').next().unwrap_or_default() {
        "condition" => vehicle(opening),
        "path" => {
            let circuit = key.trim_start_matches("route.").trim_end_matches(".path");
            let terminal = kit.terminals.iter().find(|terminal| terminal.circuit == circuit);
            Scene::Run { conductor: terminal.map_or(INK, |t| conductor(&t.colour)) }
        }
        "slide_locks" => Scene::Locks,
        "profile_switch" => Scene::Switches,
        "finished" => {
            let ends = kit.terminals.iter().map(|t| (t.label.clone(), conductor(&t.colour)));
            Scene::Row(ends.collect())
        }
        _ => Scene::Underside,
    }
}

fn vehicle(opening: &Opening) -> Scene {
    let says = |word: &str| opening.vehicle.to_lowercase().contains(word);
    let body = if says("tractor") || says("truck") {
        Body::Truck
    } else if says("camper") || says("caravan") {
        Body::Camper
    } else if says("estate") {
        Body::Estate
    } else {
        Body::Van
    };
    let paints: [Colour; 5] =
        [[66, 104, 92], [150, 60, 52], [222, 222, 216], [58, 78, 120], [196, 164, 92]];
    let pick = opening.vin_tail.bytes().map(usize::from).sum::<usize>() % paints.len();
    let colour = paints.get(pick).copied().unwrap_or(WHITE);
    Scene::Vehicle { body, colour, plate: opening.registration.to_owned() }
}

/// The colour that IEC 60757 letters stand for; of two, the ground.
fn conductor(letters: &str) -> Colour {
    match letters.get(..2).unwrap_or_default() {
        "RD" => [188, 44, 40],
        "BU" => [48, 92, 168],
        "BN" => [120, 78, 48],
        "YE" => [226, 196, 52],
        "OG" => [224, 128, 40],
        "GN" => [52, 138, 82],
        "VT" => [118, 76, 150],
        "WH" => WHITE,
        "GY" => [140, 142, 144],
        _ => INK,
    }
}

/// Draws the scene and gives it as a JPEG.
pub(super) fn draw(scene: &Scene, stamp: &str) -> Result<Vec<u8>, ActError> {
    let mut canvas = Canvas::new(WALL);
    match scene {
        Scene::Vehicle { body, colour, plate } => parked(&mut canvas, *body, *colour, plate),
        Scene::Underside => underside(&mut canvas),
        Scene::Run { conductor } => run(&mut canvas, *conductor),
        Scene::Row(ends) => row(&mut canvas, ends),
        Scene::Meter { figures, unit } => meter(&mut canvas, figures, unit),
        Scene::Bolt => bolt(&mut canvas, (600, 430), 5),
        Scene::Locks => locks(&mut canvas),
        Scene::Switches => switches(&mut canvas),
    }
    canvas.rect((0, HEIGHT - 44), (WIDTH, 44), INK);
    canvas.text((24, HEIGHT - 34), 3, stamp, WHITE);
    canvas.jpeg().map_err(|why| ActError::Ours(why.to_string()))
}

/// A vehicle from its right side: outline, side window, middles of the wheels.
struct Shape {
    shell: &'static [Point],
    glass: &'static [Point],
    wheels: &'static [i32],
}

const VAN: Shape = Shape {
    shell: &[(140, 690), (140, 250), (830, 250), (960, 430), (1060, 470), (1060, 690)],
    glass: &[(800, 290), (826, 290), (920, 430), (800, 430)],
    wheels: &[310, 900],
};

const ESTATE: Shape = Shape {
    shell: &[(140, 690), (150, 470), (250, 340), (760, 340), (880, 470), (1070, 510), (1070, 690)],
    glass: &[(260, 370), (750, 370), (840, 470), (200, 470)],
    wheels: &[320, 900],
};

const TRUCK: Shape = Shape {
    shell: &[(160, 690), (160, 600), (560, 600), (560, 150), (980, 150), (1060, 420), (1060, 690)],
    glass: &[(860, 230), (960, 230), (1010, 410), (860, 410)],
    wheels: &[260, 440, 920],
};

const CAMPER: Shape = Shape {
    shell: &[
        (120, 690),
        (120, 210),
        (880, 210),
        (940, 320),
        (880, 400),
        (980, 450),
        (1080, 500),
        (1080, 690),
    ],
    glass: &[(810, 410), (870, 410), (950, 470), (810, 470)],
    wheels: &[300, 920],
};

fn shape(body: Body) -> &'static Shape {
    match body {
        Body::Van => &VAN,
        Body::Estate => &ESTATE,
        Body::Truck => &TRUCK,
        Body::Camper => &CAMPER,
    }
}

fn parked(canvas: &mut Canvas, body: Body, colour: Colour, plate: &str) {
    canvas.rect((0, 640), (WIDTH, HEIGHT - 640), FLOOR);
    canvas.rect((0, 632), (WIDTH, 8), DARK_STEEL);
    let Shape { shell, glass, wheels } = shape(body);
    canvas.outline(shell, colour);
    canvas.outline(glass, GLASS);
    for wheel in *wheels {
        canvas.disc((*wheel, 690), 82, INK);
        canvas.disc((*wheel, 690), 44, STEEL);
    }
    canvas.rect((450, 560), (300, 66), INK);
    canvas.rect((456, 566), (288, 54), WHITE);
    let width = i32::try_from(plate.chars().count()).unwrap_or(0) * 24;
    canvas.text((600 - width / 2, 578), 4, plate, INK);
}

fn underside(canvas: &mut Canvas) {
    canvas.rect((0, 0), (WIDTH, HEIGHT), DARK_STEEL);
    for beam in [170, 640] {
        canvas.rect((0, beam), (WIDTH, 110), STEEL);
        canvas.rect((0, beam + 104), (WIDTH, 6), INK);
    }
    canvas.line(&[(0, 520), (420, 520), (520, 470), (1200, 470)], 18, INK);
    for x in [220, 480, 740, 1000] {
        for y in [360, 580] {
            canvas.disc((x, y), 46, STEEL);
            canvas.disc((x, y), 24, COPPER);
            canvas.line(&[(x - 20, y - 20), (x + 40, y + 34)], 10, PAINT_MARK);
        }
    }
}

fn run(canvas: &mut Canvas, conductor: Colour) {
    canvas.rect((0, 300), (WIDTH, 360), STEEL);
    canvas.rect((0, 300), (WIDTH, 14), DARK_STEEL);
    canvas.rect((0, 646), (WIDTH, 14), DARK_STEEL);
    canvas.disc((180, 470), 74, INK);
    let way = [(180, 470), (420, 450), (700, 500), (960, 480), (1200, 430)];
    canvas.line(&way, 34, conductor);
    for x in [360, 610, 860, 1090] {
        canvas.rect((x, 410), (34, 140), INK);
        canvas.disc((x + 17, 560), 16, DARK_STEEL);
    }
}

fn row(canvas: &mut Canvas, ends: &[(String, Colour)]) {
    canvas.rect((90, 330), (1020, 240), INK);
    let count = i32::try_from(ends.len()).unwrap_or(1).max(1);
    for (at, (label, colour)) in (0..).zip(ends) {
        let x = 90 + 1020 * (2 * at + 1) / (2 * count);
        canvas.line(&[(x, 460), (x, 620), (x + 30, 860)], 44, *colour);
        canvas.disc((x, 450), 52, STEEL);
        canvas.disc((x, 450), 26, DARK_STEEL);
        canvas.line(&[(x - 30, 430), (x + 34, 474)], 9, PAINT_MARK);
        let width = i32::try_from(label.chars().count()).unwrap_or(0) * 24;
        canvas.text((x - width / 2, 350), 4, label, WHITE);
    }
    canvas.text((120, 250), 5, "AS SEEN  LEFT TO RIGHT", INK);
}

fn meter(canvas: &mut Canvas, figures: &str, unit: &str) {
    canvas.rect((0, 560), (WIDTH, HEIGHT - 560), FLOOR);
    canvas.rect((310, 90), (580, 760), [58, 62, 66]);
    canvas.rect((360, 140), (480, 250), [176, 190, 168]);
    canvas.display((388, 190), 150, figures, INK);
    canvas.text((750, 340), 5, unit, INK);
    canvas.disc((600, 590), 130, INK);
    canvas.disc((600, 590), 104, DARK_STEEL);
    canvas.line(&[(600, 590), (530, 520)], 16, PAINT_MARK);
    canvas.line(&[(460, 810), (420, 850), (300, 899)], 16, [188, 44, 40]);
    canvas.line(&[(740, 810), (780, 850), (900, 899)], 16, INK);
}

fn bolt(canvas: &mut Canvas, (x, y): Point, scale: i32) {
    canvas.rect((0, 0), (WIDTH, HEIGHT), STEEL);
    canvas.disc((x, y), 62 * scale, DARK_STEEL);
    canvas.disc((x, y), 60 * scale, [190, 194, 196]);
    let head: Vec<Point> = [(-36, 0), (-18, -31), (18, -31), (36, 0), (18, 31), (-18, 31)]
        .into_iter()
        .map(|(dx, dy)| (x + dx * scale, y + dy * scale))
        .collect();
    canvas.outline(&head, DARK_STEEL);
    canvas.disc((x, y), 20 * scale, [140, 144, 148]);
    canvas.line(
        &[(x - 6 * scale, y - 8 * scale), (x + 70 * scale, y + 40 * scale)],
        26,
        PAINT_MARK,
    );
}

fn locks(canvas: &mut Canvas) {
    canvas.rect((0, 380), (WIDTH, 300), DARK_STEEL);
    for x in [180, 740] {
        canvas.rect((x, 330), (280, 400), STEEL);
        canvas.rect((x + 40, 420), (200, 90), INK);
        canvas.rect((x + 60, 440), (160, 50), [52, 138, 82]);
        canvas.disc((x + 140, 620), 44, INK);
    }
    canvas.text((420, 230), 6, "LOCK   LOCK", INK);
}

fn switches(canvas: &mut Canvas) {
    canvas.rect((250, 250), (700, 400), [58, 62, 66]);
    for (at, up) in [(0, true), (1, false)] {
        let x = 400 + at * 260;
        canvas.rect((x, 330), (140, 240), INK);
        canvas.rect((x + 20, if up { 350 } else { 460 }), (100, 90), WHITE);
        canvas.text((x + 54, 590), 6, if at == 0 { "1" } else { "2" }, WHITE);
    }
    canvas.text((400, 276), 5, "ON", WHITE);
}
