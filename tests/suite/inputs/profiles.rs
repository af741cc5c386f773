//! Load profiles.

use super::assert_said;
use sumpwright::input::Diagnostics;
use sumpwright::profile::{self, Profile};
use sumpwright::units::Quantity;

const HEAD: &str = "step,duration [s],function,flow [L/min],pressure [bar],return ratio,work fraction,holding pressure [bar],\
line drop [bar],line flow [L/min]\n";

fn read(rows: &str) -> Result<Profile, Diagnostics> {
    profile::read(format!("{HEAD}{rows}").as_bytes(), "load.csv")
}

fn diagnostics(rows: &str) -> Diagnostics {
    read(rows).unwrap_err()
}

#[test]
fn rows_with_the_same_step_name_are_one_step() {
    let rows = "lift,8,boom,12,180,,,,,\nlift,,grapple,3,90,0.5,0,,2,10\nwait,4,,,,,,150,,\nlift,8,boom,12,180,,,,,\n";
    let steps = read(rows).unwrap().steps;
    let names: Vec<(&str, usize)> =
        steps.iter().map(|step| (step.name.as_str(), step.functions.len())).collect();
    assert_eq!(names, [("lift", 2), ("wait", 0), ("lift", 1)]);
    let (boom, grapple) = (&steps[0].functions[0], &steps[0].functions[1]);
    assert_eq!((boom.return_ratio, boom.work_share, boom.line), (1.0, 1.0, None));
    assert_eq!((grapple.return_ratio, grapple.work_share), (0.5, 0.0));
    assert_eq!(grapple.line.unwrap().drop.in_unit("bar"), Some(2.0));
    assert!((grapple.flow.si() - 0.003 / 60.0).abs() < 1e-18);
    assert_eq!(steps[1].holding_pressure.unwrap().in_unit("bar"), Some(150.0));
}

#[test]
fn a_log_needs_no_step_names() {
    let text = "pressure [psi],duration [ms],flow [gpm],function\n1800,100,12,boom\n1750,100,11.5,boom\n0,100,0,boom\n";
    let steps = profile::read(text.as_bytes(), "log.csv").unwrap().steps;
    assert_eq!(steps.len(), 3);
    assert!((steps[2].duration.si() - 0.1).abs() < 1e-15);
    assert!(steps[2].functions.is_empty(), "a function without flow stands still");
}

#[test]
fn numbers_that_are_none() {
    assert_said(
        diagnostics("a,NaN,b,inf,\"180,5\",,,,,\nb,1 s,b,1e999,\"1,800.5\",,,,,\nc,eight,b,--1,0x10,,,,,\n"),
        "
load.csv:2:2: duration is \"NaN\"
    needs a number in s, 0.000001 to 864 000 s
    a missing or endless value cannot be computed with: give a number
load.csv:2:4: flow is \"inf\"
    needs a number in L/min, 0, or 0.000001 to 10 000 L/min
    a missing or endless value cannot be computed with: give a number
load.csv:2:5: pressure is \"180,5\"
    needs a number in bar, 0, or 0.000001 to 1000 bar
    try 180.5, with a decimal point
load.csv:3:2: duration is \"1 s\"
    needs a number in s, 0.000001 to 864 000 s
    try 1: the unit belongs in the heading
load.csv:3:4: flow is \"1e999\"
    needs a number in L/min, 0, or 0.000001 to 10 000 L/min
load.csv:3:5: pressure is \"1,800.5\"
    needs a number in bar, 0, or 0.000001 to 1000 bar
    try 1800.5, with no separators between thousands
load.csv:4:2: duration is \"eight\"
    needs a number in s, 0.000001 to 864 000 s
load.csv:4:4: flow is \"--1\"
    needs a number in L/min, 0, or 0.000001 to 10 000 L/min
load.csv:4:5: pressure is \"0x10\"
    needs a number in bar, 0, or 0.000001 to 1000 bar
",
    );
}

