use super::said;
use sumpwright::catalog::Reader;
use sumpwright::problems::Problems;
use sumpwright::{profile, study};

fn demo(dir: &str) {
    let root = "/work/wt/data/catalogs/";
    let path = format!("{root}{dir}/study.toml");
    let text = std::fs::read(&path).unwrap();
    let files = study::files(&text, "study.toml");
    let mut reader = Reader::default();
    for (kind, file) in &files.catalogs {
        reader.read(*kind, &std::fs::read(format!("{root}{dir}/{file}")).unwrap(), file);
    }
    let (catalog, mut problems) = reader.finish();
    let p = files.profile.unwrap();
    let profile = profile::read(&std::fs::read(format!("{root}{dir}/{p}")).unwrap(), &p)
        .map_err(|e| problems.extend(e))
        .ok();
    match study::read(&text, "study.toml", &catalog, profile, problems) {
        Ok(s) => println!("== {dir} ok {} pumps of {}", s.slots.pumps.len(), catalog.pumps.len()),
        Err(e) => println!("== {dir}\n{}", said(e)),
    }
}

#[test]
fn scratch3() {
    demo("firewood");
    demo("beach-rake");
    let show = |name: &str, text: &str| {
        let e = study::read(text.as_bytes(), "study.toml", &Default::default(), None, Problems::default())
            .unwrap_err();
        println!("== {name}\n{}", said(e));
    };
    show("empty", "title = \"x\"");
    show(
        "wrong",
        r#"
title = ""
units = "imperial"
colour = 3
sites = 5
[files]
profile = "load.csv"
pumps = 5
coolers = ["a.csv", "a.csv", "", 3]
engines = []
[site]
air_temperature = "30 °C"
altitude = 1500
altitudes = "3 m"
[oil]
viscosity_at_40 = "46 mm2/s"
grade = 45
viscosity_at_100 = "68"
cold_temperature = "-10 degC"
density_at_15 = "nan kg/m3"
[circuit]
kind = "closed-center"
line_drop = "5 bar"
[suction]
bore = "0 mm"
length = "1,5 m"
fittings = inf
head = "3 furlong"
[electric]
voltage = true
[thermostat]
on = "50 degC"
off = "60 degC"
[gas]
hottest = "10 degC"
coldest = "50 degC"
[pumps]
counts = [0, 1, 1, 5, "2", 1.5]
drive_ratios = [1.0, 0]
drive = "chain"
pick = ["P-1", "P-1"]
[engine]
speeds = [2600]
[relief]
settings = "2500 psi"
pick = []
[accumulators]
counts = [0, 1]
[coolers]
count = [1]
[[scheme]]
rule = "together"
cut_out = "150 bar"
stagger = "5 bar"
[[scheme]]
rule = "continuous"
cut_in = "100 bar"
[[scheme]]
rule = "continuos"
[[scheme]]
rule = "matched"
cut_out = "100 bar"
idle = "yes"
[[scheme]]
cut_out = "100 bar"
[hardware]
switch_price = -5
controller_price = 1.234
[owned]
"P-1" = 3
"X" = -1
[limits]
budget = "lots"
mass = "0 kg"
[objective]
cost = 0
heat = 1
[settings]
oil_limt = "70 degC"
oil_limit = 70
fill = 0.999
fouling = 20
coldest_start = "20 degC"
start_viscosity = "1 m2/s"
closing_cycles = 12.5
"#,
    );
    show(
        "syntax",
        "title = abc\n[site]\nair_temperature = \"30 degC\n[oil\ngrade = 46\n[files]\npumps = \"a.csv\" x\npumps = \"b.csv\"\n[files]\nprofile = 1,5\n[electric]\nvoltages = \"12 V\"\n",
    );
    show("shape", "title = \"x\"\nsite = 5\nscheme = 5\nfiles = [1]\n[scheme.x]\n[[pumps]]\n");
}
#[test]
fn scratch4() {
    use sumpwright::catalog::{Kind, columns};
    for kind in Kind::ALL {
        eprintln!("{}", kind.name());
        let c = columns(kind);
        eprintln!("{}", c.len());
        let mut reader = Reader::default();
        let f = format!("{}.csv", kind.key());
        reader.read(kind, &std::fs::read(format!("/work/wt/data/catalogs/generic/{f}")).unwrap(), &f);
        eprintln!("{}", said(reader.finish().1));
    }
}
