//! Why not the cheaper one: the neighbourhood against brute force over the whole space, steps and concessions against
//! what they claim, the texts of both demos.

use proptest::test_runner::{Config, RngSeed, TestCaseResult, TestRunner};
use proptest::{prop_assert, prop_assert_eq};
use serde_json::Value;
use std::cell::{Cell, LazyCell};
use std::collections::BTreeMap;
use sumpwright::analysis::Judged;
use sumpwright::analysis::alternatives::{Alternatives, cheaper_nearby, cheapest_adequate_nearby};
use sumpwright::assessment::{Assessment, HydraulicResult};
use sumpwright::candidate::{
    Candidate, DesignVariable, Direction, Exclusion, PumpChoice, SizeLimit, exchanges, hydraulic_exclusion,
    size_steps, thermal_exclusion,
};
use sumpwright::report::views::{self, AlternativesView};
use sumpwright::search::{Query, Quiet, Space, enumerate};
use sumpwright::simulation::{PreparedCase, Timed};
use sumpwright::study::Study;
use sumpwright::units::Quantity;

use crate::commands::folder::{DEMOS, Folder};
use crate::generate::{Texts, small_study};
use crate::widths::held_at_every_width;

fn run(cases: u32, seed: u64, property: impl Fn(&Texts) -> TestCaseResult) {
    let config = Config {
        cases,
        rng_seed: RngSeed::Fixed(seed),
        failure_persistence: None,
        max_shrink_time: 15_000,
        ..Config::default()
    };
    if let Err(failure) = TestRunner::new(config).run(&small_study(), |texts| property(&texts)) {
        panic!("{failure}");
    }
}

/// Every combination of a study, whatever the rules say.
fn everything(study: &Study) -> Vec<Candidate> {
    let space = Space::new(study);
    let thermals: Vec<_> = space.thermal_choices().collect();
    (0..space.hydraulics())
        .flat_map(|i| {
            let hydraulics = space.hydraulic(i);
            thermals.iter().map(move |t| Candidate { hydraulics: hydraulics.clone(), thermals: *t })
        })
        .collect()
}

fn exclusion(candidate: &Candidate, study: &Study) -> Option<Exclusion> {
    hydraulic_exclusion(&candidate.hydraulics, study)
        .or_else(|| thermal_exclusion(&candidate.thermals, study))
}

/// Each judged by itself, but for the duty cycle, which those of one hydraulic choice share; `None` where excluded.
fn judged(all: &[Candidate], case: &PreparedCase<'_>) -> Vec<Option<Assessment>> {
    let alike = all.chunk_by(|a, b| a.hydraulics == b.hydraulics);
    let judged = alike.flat_map(|alike| {
        let hydraulic = LazyCell::new(|| HydraulicResult::new(alike[0].hydraulics.clone(), case));
        let of = |c: &Candidate| Assessment::with((*hydraulic).clone(), Timed::NotRun, c.thermals, case);
        let clear = |c: &Candidate| exclusion(c, case.study).is_none();
        alike.iter().map(|c| clear(c).then(|| of(c))).collect::<Vec<_>>()
    });
    judged.collect()
}

/// How many exchanges apart, by the definition: differing slots, and among the pumps the larger of those that only one
/// and only the other has, counted kind by kind.
fn apart(a: &Candidate, b: &Candidate) -> usize {
    let mut kinds: BTreeMap<_, i32> = BTreeMap::new();
    a.hydraulics.pumps.iter().for_each(|p| *kinds.entry(*p).or_default() += 1);
    b.hydraulics.pumps.iter().for_each(|p| *kinds.entry(*p).or_default() -= 1);
    let more: i32 = kinds.values().filter(|n| **n > 0).sum();
    let less: i32 = -kinds.values().filter(|n| **n < 0).sum::<i32>();
    let mut same = b.clone();
    same.hydraulics.pumps.clone_from(&a.hydraulics.pumps);
    let mut slots = 0;
    macro_rules! slot {
        ($($place:ident).+) => {
            if a.$($place).+ != same.$($place).+ {
                slots += 1;
                same.$($place).+ = a.$($place).+;
            }
        };
    }
    slot!(hydraulics.engine);
    slot!(hydraulics.speed);
    slot!(hydraulics.relief);
    slot!(hydraulics.setting);
    slot!(hydraulics.scheme);
    slot!(hydraulics.accumulators);
    slot!(thermals.cooler);
    slot!(thermals.reservoir);
    slot!(thermals.filter);
    assert_eq!(same, *a, "a slot is forgotten");
    usize::try_from(more.max(less)).unwrap() + slots
}

