//! Every reader against good files that are changed at random: none panics, hangs or says nothing, and what it accepts
//! can be computed with.
//!
//! Without more said each reader takes some hundred inputs, always the same. `FUZZ_SECONDS=60 cargo test --test suite
//! fuzz::` gives each reader so many seconds, with a new seed each time; it is printed, and `FUZZ_SEED` repeats it. An
//! input whose messages are new is kept for the run and changed further; `FUZZ_KEEP=FOLDER` writes it there. A fault is
//! made small, written into the folder for temporary files and told with the line that repeats it. An input that found
//! a fault once belongs into `tests/fuzz/READER`, beside others worth keeping: all that is there is read unchanged
//! first, and changed like the good files after that.

mod change;
mod readers;

use change::{Changes, LONGEST};
use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::io::Write;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant, SystemTime};

/// Time of the processor that an input may take at most; it is read again before it is called slow.
const SLOW: Duration = Duration::from_secs(1);
/// Time after which a reader is given up, however busy the machine is.
const HANGS: Duration = Duration::from_mins(5);
/// Time that may go into making an input small.
const SHRINKS: Duration = Duration::from_secs(20);
/// Inputs with new messages that are kept for the run, and their longest.
const MOST_KEPT: (usize, usize) = (3000, 16 * 1024);

/// Reads an input.
type Read = dyn Fn(&[u8]) -> Result<String, String> + Send;

/// A reader and what it reads.
pub(crate) struct Reader {
    /// Its name, that of its folder in `tests/fuzz`, and that of its test.
    name: &'static str,
    /// Good files.
    good: Vec<Vec<u8>>,
    /// Words of its format.
    words: Vec<String>,
    /// Bytes between two fields of its format.
    ends: &'static [u8],
    /// Reads an input: what is said of it without its figures, or what is wrong with the reader.
    read: Box<Read>,
}

/// An input for which a reader is at fault.
struct Fault {
    input: Vec<u8>,
    what: String,
}

/// How long, and from which seed.
#[derive(Clone, Copy)]
struct Plan {
    /// `None` where the number of inputs is fixed.
    seconds: Option<u64>,
    seed: u64,
}

/// Inputs of a plan without a time.
const FEW: u64 = 300;

impl Plan {
    fn new() -> Self {
        fn of<T: FromStr>(name: &str) -> Option<T> {
            std::env::var(name)
                .ok()
                .map(|text| text.parse().unwrap_or_else(|_| panic!("{name}={text}: a number")))
        }
        let clock = || SystemTime::UNIX_EPOCH.elapsed().map_or(0, |since| since.subsec_nanos().into());
        let seconds = of("FUZZ_SECONDS");
        Self { seconds, seed: of("FUZZ_SEED").unwrap_or_else(|| if seconds.is_some() { clock() } else { 1 }) }
    }
}

impl Reader {
    /// Reads an input and takes a panic for a fault as well.
    fn fault(&self, input: &[u8]) -> Result<String, String> {
        let begun = spent();
        let read = catch_unwind(AssertUnwindSafe(|| (self.read)(input)));
        let took = spent().saturating_sub(begun);
        let said = read.unwrap_or_else(|panic| {
            let text = panic.downcast_ref::<String>().cloned();
            let text = text.or_else(|| panic.downcast_ref::<&str>().map(|text| (*text).to_owned()));
            Err(format!("panic: {}", text.unwrap_or_default()))
        });
        if said.is_ok() && took > SLOW { Err("slow".to_owned()) } else { said }
    }

    /// The same, twice more where it was slow.
    fn tried(&self, input: &[u8]) -> Result<String, String> {
        let mut said = self.fault(input);
        for _ in 0..2 {
            if said == Err("slow".to_owned()) {
                said = self.fault(input);
            }
        }
        said
    }

    /// An input with the same kind of fault that is as small as can be had in the time.
    fn shrunk(&self, mut input: Vec<u8>, what: &str) -> Vec<u8> {
        let kind = |what: &str| what.split([':', '\n']).next().map(str::to_owned);
        let begun = Instant::now();
        let mut length = input.len() / 2;
        while length > 0 && begun.elapsed() < SHRINKS {
            let (mut at, before) = (0, input.len());
            while at < input.len() && begun.elapsed() < SHRINKS {
                let mut less = input.clone();
                less.drain(at..(at + length).min(input.len()));
                match self.tried(&less) {
                    Err(other) if kind(&other) == kind(what) => input = less,
                    _ => at += length,
                }
            }
            if length > 1 || input.len() == before {
                length /= 2;
            }
        }
        input
    }

