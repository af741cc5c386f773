//! The file that a search keeps: damaged in every place, edited with a digest that fits, of something else; searches
//! that stop at any moment and go on.

use super::folder::Folder;
use super::search::{in_pieces, middling, read_study, results, wide};
use super::tree::Tree;
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64Mcg;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use sumpwright::numerics::digest;
use sumpwright::report::checkpoint::{self, Checkpoint};
use sumpwright::report::mark;
use sumpwright::report::stamp::InputFile;
use sumpwright::search::{
    Bounds, ChunkSizes, Entry, Grouping, Progress, Query, Search, SearchEnd, SearchResult, SearchState, Seen,
    Share, Space,
};
use sumpwright::simulation::PreparedCase;
use sumpwright::study::Study;

const PORTIONS: ChunkSizes = ChunkSizes { first_pass: 12, first_chunk: 2, chunk: 4 };

/// Stops a search once so many pump sets are explored.
struct Stops<'a>(AtomicUsize, &'a AtomicBool);

impl Progress for Stops<'_> {
    fn advance(&self, _: u128, _: Option<&Entry>) {
        if self.0.fetch_sub(1, Ordering::SeqCst) == 1 {
            self.1.store(true, Ordering::SeqCst);
        }
    }
}

/// A search whose state is damaged.
struct Task<'a> {
    case: &'a PreparedCase<'a>,
    query: Query,
    share: Share,
    inputs: Vec<InputFile>,
}

impl Task<'_> {
    /// Searches until so many pump sets more are explored.
    fn run(&self, from: Option<SearchState>, pump_sets: usize) -> SearchEnd {
        let stop = AtomicBool::new(false);
        let progress = Stops(pump_sets.into(), &stop);
        let space = Space::of_query(self.case.study, &self.query);
        Search {
            space: &space,
            case: self.case,
            query: &self.query,
            bounds: Bounds::ALL,
            share: self.share,
            chunk_sizes: PORTIONS,
            stop: &stop,
            seen: &Seen::new(&self.query, from),
            progress: &progress,
        }
        .run()
    }

    fn bytes(&self, ended: &SearchEnd) -> Vec<u8> {
        let (state, finished) = (ended.state.clone(), ended.best_bound.is_none());
        let kept = Checkpoint { query: self.query.clone(), share: self.share, state, finished };
        checkpoint::bytes(&kept, &self.inputs, self.case.study).unwrap()
    }

    fn read(&self, bytes: &[u8]) -> Result<(Checkpoint, Option<String>), String> {
        checkpoint::read(bytes, &self.inputs, self.case, PORTIONS)
    }

    /// What a file leads to where it is not refused.
    fn goes_on(&self, bytes: &[u8]) -> Result<SearchResult, String> {
        let (kept, _) = self.read(bytes)?;
        if kept.query != self.query || kept.share != self.share {
            return Err("other options".to_owned());
        }
        let ended = self.run(Some(kept.state), usize::MAX);
        ended.refused.map_or_else(|| Ok(ended.state.found(self.share)), Err)
    }
}