/// Picks of a study: the first of the ranking, and some that no rule excludes.
fn picks(study: &Study, case: &PreparedCase<'_>, texts: &Texts) -> (Option<Candidate>, Vec<Candidate>) {
    let found = enumerate(&Space::new(study), case, &Query::first(1), &Quiet);
    let first = found.incumbents.ranking.entries().first().map(|entry| entry.candidate.clone());
    let clear: Vec<_> = everything(study).into_iter().filter(|c| exclusion(c, study).is_none()).collect();
    let start = texts.profile.len() % clear.len().max(1);
    let some = clear.iter().skip(start).step_by(clear.len() / 3 + 1).cloned();
    let picks = first.iter().cloned().chain(some).collect();
    (first, picks)
}

#[test]
fn the_neighbourhood_is_that_of_brute_force() {
    let (met, mended) = (Cell::new([0_u128; 5]), Cell::new(0));
    run(300, 41, |texts| {
        let study = texts.read();
        let case = PreparedCase::new(&study);
        let all = everything(&study);
        let judged = judged(&all, &case);
        let (_, picks) = picks(&study, &case, texts);
        let mut cheapest_nearby = Vec::new();
        for pick in &picks {
            let cost = Assessment::of(pick, &case).score.cost;
            let near: Vec<(usize, &Option<Assessment>)> = all
                .iter()
                .zip(&judged)
                .map(|(c, judged)| (apart(pick, c), judged))
                .filter(|(apart, _)| (1..=2).contains(apart))
                .collect();
            let of = |wanted: &dyn Fn(&Assessment) -> bool| {
                near.iter().filter(|(_, judged)| judged.as_ref().is_some_and(wanted)).count() as u128
            };
            let found = cheaper_nearby(pick, cost, 6, &case);
            prop_assert_eq!(found.total(), near.len() as u128);
            prop_assert_eq!(found.excluded, near.len() as u128 - of(&|_| true));
            prop_assert_eq!(found.dearer, of(&|a| a.score.cost >= cost));
            prop_assert_eq!(found.adequate, of(&|a| a.score.cost < cost && a.score.adequate));
            prop_assert_eq!(found.failing, of(&|a| a.score.cost < cost && !a.score.adequate));

            let counts = [found.excluded, found.dearer, found.adequate, found.failing, found.dominated];
            let sums = met.get();
            met.set(std::array::from_fn(|i| sums[i] + counts[i]));

            let margin = |a: &Assessment| sumpwright::assessment::nearness(&a.checks);
            let failing: Vec<(usize, &Assessment)> = near
                .iter()
                .filter_map(|(apart, judged)| Some((*apart, judged.as_ref()?)))
                .filter(|(_, a)| a.score.cost < cost && !a.score.adequate)
                .collect();
            let told = |to: &Assessment| {
                failing.iter().any(|(distance, one)| {
                    *distance == 1
                        && apart(&one.candidate, &to.candidate) == 1
                        && one.score.cost <= to.score.cost
                        && margin(one) >= margin(to)
                })
            };
            let (left_out, mut left): (Vec<_>, Vec<_>) =
                failing.iter().partition(|(distance, a)| *distance == 2 && told(a));
            prop_assert_eq!(found.dominated, left_out.len() as u128);
            left.sort_by(|(_, a), (_, b)| {
                let ranked = a.score.order(&b.score).then_with(|| a.candidate.cmp(&b.candidate));
                margin(b).total_cmp(&margin(a)).then(ranked)
            });
            let names = |entries: Vec<&str>| entries.into_iter().map(str::to_owned).collect::<Vec<_>>();
            prop_assert_eq!(
                names(found.misses.iter().map(|(_, e)| e.name.as_str()).collect()),
                names(left.iter().take(6).map(|(_, a)| a.name.as_str()).collect())
            );
            for ((nearness, entry), (_, a)) in found.misses.iter().zip(&left) {
                prop_assert_eq!(*nearness, margin(a));
                prop_assert_eq!(entry.score, a.score);
            }
            let mut best: Vec<&Assessment> = near.iter().filter_map(|(_, judged)| judged.as_ref()).collect();
            best.retain(|a| a.score.cost < cost && a.score.adequate);
            best.sort_by(|a, b| a.score.order(&b.score).then_with(|| a.candidate.cmp(&b.candidate)));
            prop_assert_eq!(
                names(found.best.entries().iter().map(|e| e.name.as_str()).collect()),
                names(best.iter().take(6).map(|a| a.name.as_str()).collect())
            );

            let cheapest = near
                .iter()
                .filter(|(apart, _)| *apart == 1)
                .filter_map(|(_, judged)| judged.as_ref())
                .filter(|a| a.score.adequate)
                .min_by(|a, b| {
                    let ranked = a.score.order(&b.score).then_with(|| a.candidate.cmp(&b.candidate));
                    a.score.cost.cmp(&b.score.cost).then(ranked)
                });
            cheapest_nearby.push(cheapest.map(|a| a.name.clone()));
        }
        let found = cheapest_adequate_nearby(&picks, &case);
        let found: Vec<Option<String>> = found.into_iter().map(|entry| Some(entry?.name)).collect();
        mended.set(mended.get() + found.iter().flatten().count());
        prop_assert_eq!(found, cheapest_nearby);
        for (a, b) in all.iter().zip(all.iter().rev()) {
            prop_assert_eq!(exchanges(a, b), apart(a, b));
        }
        Ok(())
    });
    assert!(met.get().iter().all(|count| *count > 20) && mended.get() > 20, "{met:?} {mended:?}");
}

