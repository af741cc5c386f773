"""General-purpose optimizers against the exact answer, on the program's own figures, at equal wall time.

See README.md beside this file. Prints a Markdown table.
"""

import argparse
import multiprocessing
import os
import statistics
import sys
from dataclasses import dataclass
from importlib.metadata import version

import numpy as np

import genetic
import surrogate
from program import Genes, Program, names_of, processor_time, slots

LEVELS = [10, 100, 1000]


@dataclass
class Exact:
    """The exact answer: names, figures, points."""

    first: list
    best: float
    front_names: set
    front_points: set
    front: np.ndarray

    @classmethod
    def read(cls, options):
        program = Program(options.binary, options.study, options.cores)
        first, front = names_of(options.ranked), names_of(options.front)
        scored = program.score(first)
        assert all(s.state == "adequate" for s in scored), "the ranked CSV holds inadequate rows"
        points = [s.point() for s in program.score(front)]
        program.close()
        return cls(first, min(s.objective for s in scored), set(front), set(points), np.array(points))


def front_of(points):
    """The points that no other dominates, each once."""
    points = np.unique(np.array(points, dtype=float).reshape(-1, 3), axis=0)
    kept = np.empty((0, 3))
    for point in points:  # by rising cost: what dominates a point stands before it
        if not np.any(np.all(kept <= point, axis=1)):
            kept = np.vstack([kept, point])
    return kept


@dataclass
class Run:
    """How one run did."""

    asked: int
    processor: float
    best: float
    best_after: float
    first: int
    first_after: float
    names: float
    points: float
    dominated: float

    @classmethod
    def of(cls, asked, adequate, processor, exact):
        assert asked > 0, "a run that asked nothing is no run"
        best = min((s.objective for s, _ in adequate.values()), default=np.inf)
        best_after = min((at for s, at in adequate.values() if s.objective == best), default=np.nan)
        found = [adequate[name][1] for name in exact.first if name in adequate]
        mine = front_of([s.point() for s, _ in adequate.values()])
        beats = any(np.any(np.all(p <= exact.front, axis=1) & np.any(p < exact.front, axis=1)) for p in mine)
        if best < exact.best or beats:
            sys.exit(f"an optimizer beats the exact answer (objective {best} against {exact.best}; front beaten: {beats}): "
                     "the exact files are wrong, or of another study")
        beaten = [np.any(np.all(exact.front <= p, axis=1) & np.any(exact.front < p, axis=1)) for p in mine]
        return cls(
            asked,
            processor,
            best,
            best_after,
            len(found),
            max(found, default=np.nan),
            len(exact.front_names & adequate.keys()) / len(exact.front_names),
            len(exact.front_points & {tuple(p) for p in mine}) / len(exact.front_points),
            float(np.mean(beaten)) if beaten else np.nan,
        )


def merged(islands):
    """Names of all islands, each at the time when the first had it."""
    adequate = {}
    for _, found, _ in islands:
        for name, (scored, at) in found.items():
            if name not in adequate or at < adequate[name][1]:
                adequate[name] = (scored, at)
    return sum(asked for asked, *_ in islands), adequate, sum(used for *_, used in islands)


def spread(values, form):
    values = [value for value in values if not np.isnan(value)]
    if not values:
        return "-"
    low, middle, high = min(values), statistics.median(values), max(values)
    return form(middle) if low == high else f"{form(middle)} ({form(low)} to {form(high)})"


def line(method, setting, runs, exact, options):
    hits = [run for run in runs if run.best <= exact.best]
    percent = lambda v: f"{100 * v:.0f} %"
    number = lambda v: "none" if np.isinf(v) else f"{v:.2f}"
    after = spread([run.best_after for run in hits], lambda v: f"{v:.1f} s") if hits else "-"
    cells = [
        method,
        setting,
        str(len(runs)),
        spread([run.asked for run in runs], lambda v: f"{v:,.0f}".replace(",", " ")),
        spread([run.processor for run in runs], lambda v: f"{v:.1f}"),
        spread([run.best for run in runs], number),
        f"{len(hits)} of {len(runs)}",
        after,
        spread([run.first for run in runs], lambda v: f"{v:.0f}"),
        spread([run.names for run in runs], percent),
        spread([run.points for run in runs], percent),
        spread([run.dominated for run in runs], percent),
    ]
    print("| " + " | ".join(cells) + " |", flush=True)


