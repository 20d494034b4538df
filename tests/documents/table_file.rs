//! Tables as files, opened by readers that are not ours.

use fusewright::documents::table_file::{Cell, Table, csv, spreadsheet};
use fusewright::domain::ids::Moment;
use serde_json::{Value, json};

use super::tools::{Desk, by_script};
use crate::domain::cast::{MORNING, dec};

/// What a library reads out of it: by sheet, row, cell.
pub(crate) fn read_table(name: &str, bytes: &[u8]) -> Value {
    let (holds, said) = by_script(&Desk::with(name, bytes), "read_table.py", &[name]);
    assert!(holds, "{said}");
    serde_json::from_str(&said).unwrap()
}

fn text(text: &str) -> Cell {
    Cell::Text(text.to_owned())
}

fn table(cells: Vec<Cell>) -> Table {
    Table { name: "Results", head: vec!["Planned [mΩ]"; cells.len()], rows: vec![cells] }
}

#[test]
fn a_csv_is_read_as_it_was_written_whatever_stands_in_its_cells() {
    let odd =
        ["plain", "a, b", "say \"so\"", "two\r\nlines", " spaces ", "שלום 接地 Ø", "'quoted'"];
    let written = csv(&table(odd.map(text).into()));
    let read = read_table("a.csv", written.as_bytes());
    assert_eq!(read["csv"], json!([vec!["Planned [mΩ]"; 7], odd]));
    assert!(written.ends_with("\r\n"));
    let numbers = table(vec![Cell::Number(dec("-7.10")), Cell::At(MORNING), Cell::Empty]);
    let read = read_table("a.csv", csv(&numbers).as_bytes());
    assert_eq!(read["csv"][1], json!(["-7.10", "2026-11-25 08:00", ""]));
}

#[test]
fn text_that_looks_like_a_formula_is_text_in_both_files() {
    for start in ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"] {
        let typed = format!("{start}HYPERLINK(\"http://x.example\",1)");
        let one = table(vec![text(&typed)]);
        let read = read_table("a.csv", csv(&one).as_bytes());
        assert_eq!(read["csv"][1][0], format!("'{typed}"));
    }
    for typed in ["=1+1", "+1", "-1", "@SUM(A1)", "12"] {
        let file = spreadsheet(&[table(vec![text(typed)])], MORNING).unwrap();
        let read = read_table("a.xlsx", &file);
        assert_eq!(read["Results"][1][0], json!(["s", typed]));
    }
}

#[test]
fn a_spreadsheet_holds_numbers_as_numbers_and_times_as_times() {
    let cells = vec![Cell::Number(dec("5.1234")), Cell::Number(dec("-41")), Cell::At(MORNING)];
    let file = spreadsheet(&[table(cells)], MORNING).unwrap();
    let read = read_table("a.xlsx", &file);
    assert_eq!(read["Results"][0][0], json!(["s", "Planned [mΩ]"]));
    let row = json!([["n", 5.1234], ["n", -41], ["d", "2026-11-25 08:00:00"]]);
    assert_eq!(read["Results"][1], row);
}

#[test]
fn the_same_tables_at_the_same_moment_give_the_same_bytes() {
    let made = |at| spreadsheet(&[table(vec![text("a")])], at).unwrap();
    assert_eq!(made(MORNING), made(MORNING));
    assert_ne!(made(MORNING), made(Moment(MORNING.0 + 1000)));
}

#[test]
fn a_cell_longer_than_a_spreadsheet_takes_is_cut_and_an_empty_table_has_its_head() {
    let file = spreadsheet(&[table(vec![text(&"Ω".repeat(40_000))])], MORNING).unwrap();
    let read = read_table("a.xlsx", &file);
    assert_eq!(read["Results"][1][0][1].as_str().unwrap().chars().count(), 32_000);
    let empty = Table { rows: vec![], ..table(vec![Cell::Empty]) };
    let read = read_table("a.xlsx", &spreadsheet(std::slice::from_ref(&empty), MORNING).unwrap());
    assert_eq!(read["Results"], json!([[["s", "Planned [mΩ]"]]]));
    assert_eq!(csv(&empty), "Planned [mΩ]\r\n");
}
