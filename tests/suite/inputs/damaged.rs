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
load.csv: the file is empty
    needs a file with content
",
    );
    assert_said(
        diagnostics(b"\xEF\xBB\xBF \r\n\n"),
        "
load.csv: the file is empty
    needs a file with content
",
    );
}

#[test]
fn headings_alone() {
    assert_said(
        diagnostics(HEAD.as_bytes()),
        "
load.csv:1: the load profile is without rows
    needs one row for each function of a step
",
    );
}

#[test]
fn not_utf_8() {
    let latin_1 = [HEAD.as_bytes(), b"heben,1,H\xF6he,20,180\n"].concat();
    assert_said(
        diagnostics(&latin_1),
        r#"
load.csv:2: the file is not UTF-8: it has the byte 0xF6
    needs text in UTF-8
    save the file again, as "CSV UTF-8" or plain UTF-8
"#,
    );
    assert_said(
        diagnostics(b"\xFF\xFEs\0t\0"),
        r#"
load.csv:1: the file is UTF-16
    needs text in UTF-8
    save the file again, as "CSV UTF-8" or plain UTF-8
"#,
    );
}

#[test]
fn a_nul_character() {
    let text = format!("{HEAD}lift,1,boom,2\0,180\n");
    assert_said(
        diagnostics(text.as_bytes()),
        "
load.csv:2: the file is not text: it has a NUL character
    needs text
    the file is damaged or no text file
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
load.csv:1: the heading row is split by semicolons
    needs commas between cells
    save the file again with commas between cells and points in decimals
",
    );
    assert_said(
        diagnostics(text.replace(',', "\t").as_bytes()),
        "
load.csv:1: the heading row is split by tabs
    needs commas between cells
    save the file again with commas between cells and points in decimals
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
load.csv:2: the row is 3 cells long
    needs 5 cells, as in the heading
    a blank cell still needs its comma
load.csv:3: the row is 6 cells long
    needs 5 cells, as in the heading
    a decimal comma, or a comma in a text without quotation marks around it?
load.csv:4: the row is empty
    needs a row with cells, or no row
    delete the row
load.csv:5: the row is broken: a cell goes on in the next line
    needs one line for each row
    a quotation mark is not closed, or a cell holds several lines
",
    );
}

#[test]
fn wrong_headings() {
    let text = "stp,duration,function,flow [l/min],pressure (bar),flow [gpm],,colour,held [bar abs]\na,1,b,1,1,1,1,1,1\n";
    assert_said(diagnostics(text.as_bytes()), "
load.csv:1:1: heading is \"stp\"
    needs one of: step, duration, function, flow, pressure, return ratio, work fraction, holding pressure, line drop, line flow, note
    try step
load.csv:1:2: duration is \"duration\"
    needs `duration` with one of the units s, min, h, ms
    write the unit of your numbers in square brackets, such as `duration [s]`
load.csv:1:4: flow is \"flow [l/min]\"
    needs `flow` with one of the units L/min, gpm, L/s, m3/h, m3/s, cfm
    try [L/min]
load.csv:1:5: heading is \"pressure (bar)\"
    needs one of: step, duration, function, flow, pressure, return ratio, work fraction, holding pressure, line drop, line flow, note
    try pressure [bar]
load.csv:1:6: flow is \"flow [gpm]\"
    needs each column once
    cell 4 has the same column: delete one
load.csv:1:7: heading is missing
    needs one of: step, duration, function, flow, pressure, return ratio, work fraction, holding pressure, line drop, line flow, note
    name the column or delete it
load.csv:1:8: heading is \"colour\"
    needs one of: step, duration, function, flow, pressure, return ratio, work fraction, holding pressure, line drop, line flow, note
    put remarks into a column `note`, or delete the column
load.csv:1:9: holding pressure is \"held [bar abs]\"
    needs `holding pressure` with one of the units bar, psi, MPa, kPa, Pa, mbar
    it is a gauge pressure: [bar]
");
}

#[test]
fn a_heading_keeps_the_unit_that_it_names() {
    let heads =
        "duration (s),function,Flow [gpm],pressure (PSI),line drop [bar],Held (furlong),line flow [gph]\n";
    let accepted = "needs one of: step, duration, function, flow, pressure, return ratio, work fraction, holding pressure, line drop, line flow, note";
    let expected = format!(
        "
load.csv:1:1: heading is \"duration (s)\"
    {accepted}
    try duration [s]
load.csv:1:3: heading is \"Flow [gpm]\"
    {accepted}
    try flow [gpm]
load.csv:1:4: heading is \"pressure (PSI)\"
    {accepted}
    try pressure [psi]
load.csv:1:6: heading is \"Held (furlong)\"
    {accepted}
    try holding pressure; write the unit of your numbers in square brackets, such as `holding pressure [bar]` or `holding pressure [psi]`
load.csv:1:7: line flow is \"line flow [gph]\"
    needs `line flow` with one of the units L/min, gpm, L/s, m3/h, m3/s, cfm
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
load.csv:2: the row is the first of 3 empty rows
    needs a row with cells, or no row
    delete them
",
    );
    assert_said(
        diagnostics(format!("{HEAD},,,,\n,,,,\n").as_bytes()),
        "
load.csv:1: the load profile is without rows
    needs one row for each function of a step
",
    );
}

#[test]
fn a_workbook_under_the_name_of_a_csv() {
    assert_said(
        diagnostics(b"PK\x03\x04\x14\0\x06\0\x08\0"),
        "
load.csv: the file is a workbook or an archive
    needs text in UTF-8
    this is a workbook, not text: export the sheet as CSV
",
    );
}

#[test]
fn missing_columns() {
    // cells of the columns that are there are checked all the same; blank lines count
    assert_said(
        diagnostics(b"\n\nstep,flow [L/min],line drop [bar]\n\nlift,fast,1\n"),
        "
load.csv:3: duration is missing
    needs a column `duration [s]`
load.csv:3: function is missing
    needs a column `function`
load.csv:3: line flow is missing
    needs a column `line flow [L/min]`
    line drop needs it
load.csv:3: pressure is missing
    needs a column `pressure [bar]`
load.csv:5:2: flow is \"fast\"
    needs a number in L/min, 0, or 0.000001 to 10 000 L/min
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
load.csv:52: the rest is 950 more problems from this line on
    fix those first: often they have one cause
",
    );
}

#[test]
fn what_stands_in_the_file_cannot_harm_the_terminal() {
    let text = format!("{HEAD}lift,1,boom,\u{1b}[2Jx{},180\n", "9".repeat(100));
    assert_said(
        diagnostics(text.as_bytes()),
        r#"
load.csv:2:4: flow is "\u{1b}[2Jx999999999999999999999999999999999999999999999999999999…"
    needs a number in L/min, 0, or 0.000001 to 10 000 L/min
"#,
    );
}

#[test]
fn a_study_or_a_catalog_that_is_no_text() {
    let catalog = catalog::Catalog::default();
    assert_said(
        study::read(b"title = \"H\xF6he\"", "study.toml", &catalog, None, Diagnostics::default())
            .unwrap_err(),
        r#"
study.toml:1: the file is not UTF-8: it has the byte 0xF6
    needs text in UTF-8
    save the file again, as "CSV UTF-8" or plain UTF-8
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
coolers.csv:1: the heading row is split by semicolons
    needs commas between cells
    save the file again with commas between cells and points in decimals
pumps.csv: the file is empty
    needs a file with content
",
    );
    assert!(catalog.refused[&PartKind::Pumps].unnamed && catalog.refused[&PartKind::Coolers].unnamed);
}
