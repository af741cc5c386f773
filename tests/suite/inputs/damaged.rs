//! Files that are damaged as text, or no CSV with commas.

use super::assert_said;
use sumpwright::catalog::{PartKind, Reader};
use sumpwright::input::Diagnostics;
use sumpwright::{catalog, profile, study};

fn diagnostics(bytes: &[u8]) -> Diagnostics {
    profile::read(bytes, "load.csv").unwrap_err()
}

const HEAD: &str = "step,duration [s],function,flow [L/min],pressure [bar]\n";

#[test]
fn an_empty_file() {
    assert_said(
        diagnostics(b""),
        "
load.csv: the file as text
    found    (nothing)
    accepted a file with content
    hint     the file is empty
",
    );
    assert_said(
        diagnostics(b"\xEF\xBB\xBF \r\n\n"),
        "
load.csv: the file as text
    found    (nothing)
    accepted a file with content
    hint     the file is empty
",
    );
}

#[test]
fn headings_alone() {
    assert_said(
        diagnostics(HEAD.as_bytes()),
        "
load.csv:2: the row
    found    no rows
    accepted one row for each function of a step
",
    );
}

#[test]
fn not_utf_8() {
    let latin_1 = [HEAD.as_bytes(), b"heben,1,H\xF6he,20,180\n"].concat();
    assert_said(
        diagnostics(&latin_1),
        r#"
load.csv:2: the file as text
    found    the byte 0xF6, which is not UTF-8
    accepted text in UTF-8
    hint     save the file again, as "CSV UTF-8" or plain UTF-8
"#,
    );
    assert_said(
        diagnostics(b"\xFF\xFEs\0t\0"),
        r#"
load.csv:1: the file as text
    found    UTF-16
    accepted text in UTF-8
    hint     save the file again, as "CSV UTF-8" or plain UTF-8
"#,
    );
}

#[test]
fn a_nul_character() {
    let text = format!("{HEAD}lift,1,boom,2\0,180\n");
    assert_said(
        diagnostics(text.as_bytes()),
        "
load.csv:2: the file as text
    found    a NUL character
    accepted text
    hint     the file is damaged or no text file
",
    );
}

#[test]
fn a_byte_order_mark_and_line_ends_of_any_system_are_accepted() {
    let text =
        format!("\u{feff}{HEAD}\r\nlift,1,boom,20,180\r\n\r\nwait,2,,,\r\n").replace("[bar]\n", "[bar]\r\n");
    assert_eq!(profile::read(text.as_bytes(), "load.csv").unwrap().steps.len(), 2);
}

#[test]
fn semicolons_or_tabs_between_cells() {
    let text = format!("{HEAD}lift,1,boom,20,180\n");
    assert_said(
        diagnostics(text.replace(',', ";").as_bytes()),
        "
load.csv:1: the headings
    found    cells with semicolons between them
    accepted commas between cells
    hint     save the file again with commas between cells and points in decimals
",
    );
    assert_said(
        diagnostics(text.replace(',', "\t").as_bytes()),
        "
load.csv:1: the headings
    found    cells with tabs between them
    accepted commas between cells
    hint     save the file again with commas between cells and points in decimals
",
    );
}

#[test]
fn ragged_rows_and_open_quotes() {
    let text =
        format!("{HEAD}lift,1,boom\nlift,1,boom,12,5,180\n,,,,\nlift,1,\"boom,20,180\nlower,1,boom,20,180\n");
    assert_said(
        diagnostics(text.as_bytes()),
        "
load.csv:2: the row
    found    3 cells
    accepted 5 cells, as in the heading
    hint     a blank cell still needs its comma
load.csv:3: the row
    found    6 cells
    accepted 5 cells, as in the heading
    hint     a decimal comma, or a comma in a text without quotation marks around it?
load.csv:4: the row
    found    an empty row
    accepted a row with cells, or no row
    hint     delete the row
load.csv:5: the row
    found    a cell that goes on in the next line
    accepted one line for each row
    hint     a quotation mark is not closed, or a cell holds several lines
",
    );
}

