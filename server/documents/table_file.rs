//! A table as a file for other programs: CSV by RFC 4180, or a spreadsheet. Text stays text in both:
//! nothing that somebody typed is ever run as a formula.

use rust_xlsxwriter::{DocProperties, ExcelDateTime, Format, Workbook, Worksheet, XlsxError};

use crate::domain::ids::Moment;
use crate::domain::number::{Decimal, physical};

/// Characters of one cell; more than a spreadsheet takes.
const CELL_CHARS_MAX: usize = 32_000;
const COLUMN_LEAST: f64 = 11.0;
const COLUMN_TEXT: f64 = 28.0;

#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    Text(String),
    Number(Decimal),
    At(Moment),
    Empty,
}

/// Rows under a head that names the units.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// At most 31 letters.
    pub name: &'static str,
    pub head: Vec<&'static str>,
    pub rows: Vec<Vec<Cell>>,
}

/// Lines end in CR LF, the head is the first.
pub fn csv(table: &Table) -> String {
    let mut text = String::new();
    let head = table.head.iter().map(|word| field(word));
    line(&mut text, head);
    for row in &table.rows {
        line(&mut text, row.iter().map(printed));
    }
    text
}

fn line(text: &mut String, fields: impl Iterator<Item = String>) {
    let fields: Vec<String> = fields.collect();
    text.push_str(&fields.join(","));
    text.push_str("\r\n");
}

fn printed(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => field(&inert(text)),
        Cell::Number(number) => number.to_string(),
        Cell::At(at) => at.date_and_minute(),
        Cell::Empty => String::new(),
    }
}

/// Text that a spreadsheet would take for a formula begins with an apostrophe.
fn inert(text: &str) -> String {
    let is_formula = text.starts_with([
        '=', '+', '-', '@', '\t', '\r', '\n', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}',
    ]);
    if is_formula { format!("'{text}") } else { text.to_owned() }
}

fn field(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

/// A workbook with a sheet for each table. The same tables at the same moment give the same bytes.
pub fn spreadsheet(tables: &[Table], made: Moment) -> Result<Vec<u8>, XlsxError> {
    let mut book = Workbook::new();
    book.set_properties(&DocProperties::new().set_creation_datetime(&date(made)?));
    for table in tables {
        write_table(book.add_worksheet(), table)?;
    }
    book.save_to_buffer()
}

fn write_table(sheet: &mut Worksheet, table: &Table) -> Result<(), XlsxError> {
    let (bold, day) = (Format::new().set_bold(), Format::new().set_num_format("yyyy-mm-dd hh:mm"));
    sheet.set_name(table.name)?;
    sheet.set_freeze_panes(1, 0)?;
    for (column, word) in (0..).zip(&table.head) {
        sheet.write_string_with_format(0, column, *word, &bold)?;
        sheet.set_column_width(column, width(table, column, word))?;
    }
    for (at, row) in (1..).zip(&table.rows) {
        for (column, cell) in (0..).zip(row) {
            match cell {
                Cell::Text(text) => {
                    let text: String = text.chars().take(CELL_CHARS_MAX).collect();
                    sheet.write_string(at, column, text)?;
                }
                Cell::Number(number) => {
                    sheet.write_number(at, column, physical(*number))?;
                }
                Cell::At(moment) => {
                    sheet.write_datetime_with_format(at, column, &date(*moment)?, &day)?;
                }
                Cell::Empty => {}
            }
        }
    }
    Ok(())
}

fn width(table: &Table, column: u16, head: &str) -> f64 {
    let first = table.rows.first().and_then(|row| row.get(usize::from(column)));
    let of_cells = match first {
        Some(Cell::Text(text)) if text.chars().count() > 9 => COLUMN_TEXT,
        Some(Cell::At(_)) => 17.0,
        _ => COLUMN_LEAST,
    };
    let letters = u16::try_from(head.chars().count()).unwrap_or(u16::MAX);
    of_cells.max(f64::from(letters) + 2.0)
}

/// To the second.
fn date(at: Moment) -> Result<ExcelDateTime, XlsxError> {
    ExcelDateTime::from_timestamp(at.0.div_euclid(1000))
}