/// Where cost alone ranks, nothing near the first costs less and is adequate; whatever ranks, nothing ranks before it.
#[test]
fn nothing_near_the_first_of_the_ranking_is_better() {
    let firsts = Cell::new(0);
    run(80, 42, |texts| {
        let mut study = texts.read();
        // limits that many meet: or the first of most of these studies would not be adequate
        for (key, value) in [
            ("shortfall_limit", "30 %"),
            ("step_shortfall_limit", "100 %"),
            ("pump_switching_limit", "10000 1/h"),
            ("heat_margin_limit", "-20 %"),
            ("residence_time_limit", "5 s"),
        ] {
            study.settings.set(key, value).unwrap();
        }
        let by_cost = Study { objective: sumpwright::study::Objective::default(), ..study.clone() };
        for (study, cost_alone) in [(&study, false), (&by_cost, true)] {
            let case = PreparedCase::new(study);
            let (first, _) = picks(study, &case, texts);
            let Some(pick) = first.map(|first| Assessment::of(&first, &case)) else { continue };
            if !pick.score.adequate {
                continue;
            }
            firsts.set(firsts.get() + 1);
            let found = cheaper_nearby(&pick.candidate, pick.score.cost, 10, &case);
            prop_assert!(!cost_alone || found.adequate == 0, "{}", pick.name);
            let before = found.best.entries().iter().find(|e| e.score.order(&pick.score).is_lt());
            prop_assert!(before.is_none(), "{before:?}");
        }
        Ok(())
    });
    assert!(firsts.get() > 10, "{firsts:?}");
}

