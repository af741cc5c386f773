"""Counts the machine instructions of a search by callgrind, part by part: unlike time the same on a busy machine.

    cargo build --release --locked
    python3 benches/instructions.py catalogs/firewood/study.toml FOLDER [--front front.csv] [any option of `rank`]

FOLDER takes the results. Python 3.11 and valgrind (Debian: apt-get install valgrind). Some 50 times slower than the search.
"""

import json
import re
import subprocess
import sys
from pathlib import Path

PROGRAM = Path(__file__).resolve().parent.parent / "target" / "release" / "sumpwright"
# what, function of the program (inclusive), what it is counted by
PARTS = [
    ("whole program", "PROGRAM TOTALS", None),
    ("search", "search::bounded::Search::run", "branches"),
    ("order of the pump sets", "search::order::Order::new", None),
    ("duty cycles until they close, those of shown rows too", "simulation::cycle::Machine>::close", None),
    ("duty cycles at all oil temperatures", "simulation::duty::Duty::run", "simulated"),
    ("engines, valves, coolers, reservoirs, filters", "Explorer>::leaves", "simulated"),
    ("oil temperatures", "scoring::assessment::warmth", "oil_temperatures"),
    ("rows simulated again and written", "commands::publish::Result::publish", None),
]


def main():
    if len(sys.argv) < 3:
        sys.exit(__doc__)
    study, folder = Path(sys.argv[1]).resolve(), Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    counts, result = folder / "callgrind.out", folder / "ranked.json"
    command = ["valgrind", "--tool=callgrind", "--callgrind-out-file=callgrind.out", PROGRAM, "rank", study, "--quiet",
               "--threads", "1", "--json", "ranked.json", *sys.argv[3:]]
    run = subprocess.run(command, cwd=folder, capture_output=True, text=True)
    if run.returncode not in (0, 1):
        sys.exit(run.stderr)
    lines = subprocess.run(["callgrind_annotate", "--inclusive=yes", "--threshold=100", counts],
                           capture_output=True, text=True, check=True).stdout.splitlines()
    answer = json.loads(result.read_text(encoding="utf-8"))
    work = {key: int(count) for key, count in answer["work"].items()}
    print(f"{answer['account']['combinations']} combinations, {answer['account']['evaluated']} evaluated, "
          + ", ".join(f"{count} {key.replace('_', ' ')}" for key, count in work.items()) + "\n")
    print("| part (with all that it calls) | million instructions | per |\n| --- | --- | --- |")
    for words, function, per in PARTS:
        line = next((line for line in lines if function in line), None)
        if line is None:
            continue  # inlined into its caller
        instructions = int(re.match(r"\s*([\d,]+)", line)[1].replace(",", ""))
        each = f"{instructions / work[per]:,.0f} each of {per.replace('_', ' ')}" if per and work[per] else ""
        print(f"| {words} | {instructions / 1e6:,.1f} | {each.replace(',', ' ')} |")


if __name__ == "__main__":
    main()
