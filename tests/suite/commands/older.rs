//! An older ranking damaged in every place that `changes` reads: refused with what and where, or told.

use super::folder::Folder;
use super::tree::Tree;
use sumpwright::report::changes;

const READ: [&str; 13] = [
    "/kind",
    "/format",
    "/version",
    "/inputs",
    "/first",
    "/pumps",
    "/proved",
    "/not_proved",
    "/account",
    "/rows",
    "/best_of",
    "/groups",
    "/groups_never_adequate",
];

fn ranked() -> (Folder, Tree) {
    let folder = Folder::new("");
    let rank =
        ["rank", "study.toml", "--first", "5", "--best-of", "scheme", "--quiet", "--json", "then.json"];
    folder.run(&rank).code(0);
    let tree = read_alone("", Tree::of(folder.get("then.json").as_bytes()));
    (folder, tree)
}

/// Only what is read: the rest of a ranking is for people, and long.
fn read_alone(place: &str, tree: Tree) -> Tree {
    let Tree::Object(parts) = tree else {
        return match tree {
            Tree::List(parts) => Tree::List(parts.into_iter().map(|part| read_alone(place, part)).collect()),
            other => other,
        };
    };
    let keys: &[&str] = match place {
        "" => &READ,
        "/rows" | "/groups" => &["/si"],
        "/si" => &["/rank", "/name", "/adequate", "/cost_cents", "/objective", "/heat_margin_fraction"],
        "/account" => &["/simulated", "/complete"],
        "/groups_never_adequate" => &["/number"],
        _ => &["/file", "/bytes", "/fnv1a64", "/text"],
    };
    let part = |(key, part): (String, Tree)| {
        let place = format!("/{key}");
        keys.contains(&place.as_str()).then(|| (key, read_alone(&place, part)))
    };
    Tree::Object(parts.into_iter().filter_map(part).collect())
}

/// Damages that are read as another ranking that there may be; what they change is told, or is nothing that is said.
fn may_stand(way: &str) -> bool {
    let (place, what) = way.split_once(' ').unwrap_or((way, ""));
    let last = place.rsplit('/').next().unwrap_or_default();
    // figures and names are judged anew with the inputs of then: rows that come out otherwise are counted and told
    let row = ["objective", "cost_cents", "heat_margin_fraction", "adequate", "name"].contains(&last);
    // the name of a file, missing below
    let file = last == "file" || last == "text" && what == "null";
    // entries that nobody reads
    let unread = what.ends_with("and one that nobody knows")
        || !["", "/inputs", "/account", "/rows", "/groups"].contains(&place)
            && !place.ends_with("/si")
            && what.contains(" gone");
    // what is missing in a list is found beside the study
    let list = ["/inputs", "/groups"].contains(&place);
    row || file
        || list
        || unread
        || ["version", "first", "simulated", "pumps", "best_of", "number", "groups_never_adequate"]
            .contains(&last)
}

#[test]
fn a_damaged_ranking_is_refused_or_told() {
    let (folder, tree) = ranked();
    let good = format!("{:?}", changes::read(folder.get("then.json").as_bytes(), "then.json").unwrap());
    let damaged = tree.damaged(&|_| true);
    assert!(damaged.len() > 500, "{}", damaged.len());
    let mut others = Vec::new();
    for (way, tree) in &damaged {
        let bytes = tree.text(0).into_bytes();
        match changes::read(&bytes, "then.json") {
            Err(text) => assert!(!text.is_empty() && text.len() < 1000, "{way}: {text}"),
            Ok(previous) if format!("{previous:?}") == good => {}
            Ok(_) => {
                assert!(may_stand(way), "{way}");
                others.push((way, bytes));
            }
        }
    }
    // what is read otherwise, by the program itself: nothing that is no number, and what is other is told
    assert!(others.len() > 20, "{}", others.len());
    let step = others.len().div_ceil(40);
    let listed = |way: &str| ["/inputs without", "/groups "].iter().any(|list| way.starts_with(list));
    for (_, (way, bytes)) in others.iter().enumerate().filter(|(i, (way, _))| i % step == 0 || listed(way)) {
        folder.put("bad.json", bytes);
        let ran = folder.run(&["changes", "bad.json", "study.toml"]);
        let (exit, said, error) = (ran.exit(), ran.stdout(), ran.stderr());
        assert!(exit == 2 || exit == 0 && !listed(way), "{way}: {exit}\n{error}");
        assert!(!said.contains("NaN") && !said.contains("inf "), "{way}\n{said}");
        let figure =
            ["/cost_cents ", "/heat_margin_fraction ", "/adequate "].iter().any(|key| way.contains(key));
        assert!(exit == 2 || !figure || said.contains("other figures in this version"), "{way}\n{said}");
        assert!(
            exit == 0 || error.contains("bad.json") || error.contains("among the inputs that were kept"),
            "{way}\n{error}"
        );
    }
}

#[test]
fn a_ranking_that_contradicts_itself_says_where() {
    let (folder, _) = ranked();
    let good = folder.get("then.json");
    let simulated = serde_json::from_str::<serde_json::Value>(&good).unwrap()["account"]["simulated"].clone();
    for (from, to, words) in [
        ("\"first\": 5", "\"first\": 4", "5 `rows`, where it should have 4"),
        ("\"first\": 5", "\"first\": -5", "expected usize at line"),
        ("\"first\": 5", "\"first\": 18446744073709551615", "`first` 18446744073709551615, not 1 to 100000"),
        ("\"proved\": true", "\"proved\": false", "that contradict each other"),
        ("\"rank\": 2,", "\"rank\": 3,", "row 2 of `rows` whose `rank` is another"),
        (&format!("\"simulated\": {simulated}"), "\"simulated\": \"1\"", "5 `rows`, where it should have 1"),
        (
            "30 degC",
            "31 degC",
            "the text of study.toml, which is not what was read then: its digest is another",
        ),
        ("\"best_of\": \"scheme\"", "\"best_of\": null", "`groups` that do not fit"),
        ("\"pumps\": null", "\"pumps\": \"gear-12-b\"", "a row with other pumps than those of `pumps`"),
        (
            "\"best_of\": \"scheme\"",
            "\"best_of\": \"number_of_pumps\"",
            "`groups` with two of the same number of pumps",
        ),
    ] {
        assert!(good.contains(from), "{from}");
        folder.put("then.json", good.replacen(from, to, 1).as_bytes());
        let error = folder.run(&["changes", "then.json", "study.toml"]).code(2).stderr();
        assert!(error.contains("then.json") && error.contains(words), "{words}\n{error}");
    }
}
