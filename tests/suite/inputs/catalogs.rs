//! Catalogs.

use super::assert_said;
use sumpwright::catalog::{Catalog, PartKind, Reader, columns};
use sumpwright::input::Diagnostics;
use sumpwright::input::Need;
use sumpwright::parts::accumulator::Separator;
use sumpwright::parts::engine::Fuel;
use sumpwright::units::{Money, Quantity};

type Cell = (&'static str, &'static str);

const PUMP: [Cell; 13] = [
    ("id", "P-16"),
    ("price", "240.50"),
    ("mass [kg]", "4.2"),
    ("source", "own test"),
    ("displacement [cm3/rev]", "16"),
    ("rated speed [rpm]", "1500"),
    ("rated pressure [bar]", "200"),
    ("rated viscosity [mm2/s]", "32"),
    ("volumetric efficiency [%]", "94"),
    ("overall efficiency [%]", "85"),
    ("highest pressure [bar]", "250"),
    ("highest speed [rpm]", "3000"),
    ("note", "\"cast iron, two bolts\""),
];

const ENGINE: [Cell; 12] = [
    ("id", "D-30"),
    ("price", "5400"),
    ("mass [kg]", "180"),
    ("source", "own test"),
    ("aspiration", "diesel"),
    ("rated power [kW]", "30"),
    ("rated speed [rpm]", "2800"),
    ("governed speed [rpm]", "2600"),
    ("idle speed [rpm]", "1100"),
    ("consumption [g/kWh]", "250"),
    ("fuel density [kg/m3]", "840"),
    ("alternator current [A]", "40"),
];

/// A catalog of one row: the given cells in the place of some of a good row, or beside them. A cell of "-" takes its
/// column out.
fn row(good: &[Cell], changes: &[Cell]) -> String {
    let name = |heading: &'static str| heading.split(" [").next().unwrap();
    let kept =
        good.iter().filter(|(heading, _)| !changes.iter().any(|(change, _)| name(change) == name(heading)));
    let cells: Vec<&Cell> = kept.chain(changes.iter().filter(|(_, cell)| *cell != "-")).collect();
    let line =
        |which: fn(&Cell) -> &'static str| cells.iter().map(|cell| which(cell)).collect::<Vec<_>>().join(",");
    format!("{}\n{}\n", line(|cell| cell.0), line(|cell| cell.1))
}

fn read(kind: PartKind, text: &str) -> (Catalog, Diagnostics) {
    let mut reader = Reader::default();
    reader.read(kind, text.as_bytes(), "parts.csv");
    reader.finish()
}

fn pump(changes: &[Cell]) -> Diagnostics {
    read(PartKind::Pumps, &row(&PUMP, changes)).1
}

fn engine(changes: &[Cell]) -> Diagnostics {
    read(PartKind::Engines, &row(&ENGINE, changes)).1
}

#[test]
fn a_good_row_with_its_defaults() {
    let (catalog, diagnostics) = read(PartKind::Pumps, &row(&PUMP, &[]));
    assert_said(diagnostics, "");
    let row = &catalog.pumps[0].row;
    assert_eq!((row.listing.id.as_str(), row.listing.price, row.listing.line), ("P-16", Money(24050), 2));
    assert_eq!((row.listing.owned, row.listing.stock, row.listing.space), (0, None, None));
    assert_eq!((row.rated_density.si(), row.viscous_share.si(), row.compensator), (870.0, 0.3, None));
    assert!((row.volumetric_efficiency.si() - 0.94).abs() < 1e-15);
}

