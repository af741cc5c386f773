"""The program behind a pipe: names in, figures out; and the slots of its study as genes."""

import csv
import json
import os
import subprocess
from dataclasses import dataclass
from math import comb, prod

import numpy as np


@dataclass(frozen=True)
class Scored:
    """What the program says of one name."""

    state: str  # "adequate", "inadequate", "excluded"
    objective: float
    cost: float
    heat_margin: float  # percent
    shortfall: float  # percent
    binding_margin: float  # percent; below 0 where inadequate

    def point(self):
        """Figures of the front, all to be made small."""
        return (self.cost, -self.heat_margin, self.shortfall)


def processor_time():
    """Seconds of this process and of the ended ones that it started."""
    return sum(os.times()[:4])


def number(text, absent):
    return float(text) if text else absent


class Program:
    """`sumpwright score STUDY` as a process of its own."""

    def __init__(self, binary, study, threads):
        command = [binary, "score", study, "--threads", str(threads)]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True)
        self.answers = csv.DictReader(self.process.stdout)
        assert "not scored" in self.answers.fieldnames

    def score(self, names):
        """Figures of names, in their order."""
        self.process.stdin.write("\n".join(names) + "\n\n")
        self.process.stdin.flush()
        return [self.one(name, next(self.answers)) for name in names]

    @staticmethod
    def one(name, row):
        if row["not scored"].startswith("ruled out"):
            return Scored("excluded", np.inf, np.inf, -np.inf, np.inf, -np.inf)
        assert not row["not scored"], f"{name}: {row['not scored']}"
        # heat margin: no end where there is no heat; headroom: none where the check has no figure
        return Scored(
            "adequate" if row["adequate"] == "yes" else "inadequate",
            number(row["objective"], -np.inf),
            float(row["cost"]),
            number(row["heat margin [%]"], 1e12),
            number(row["flow shortfall [%]"], 0.0),
            number(row["headroom [%]"], -100.0),
        )

    def close(self):
        self.process.stdin.close()
        self.process.wait()


def slots(binary, study):
    """The slots of a study, as the program tells them."""
    out = subprocess.run([binary, "score", study, "--slots"], check=True, capture_output=True, text=True).stdout
    return json.loads(out)


def names_of(path):
    """Names in the last column of a ranked CSV."""
    with open(path, newline="", encoding="utf-8") as file:
        return [row["name"].removeprefix("'") for row in csv.DictReader(file)]


# What a choice of a slot is made of, and the figure by which parts stand in order: neighbours are alike.
AXES = {
    "engines": (("id", "speed_rad_per_s"), "speed_rad_per_s"),
    "relief_valves": (("id", "setting_pa"), "rated_flow_m3_per_s"),
    "accumulators": (("count", "id", "precharge_pa"), "gas_volume_of_one_m3"),
    "coolers": (("count", "id"), "rated_heat_w"),
    "reservoirs": (("id",), "oil_volume_m3"),
    "return_filters": (("count", "id"), "rated_flow_m3_per_s"),
}


class Genes:
    """A study as a row of whole numbers: number of pumps, pumps, then the parts of every other choice.

    A choice such as "2 x this accumulator at that precharge" has a gene for each of its parts, so that they can be
    inherited one by one; what does not count (pumps beyond the number, a precharge of no accumulator) is set to 0 in
    the canonical row.
    """

    def __init__(self, slots):
        self.counts = slots["pump_counts"]
        self.most = max(self.counts)
        pumps = sorted(slots["pumps"], key=lambda p: p["facts"]["displacement_m3_per_rad"] * p["facts"]["drive_ratio"])
        self.pumps = [p["name"] for p in pumps]
        order = {p["name"]: i for i, p in enumerate(slots["pumps"])}
        self.slot = [order[name] for name in self.pumps]  # place in the slot: a name tells its pumps in that order
        self.sizes = [len(self.counts)] + [len(self.pumps)] * self.most
        self.others = []  # (first gene, number of genes, names by their values; None: only the first gene counts)
        for slot in ["engines", "relief_valves", "schemes", "accumulators", "coolers", "reservoirs", "return_filters"]:
            self.add(slots[slot], *AXES.get(slot, (None, None)))
        self.sizes = np.array(self.sizes)

    def add(self, choices, keys, figure):
        if keys is None:
            axes, places = [range(len(choices))], [(i,) for i in range(len(choices))]
        else:
            facts = [choice["facts"] or {"count": 0} for choice in choices]
            size = {fact["id"]: fact[figure] for fact in facts if "id" in fact}
            axes = [
                sorted({f[key] for f in facts if key in f}, key=lambda v, key=key: (size[v], v) if key == "id" else v)
                for key in keys
            ]
            place = lambda fact: (axis.index(fact[key]) if key in fact else 0 for axis, key in zip(axes, keys))
            places = [tuple(place(fact)) for fact in facts]
        names = np.full([max(len(axis), 1) for axis in axes], None, dtype=object)
        for choice, at in zip(choices, places):
            names[at] = choice["name"]
        self.others.append((len(self.sizes), len(axes), names))
        self.sizes += names.shape

    def random(self, rows, rng):
        return rng.integers(0, self.sizes, size=(rows, len(self.sizes)))

    def canonical(self, rows):
        """Rows with pumps in order, and 0 where a gene does not count: equal where the names are."""
        rows = np.array(rows, dtype=int)
        beyond = np.arange(self.most) >= np.array(self.counts)[rows[:, 0], None]
        pumps = rows[:, 1 : 1 + self.most]
        pumps[beyond] = len(self.pumps)
        pumps.sort(axis=1)
        pumps[beyond] = 0
        for first, width, names in self.others:
            genes = rows[:, first : first + width]
            nothing = names[tuple(genes.T)] == None  # noqa: E711 - element by element
            genes[nothing, 1:] = 0
        return rows

    def names(self, rows):
        """Names of canonical rows."""
        rest = [names[tuple(rows[:, first : first + width].T)] for first, width, names in self.others]
        numbers = np.array(self.counts)[rows[:, 0]]
        chosen = (sorted(row[1 : 1 + n], key=self.slot.__getitem__) for row, n in zip(rows.tolist(), numbers))
        pumps = ("+".join(self.pumps[i] for i in row) for row in chosen)
        return ["/".join(parts) for parts in zip(pumps, *rest)]

    def row(self, name):
        """The canonical row of a name."""
        pumps, *parts = name.split("/")
        pumps = [self.pumps.index(pump) for pump in pumps.split("+")]
        row = [self.counts.index(len(pumps)), *pumps, *[0] * (self.most - len(pumps))]
        for part, (_, _, names) in zip(parts, self.others, strict=True):
            row += [int(place[0]) for place in np.nonzero(names == part)]
        return self.canonical([row])[0]

    def total(self):
        """Number of combinations."""
        sets = sum(comb(len(self.pumps) + count - 1, count) for count in self.counts)
        return sets * prod(np.count_nonzero(names) for _, _, names in self.others)
