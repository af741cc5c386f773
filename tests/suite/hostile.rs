//! Inputs that harm: without an end, too large, slow to read, with signs that a terminal obeys or hides.

mod signs;
mod sizes;

use crate::commands::folder::Folder;

/// Name of a combination of the small study.
const NAME: &str = "gear-12-b/diesel-28@2600rpm/relief-pilot-90-315@170bar/together-2/diaphragm-2.8-250x1@80bar/\
                    aircooler-12-55x1/reservoir-steel-40/spinon-130x1";

/// Every command that reads a study, with arguments that are good for the small study beside a `ranked.csv`, a
/// `ranked.json` and a state of it.
fn commands() -> Vec<Vec<&'static str>> {
    let each = ["simulate", "card", "faults", "why"].map(|command| vec![command, "study.toml", NAME]);
    let mut all = each.to_vec();
    all.extend([
        vec!["check", "study.toml"],
        vec!["rank", "study.toml", "--csv", "r.csv", "--json", "r.json", "--front", "f.csv"],
        vec!["score", "study.toml"],
        vec!["score", "study.toml", "--slots"],
        vec![
            "vary",
            "study.toml",
            "--of",
            "altitude",
            "--to",
            "900 m",
            "--points",
            "2",
            "--csv",
            "v.csv",
            "--json",
            "v.json",
        ],
        vec!["doubt", "study.toml", "--samples", "10", "--csv", "d.csv", "--json", "d.json"],
        vec!["changes", "ranked.json", "study.toml", "--csv", "c.csv", "--json", "c.json"],
        vec!["merge", "study.toml", "share.json", "--csv", "m.csv"],
        vec!["rank", "study.toml", "--resume", "share.json", "--share", "1/1", "--checkpoint", "s.json"],
        vec!["simulate", "study.toml", "--from", "ranked.csv", "--json", "x.json", "--trace", "t.csv"],
        vec!["simulate", "study.toml", NAME, "--row"],
    ]);
    all
}

/// The small study with all that [`commands`] need beside it.
fn folder() -> Folder {
    let folder = Folder::new("");
    folder.run(&["rank", "study.toml", "--quiet", "--json", "ranked.json"]).code(0);
    folder.run(&["rank", "study.toml", "--share", "1/1", "--checkpoint", "share.json"]).code(0);
    folder
}