#[test]
fn any_unit_of_the_quantity_and_any_order() {
    let us = [
        ("rated pressure [psi]", "2900"),
        ("displacement [in3/rev]", "0.98"),
        ("volumetric efficiency", "0.94"),
        ("mass [lb]", "9.3"),
        ("set pressure [psi]", "3000"),
        ("min inlet pressure [psi abs]", "12"),
        ("owned", "1"),
        ("stock", "2"),
    ];
    let (catalog, diagnostics) = read(PartKind::Pumps, &row(&PUMP, &us));
    assert_said(diagnostics, "");
    let row = &catalog.pumps[0].row;
    assert!((row.rated_pressure.in_unit("bar").unwrap() - 199.948).abs() < 1e-3);
    assert!((row.lowest_inlet.unwrap().in_unit("bar abs").unwrap() - 0.8274).abs() < 1e-4);
    assert_eq!((row.listing.owned, row.listing.stock), (1, Some(2)));
}

#[test]
fn rows_come_sorted_by_id_from_all_files() {
    let mut reader = Reader::default();
    for (file, ids) in [("a.csv", ["P-2", "P-10"]), ("b.csv", ["P-1", "P-3"])] {
        let [first, second] = ids.map(|id| row(&PUMP, &[("id", id)]));
        let second = second.lines().nth(1).unwrap();
        reader.read(PartKind::Pumps, format!("{first}{second}\n").as_bytes(), file);
    }
    let (catalog, diagnostics) = reader.finish();
    assert_said(diagnostics, "");
    let ids: Vec<&str> = catalog.pumps.iter().map(|pump| pump.row.listing.id.as_str()).collect();
    assert_eq!(ids, ["P-1", "P-10", "P-2", "P-3"]);
}

#[test]
fn the_same_id_twice() {
    let mut reader = Reader::default();
    reader.read(PartKind::Pumps, row(&PUMP, &[]).as_bytes(), "a.csv");
    let again = row(&PUMP, &[]);
    reader.read(PartKind::Pumps, format!("{again}{}\n", again.lines().nth(1).unwrap()).as_bytes(), "b.csv");
    assert_said(
        reader.finish().1,
        "
b.csv:2:1: id is \"P-16\"
    needs each id once among the pumps
    a.csv:2 has the same id: give one of them another
b.csv:3:1: id is \"P-16\"
    needs each id once among the pumps
    a.csv:2 has the same id: give one of them another
",
    );
}

#[test]
fn every_wrong_cell_of_a_row_is_said() {
    assert_said(
        pump(&[
            ("id", "P 16"),
            ("price", "240.505"),
            ("mass [kg]", "0"),
            ("source", ""),
            ("displacement [cm3/rev]", "16000"),
            ("rated speed [rpm]", "15"),
            ("rated pressure [bar]", "2900"),
            ("rated viscosity [mm2/s]", ""),
            ("volumetric efficiency [%]", "0.94"),
            ("overall efficiency", "85"),
            ("highest pressure [bar]", "\"250,5\""),
            ("highest speed [rpm]", "nan"),
            ("owned", "1.5"),
            ("stock", "-1"),
        ]),
        "
parts.csv:2:2: id is \"P 16\"
    needs a name of at most 200 letters, digits, '.', '_' and '-'
    leave out blanks and other signs
parts.csv:2:3: price is \"240.505\"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    round it to two decimals
parts.csv:2:4: mass is \"0\"
    needs a number in kg, 0.001 to 1 000 000 kg
parts.csv:2:5: source is missing
    needs a text without control or direction signs
parts.csv:2:6: displacement is \"16000\"
    needs a number in cm3/rev, 0.1 to 2000 cm3/rev
    is [cm3/rev] the right unit in the heading?
parts.csv:2:7: rated speed is \"15\"
    needs a number in rpm, 100 to 20 000 rpm
parts.csv:2:8: rated pressure is \"2900\"
    needs a number in bar, 0.001 to 1000 bar
    is [bar] the right unit in the heading?
parts.csv:2:9: rated viscosity is missing
    needs a number in mm2/s, 5 to 1000 mm2/s
parts.csv:2:10: volumetric efficiency is \"0.94\"
    needs a number in %, 30 to 100 %
    are these numbers shares of 1? Then write the heading without [%]
parts.csv:2:11: overall efficiency is \"85\"
    needs a number, 20 to 100 %
    are these numbers per cent? Then write [%] in the heading
parts.csv:2:12: highest pressure is \"250,5\"
    needs a number in bar, 0.001 to 1000 bar
    try 250.5, with a decimal point
parts.csv:2:13: highest speed is \"nan\"
    needs a number in rpm, 100 to 20 000 rpm
    a missing or endless value cannot be computed with: give a number
parts.csv:2:14: owned is \"1.5\"
    needs a whole number, 0 to 1 000 000
parts.csv:2:15: stock is \"-1\"
    needs a whole number, 0 to 1 000 000
",
    );
}