def heading(options, genes, exact):
    packages = ", ".join(f"{name} {version(name)}" for name in ["pymoo", "ortools", "numpy"])
    load = ", ".join(f"{value:.1f}" for value in os.getloadavg())
    print(f"{options.study}: {genes.total():,} combinations".replace(",", " "))
    print(f"exact: best {exact.best:.2f}; first {len(exact.first)}; front of {len(exact.front_names)} combinations, "
          f"{len(exact.front_points)} points")
    print(f"each run {options.seconds:g} s of wall time on {options.cores} cores; {packages}; Python "
          f"{sys.version.split()[0]}; load averages before the runs {load}\n")
    cells = ["method", "population of each core, changes, patience", "runs", "different combinations asked", "processor s", "best objective", "runs with the exact best",
             "found after", f"of the exact first {len(exact.first)}", "of the exact front, by name",
             "by figures", "own front dominated"]
    print("| " + " | ".join(cells) + " |")
    print("|" + " --- |" * len(cells), flush=True)


def settings(methods, options):
    """Every setting of every method, one after the other."""
    numbers = lambda text, kind: [kind(number) for number in text.split(",")]
    for method in methods:
        if method == "blind":
            yield genetic.Setting(method, 0, 0.0, 0)
        elif method in ("GA", "NSGA-II"):
            for population in numbers(options.populations, int):
                for changes in numbers(options.changes, float):
                    for patience in numbers(options.patience, int) if method == "GA" else [0]:
                        yield genetic.Setting(method, population, changes, patience)


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("study")
    parser.add_argument("--ranked", required=True, help="ranked CSV of the exact search")
    parser.add_argument("--front", required=True, help="CSV of the exact front")
    parser.add_argument("--seconds", type=float, required=True, help="wall time of each run, that of the exact search")
    parser.add_argument("--binary", default="target/release/sumpwright")
    parser.add_argument("--cores", type=int, default=2)
    parser.add_argument("--runs", type=int, default=5, help="runs of each setting, with random numbers of their own")
    parser.add_argument("--populations", default="50,100,200,400", help="population of each core, a run for each")
    parser.add_argument("--changes", default="1", help="genes that change in a child, in the mean; a run for each")
    parser.add_argument("--patience", default="20", help="GA: generations without a better best before a new start")
    parser.add_argument("--methods", default="blind,GA,NSGA-II,CP-SAT", help="which of these, in order")
    options = parser.parse_args()

    found = slots(options.binary, options.study)
    exact = Exact.read(options)
    genes = Genes(found)
    for name in [*exact.first, *exact.front_names]:
        assert genes.names(np.array([genes.row(name)])) == [name], f"{name} could never be found by its name"
    heading(options, genes, exact)
    methods = options.methods.split(",")
    with multiprocessing.get_context("spawn").Pool(options.cores) as pool:
        for setting in settings(methods, options):
            runs = []
            for run in range(options.runs):
                tasks = [
                    (options.binary, options.study, found, setting, options.seconds, 1000 * run + island)
                    for island in range(options.cores)
                ]
                runs.append(Run.of(*merged(pool.starmap(genetic.island, tasks, chunksize=1)), exact))
            words = f"{setting.population}, {setting.changes:g}" if setting.method != "blind" else ""
            if setting.method == "GA":
                words += f", {setting.patience}"
            line(setting.method, words or "-", runs, exact, options)
    if "CP-SAT" in methods:
        used = processor_time()
        program = Program(options.binary, options.study, options.cores)
        program.score(exact.first[:1])  # it is up
        order, adequate, done = surrogate.cheapest(found, program, options.seconds, options.cores)
        program.close()
        run = Run.of(len(order), adequate, processor_time() - used, exact)
        line("CP-SAT, then judged", "-", [run], exact, options)
        states = [scored.state == "adequate" for _, scored in sorted(order, key=lambda item: item[1].cost)]
        firsts = "; ".join(f"{sum(states[:n])} of {n:,}".replace(",", " ") for n in LEVELS + [len(states)] if n <= len(states))
        up_to = f"{done / 100:.2f}" if done is not None else "none"
        print(f"\nCP-SAT: of the cheapest that meet the surrogate, adequate are {firsts}; all are listed up to a price of "
              f"{up_to}")
        if run.first:
            print(f"CP-SAT: the last of the {run.first} found of the exact first {len(exact.first)} after {run.first_after:.1f} s")
    print("\nload averages after the runs " + ", ".join(f"{value:.1f}" for value in os.getloadavg()))


if __name__ == "__main__":
    main()