    /// Reads what is kept, and changed inputs after that; how many there were and how many messages.
    fn run(self, plan: Plan, now: &Mutex<(Vec<u8>, Instant)>) -> Result<(u64, usize), Fault> {
        let begun = Instant::now();
        let mut good = self.good.clone();
        good.extend(inputs(self.name));
        let mut kept = good.clone();
        let mut said = BTreeSet::new();
        let mut count = 0;
        let mut read = |input: Vec<u8>| {
            now.lock().unwrap().clone_from(&(input.clone(), Instant::now()));
            count += 1;
            match self.tried(&input) {
                Ok(text) => {
                    let mut hasher = DefaultHasher::new();
                    text.hash(&mut hasher);
                    let is_new = said.insert(hasher.finish());
                    Ok((is_new && said.len() <= MOST_KEPT.0 && input.len() <= MOST_KEPT.1).then_some(input))
                }
                Err(what) => {
                    let input = self.shrunk(input, &what);
                    Err(Fault { what: self.tried(&input).err().unwrap_or(what), input })
                }
            }
        };
        for input in &good {
            read(input.clone())?;
        }
        let mut changes = Changes::new(plan.seed, &self.words, self.ends);
        let mut number = 0;
        while plan.seconds.map_or(number < FEW, |seconds| begun.elapsed().as_secs() < seconds) {
            number += 1;
            // every other one from a good file: further and further changed ones are soon good for nothing
            let input = changes.changed(if number % 2 == 0 { &kept } else { &good });
            kept.extend(read(input)?);
        }
        if let Some(folder) = std::env::var_os("FUZZ_KEEP").map(|folder| Path::new(&folder).join(self.name)) {
            std::fs::create_dir_all(&folder).unwrap();
            for (number, input) in kept[good.len()..].iter().enumerate() {
                std::fs::write(folder.join(number.to_string()), input).unwrap();
            }
        }
        Ok((count, said.len()))
    }
}

/// The inputs in the folder of a reader, in the order of their names.
fn inputs(name: &str) -> Vec<Vec<u8>> {
    let Ok(entries) = std::fs::read_dir(root().join("tests/fuzz").join(name)) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.iter().map(|path| std::fs::read(path).unwrap()).collect()
}

/// Time of the processor that this thread took; where the system does not say, the time.
fn spent() -> Duration {
    let text = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = text.as_deref().and_then(|text| text.split(' ').next()?.parse().ok());
    nanoseconds.map_or_else(|| SystemTime::UNIX_EPOCH.elapsed().unwrap_or_default(), Duration::from_nanos)
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Runs a reader in a thread, so that one that hangs is told as well.
fn fuzz(reader: Reader) {
    let (plan, name) = (Plan::new(), reader.name);
    let tell =
        |text: &str| std::io::stderr().write_all(format!("fuzz::{name}: {text}\n").as_bytes()).unwrap();
    if plan.seconds.is_some() {
        // past the capture of the test: an overflow of the stack leaves nothing else
        tell(&format!("FUZZ_SEED={}", plan.seed));
    }
    let now = Arc::new(Mutex::new((Vec::new(), Instant::now())));
    let (done, wait) = channel();
    let theirs = Arc::clone(&now);
    std::thread::spawn(move || done.send(reader.run(plan, &theirs)));
    let fault = loop {
        match wait.recv_timeout(Duration::from_secs(1)) {
            Ok(Ok((count, messages))) => {
                if plan.seconds.is_some() {
                    tell(&format!("{count} inputs, {messages} kinds of answers, no fault"));
                }
                return;
            }
            Ok(Err(fault)) => break fault,
            Err(RecvTimeoutError::Disconnected) => panic!("the thread of {name} was lost"),
            Err(RecvTimeoutError::Timeout) => {
                let now = now.lock().unwrap();
                if now.1.elapsed() > HANGS {
                    break Fault { input: now.0.clone(), what: format!("no end within {HANGS:?}") };
                }
            }
        }
    };
    let file = std::env::temp_dir().join(format!("sumpwright-fuzz-{name}-{}", plan.seed));
    std::fs::write(&file, &fault.input).unwrap();
    let shown =
        String::from_utf8_lossy(&fault.input[..fault.input.len().min(1500)]).escape_debug().to_string();
    panic!(
        "\n{}\n\nseed {}, {} bytes: {shown}\n\nagain: mkdir -p tests/fuzz/{name}; cp {} tests/fuzz/{name}/; cargo test --test suite \
         fuzz::{name}\n",
        fault.what,
        plan.seed,
        fault.input.len(),
        file.display()
    );
}

macro_rules! readers {
    ($($name:ident)+) => {$(
        #[test]
        fn $name() {
            fuzz(readers::$name());
        }
    )+};
}

readers! { study profile catalog name parameter quantity state ranking }

#[test]
fn a_fault_is_found_and_made_small() {
    let read = |input: &[u8]| {
        let text = String::from_utf8_lossy(input);
        assert!(!text.contains(",flow [L/min],pressure [bar]"), "a heading twice");
        Ok(text.lines().next().unwrap_or_default().to_owned())
    };
    let good = vec![b"step,pressure [bar],flow [L/min],held [bar]\na,1,2,3\n".to_vec()];
    let reader = Reader { name: "none", good, words: Vec::new(), ends: b",\n", read: Box::new(read) };
    let plan = Plan { seconds: None, seed: 1 };
    let fault = reader.run(plan, &Mutex::new((Vec::new(), Instant::now()))).err().unwrap();
    assert_eq!(fault.what, "panic: a heading twice");
    assert_eq!(String::from_utf8(fault.input).unwrap(), ",flow [L/min],pressure [bar]");
}

#[test]
fn changes_repeat_and_stay_short() {
    let good = vec![b"a = 1\nb = [2, 3]\n".to_vec(), b"c = \"5 bar\"\n".to_vec()];
    let all = |seed| {
        let mut changes = Changes::new(seed, &[], b"=,\n");
        (0..2000).map(|_| changes.changed(&good)).collect::<Vec<_>>()
    };
    let (one, same, other) = (all(1), all(1), all(2));
    assert!(one == same && one != other);
    assert!(one.iter().all(|input| input.len() <= LONGEST) && one.iter().any(|input| input.len() == LONGEST));
    let distinct: BTreeSet<&Vec<u8>> = one.iter().collect();
    assert!(distinct.len() > 1500, "{}", distinct.len());
}