#[test]
fn prices() {
    assert_said(
        pump(&[("price", "-5")]),
        "
parts.csv:2:13: price is \"-5\"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    an amount cannot be negative
",
    );
    assert_said(
        pump(&[("price", "1e3")]),
        "
parts.csv:2:13: price is \"1e3\"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    write it with digits and a decimal point only
",
    );
    assert_said(
        pump(&[("price", "9999999999")]),
        "
parts.csv:2:13: price is \"9999999999\"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    more than any part costs
",
    );
    assert_said(
        pump(&[("price", "\"1,200.00\"")]),
        "
parts.csv:2:13: price is \"1,200.00\"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    try 1200.00, with no separators between thousands
",
    );
}

#[test]
fn numbers_with_commas_and_units() {
    assert_said(
        pump(&[
            ("price", "$189.00"),
            ("mass [kg]", "9 lb"),
            ("highest speed [rpm]", "\"3,000\""),
            ("rated pressure", "200"),
            ("owned", "\"1,000\""),
        ]),
        "
parts.csv:1:13: rated pressure is \"rated pressure\"
    needs `rated pressure` with one of the units bar, psi, MPa, kPa, Pa, mbar
    write the unit of your numbers in square brackets, such as `rated pressure [bar]` or `rated pressure [psi]`
parts.csv:2:10: price is \"$189.00\"
    needs an amount such as 123.45: 0 to 1 000 000 000, at most two decimals
    try 189.00, without currency
parts.csv:2:11: mass is \"9 lb\"
    needs a number in kg, 0.001 to 1 000 000 kg
    the heading says [kg]: convert the number
parts.csv:2:12: highest speed is \"3,000\"
    needs a number in rpm, 100 to 20 000 rpm
    try 3000 if the comma separates thousands, 3.000 if it is a decimal comma
parts.csv:2:14: owned is \"1,000\"
    needs a whole number, 0 to 1 000 000
    try 1000, with no separators between thousands
",
    );
    let cooler = "id,price,mass [kg],source,rated heat [kW],rated difference [degF],rated oil flow [L/min],rated air flow [m3/h],\
                  rated viscosity [mm2/s],highest flow [L/min],highest pressure [bar],fan current [A],fan voltage [V]\n";
    assert_said(
        read(PartKind::Coolers, cooler).1,
        "
parts.csv:1:6: rated difference is \"rated difference [degF]\"
    needs `rated difference` with one of the units K, degF diff, degC diff
    a difference: write `[degF diff]`
",
    );
}

#[test]
fn cells_that_contradict_each_other() {
    assert_said(
        pump(&[
            ("overall efficiency [%]", "95"),
            ("lowest speed [rpm]", "3500"),
            ("set pressure [bar]", "280"),
            ("owned", "3"),
            ("stock", "2"),
        ]),
        "
parts.csv:2:13: overall efficiency is \"95\"
    needs at most the volumetric efficiency
    overall = volumetric x mechanical: are the two swapped?
parts.csv:2:14: lowest speed is \"3500\"
    needs at most the highest speed
    are the two swapped?
parts.csv:2:15: set pressure is \"280\"
    needs at most the highest pressure
parts.csv:2:17: stock is \"2\"
    needs at least as many as are owned
    the owned ones count as stock
",
    );
}

