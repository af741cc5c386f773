"""Times `rank` on large studies, which it makes from the demos, and prints a Markdown table.

    cargo build --release --locked
    python3 benches/speed.py FOLDER [--only WORDS] [--threads N] [--limit SECONDS]

FOLDER takes the studies and the results. Python 3.11 and /usr/bin/time of GNU (Debian: apt-get install time).
"""

import argparse
import os
import re
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path.insert(0, str(HERE / "compare"))
from wide import moved, widened  # noqa: E402

# name, demo, sections whose picks stay (None: the demo as it is), other changes
STUDIES = [
    ("beach rake", "beach-rake", None, []),
    ("firewood", "firewood", None, []),
    ("firewood, all pumps, coolers, reservoirs, valves", "firewood", "accumulators,engine,filters", []),
    ("beach rake, all parts", "beach-rake", "", []),
    ("firewood, all parts", "firewood", "", []),
    ("firewood, all parts, up to 4 pumps", "firewood", "", [("counts = [1, 2, 3]\ndrive", "counts = [1, 2, 3, 4]\ndrive")]),
]
JOBS = [
    ("first 100", []),
    ("first 100, front", ["--front", "front.csv"]),
    ("first 100, best of each pump set", ["--best-of", "pumps"]),
]


def make(name, demo, keep, changes, folder):
    source = HERE.parent / "catalogs" / demo
    text = (source / "study.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    if keep is not None:
        text = widened(text, keep.split(","))
    path = folder / (re.sub(r"\W+", "-", name) + ".toml")
    path.write_text(moved(text, source, folder), encoding="utf-8")
    return path


def timed(command, folder, limit):
    """Exit code, standard error of the program; wall s, processor s, peak memory MiB."""
    measure = folder / "time.txt"
    more = ["--time-limit", str(limit)] if limit else []
    run = subprocess.run(["/usr/bin/time", "-o", measure, "-f", "%e %U %S %M", *command, *more], cwd=folder,
                         capture_output=True, text=True)
    wall, user, system, peak = map(float, measure.read_text().split("\n")[-2].split())
    return run.returncode, run.stderr, (wall, user + system, peak / 1024)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--program", type=Path, default=HERE.parent / "target" / "release" / "sumpwright")
    parser.add_argument("--only", default="", help="studies whose name has these words")
    parser.add_argument("--threads", default=str(os.cpu_count()))
    parser.add_argument("--limit", type=float, help="stop each run after so many seconds")
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    folder = options.folder.resolve()
    program = str(options.program.resolve())
    print(f"{options.threads} threads, load average before the first run {os.getloadavg()[0]:.1f}\n")
    print("| study | combinations | job | wall s | processor s | peak memory MiB |\n| --- | --- | --- | --- | --- | --- |")
    for name, demo, keep, changes in STUDIES:
        if options.only not in name:
            continue
        study = make(name, demo, keep, changes, folder)
        for job, arguments in JOBS:
            command = [program, "rank", study.name, "--quiet", "--threads", options.threads, *arguments]
            code, said, (wall, cpu, peak) = timed(command, folder, options.limit)
            count = re.search(r": ([\d ]+) combinations", said)
            if code not in (0, 1, 4) or not count:
                sys.exit(f"{name}, {job}: ended with {code}\n{said}")
            stopped = " (stopped before its end)" if code == 4 else ""
            combinations = f"{float(count[1].replace(' ', '')):.2e}"
            print(f"| {name} | {combinations} | {job}{stopped} | {wall:.1f} | {cpu:.1f} | {peak:.0f} |", flush=True)


if __name__ == "__main__":
    main()