#[test]
#[expect(clippy::too_many_lines, reason = "one rule for each kind of size")]
fn a_step_is_one_exchange_to_the_nearest_size() {
    let ended = Cell::new(0);
    run(60, 43, |texts| {
        let study = texts.read();
        let case = PreparedCase::new(&study);
        for pick in picks(&study, &case, texts).1 {
            let (found, ends) = size_steps(&pick, &study);
            for step in &found {
                prop_assert_eq!(apart(&pick, &step.candidate), 1);
                prop_assert_eq!(step.excluded, exclusion(&step.candidate, &study));
                let (from, to) = (pick.thermals.reservoir, step.candidate.thermals.reservoir);
                let size = |i: usize| size_of(&study, i);
                if step.part == DesignVariable::Reservoir {
                    let right = match step.direction {
                        Direction::Smaller => size(to) < size(from),
                        Direction::Larger => size(to) > size(from),
                        Direction::Same => size(to) == size(from),
                        Direction::Other => false,
                    };
                    prop_assert!(right, "{:?}", step);
                    let (low, high) = (size(from).min(size(to)), size(from).max(size(to)));
                    for other in 0..study.slots.reservoirs.len() {
                        let mut between = pick.clone();
                        between.thermals.reservoir = other;
                        let strictly = size(other) > low && size(other) < high;
                        prop_assert!(!strictly || exclusion(&between, &study).is_some());
                    }
                }
            }
            // one way of one part: at most one that a rule excludes and one that none does
            for part in &found {
                let same = |s: &&sumpwright::candidate::SizeStep| {
                    (s.part, s.direction) == (part.part, part.direction)
                };
                let sized = !matches!(
                    part.part,
                    DesignVariable::Pump | DesignVariable::PumpCount | DesignVariable::Scheme
                );
                let clear = found.iter().filter(same).filter(|s| s.excluded.is_none()).count();
                prop_assert!(!sized || (clear <= 1 && found.iter().filter(same).count() <= 2));
            }
            let reservoirs = study.slots.reservoirs.iter();
            let larger =
                reservoirs.filter(|r| r.volume > study.slots.reservoirs[pick.thermals.reservoir].volume);
            let stepped =
                found.iter().any(|s| (s.part, s.direction) == (DesignVariable::Reservoir, Direction::Larger));
            prop_assert_eq!(larger.count() > 0, stepped);

            // where there is no step, the sizes of the study end, and nowhere else
            let size = |pump: PumpChoice| {
                study.slots.pumps[pump.row].row.displacement.si() * study.slots.drive_ratios[pump.ratio]
            };
            let sizes: Vec<f64> = (0..study.slots.pumps.len())
                .flat_map(|row| {
                    (0..study.slots.drive_ratios.len()).map(move |ratio| PumpChoice { row, ratio })
                })
                .map(size)
                .collect();
            for &pump in &pick.hydraulics.pumps {
                for (direction, sign) in [(Direction::Smaller, -1.0), (Direction::Larger, 1.0)] {
                    let there = sizes.iter().any(|s| sign * (s - size(pump)) > 1e-9 * size(pump));
                    prop_assert_eq!(
                        ends.contains(&SizeLimit { part: DesignVariable::Pump, direction, pump: Some(pump) }),
                        !there
                    );
                }
            }
            let heat = |cooler: usize| {
                let row = &study.slots.coolers[cooler].row;
                row.rated_heat.si() / row.rated_difference.si()
            };
            for (part, now, all) in [
                (DesignVariable::Reservoir, Some(size_of(&study, pick.thermals.reservoir)), {
                    (0..study.slots.reservoirs.len()).map(|i| size_of(&study, i)).collect::<Vec<_>>()
                }),
                (
                    DesignVariable::Cooler,
                    pick.thermals.cooler.map(|(cooler, _)| heat(cooler)),
                    (0..study.slots.coolers.len()).map(heat).collect(),
                ),
                (
                    DesignVariable::CoolerCount,
                    pick.thermals.cooler.map(|(_, number)| f64::from(number)),
                    study.slots.cooler_counts.iter().map(|n| f64::from(*n)).collect(),
                ),
            ] {
                let Some(now) = now else { continue };
                for (direction, sign) in [(Direction::Smaller, -1.0), (Direction::Larger, 1.0)] {
                    let there = all.iter().any(|size| sign * (size - now) > 1e-9 * now);
                    prop_assert_eq!(
                        ends.contains(&SizeLimit { part, direction, pump: None }),
                        !there,
                        "{:?}",
                        part
                    );
                    ended.set(ended.get() + u32::from(!there));
                }
            }
            for end in &ends {
                let step = found.iter().any(|s| (s.part, s.direction) == (end.part, end.direction));
                prop_assert!(!step || end.pump.is_some(), "{:?}", end);
            }
        }
        Ok(())
    });
    assert!(ended.get() > 100, "{ended:?}");
}

fn size_of(study: &Study, reservoir: usize) -> f64 {
    study.slots.reservoirs[reservoir].volume.si()
}

