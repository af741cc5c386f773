"""Counts the machine instructions of a search by callgrind, part by part: unlike time the same on a busy machine.

    cargo build --release --locked
    python3 benches/instructions.py catalogs/firewood/study.toml FOLDER [--front front.csv] [any option of `rank`]
    python3 benches/instructions.py --check    the demos against benches/instructions.csv: exit 1 where a part takes 10 % more
    python3 benches/instructions.py --keep     writes that file anew: with a change that is meant, and a new compiler

FOLDER takes the results. Python 3.11 and valgrind (Debian: apt-get install valgrind). Some 50 times slower than the search.
"""

import csv
import json
import re
import subprocess
import sys
import tempfile
from pathlib import Path

TOP = Path(__file__).resolve().parent.parent
PROGRAM = TOP / "target" / "release" / "sumpwright"
KEPT = TOP / "benches" / "instructions.csv"
DEMOS = ["beach-rake", "firewood"]
MOST = 1.10  # times what is kept
LEAST = 10e6  # instructions: a part below is not checked
# what, function of the program (inclusive), what it is counted by
PARTS = [
    ("whole program", "PROGRAM TOTALS", None),
    ("search", "search::driver::Search::run", "branches"),
    ("order of the pump sets", "search::schedule::Schedule::new", None),
    ("duty cycles until they close, those of shown rows too", "PowerUnitAt>::run_to_periodic", None),
    ("duty cycles at all oil temperatures", "hydraulic::duty::Duty::run", "simulated"),
    ("engines, valves, coolers, reservoirs, filters", "Explorer>::leaves", "simulated"),
    ("oil temperatures", "assessment::assess::oil_temperatures", "oil_temperatures"),
    ("rows simulated again and written", "cli::publish::Result::publish", None),
]


def count(study, folder, options):
    """Ranks a study; its account and work, and the instructions of each part that can be told apart."""
    folder.mkdir(parents=True, exist_ok=True)
    counts, result = folder / "callgrind.out", folder / "ranked.json"
    command = ["valgrind", "--tool=callgrind", "--callgrind-out-file=callgrind.out", PROGRAM, "rank", study, "--quiet",
               "--threads", "1", "--json", "ranked.json", *options]
    run = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    if run.returncode not in (0, 1):
        sys.exit(run.stderr)
    lines = subprocess.run(["callgrind_annotate", "--inclusive=yes", "--threshold=100", counts],
                           capture_output=True, text=True, check=True).stdout.splitlines()
    parts = {}
    for words, function, _ in PARTS:
        line = next((line for line in lines if function in line), None)
        if line is not None:  # else inlined into its caller
            parts[words] = int(re.match(r"\s*([\d,]+)", line)[1].replace(",", ""))
    return json.loads(result.read_text(encoding="utf-8")), parts


def show(study, folder, options):
    answer, parts = count(study, folder, options)
    work = {key: int(count) for key, count in answer["work"].items()}
    print(f"{answer['account']['combinations']} combinations, {answer['account']['evaluated']} evaluated, "
          + ", ".join(f"{count} {key.replace('_', ' ')}" for key, count in work.items()) + "\n")
    print("| part (with all that it calls) | million instructions | per |\n| --- | --- | --- |")
    for words, _, per in PARTS:
        if words in parts:
            each = f"{parts[words] / work[per]:,.0f} each of {per.replace('_', ' ')}" if per and work[per] else ""
            print(f"| {words} | {parts[words] / 1e6:,.1f} | {each.replace(',', ' ')} |")


def demos():
    """Instructions of each demo and part."""
    with tempfile.TemporaryDirectory() as folder:
        return {(demo, words): instructions for demo in DEMOS for words, instructions in
                count(TOP / "catalogs" / demo / "study.toml", Path(folder) / demo, [])[1].items()}


def keep():
    with KEPT.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["demo", "part", "million instructions"])
        table.writerows([demo, words, f"{instructions / 1e6:.1f}"] for (demo, words), instructions in demos().items())


def check():
    with KEPT.open(encoding="utf-8", newline="") as file:
        kept = {(row["demo"], row["part"]): float(row["million instructions"]) * 1e6 for row in csv.DictReader(file)}
    slower = 0
    for key, instructions in demos().items():
        if key not in kept:
            print(f"{': '.join(key)}: {instructions / 1e6:,.1f} million, none kept")
        elif max(kept[key], instructions) >= LEAST:
            ratio = instructions / kept[key]
            word = " SLOWER" if ratio > MOST else ""
            slower += ratio > MOST
            print(f"{': '.join(key)}: {instructions / 1e6:,.1f} million, {100 * (ratio - 1):+.1f} %{word}")
    sys.exit(1 if slower else 0)


def main():
    match sys.argv[1:]:
        case ["--keep"]:
            keep()
        case ["--check"]:
            check()
        case [study, folder, *options]:
            show(Path(study).resolve(), Path(folder), options)
        case _:
            sys.exit(__doc__)


if __name__ == "__main__":
    main()