/// The tasks: stopped after the first pass, groups and front wanted; a share that is done; a ranking that adequate ones
/// do not fill, stopped within the first pass.
fn with_tasks(property: impl Fn(&Task<'_>, &[u8])) {
    let folder = middling();
    let study = read_study(&folder.path("study.toml"), &folder.path("load.csv"));
    let mut strict: Study = study.clone();
    strict.settings.set("heat_margin_limit", "900 %").unwrap();
    let inputs = vec![InputFile::new("study.toml", b"title"), InputFile::new("load.csv", b"step\n1\n")];
    let grouped = Query { by: vec![Grouping::Scheme, Grouping::Cooler], front: true, ..Query::first(2) };
    for (study, query, share, stop) in [
        (&study, grouped, Share::WHOLE, 9 + 10),
        (&study, Query::first(2), Share { number: 2, of: 3 }, usize::MAX),
        (&strict, Query::first(3), Share::WHOLE, 12 + 5),
    ] {
        let case = PreparedCase::new(study);
        let task = Task { case: &case, query, share, inputs: inputs.clone() };
        let ended = task.run(None, stop);
        assert_eq!(ended.best_bound.is_none(), stop == usize::MAX);
        assert!(ended.state.first_pass > 0 && (ended.state.inadequate || ended.state.sets > 0));
        assert_eq!(ended.state.inadequate, stop == 12 + 5);
        property(&task, &task.bytes(&ended));
    }
}

/// The text of a file whose digest is that of its content.
fn with_digest(tree: &Tree) -> Vec<u8> {
    let text = tree.text(0);
    let content = text.rfind(",\n  \"digest\": ").map_or(&text[..], |at| &text[..at]);
    format!("{content},\n  \"digest\": \"{:016x}\"\n}}\n", digest(content.bytes())).into_bytes()
}

/// What is near the right one and still fits all else: nothing in the file repeats these sums, so that the digest alone
/// tells of an edit. They are counts beside the result; what is found is the same with any.
const SUMS: [&str; 4] = ["/scouted/adequate", "/found/adequate", "/scouted/work", "/found/work"];

#[test]
fn a_state_with_any_place_damaged_is_refused() {
    with_tasks(|task, bytes| {
        let tree = Tree::of(bytes);
        assert_eq!(with_digest(&tree), bytes);
        let right = task.goes_on(bytes).unwrap();
        let damaged = tree.damaged(&|_| true);
        assert!(damaged.len() > 900, "{}", damaged.len());
        for (way, damaged) in &damaged {
            let left = format!("{}\n", damaged.text(0)).into_bytes();
            assert!(task.read(&left).is_err(), "digest as it was, {way}");
            let edited = with_digest(damaged);
            // only the digest was changed
            if edited == bytes {
                continue;
            }
            match task.goes_on(&edited) {
                Err(text) => assert!(!text.is_empty() && text.len() < 2000, "{way}: {text}"),
                Ok(found) => {
                    assert_eq!(found.digest(), right.digest(), "{way}");
                    assert_eq!(found.names(), right.names(), "{way}");
                    assert_eq!(found.account.pruned, right.account.pruned, "{way}");
                    assert_eq!(found.account.evaluated, right.account.evaluated, "{way}");
                    if !SUMS.iter().any(|sum| way.starts_with(sum)) {
                        assert!(way.starts_with("/inputs/") && way.contains("/file "), "{way}");
                        assert!(task.read(&edited).unwrap().1.is_some(), "{way}");
                        assert_eq!(
                            (found.account, found.statistics),
                            (right.account, right.statistics),
                            "{way}"
                        );
                    }
                }
            }
        }
    });
}

#[test]
fn a_state_that_is_cut_off_or_has_another_byte_is_refused() {
    with_tasks(|task, bytes| {
        assert!(mark::is_state(bytes) && mark::is_state(&bytes[..64]) && !mark::is_state(&bytes[..10]));
        for length in (0..bytes.len()).step_by(37).chain(bytes.len() - 30..bytes.len()) {
            assert!(task.read(&bytes[..length]).is_err(), "{length} of {} bytes", bytes.len());
        }
        assert!(task.read(&[bytes, b"\n"].concat()).is_err());
        assert!(task.read(&[bytes, bytes].concat()).is_err());
        let mut random = Pcg64Mcg::seed_from_u64(11);
        for _ in 0..400 {
            let mut other = bytes.to_vec();
            other[random.random_range(0..bytes.len())] ^= 1 << random.random_range(0..8);
            assert!(task.read(&other).is_err(), "{}", String::from_utf8_lossy(&other));
        }
    });
}

#[test]
fn a_search_that_stops_at_any_moments_ends_as_one_that_never_stopped() {
    let mut random = Pcg64Mcg::seed_from_u64(12);
    let draws: Vec<usize> = (0..4000).map(|_| random.random_range(1..13)).collect();
    with_tasks(|task, _| {
        let whole = task.bytes(&task.run(None, usize::MAX));
        let [mut after, mut within, mut stops] = [0; 3];
        let mut draws = draws.iter();
        for _ in 0..25 {
            let mut from = None;
            loop {
                let ended = task.run(from, *draws.next().unwrap());
                assert_eq!(ended.refused, None);
                let bytes = task.bytes(&ended);
                if ended.best_bound.is_none() {
                    assert!(bytes == whole);
                    break;
                }
                stops += 1;
                after += usize::from(ended.state.sets > 0);
                within += usize::from(ended.state.first_pass > 0 && ended.state.sets == 0);
                from = Some(task.read(&bytes).unwrap().0.state);
            }
        }
        assert!(stops > 50 && after > 3 && within > 5, "{stops} {after} {within}");
    });
}

/// Every file is refused by both that read one: exit 2, its name and what is wrong; nothing is written.
fn refused_by_both(folder: &Folder, file: &str, words: &str) {
    for arguments in [
        &["rank", "study.toml", "--share", "1/2", "--resume", file, "--checkpoint", "new.json"][..],
        &["merge", "study.toml", file, "two.json", "--csv", "new.csv"],
    ] {
        let before = folder.files();
        let said = folder.run(arguments).code(2).stderr();
        assert!(said.contains(&format!("{file}: ")) && said.contains(words), "{words}\n{said}");
        assert_eq!(folder.files(), before);
    }
}

/// Going on with the first of two shares.
fn going_on(file: &str) -> [&str; 10] {
    ["rank", "study.toml", "--first", "6", "--share", "1/2", "--resume", file, "--checkpoint", "new.json"]
}

/// Both shares of a search of the small study.
fn shares() -> Folder {
    let folder = wide("");
    for (share, state) in [("1/2", "one.json"), ("2/2", "two.json")] {
        folder.run(&["rank", "study.toml", "--first", "6", "--share", share, "--checkpoint", state]).code(0);
    }
    folder
}

#[test]
fn what_is_no_state_of_this_search_is_refused_with_what_and_where() {
    let folder = shares();
    let good = folder.get("one.json");
    folder.run(&["rank", "study.toml", "--json", "ranking.json"]).code(0);
    let ranking = folder.get("ranking.json");
    let csv = folder.get("load.csv");
    let with = |from: &str, to: &str| {
        assert!(good.contains(from), "{from}\n{good}");
        good.replacen(from, to, 1)
    };
    let edited =
        |from: &str, to: &str| String::from_utf8(with_digest(&Tree::of(with(from, to).as_bytes()))).unwrap();
    let hydraulic = &good[..good.len() / 2];
    let sets = serde_json::from_str::<serde_json::Value>(&good).unwrap()["sets"].to_string();
    for (bytes, words) in [
        ("", "is not what a search keeps: EOF"),
        ("\u{0}\u{1}\u{2}PNG", "is not what a search keeps"),
        ("{}", "it has no 'kind'"),
        ("[1, 2]", "is not what a search keeps"),
        (&ranking, "its kind is ranking"),
        (&csv, "is not what a search keeps"),
        (hydraulic, "is not what a search keeps: EOF while parsing"),
        (&with("\"format\": 3,\n", ""), "in an older layout: search anew, or go on with that version"),
        (&with("\"format\": 3", "\"format\": 4"), "in layout 4; this version reads layout 3"),
        (&with("\"version\": \"", "\"version\": \"9"), "was kept by version 9"),
        (&with(&format!("\"sets\": {sets}"), "\"sets\": -1"), "expected a whole number at line "),
        (
            &with("\"scouts\": 512", "\"scouts\": 511"),
            "'scouts' is 511: a search of this study never stops there",
        ),
        (
            &with("\"scouts\": 512", "\"scouts\": 18446744073709551615"),
            "it was damaged or changed after it was kept",
        ),
        (&with("\"inputs\"", "\"input\""), "unknown field `input`"),
        (&with("    \"names\"", "    \"names\": [], \"names\""), "duplicate field `names`"),
        (&with("  ", " "), "the digest at its end is not that of what stands before"),
        (&edited("\"scouts\": 512", "\"scouts\": 18446744073709551615"), "'scouts' is 18446744073709551615"),
        (&edited("\"finished\": true", "\"finished\": false"), "'finished' is false"),
        (&edited("\"inadequate\": false", "\"inadequate\": true"), "'inadequate' is true"),
        (&edited(&format!("\"sets\": {sets}"), "\"sets\": 512"), "'finished' is true"),
    ] {
        folder.put("bad.json", bytes.as_bytes());
        refused_by_both(&folder, "bad.json", words);
    }
    let evaluated = edited("\"evaluated\": \"", "\"evaluated\": \"1");
    folder.put("bad.json", evaluated.as_bytes());
    refused_by_both(&folder, "bad.json", "'scouted': 'evaluated', 'excluded' and 'covered' make ");
    // shares that found other things
    let branches = good.split("\"of\": \"branches\",\n").nth(1).unwrap().split('"').nth(3).unwrap();
    let more = (branches.parse::<u64>().unwrap() + 1).to_string();
    let other = edited(&format!("\"count\": \"{branches}\""), &format!("\"count\": \"{more}\""));
    folder.put("bad.json", other.as_bytes());
    let merge = folder.run(&["merge", "study.toml", "two.json", "bad.json", "--csv", "new.csv"]).code(2);
    let said = merge.stderr();
    assert!(said.contains("bad.json: its first pass found other things than that of two.json"), "{said}");
    let tree = Tree::of(good.as_bytes());
    let Tree::Object(parts) = &tree else { panic!() };
    let order = parts.iter().find(|(key, _)| key == "order").unwrap().1.text(0);
    folder.put("bad.json", edited(&format!("\"order\": {order}"), "\"order\": \"7\"").as_bytes());
    let go_on = going_on("bad.json");
    assert!(folder.run(&go_on).code(2).stderr().contains("takes the pump sets in another order"));
    // another share, another study
    let other = going_on("two.json");
    assert!(folder.run(&other).code(2).stderr().contains("two.json: was saved with other options"));
    folder.change("load.csv", "lift,18,120", "lift,18,121");
    refused_by_both(&folder, "one.json", "was kept for other inputs: load.csv is not what it was");
}

#[test]
fn a_sample_of_damages_is_refused_by_the_program_itself() {
    let folder = shares();
    let good = folder.get("one.json");
    let damaged = Tree::of(good.as_bytes()).damaged(&|_| true);
    for (number, (way, damaged)) in damaged.iter().enumerate().step_by(damaged.len() / 40) {
        let text = format!("{}\n", damaged.text(0));
        folder.put("bad.json", text.as_bytes());
        let arguments: &[&str] = if number % 2 == 0 {
            &going_on("bad.json")
        } else {
            &["merge", "study.toml", "bad.json", "two.json", "--csv", "new.csv"]
        };
        let said = folder.run(arguments).code(2).stderr();
        assert!(said.contains("bad.json: "), "{way}\n{said}");
        assert!(!folder.path("new.json").exists() && !folder.path("new.csv").exists(), "{way}");
    }
}

#[test]
fn a_study_of_another_name_and_folder_goes_on_and_is_told() {
    let folder = shares();
    std::fs::create_dir(folder.path("below")).unwrap();
    std::fs::rename(folder.path("study.toml"), folder.path("below/study.toml")).unwrap();
    std::fs::rename(folder.path("load.csv"), folder.path("below/load.csv")).unwrap();
    let go_on = |study| {
        let mut arguments = going_on("one.json");
        arguments[1] = study;
        folder.run(&arguments).code(0).stderr()
    };
    assert!(!go_on("below/study.toml").contains("other names"));
    std::fs::rename(folder.path("below/study.toml"), folder.path("below/copy.toml")).unwrap();
    let said = go_on("below/copy.toml");
    assert!(
        said.contains(
            "one.json: was kept for files of the same content and other names: copy.toml was named study.toml"
        ),
        "{said}"
    );
}

#[test]
fn the_program_goes_on_from_after_the_scouts_at_random_moments() {
    let folder = wide("");
    let rank = ["rank", "study.toml", "--quiet", "--first", "40", "--json", "ranked.json"];
    folder.run(&rank).code(0);
    let whole = results(&folder);
    let mut random = Pcg64Mcg::seed_from_u64(13);
    // how long scouts and all take is not known, and another time each time on a busy machine
    let (mut among, mut done, mut after) = (0.0_f64, 0.4_f64, 0);
    for _ in 0..120 {
        let limit = among + (done - among) * random.random::<f64>();
        let seconds = format!("{limit:.4}");
        let first =
            folder.run(&[&rank[..], &["--checkpoint", "kept.json", "--time-limit", &seconds]].concat());
        if first.exit() != 4 {
            done = limit.max(among * 1.1 + 0.002);
            continue;
        }
        let kept: serde_json::Value = serde_json::from_str(&folder.get("kept.json")).unwrap();
        if kept["sets"].as_u64() == Some(0) {
            among = limit;
            done = done.max(limit * 1.1 + 0.002);
            continue;
        }
        after += 1;
        let on = [&rank[..], &["--resume", "kept.json", "--checkpoint", "kept.json"]].concat();
        let again = format!("{:.4}", 0.2 * limit * random.random::<f64>());
        let ran = folder.run(&[&on[..], &["--time-limit", &again]].concat());
        if ran.exit() == 4 {
            folder.run(&on).code(0);
        }
        assert!(results(&folder) == whole);
        if after == 3 {
            break;
        }
        (among, done) = (0.8 * limit, 1.25 * limit);
    }
    assert!(after > 0, "never stopped after the scouts");
    let (stops, _) = in_pieces(&folder, &rank, 0);
    assert!(stops > 0 && results(&folder) == whole);
}

/// Without `float_roundtrip` one in nine comes back one bit off.
#[test]
fn numbers_of_json_come_back_to_the_last_bit() {
    use sumpwright::report::views;
    let mut random = Pcg64Mcg::seed_from_u64(14);
    let numbers: Vec<f64> = (0..60_000).map(|_| random.random::<f64>() * 350.0).collect();
    let bytes = views::bytes(&views::reals(numbers.iter().copied())).unwrap();
    let back: Vec<f64> = serde_json::from_slice(&bytes).unwrap();
    let off = numbers.iter().zip(&back).filter(|(a, b)| a.to_bits() != b.to_bits()).count();
    assert_eq!((back.len(), off), (numbers.len(), 0));
}