/// A setting written as said lets the check pass, and moves no figure where that is said.
#[test]
fn concessions_hold_what_they_say() {
    let conceded = Cell::new(0);
    let config =
        Config { cases: 24, rng_seed: RngSeed::Fixed(44), failure_persistence: None, ..Config::default() };
    let outcome = TestRunner::new(config).run(&small_study(), |texts| {
        let study = texts.read();
        let case = PreparedCase::new(&study);
        for pick in picks(&study, &case, &texts).1.into_iter().take(2) {
            let pick = Assessment::of(&pick, &case);
            let judged = Judged { assessment: &pick, case: &case };
            let all = Alternatives::new(judged);
            let bytes = views::bytes(&AlternativesView::new(&all, &[])).unwrap();
            let answer: Value = serde_json::from_slice(&bytes).unwrap();
            prop_assert_eq!(answer["fix"].is_null(), pick.score.adequate);
            let failing = pick.checks.iter().filter(|c| !c.met).count();
            let empty = Vec::new();
            let limits = answer["fix"]["other_limits"].as_array().unwrap_or(&empty);
            prop_assert_eq!(limits.len(), failing);
            for limit in limits.iter().filter(|limit| limit["of"] == "setting") {
                let Some(entry) = limit["study_line"].as_str() else { continue };
                let (key, text) = entry.split_once(" = ").unwrap();
                let mut other = study.clone();
                prop_assert_eq!(other.settings.set(key, text.trim_matches('"')), Ok(()));
                let case = PreparedCase::new(&other);
                let now = Assessment::of(&pick.candidate, &case);
                for (now, then) in now.checks.iter().zip(&pick.checks) {
                    prop_assert_eq!(now.check, then.check);
                    prop_assert!(now.met >= then.met, "{}: {:?}", entry, now.check);
                    if key != "base_current" && now.check.key() != limit["check"].as_str().unwrap() {
                        prop_assert_eq!(now.figure, then.figure, "{}: {:?}", entry, now.check);
                    }
                    if now.check.key() == limit["check"].as_str().unwrap() {
                        prop_assert!(now.met, "{}: {:?}", entry, now);
                        conceded.set(conceded.get() + 1);
                    }
                }
            }
        }
        Ok(())
    });
    outcome.unwrap();
    assert!(conceded.get() > 20, "{}", conceded.get());
}

fn table(text: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let plain = |heading: &str| heading.split(" [").next().unwrap().to_owned();
    let headings: Vec<String> = reader.headers().unwrap().iter().map(plain).collect();
    let cells = |record: csv::StringRecord| record.iter().map(str::to_owned).collect::<Vec<_>>();
    reader.records().map(|record| headings.iter().cloned().zip(cells(record.unwrap())).collect()).collect()
}

