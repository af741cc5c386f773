//! A folder with a small study, in which the program is run.

use assert_cmd::assert::Assert;
use std::path::PathBuf;
use tempfile::TempDir;

/// A demo and a pick of it: the first of its ranking when this was written.
pub(crate) const DEMOS: [(&str, &str); 2] = [
    (
        "firewood",
        "gear-14.5-a/diesel-28@2600rpm/relief-pilot-90-315@2350psi/together-4/diaphragm-2.8-250x2@1200psi/\
         aircooler-12-42x1/reservoir-steel-40/spinon-130x1",
    ),
    (
        "beach-rake",
        "gear-11-a*0.86+gear-11-a+gear-16.5-b/diesel-37@2100rpm/relief-direct-90-250@180bar/matched-4/none/\
         aircooler-24-55x1/reservoir-steel-40/intank-125x1",
    ),
];

/// A folder that goes away with the test.
pub(crate) struct Folder(TempDir);

/// Steps with names that a spreadsheet would like to run; all functions are carried by the pumps of the small study.
const LOAD: &str = "\
step,duration [s],function,flow [L/min],pressure [bar],return ratio,work fraction
=1+1,6,@lift,18,120,0.8,1
\"+cmd|' /C calc'!A0\",4,-swing,30,90,1.2,0.5
wait;=2+3,10,,,,,
";

const STUDY: &str = r#"
title = "=Small study"
units = "metric"
[files]
profile = "load.csv"
pumps = "GENERIC/pumps.csv"
accumulators = "GENERIC/accumulators.csv"
coolers = "GENERIC/coolers.csv"
reservoirs = "GENERIC/reservoirs.csv"
filters = "GENERIC/filters.csv"
relief_valves = "GENERIC/relief_valves.csv"
unloading_valves = "GENERIC/unloading_valves.csv"
engines = "GENERIC/engines.csv"
[site]
air_temperature = "30 degC"
altitude = "200 m"
[oil]
viscosity_at_40 = "46 mm2/s"
viscosity_at_100 = "7.7 mm2/s"
density_at_15 = "872 kg/m3"
[circuit]
kind = "closed-centre"
[suction]
bore = "40 mm"
length = "0.7 m"
fittings = 1.2
head = "0.3 m"
[electric]
voltage = "12 V"
[pumps]
counts = [1, 2]
drive = "tandem"
pick = ["gear-8-a", "gear-12-b"]
[engine]
pick = ["diesel-28"]
[relief]
settings = ["170 bar"]
pick = ["relief-pilot-90-315"]
[unloading]
pick = ["unload-25", "unload-40"]
[accumulators]
counts = [0, 1]
precharge = ["80 bar"]
pick = ["diaphragm-2.8-250"]
[coolers]
counts = [1]
pick = ["aircooler-12-42", "aircooler-12-55"]
[reservoirs]
pick = ["reservoir-steel-40"]
[filters]
counts = [1]
pick = ["spinon-130"]
[[scheme]]
rule = "continuous"
[[scheme]]
rule = "together"
cut_out = "150 bar"
cut_in = "130 bar"
[[scheme]]
rule = "matched"
[settings]
oil_limit = "80 degC"
coldest_running = "10 degC"
shortfall_limit = "20 %"
step_shortfall_limit = "40 %"
pump_switching_limit = "100000 1/h"
start_viscosity = "5000 mm2/s"
EXTRA
"#;

impl Folder {
    /// The small study, with lines more under `[settings]`.
    pub(crate) fn new(settings: &str) -> Self {
        let folder = Self(TempDir::new().unwrap());
        let generic = concat!(env!("CARGO_MANIFEST_DIR"), "/catalogs/generic");
        folder.put("load.csv", LOAD.as_bytes());
        folder.put("study.toml", STUDY.replace("GENERIC", generic).replace("EXTRA", settings).as_bytes());
        folder
    }

    /// Path of a file in it.
    pub(crate) fn path(&self, file: &str) -> PathBuf {
        self.0.path().join(file)
    }

    /// Its own name.
    pub(crate) fn name(&self) -> String {
        self.0.path().file_name().unwrap().to_str().unwrap().to_owned()
    }

    /// Writes a file.
    pub(crate) fn put(&self, file: &str, bytes: &[u8]) {
        std::fs::write(self.path(file), bytes).unwrap();
    }

    /// Reads a file.
    pub(crate) fn get(&self, file: &str) -> String {
        std::fs::read_to_string(self.path(file)).unwrap()
    }

    /// Changes a text in a file that holds it.
    pub(crate) fn change(&self, file: &str, from: &str, to: &str) {
        let text = self.get(file);
        assert!(text.contains(from), "{file} has no {from}");
        self.put(file, text.replace(from, to).as_bytes());
    }

    /// Names of all files in it, sorted.
    pub(crate) fn files(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.0.path()).unwrap();
        let mut names: Vec<String> =
            entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    /// Runs the program in it.
    pub(crate) fn run(&self, arguments: &[&str]) -> Ran {
        self.run_with(arguments, "")
    }

    /// Runs the program in it with something to read.
    pub(crate) fn run_with(&self, arguments: &[&str], input: &str) -> Ran {
        Ran(self.command(arguments).write_stdin(input.to_owned()).assert())
    }

    /// Runs the program in it as in a terminal of so many columns.
    pub(crate) fn run_wide(&self, arguments: &[&str], columns: usize) -> Ran {
        Ran(self.command(arguments).env("COLUMNS", columns.to_string()).assert())
    }

    fn command(&self, arguments: &[&str]) -> assert_cmd::Command {
        let mut command = assert_cmd::Command::new(env!("CARGO_BIN_EXE_sumpwright"));
        command.current_dir(self.0.path()).args(arguments).env_remove("COLUMNS");
        command
    }
}

/// What a run left.
pub(crate) struct Ran(Assert);

impl Ran {
    /// Wants an exit code; shows everything where it is another.
    pub(crate) fn code(self, code: i32) -> Self {
        Self(self.0.code(code))
    }

    /// The exit code.
    pub(crate) fn exit(&self) -> i32 {
        self.0.get_output().status.code().unwrap()
    }

    /// Standard output.
    pub(crate) fn stdout(&self) -> String {
        String::from_utf8(self.0.get_output().stdout.clone()).unwrap()
    }

    /// Standard error.
    pub(crate) fn stderr(&self) -> String {
        String::from_utf8(self.0.get_output().stderr.clone()).unwrap()
    }
}
