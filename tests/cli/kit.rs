//! Kit files checked, brought in and written out.

use std::fs;

use tempfile::TempDir;

use super::demo::copy_of_the_demo;
use super::program::{Running, ask, example, text};

#[test]
fn sound_kits_are_named_with_their_edition() {
    let (tray, cool) = (example("kits/tray-40.toml"), example("kits/cool-12.toml"));
    let said = ask(&["kit", "check", text(&tray), text(&cool)]);
    assert_eq!(said.code, 0, "{said:?}");
    assert_eq!(said.out.lines().count(), 2);
    assert!(said.out.contains("TRAY-40 edition 1") && said.out.contains("COOL-12 edition 1"));
}

#[test]
fn every_fault_is_listed_with_its_line_and_the_other_kits_are_still_checked() {
    let place = TempDir::new().unwrap();
    let source = fs::read_to_string(example("kits/cool-12.toml")).unwrap();
    let broken = source.replace("mass_kg = 2.2", "mass_kg = \"two\"");
    let broken = broken.replace("thread = \"M5\"", "thread = \"M5.5\"");
    let lines: Vec<usize> = (1..)
        .zip(broken.lines())
        .filter(|(_, line)| line.starts_with("mass_kg") || line.starts_with("thread"))
        .map(|(number, _)| number)
        .collect();
    let file = place.path().join("broken.toml");
    fs::write(&file, &broken).unwrap();
    let sound = example("kits/duo-24.toml");
    let said = ask(&["kit", "check", text(&file), text(&sound)]);
    assert_eq!(said.code, 3, "{said:?}");
    assert!(said.out.contains("DUO-24 edition 1"), "{said:?}");
    for (line, key) in lines.iter().zip(["mass_kg", "mounting.thread"]) {
        assert!(said.err.contains(&format!("line {line}, {key}: ")), "{said:?}");
    }
}

#[test]
fn a_file_that_is_not_there_is_named() {
    let place = TempDir::new().unwrap();
    let file = place.path().join("none.toml");
    ask(&["kit", "check", text(&file)]).refused(3, "none.toml cannot be read as text");
}

#[test]
fn a_kit_goes_in_and_comes_out_byte_for_byte() {
    let place = copy_of_the_demo();
    let data = text(place.path());
    let source = fs::read_to_string(example("kits/cool-12.toml")).unwrap();
    let next = source.replace("edition = 1", "edition = 2");
    let file = place.path().join("next.toml");
    fs::write(&file, &next).unwrap();
    for _ in 0..2 {
        let said = ask(&["kit", "import", text(&file), "--data", data]);
        assert_eq!(said.code, 0, "the same kit again changes nothing: {said:?}");
    }
    let said = ask(&["kit", "export", "COOL-12", "2", "--data", data]);
    assert_eq!((said.code, said.out.as_str()), (0, next.as_str()));

    let to = place.path().join("out.toml");
    let write = ["kit", "export", "COOL-12", "2", "--data", data, "--to", text(&to)];
    assert_eq!(ask(&write).code, 0);
    assert_eq!(fs::read_to_string(&to).unwrap(), next);
    ask(&write).refused(1, "is there already");

    fs::write(&file, next.replace("mass_kg = 2.2", "mass_kg = 2.3")).unwrap();
    ask(&["kit", "import", text(&file), "--data", data]).refused(1, "already here");
    let none = ask(&["kit", "export", "COOL-12", "7", "--data", data]);
    none.refused(1, "has no kit COOL-12 of edition 7");
}

#[test]
fn a_kit_goes_in_and_out_beside_a_running_server_which_goes_on_writing() {
    let place = copy_of_the_demo();
    let data = text(place.path());
    let source = fs::read_to_string(example("kits/cool-12.toml")).unwrap();
    let next = source.replace("edition = 1", "edition = 2");
    let file = place.path().join("next.toml");
    fs::write(&file, &next).unwrap();
    let server = Running::start(&["serve", "--data", data, "--listen", "127.0.0.1:0"]);
    let said = ask(&["kit", "import", text(&file), "--data", data]);
    assert_eq!(said.code, 0, "{said:?}");
    let said = ask(&["kit", "export", "COOL-12", "2", "--data", data]);
    assert_eq!((said.code, said.out.as_str()), (0, next.as_str()));
    // A round trip through the server's own writer.
    assert_eq!(server.get("/readyz"), "HTTP/1.1 200 OK");
    assert_eq!(server.stop().code, 0);
    let said = ask(&["verify", "--data", data]);
    assert_eq!(said.code, 0, "{said:?}");
}

#[test]
fn a_workshop_that_is_not_set_up_takes_no_kits() {
    let place = TempDir::new().unwrap();
    let data = text(place.path());
    let kit = example("kits/cool-12.toml");
    ask(&["kit", "import", text(&kit), "--data", data]).refused(1, "There is no database in");
    Running::start(&["serve", "--data", data, "--listen", "127.0.0.1:0"]).stop();
    ask(&["kit", "import", text(&kit), "--data", data]).refused(1, "not set up yet");
}