/// With `UPDATE_SHOWN=1` the texts are written anew: read them before they go into a commit.
#[test]
fn the_demos_read_as_they_were_read() {
    for (demo, name) in DEMOS {
        let folder = Folder::new("");
        let study = format!("{}/catalogs/{demo}/study.toml", env!("CARGO_MANIFEST_DIR"));
        let text = held_at_every_width(&folder, &["why", &study, name], 0);
        let text = text.replace(concat!(env!("CARGO_MANIFEST_DIR"), "/"), "");
        let arguments = ["why", &study, name, "--csv", "why.csv", "--json", "why.json"];
        let wide = folder.run_wide(&arguments, 200).code(0).stdout();
        let path = format!("{}/tests/suite/shown/{demo}.why.txt", env!("CARGO_MANIFEST_DIR"));
        if std::env::var_os("UPDATE_SHOWN").is_some() {
            std::fs::write(&path, &text).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap();
        for (line, (now, then)) in text.lines().zip(kept.lines()).enumerate() {
            assert_eq!(now, then, "{demo}.why.txt:{}: UPDATE_SHOWN=1 cargo test why", line + 1);
        }
        assert!(text == kept, "{demo}.why.txt");

        // every line of the CSV is the row of the ranked CSV with the same name, and stands in the JSON
        let lines = table(&folder.get("why.csv"));
        let answer: Value = serde_json::from_str(&folder.get("why.json")).unwrap();
        let cost = |line: &BTreeMap<String, String>| cents(&line["cost"]);
        let judged: Vec<_> = lines.iter().filter(|line| line["ruled out by"].is_empty()).collect();
        for line in judged.iter().step_by(5).chain(judged.last()) {
            let code = i32::from(line["adequate"] == "no");
            let row = folder.run(&["simulate", &study, &line["name"], "--row"]).code(code).stdout();
            for heading in
                ["cost", "adequate", "limited by", "headroom", "heat margin", "peak oil temperature"]
            {
                assert_eq!(line[heading], table(&row)[0][heading], "{heading} of {}", line["name"]);
            }
        }
        for line in &judged {
            assert_eq!(cents(&line["cost difference"]), cost(line) - cost(&lines[0]));
            if line["adequate"] == "no" && !line["missing"].is_empty() {
                let number = |heading: &str| line[heading].parse::<f64>().unwrap();
                let missing = (number("figure") - number("limit")).abs();
                assert!((missing - number("missing")).abs() < 0.011, "{line:?}");
            }
        }
        let of = |what: &str| lines.iter().filter(|line| line["what"] == what).count();
        let length = |key: &str| answer[key].as_array().unwrap().len();
        assert_eq!(of("step"), length("size_steps"));
        // where the study has no such size, the text says so
        let ends = answer["size_ends"].as_array().unwrap();
        let end = ends.iter().find(|end| end["slot"] == "reservoir" && end["step"] == "smaller");
        let unbroken = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(end.is_some(), unbroken.contains("no smaller reservoir"));
        assert!(end.is_some() && unbroken.contains("no fewer coolers"), "{text}");
        assert_eq!(of("cheaper, fails"), length("nearest_misses"));
        assert_eq!(of("cheaper, adequate"), length("cheaper_and_adequate"));
        // each name stands to be copied; of a step what it changes
        for line in lines.iter().filter(|line| line["what"] != "step") {
            assert!(text.contains(&line["name"]), "{}", line["name"]);
        }
        for step in answer["size_steps"].as_array().unwrap() {
            let changed = if step["compared"].is_null() { continue } else { &step["compared"]["changed"] };
            // of a part and its setting one changes; a line may end between two pumps
            let shown = |part: &str| part.split('+').all(|pump| wide.contains(pump));
            assert!(changed[0]["to"].as_str().unwrap().split('@').any(shown), "{step}\n{wide}");
        }
    }
}

/// Cents of "-1225.34".
fn cents(text: &str) -> i64 {
    text.replace('.', "").trim_start_matches('\'').parse().unwrap()
}

#[test]
fn an_inadequate_pick_is_told_what_would_mend_it() {
    let folder = Folder::new("heat_margin_limit = \"900 %\"");
    folder.run(&["rank", "study.toml", "--quiet"]).code(1);
    let ran =
        folder.run(&["why", "study.toml", "--from", "ranked.csv", "--rank", "2", "--json", "w.json"]).code(1);
    let out = ran.stdout();
    held_at_every_width(&folder, &["why", "study.toml", "--from", "ranked.csv", "--rank", "2"], 1);
    assert!(out.contains("\nNOT ADEQUATE, and no single part change fixes it."), "{out}");
    assert!(out.contains("What would fix it") && out.contains("heat_margin_limit = \""), "{out}");
    assert!(out.contains("  Cheapest part change  none\n"), "{out}");
    // the line as it is said, in the study: the check passes
    let answer: Value = serde_json::from_str(&folder.get("w.json")).unwrap();
    let limits = answer["fix"]["other_limits"].as_array().unwrap();
    let line =
        limits.iter().find(|l| l["limit"] == "heat_margin_limit").unwrap()["study_line"].as_str().unwrap();
    let other = Folder::new(line);
    let name = answer["combination"]["name"].as_str().unwrap();
    let code = i32::from(limits.len() > 1);
    other.run(&["why", "study.toml", name, "--json", "w.json"]).code(code);
    let now: Value = serde_json::from_str(&other.get("w.json")).unwrap();
    let left = now["fix"]["other_limits"].as_array().map_or(0, Vec::len);
    assert_eq!(left, limits.len() - 1, "{now}");
    let fails = now["combination"]["fails"].as_array().unwrap();
    assert!(fails.iter().all(|check| check["check"] != "heat_margin"), "{now}");
}
