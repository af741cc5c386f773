//! JSON results against the schemas that `formats --schema` prints, and their keys against the one rule for keys.

use super::commands::folder::{DEMOS, Folder};
use serde_json::Value;
use std::collections::BTreeMap;
use sumpwright::report::views;

/// Values of a requirement that the user varies: in the unit that the document names in `unit_of_values`, or in SI.
const VARIED: [&str; 8] = ["value", "value_si", "values", "from", "to", "first", "last", "precision"];

/// Units at the end of a key.
const UNITS: [&str; 33] = [
    "_k",
    "_pa",
    "_pa_abs",
    "_w",
    "_j",
    "_m3",
    "_m3_per_s",
    "_m2_per_s",
    "_kg",
    "_s",
    "_per_s",
    "_rad_per_s",
    "_n_m",
    "_a",
    "_v",
    "_m",
    "_m_per_s",
    "_m2",
    "_w_per_k",
    "_w_per_pa",
    "_j_per_k",
    "_j_per_kg_k",
    "_kg_per_m3",
    "_kg_per_s",
    "_kg_per_j",
    "_pa_s",
    "_m3_per_s_pa",
    "_m3_per_rad",
    "_m3_per_rev",
    "_fraction",
    "_cents",
    "_billionths",
    "_per_m3",
];
/// Numbers without a unit that do not count.
const DIMENSIONLESS: [&str; 12] = [
    "objective",
    "drive_ratio",
    "return_ratio",
    "ratio_limit",
    "fittings_loss_coefficient",
    "slip_coefficient",
    "viscous_friction_coefficient",
    "pressure_friction_coefficient",
    "cost_weight",
    "heat_margin_weight",
    "flow_shortfall_weight",
    "pump_switchings",
];
/// Numbers whose unit stands beside them as `unit`, those of points as `units`.
const UNIT_BESIDE: [&str; 8] = [
    "value",
    "figure",
    "limit",
    "rule_value",
    "calculated_value",
    "missing",
    "previous_value",
    "current_value",
];

/// The schemas, ready to validate.
pub(crate) struct Schemas {
    all: boon::Schemas,
    kinds: BTreeMap<String, boon::SchemaIndex>,
}

impl Schemas {
    pub(crate) fn new() -> Self {
        let (mut all, mut compiler, mut kinds) =
            (boon::Schemas::new(), boon::Compiler::new(), BTreeMap::new());
        for (kind, _) in views::SCHEMAS {
            let (place, schema) = (format!("https://localhost/{kind}.json"), views::schema_of(kind).unwrap());
            compiler.add_resource(&place, schema.into()).unwrap();
            kinds.insert((*kind).to_owned(), compiler.compile(&place, &mut all).unwrap());
        }
        Self { all, kinds }
    }

    /// What is wrong with a document, of a kind that has a schema.
    pub(crate) fn wrong(&self, document: &Value) -> Vec<String> {
        let Some(schema) = document["kind"].as_str().and_then(|kind| self.kinds.get(kind)) else {
            return Vec::new();
        };
        let mut wrong = Vec::new();
        if let Err(error) = self.all.validate(document, *schema) {
            wrong.push(format!("{error:#}"));
        }
        let mut look = |key: &str, beside: Option<&Value>, value: &Value| {
            // in a document of varied values these stand in the unit that it names
            let in_its_unit = document["kind"] == "varied" || document["kind"] == "map";
            if in_its_unit && value.is_number() && VARIED.contains(&key) {
                return;
            }
            if let Some(fault) = fault(key, beside, value) {
                wrong.push(format!("{key}: {fault}"));
            }
        };
        walk("", None, document, &mut look);
        wrong
    }

    fn accepts(&self, kind: &str, document: &Value) -> bool {
        self.all.validate(document, self.kinds[kind]).is_ok()
    }
}

/// Visits every key and every number with the key that it stands under, in lists or not, and the object around.
fn walk(
    key: &str,
    around: Option<&Value>,
    value: &Value,
    look: &mut dyn FnMut(&str, Option<&Value>, &Value),
) {
    match value {
        Value::Array(items) => items.iter().for_each(|item| walk(key, around, item, look)),
        Value::Object(entries) => {
            for (key, item) in entries {
                look(key, None, &Value::Null);
                walk(key, Some(value), item, look);
            }
        }
        _ => look(key, around, value),
    }
}