#[test]
fn a_rating_without_its_condition() {
    assert_said(
        pump(&[("rated viscosity [mm2/s]", "-"), ("rated pressure [bar]", "-")]),
        "
parts.csv:1: rated pressure is missing
    needs a column `rated pressure [bar]`
parts.csv:1: rated viscosity is missing
    needs a column `rated viscosity [mm2/s]`
",
    );
    let cooler = "id,price,mass [kg],source,rated heat [kW],rated difference [K],rated oil flow [L/min],rated air flow [m3/h],\
                  rated drop [bar],highest flow [L/min],highest pressure [bar],fan current [A],fan voltage [V]\n\
                  C-9,400,12,own test,9,40,75,1800,0.5,120,20,18,12\n";
    assert_said(
        read(PartKind::Coolers, cooler).1,
        "
parts.csv:1: rated viscosity is missing
    needs a column `rated viscosity [mm2/s]`
",
    );
}

#[test]
fn units_in_headings() {
    assert_said(
        pump(&[
            ("rated pressure [bar abs]", "200"),
            ("min inlet pressure [bar]", "0.8"),
            ("rated viscosity [cst]", "32"),
            ("rated speed", "1500"),
            ("price [EUR]", "100"),
            ("highest pressure [furlong]", "250"),
        ]),
        "
parts.csv:1:9: rated pressure is \"rated pressure [bar abs]\"
    needs `rated pressure` with one of the units bar, psi, MPa, kPa, Pa, mbar
    it is a gauge pressure: [bar]
parts.csv:1:10: min inlet pressure is \"min inlet pressure [bar]\"
    needs `min inlet pressure` with one of the units bar abs, psi abs, kPa abs, Pa abs, MPa abs
    it is an absolute pressure: [bar abs]
parts.csv:1:11: rated viscosity is \"rated viscosity [cst]\"
    needs `rated viscosity` with one of the units mm2/s, cSt, m2/s
    try [cSt]
parts.csv:1:12: rated speed is \"rated speed\"
    needs `rated speed` with one of the units rpm, rev/min, rev/s, rad/s
    write the unit of your numbers in square brackets, such as `rated speed [rpm]`
parts.csv:1:13: price is \"price [EUR]\"
    needs `price` without a unit
parts.csv:1:14: highest pressure is \"highest pressure [furlong]\"
    needs `highest pressure` with one of the units bar, psi, MPa, kPa, Pa, mbar
",
    );
}