#[test]
fn wrong_headings() {
    let text = "stp,duration,function,flow [l/min],pressure (bar),flow [gpm],,colour,held [bar abs]\na,1,b,1,1,1,1,1,1\n";
    assert_said(diagnostics(text.as_bytes()), "
load.csv:1:1: heading
    found    stp
    accepted one of: step, duration, function, flow, pressure, return ratio, work share, held, line drop, line flow, note
    hint     did you mean `step`?
load.csv:1:2: duration
    found    duration
    accepted `duration` with one of the units s, min, h, ms
    hint     write the unit of your numbers in square brackets, such as `duration [s]`
load.csv:1:4: flow
    found    flow [l/min]
    accepted `flow` with one of the units L/min, gpm, L/s, m3/h, m3/s, cfm
    hint     did you mean [L/min]?
load.csv:1:5: heading
    found    pressure (bar)
    accepted one of: step, duration, function, flow, pressure, return ratio, work share, held, line drop, line flow, note
    hint     did you mean `pressure [bar]`?
load.csv:1:6: flow
    found    flow [gpm]
    accepted each column once
    hint     cell 4 has the same heading: delete one
load.csv:1:7: heading
    found    (nothing)
    accepted one of: step, duration, function, flow, pressure, return ratio, work share, held, line drop, line flow, note
    hint     name the column or delete it
load.csv:1:8: heading
    found    colour
    accepted one of: step, duration, function, flow, pressure, return ratio, work share, held, line drop, line flow, note
    hint     put remarks into a column `note`, or delete the column
load.csv:1:9: held
    found    held [bar abs]
    accepted `held` with one of the units bar, psi, MPa, kPa, Pa, mbar
    hint     it is a gauge pressure: [bar]
");
}

#[test]
fn a_heading_keeps_the_unit_that_it_names() {
    let heads =
        "duration (s),function,Flow [gpm],pressure (PSI),line drop [bar],Held (furlong),line flow [gph]\n";
    let accepted = "accepted one of: step, duration, function, flow, pressure, return ratio, work share, held, line drop, line flow, note";
    let expected = format!(
        "
load.csv:1:1: heading
    found    duration (s)
    {accepted}
    hint     did you mean `duration [s]`?
load.csv:1:3: heading
    found    Flow [gpm]
    {accepted}
    hint     did you mean `flow [gpm]`?
load.csv:1:4: heading
    found    pressure (PSI)
    {accepted}
    hint     did you mean `pressure [psi]`?
load.csv:1:6: heading
    found    Held (furlong)
    {accepted}
    hint     did you mean `held`? Then write the unit of your numbers in square brackets, such as `held [bar]` or `held [psi]`
load.csv:1:7: line flow
    found    line flow [gph]
    accepted `line flow` with one of the units L/min, gpm, L/s, m3/h, m3/s, cfm
"
    );
    assert_said(diagnostics(format!("{heads}1,boom,11,900,1,,5\n").as_bytes()), &expected);
}

#[test]
fn rows_of_commas_alone() {
    // a spreadsheet leaves them at the end: nothing to say; between rows one message says it of all
    let end = format!("{HEAD}lift,1,boom,20,180\n,,,,\n ,,,,\n,,\n");
    assert_eq!(profile::read(end.as_bytes(), "load.csv").unwrap().steps.len(), 1);
    let between = format!("{HEAD},,,,\nlift,1,boom,20,180\n,,,,\n,,,,\nlower,1,boom,20,180\n,,,,\n");
    assert_said(
        diagnostics(between.as_bytes()),
        "
load.csv:2: the row
    found    3 empty rows, the first in this line
    accepted a row with cells, or no row
    hint     delete them
",
    );
    assert_said(
        diagnostics(format!("{HEAD},,,,\n,,,,\n").as_bytes()),
        "
load.csv:4: the row
    found    no rows
    accepted one row for each function of a step
",
    );
}

#[test]
fn a_workbook_under_the_name_of_a_csv() {
    assert_said(
        diagnostics(b"PK\x03\x04\x14\0\x06\0\x08\0"),
        "
load.csv: the file as text
    found    a workbook or an archive
    accepted text in UTF-8
    hint     this is a workbook, not text: export the sheet as CSV
",
    );
}

#[test]
fn missing_columns() {
    // cells of the columns that are there are checked all the same; blank lines count
    assert_said(
        diagnostics(b"\n\nstep,flow [L/min],line drop [bar]\n\nlift,fast,1\n"),
        "
load.csv:3: duration
    found    (nothing)
    accepted a column `duration [s]`
    hint     the column is missing
load.csv:3: function
    found    (nothing)
    accepted a column `function`
    hint     the column is missing
load.csv:3: line flow
    found    (nothing)
    accepted a column `line flow [L/min]`
    hint     `line drop` says nothing without it
load.csv:3: pressure
    found    (nothing)
    accepted a column `pressure [bar]`
    hint     the column is missing
load.csv:5:2: flow
    found    fast
    accepted a number in L/min, 0, or 0.000001 to 10 000 L/min
",
    );
}

#[test]
fn many_problems_of_one_kind_are_cut_short() {
    let rows = "lift,1,boom,-20,180\n".repeat(1000);
    let diagnostics = diagnostics(format!("{HEAD}{rows}").as_bytes()).sorted();
    assert_eq!(diagnostics.len(), 51);
    let mut last = Diagnostics::default();
    last.push(diagnostics[50].clone());
    assert_said(
        last,
        "
load.csv:52: all else
    found    950 more problems from this line on
    accepted 50 are listed above
    hint     mend those first: often they have one cause
",
    );
}

#[test]
fn what_stands_in_the_file_cannot_harm_the_terminal() {
    let text = format!("{HEAD}lift,1,boom,\u{1b}[2Jx{},180\n", "9".repeat(100));
    assert_said(
        diagnostics(text.as_bytes()),
        r"
load.csv:2:4: flow
    found    \u{1b}[2Jx9999999999999999999999999999999999999999999999999999999…
    accepted a number in L/min, 0, or 0.000001 to 10 000 L/min
",
    );
}

#[test]
fn a_study_or_a_catalog_that_is_no_text() {
    let catalog = catalog::Catalog::default();
    assert_said(
        study::read(b"title = \"H\xF6he\"", "study.toml", &catalog, None, Diagnostics::default())
            .unwrap_err(),
        r#"
study.toml:1: the file as text
    found    the byte 0xF6, which is not UTF-8
    accepted text in UTF-8
    hint     save the file again, as "CSV UTF-8" or plain UTF-8
"#,
    );
    assert_eq!(study::files(b"\0", "study.toml"), study::Files::default());
    let mut reader = Reader::default();
    reader.read(PartKind::Pumps, b"", "pumps.csv");
    reader.read(PartKind::Coolers, b"id;price;mass [kg]\nA;1,5;2\n", "coolers.csv");
    let (catalog, diagnostics) = reader.finish();
    assert_said(
        diagnostics,
        "
coolers.csv:1: the headings
    found    cells with semicolons between them
    accepted commas between cells
    hint     save the file again with commas between cells and points in decimals
pumps.csv: the file as text
    found    (nothing)
    accepted a file with content
    hint     the file is empty
",
    );
    assert!(catalog.refused[&PartKind::Pumps].unnamed && catalog.refused[&PartKind::Coolers].unnamed);
}