#[test]
fn numbers_out_of_range() {
    assert_said(
        diagnostics("a,0,b,-1,-5,11,2,0,-1,0\nb,-1,b,1,2500,-1,-1,2500,1,5\n"),
        "
load.csv:2:2: duration is \"0\"
    needs a number in s, 0.000001 to 864 000 s
load.csv:2:4: flow is \"-1\"
    needs a number in L/min, 0, or 0.000001 to 10 000 L/min
load.csv:2:5: pressure is \"-5\"
    needs a number in bar, 0, or 0.000001 to 1000 bar
load.csv:2:6: return ratio is \"11\"
    needs a number, 0, or 0.001 to 10
load.csv:2:7: work fraction is \"2\"
    needs a number, 0, or 0.0001 to 100 %
    are these numbers per cent? Then write [%] in the heading
load.csv:2:8: holding pressure is \"0\"
    needs a number in bar, 0.001 to 1000 bar
load.csv:2:9: line drop is \"-1\"
    needs a number in bar, 0, or 0.000001 to 1000 bar
load.csv:2:10: line flow is \"0\"
    needs a number in L/min, 0.001 to 10 000 L/min
load.csv:3:2: duration is \"-1\"
    needs a number in s, 0.000001 to 864 000 s
load.csv:3:5: pressure is \"2500\"
    needs a number in bar, 0, or 0.000001 to 1000 bar
    is [bar] the right unit in the heading?
load.csv:3:6: return ratio is \"-1\"
    needs a number, 0, or 0.001 to 10
load.csv:3:7: work fraction is \"-1\"
    needs a number, 0, or 0.0001 to 100 %
load.csv:3:8: holding pressure is \"2500\"
    needs a number in bar, 0.001 to 1000 bar
    is [bar] the right unit in the heading?
",
    );
}

#[test]
fn blank_cells_that_are_needed() {
    assert_said(
        diagnostics(",,boom,20,180,,,,,\nb,1,,20,180,,,,,\nc,1,boom,,180,,,,,\nd,1,boom,20,,,,,,\n"),
        "
load.csv:2:2: duration is missing
    needs a duration in the first row of a step
load.csv:3:3: function is missing
    needs the name of the function that asks for the flow
    blank means that nothing moves
load.csv:4:4: flow is missing
    needs the flow of the function, 0 where it stands still
load.csv:5:5: pressure is missing
    needs the load pressure of the function
    a flow without a pressure says nothing
",
    );
}

#[test]
fn a_line_drop_without_its_flow() {
    assert_said(
        diagnostics("a,1,boom,20,180,,,,5,\nb,1,boom,20,180,,,,,30\n"),
        "
load.csv:2:10: line flow is missing
    needs `line drop` and `line flow`, or both cells blank
    a drop holds at one flow
load.csv:3:9: line drop is missing
    needs `line drop` and `line flow`, or both cells blank
    a drop holds at one flow
",
    );
}

#[test]
fn rows_of_a_step_that_disagree() {
    assert_said(
        diagnostics("a,1,boom,20,180,,,100,,\na,2,swing,20,180,,,110,,\na,1,boom,20,180,,,100,,\n"),
        "
load.csv:3:2: duration is \"2\"
    needs the duration of the step's first row, or a blank cell
    rows that follow each other with the same step name are one step: blank the cell, or name the steps apart
load.csv:3:8: holding pressure is \"110\"
    needs the held pressure of the step's first row, or a blank cell
    rows that follow each other with the same step name are one step: blank the cell, or name the steps apart
load.csv:4:3: function is \"boom\"
    needs each function once in a step
    rows with the same step name are one step: blank the names where each row is a step of its own
",
    );
}

#[test]
fn a_million_rows() {
    // measured, release, one thread: 0.2 s; the csv crate and parsing the numbers alone take 0.06 s
    let rows = ",0.1,boom,12.5,181.5,1,1,,,\n".repeat(1_000_000);
    assert_eq!(read(&rows).unwrap().steps.len(), 1_000_000);
}

#[test]
fn former_headings_still_read() {
    let rows = "lift,8,boom,12,180,0.5,0.2,150,,\n";
    let former = HEAD.replace("work fraction", "work share").replace("holding pressure", "held");
    assert!(former != HEAD);
    let old = profile::read(format!("{former}{rows}").as_bytes(), "load.csv").unwrap();
    assert_eq!(old.steps, read(rows).unwrap().steps);
    assert_eq!(old.steps[0].functions[0].work_share, 0.2);
    // a file that has both says which cells
    let both = "duration [s],function,flow [L/min],pressure [bar],held [bar],holding pressure [bar]\n8,boom,12,180,,\n";
    assert_said(
        profile::read(both.as_bytes(), "load.csv").unwrap_err(),
        "
load.csv:1:6: holding pressure is \"holding pressure [bar]\"
    needs each column once
    cell 5 has the same column: delete one
",
    );
}
