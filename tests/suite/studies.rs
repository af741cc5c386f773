//! Whole studies against the independent reference: accumulator banks that live on their band over many cycles, runs
//! from empty, accumulator banks that settle slowly, fans that stand still, thermostats over long logs. The duty cycle
//! at each oil temperature, then the oil temperature from the program's own duty (tests/reference/duty/README.md says
//! how the reference is made).

use sumpwright::simulation::{NodeSeries, Timeline};

use crate::cycles::{compared, list, number, read};
use crate::temperature;

#[test]
fn fifty_studies_agree_with_the_independent_reference() {
    let (studies, expected) = (read("studies.json"), read("studies_expected.json"));
    let mut found = Vec::new();
    let mut fans = Vec::new();
    let (mut from_empty, mut longest) = (0, 0);
    for (study, expected) in list(&studies["studies"]).iter().zip(list(&expected["studies"])) {
        assert_eq!(study["name"], expected["name"]);
        let mut nodes = expected["cycle"].clone();
        nodes["nodes"]
            .as_array_mut()
            .unwrap()
            .sort_by(|a, b| number(a, "temperature_c").total_cmp(&number(b, "temperature_c")));
        let (differing, rates) = compared(&study["cycle"], &nodes);
        found.extend(differing);
        let steps = list(&study["cycle"]["steps"]);
        let curves = |figure: usize| {
            let entry = |step: usize| rates.iter().map(|node| node[figure][step]).collect();
            NodeSeries::by_class(&(0..steps.len()).map(entry).collect::<Vec<_>>())
        };
        let order = Timeline::of(&steps.iter().map(|s| number(s, "duration_s")).collect::<Vec<_>>());
        let theirs = &expected["thermal"];
        found.extend(temperature::differences(&study["thermal"], theirs, order, curves(0), &curves(1)));
        fans.push(theirs["fan"].as_str().unwrap_or("none").to_owned());
        for node in list(&nodes["nodes"]) {
            from_empty += usize::from(node["drains"] == true);
            longest = longest.max(node["period_k"].as_u64().unwrap());
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    let of = |fan: &str| fans.iter().filter(|f| *f == fan).count();
    assert_eq!(fans.len(), 50);
    assert!(from_empty >= 8 && longest > 128, "{from_empty} {longest}");
    assert!(of("off") >= 6 && of("hunts") >= 10, "{fans:?}");
}