/// What is wrong with a key, or with a number that stands under it.
fn fault(key: &str, around: Option<&Value>, value: &Value) -> Option<&'static str> {
    let words = key.split('_');
    let lower = |word: &str| word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit());
    if !words.clone().all(|word| !word.is_empty() && lower(word))
        || key.starts_with(|c: char| c.is_ascii_digit())
    {
        return Some("no snake case");
    }
    let Value::Number(number) = value else { return None };
    let has_unit = UNITS.iter().any(|unit| key.ends_with(unit));
    let stated = |object: &Value| object.get("unit").or(object.get("units")).is_some();
    let beside = UNIT_BESIDE.contains(&key) && around.is_some_and(stated);
    let counts = number.is_i64() || number.is_u64();
    (!has_unit && !beside && !counts && !DIMENSIONLESS.contains(&key)).then_some("a number without unit")
}

fn run(folder: &Folder, arguments: &[&str], file: &str) -> Value {
    let ran = folder.run(arguments);
    assert!([0, 1, 4].contains(&ran.exit()), "{arguments:?} {}", ran.stderr());
    let text = if file.is_empty() { ran.stdout() } else { folder.get(file) };
    serde_json::from_str(&text).unwrap()
}

/// The name of the first row of a ranking, or of its first miss.
fn first(ranking: &Value) -> String {
    ranking["rows"][0]["si"]["name"].as_str().unwrap().to_owned()
}

/// Ranking, candidate and slots of a study.
fn documents(folder: &Folder, study: &str, name: Option<&str>) -> Vec<Value> {
    let rank = [
        "rank",
        study,
        "-q",
        "--first",
        "5",
        "--front",
        "front.csv",
        "--best-of",
        "scheme",
        "--json",
        "r.json",
    ];
    let ranking = run(folder, &rank, "r.json");
    let name = name.map_or_else(|| first(&ranking), str::to_owned);
    let candidate = run(folder, &["simulate", study, &name, "--json", "s.json"], "s.json");
    vec![ranking, candidate, run(folder, &["score", study, "--slots"], "")]
}

/// What became of a ranking after a value, a price, a list and a step of its inputs changed, and a scheme went.
fn compared(folder: &Folder) -> Value {
    let rank = ["rank", "study.toml", "-q", "--first", "20", "--best-of", "scheme", "--json", "old.json"];
    run(folder, &rank, "old.json");
    folder.change("study.toml", "\"30 degC\"", "\"45 degC\"");
    folder.change("study.toml", "[settings]", "[owned]\n\"gear-12-b\" = 2\n[settings]");
    folder.change("study.toml", "[[scheme]]\nrule = \"continuous\"\n", "");
    folder.change("load.csv", "=1+1,6,", "first,2,@lift,18,120,0.8,1\n=1+1,7,");
    run(folder, &["changes", "old.json", "study.toml", "--json", "h.json"], "h.json")
}

/// The demos; a study where nothing is adequate, in US units, with an objective, limits and a title to escape; an open
/// centre without accumulators whose oil keeps heating.
fn odd() -> Vec<Vec<Value>> {
    let mut all = Vec::new();
    for (demo, name) in DEMOS {
        let study = format!("{}/catalogs/{demo}/study.toml", env!("CARGO_MANIFEST_DIR"));
        all.push(documents(&Folder::new(""), &study, Some(name)));
    }
    let folder = Folder::new(
        "heat_margin_limit = \"900 %\"\n[limits]\nmass = \"100 kg\"\n[objective]\nheat_margin = 3.0",
    );
    folder.change("study.toml", "units = \"metric\"", "units = \"us\"");
    folder.change("study.toml", "=Small study", "(\\\" {");
    let found = documents(&folder, "study.toml", None);
    assert!(!found[0]["nearest_misses"].as_array().unwrap().is_empty(), "{}", found[0]);
    all.push(found);
    let folder = Folder::new("");
    folder.change("study.toml", "closed-centre", "open-centre");
    folder.change("study.toml", "counts = [0, 1]", "counts = [0]");
    folder.change("study.toml", "\"30 degC\"", "\"79 degC\"");
    let found = documents(&folder, "study.toml", None);
    assert!(found[1]["oil_temperatures"]["steady_k"].is_null() && found[1]["parts"]["accumulator"].is_null());
    all.push(found);
    let compared = compared(&Folder::new(""));
    for changed in ["value", "new", "gone"] {
        let all = compared["input_changes"].as_array().unwrap();
        assert!(all.iter().any(|change| change["change"] == changed), "{changed}");
    }
    all.push(vec![compared]);
    all
}