#[test]
fn unknown_columns() {
    assert_said(pump(&[("volumetric effciency [%]", "94"), ("volumetric efficiency [%]", "-"), ("Colour", "red")]), "
parts.csv:1:13: heading is \"volumetric effciency [%]\"
    needs one of: id, price, mass, source, space, owned, stock, note, displacement, rated speed, rated pressure, rated viscosity, rated density, volumetric efficiency, overall efficiency, viscous loss fraction, highest pressure, highest speed, lowest speed, highest torque, min inlet pressure, set pressure
    try volumetric efficiency [%]
parts.csv:1:14: heading is \"Colour\"
    needs one of: id, price, mass, source, space, owned, stock, note, displacement, rated speed, rated pressure, rated viscosity, rated density, volumetric efficiency, overall efficiency, viscous loss fraction, highest pressure, highest speed, lowest speed, highest torque, min inlet pressure, set pressure
    put remarks into a column `note`, or delete the column
");
}

#[test]
fn unknown_words() {
    assert_said(
        engine(&[("aspiration", "disel")]),
        "
parts.csv:2:12: aspiration is \"disel\"
    needs one of: diesel, diesel-turbo, diesel-turbo-cooled, petrol, gas, electric
    try diesel
",
    );
    let bottle = "id,price,mass [kg],source,gas volume [L],highest pressure [bar],separator\nA-10,250,30,own test,9.2,330,balloon\n";
    assert_said(
        read(PartKind::Accumulators, bottle).1,
        "
parts.csv:2:7: separator is \"balloon\"
    needs one of: bladder, diaphragm, piston
",
    );
    let (catalog, diagnostics) = read(PartKind::Accumulators, &bottle.replace("balloon", "bladder"));
    assert_said(diagnostics, "");
    assert_eq!(catalog.accumulators[0].separator, Separator::Bladder);
}

#[test]
fn an_engine_with_curve_and_map() {
    let changes = [
        ("torque curve [rpm:N.m]", "1200:95 1800:112 2800:102"),
        ("consumption [g/kWh]", ""),
        ("fuel map [rpm:N.m:g/kWh]", "1500:40:280 1500:90:240 2600:40:300 2600:90:255"),
    ];
    let (catalog, diagnostics) = read(PartKind::Engines, &row(&ENGINE, &changes));
    assert_said(diagnostics, "");
    let engine = &catalog.engines[0];
    assert!(!engine.generic_curve);
    assert_eq!(engine.torque_curve.len(), 3);
    let Fuel::Map { speeds, torques, consumption } = &engine.fuel else { panic!("{:?}", engine.fuel) };
    assert_eq!((speeds.len(), torques.len()), (2, 2));
    assert!((consumption[1][0].in_unit("g/kWh").unwrap() - 300.0).abs() < 1e-9);
    assert!(read(PartKind::Engines, &row(&ENGINE, &[])).0.engines[0].generic_curve);
}

#[test]
fn a_torque_curve_that_is_none() {
    assert_said(
        engine(&[("torque curve [rpm:N.m]", "1200:95 1800 2800:102")]),
        "
parts.csv:2:13: torque curve is \"1200:95 1800 2800:102\"
    needs points of speed of rotation (0, or 1 to 20 000 rpm):torque (0.001 to 1 000 000 N.m), with a blank between points, in rpm:N.m
    `1800` must be 2 numbers joined by colons
",
    );
    assert_said(
        engine(&[("torque curve [rpm:N.m]", "1200:95 1800:-112 2800:102")]),
        "
parts.csv:2:13: torque curve is \"1200:95 1800:-112 2800:102\"
    needs points of speed of rotation (0, or 1 to 20 000 rpm):torque (0.001 to 1 000 000 N.m), with a blank between points, in rpm:N.m
    `-112` in `1800:-112`: torque must be 0.001 to 1 000 000 N.m
",
    );
    assert_said(
        engine(&[("torque curve [rpm:N.m]", "1800:95 1200:112")]),
        "
parts.csv:2:8: governed speed is \"2600\"
    needs at most the last speed of the torque curve (without a curve: the rated speed)
    beyond it the engine has no torque
parts.csv:2:13: torque curve is \"1800:95 1200:112\"
    needs two or more points with rising speeds
",
    );
    assert_said(
        engine(&[("torque curve [rpm]", "1200 1800")]),
        "
parts.csv:1:13: torque curve is \"torque curve [rpm]\"
    needs `torque curve` with its units joined by colons: rpm, rev/min, rev/s, rad/s : N.m, Nm, lbf.ft, lbf.in
    write the unit of your numbers in square brackets, such as `torque curve [rpm:N.m]` or `torque curve [rpm:lbf.ft]`
",
    );
}

#[test]
fn consumption_and_fuel_map() {
    assert_said(
        engine(&[("consumption [g/kWh]", "-")]),
        "
parts.csv:1: consumption is missing
    needs a column `consumption [g/kWh]`
    or a column `fuel map [rpm:N.m:g/kWh]`
",
    );
    assert_said(
        engine(&[("consumption [g/kWh]", "")]),
        "
parts.csv:2:12: consumption is missing
    needs either a consumption or a fuel map
    fill in one of the two cells
",
    );
    assert_said(
        engine(&[("fuel map [rpm:N.m:g/kWh]", "1500:40:280")]),
        "
parts.csv:2:10: consumption is \"250\"
    needs either a consumption or a fuel map
    leave one of the two cells blank
",
    );
    let hole = "1500:40:280 1500:90:240 2600:40:300";
    assert_said(
        engine(&[("consumption [g/kWh]", ""), ("fuel map [rpm:N.m:g/kWh]", hole)]),
        "
parts.csv:2:13: fuel map is \"1500:40:280 1500:90:240 2600:40:300\"
    needs each speed with each torque, once
    no point at 2600 rpm and 90.0 N.m
",
    );
}

#[test]
fn speeds_of_an_engine() {
    assert_said(
        engine(&[("governed speed [rpm]", "3000"), ("idle speed [rpm]", "3200")]),
        "
parts.csv:2:11: governed speed is \"3000\"
    needs at most the last speed of the torque curve (without a curve: the rated speed)
    beyond it the engine has no torque
parts.csv:2:12: idle speed is \"3200\"
    needs at most the governed speed
    are the two swapped?
",
    );
}

#[test]
fn other_kinds() {
    let relief = "id,price,mass [kg],source,rated flow [L/min],lowest setting [bar],highest setting [bar],override share\n\
                  R-1,90,1.2,own test,60,250,100,15\n";
    assert_said(
        read(PartKind::ReliefValves, relief).1,
        "
parts.csv:2:6: lowest setting is \"250\"
    needs at most the highest setting
    are the two swapped?
parts.csv:2:8: override share is \"15\"
    needs a number, 0, or 0.0001 to 60 %
    are these numbers per cent? Then write [%] in the heading
",
    );
    let reservoir = "id,price,mass [kg],source,volume [L],level band [L]\nT-40,300,20,own test,40,60\n";
    assert_said(
        read(PartKind::Reservoirs, reservoir).1,
        "
parts.csv:2:6: level band is \"60\"
    needs at most the volume
",
    );
}

#[test]
fn what_only_the_part_itself_knows() {
    let cooler = "id,price,mass [kg],source,rated heat [kW],rated difference [K],rated oil flow [L/min],rated air flow [m3/h],\
                  rated viscosity [mm2/s],highest flow [L/min],highest pressure [bar],fan current [A],fan voltage [V]\n\
                  C-90,400,12,own test,90,40,75,1800,30,120,20,18,12\n";
    assert_said(read(PartKind::Coolers, cooler).1, "
parts.csv:2: the row is C-90
    needs numbers that go together
    rated heat: found 90.000 kW, accepted below 24.168 kW: no more can pass between these flows of oil and air at this temperature difference
");
}

#[test]
fn columns_are_described_for_the_readme() {
    for kind in PartKind::ALL {
        let columns = columns(kind);
        let mut names: Vec<&str> = columns.iter().map(|column| column.name).collect();
        names.sort_unstable();
        assert!(names.windows(2).all(|pair| pair[0] != pair[1]), "{} names a column twice", kind.name());
        assert!(columns.iter().all(|column| !column.meaning.is_empty() && !column.accepted().is_empty()));
    }
    let pumps = columns(PartKind::Pumps);
    let share = pumps.iter().find(|column| column.name == "viscous loss fraction").unwrap();
    assert_eq!((share.heading(), share.need), ("viscous loss fraction".to_owned(), Need::Optional("0.3")));
    let map = columns(PartKind::Engines).into_iter().find(|column| column.name == "fuel map").unwrap();
    assert_eq!(map.heading(), "fuel map [rpm:N.m:g/kWh]");
}

#[test]
fn former_headings_still_read() {
    let [old, new] = [
        [("viscous share", "0.4"), ("lowest inlet [bar abs]", "0.7")],
        [("viscous loss fraction", "0.4"), ("min inlet pressure [bar abs]", "0.7")],
    ]
    .map(|cells| read(PartKind::Pumps, &row(&PUMP, &cells)));
    assert_said(old.1, "");
    assert_said(new.1, "");
    let [old, new] = [old.0, new.0].map(|catalog| catalog.pumps[0].row.clone());
    assert_eq!((old.viscous_share.si(), old.lowest_inlet), (0.4, new.lowest_inlet));
    assert_eq!(old.viscous_share, new.viscous_share);
}