#[test]
fn documents_fit_their_schemas_and_keys_carry_their_unit() {
    let schemas = Schemas::new();
    for document in odd().iter().flatten() {
        assert!(schemas.kinds.contains_key(document["kind"].as_str().unwrap()));
        assert_eq!(document["format"], views::FORMAT);
        assert_eq!(schemas.wrong(document), Vec::<String>::new(), "{}", document["kind"]);
    }
}

#[test]
fn the_rule_for_keys_can_be_broken() {
    let number = |text: &str| serde_json::from_str::<Value>(text).unwrap();
    for (key, value) in
        [("flow", "1.0"), ("Flow_m3", "1"), ("flow_", "1"), ("pa", "0.5"), ("a b", "1"), ("value", "1.5")]
    {
        assert!(fault(key, None, &number(value)).is_some(), "{key}");
    }
    for (key, value) in [("flow_m3_per_s", "1.0"), ("count", "3"), ("objective", "1.5"), ("name", "\"x\"")] {
        assert_eq!(fault(key, None, &number(value)), None, "{key}");
    }
    let around = serde_json::json!({ "unit": null });
    assert_eq!(fault("value", Some(&around), &number("1.5")), None);
}

/// Places of objects and lists in a document, of each list the first entry alone: the others are alike.
fn places(value: &Value, at: &str, found: &mut Vec<String>) {
    match value {
        Value::Array(items) => {
            found.push(at.to_owned());
            items.first().into_iter().for_each(|item| places(item, &format!("{at}/0"), found));
        }
        Value::Object(entries) => {
            found.push(at.to_owned());
            entries.iter().for_each(|(key, item)| places(item, &format!("{at}/{key}"), found));
        }
        _ => {}
    }
}

/// A key that is gone, a list and an object that are none are refused in every place.
#[test]
fn damaged_documents_are_refused() {
    let schemas = Schemas::new();
    let folder = Folder::new("");
    let all = documents(&folder, "study.toml", None);
    for document in all.into_iter().chain([compared(&folder)]) {
        let kind = document["kind"].as_str().unwrap().to_owned();
        assert!(schemas.accepts(&kind, &document));
        let (mut refused, mut stand, mut all) = (0, Vec::new(), Vec::new());
        let mut tried = |what: String, damaged: &Value| {
            if schemas.accepts(&kind, damaged) {
                stand.push(what);
            } else {
                refused += 1;
            }
        };
        places(&document, "", &mut all);
        for place in &all {
            let mut damaged = document.clone();
            *damaged.pointer_mut(place).unwrap() = 7.5.into();
            tried(place.clone(), &damaged);
            // maps by the keys of closed sets, of which any may be missing
            let free = ["/slots", "/ruled_out_by_rule", "/ruled_out_by_bound", "/checks"];
            let Some(Value::Object(entries)) = document.pointer(place) else { continue };
            for key in entries.keys().filter(|_| !free.iter().any(|map| place.ends_with(map))) {
                let mut damaged = document.clone();
                damaged.pointer_mut(place).unwrap().as_object_mut().unwrap().remove(key);
                tried(format!("{place}/{key} gone"), &damaged);
            }
        }
        // the text of an input is there where it is short
        stand.retain(|what| what != "/inputs/0/text gone");
        assert_eq!(stand, Vec::<String>::new(), "{kind}");
        let least = if kind == "changes" { 60 } else { 100 };
        assert!(refused > least, "{kind}: {refused}");
        // values of another kind
        for (key, other) in
            [("kind", "other".into()), ("format", 1.into()), ("inputs", Value::Null), ("version", 2.into())]
        {
            let mut damaged = document.clone();
            damaged[key] = other;
            assert!(!schemas.accepts(&kind, &damaged), "{kind}: {key}");
        }
    }
}

#[test]
fn the_program_prints_the_schemas() {
    let folder = Folder::new("");
    for (kind, _) in views::SCHEMAS {
        let printed = run(&folder, &["formats", "--schema", kind], "");
        assert_eq!(printed, Value::from(views::schema_of(kind).unwrap()));
        assert_eq!(
            (&printed["title"], &printed["properties"]["kind"]["const"]),
            (&(*kind).into(), &(*kind).into())
        );
    }
    let error = folder.run(&["formats", "--schema", "rankings"]).code(2).stderr();
    assert!(error.contains("rankings") && error.contains("ranking, "), "{error}");
}
