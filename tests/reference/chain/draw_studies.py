"""Draws studies for check_chain.py: each a folder with study.toml and load.csv over the parts of catalogs/generic.

    draw_studies.py FOLDER [--count 12] [--seed 1]

Beside those drawn at random twelve of a kind: stores that live on their band for many cycles, stores that drain, fans that
their thermostat never starts or hardly stops, open centres whose loads lie below the stand-by pressure. All data are invented.
"""
import argparse
import csv
import os
import random

GENERIC = os.path.join(os.path.dirname(os.path.abspath(__file__)), "..", "..", "..", "catalogs", "generic")
FILES = ["pumps", "accumulators", "coolers", "reservoirs", "filters", "relief_valves", "unloading_valves", "engines"]


def rows(kind, keep=lambda r: True):
    with open(os.path.join(GENERIC, kind + ".csv"), newline="") as f:
        return [r["id"] for r in csv.DictReader(f) if keep(r)]


def some(g, ids, least, most):
    return sorted(g.sample(ids, min(len(ids), g.randint(least, most))))


class Drawn:
    """The tables of a study as plain dictionaries, its load profile as rows."""

    def __init__(self, g, is_open):
        self.g, self.open = g, is_open
        ta = g.choice([-5, 12, 20, 28, 35, 42])
        cut_in = g.choice([90, 110, 125, 140])
        cut_out = cut_in + g.choice([12, 25, 40, 60])
        top = 150 if is_open else cut_out
        self.top, self.cut_in = top, cut_in
        volts = g.choice(["12", "24"])
        n40 = g.choice([32, 46, 68])
        self.site = {"air_temperature": "%g degC" % ta, "altitude": "%g m" % g.choice([0, 150, 900, 2400])}
        self.oil = {"viscosity_at_40": "%g mm2/s" % n40, "viscosity_at_100": "%g mm2/s" % {32: 5.6, 46: 7.1, 68: 9.3}[n40],
                    "density_at_15": "%g kg/m3" % g.choice([860, 875, 915])}
        if g.random() < 0.5:
            self.oil.update(cold_temperature="0 degC", cold_viscosity="%g mm2/s" % (n40 * g.choice([8, 11, 15])))
        self.circuit = {"kind": "open-centre" if is_open else "closed-centre"}
        if g.random() < 0.7:
            self.circuit.update(line_drop="%g bar" % g.choice([2, 5, 9]), line_flow="60 L/min")
        self.suction = {"bore": "%g mm" % g.choice([32, 38, 50]), "length": "%g m" % g.choice([0.4, 0.9]),
                        "fittings": g.choice([0.8, 1.5]), "head": "%g m" % g.choice([-0.1, 0.25])}
        if g.random() < 0.5:
            self.suction.update(strainer_drop="0.03 bar", strainer_flow="90 L/min", strainer_viscosity="32 mm2/s")
        self.thermostat = None
        if g.random() < 0.7:
            on = g.choice([40, 48, 55, 62, 70])
            self.thermostat = (on, on - g.choice([1, 3, 8, 15]))
        self.gas = {"temperature": "%g degC" % (ta + g.choice([0, 10])), "hottest": "%g degC" % g.choice([45, 60]),
                    "coldest": "%g degC" % g.choice([-10, 5])} if g.random() < 0.5 else None
        size = lambda r: 5 <= float(r["displacement [cm3/rev]"]) <= 32 and (r["set pressure [bar]"] == "" or g.random() < 0.5)
        self.pumps = {"counts": [1, 2, 3], "drive_ratios": g.choice([[1.0], [0.86, 1.0], [1.0, 1.15]]),
                      "drive": g.choice(["tandem", "own-pads"]), "pick": some(g, rows("pumps", size), 4, 7)}
        self.engine = {"pick": some(g, rows("engines", lambda r: float(r["rated power [kW]"]) > 14), 2, 4),
                       "speeds": g.choice([["2200 rpm", "2600 rpm"], ["1900 rpm"], ["2400 rpm", "3000 rpm"]])}
        valves = rows("relief_valves", lambda r: float(r["highest setting [bar]"]) > top + 40 and float(r["rated flow [L/min]"]) > 80)
        self.relief = {"settings": ["%g bar" % (top + x) for x in g.choice([[8, 25], [20, 35], [2, 30]])], "pick": some(g, valves, 1, 3)}
        self.accumulators = {"counts": [0, 1, 1, 2][g.randint(0, 1):], "precharge": ["%g bar" % (cut_in * x) for x in (0.55, 0.7)],
                             "pick": some(g, rows("accumulators", lambda r: float(r["highest pressure [bar]"]) > top + 40
                                                  and 2 <= float(r["gas volume [L]"]) <= 22), 3, 5)}
        self.accumulators["counts"] = sorted(set(self.accumulators["counts"]))
        self.coolers = {"counts": g.choice([[0, 1, 2], [1, 2]]),
                        "pick": some(g, rows("coolers", lambda r: r["fan voltage [V]"] == volts and float(r["rated heat [kW]"]) < 25), 4, 7)}
        self.electric = {"voltage": volts + " V"}
        self.reservoirs = {"pick": some(g, rows("reservoirs", lambda r: 25 < float(r["volume [L]"]) < 160), 3, 5)}
        self.filters = {"counts": g.choice([[1, 2], [1]]), "pick": some(g, rows("filters"), 3, 5)}
        self.schemes = self.draw_schemes(cut_in, cut_out)
        self.hardware = {"switch_price": 41.25, "controller_price": 288.5}
        self.owned = {self.pumps["pick"][0]: 1, self.engine["pick"][0]: 1}
        self.limits = {k: v for k, v in (("budget", 4000.0), ("mass", "400 kg"), ("space", "900 L")) if g.random() < 0.5}
        self.objective = {"cost": 1.0, "heat_margin": 150.0, "shortfall": 90.0} if g.random() < 0.5 else None
        limit = g.choice([65, 75, 80, 90])
        self.settings = {"oil_limit": "%g degC" % limit, "coldest_running": "%g degC" % (g.choice([0, 5, 20]) if is_open else min(60, limit - g.choice([15, 27]))),
                         "coldest_start": "%g degC" % g.choice([-20, -10, 0]), "fouling": "%g %%" % g.choice([0, 10, 25]),
                         "natural_share": "%g" % g.choice([0, 0.2, 0.3, 0.6]), "fill": "%g" % g.choice([0.8, 0.9]),
                         "wall_transfer": "%g W/(m2.K)" % g.choice([6, 12, 15]), "standby_pressure": "%g bar" % g.choice([6, 12, 25]),
                         "extra_steel": "%g kg" % g.choice([0, 30]), "steel_heat": "%g J/(kg.K)" % g.choice([450, 480]),
                         "base_load": "%g A" % g.choice([0, 9]), "closing_cycles": "%d" % g.choice([20, 40]), "rod_volume": "%g L" % g.choice([0, 1.5]),
                         "shortfall_limit": "%g %%" % g.choice([0, 1, 30]), "other_load": "%g kW" % g.choice([0, 0, 1.5]),
                         "fuel_price": "%g per L" % g.choice([0, 1.55]), "life": "%g h" % g.choice([0, 2000]),
                         "engine_reserve": "%g %%" % g.choice([5, 15]), "relative_humidity": "%g %%" % g.choice([10, 70])}
        self.load = self.draw_load()

    def draw_schemes(self, cut_in, cut_out):
        g, idle = self.g, lambda: {"idle": True} if self.g.random() < 0.4 else {}
        all_rules = [{"rule": "continuous", **idle()}, {"rule": "matched", **idle()}]
        if not self.open:
            band = {"cut_out": "%g bar" % cut_out, "cut_in": "%g bar" % cut_in}
            all_rules += [{"rule": "together", **band, **idle()}, {"rule": "matched", **band, **idle()},
                          {"rule": "staggered", **band, "stagger": "%g bar" % g.choice([2, 4, 6]), **idle()}]
        return all_rules

    def draw_load(self):
        """(step, seconds, function, L/min, bar, return ratio, work share, held bar)"""
        g, out = self.g, []
        scale = g.choice([1, 1, 30]) if self.open else 1
        for k in range(g.randint(3, 8)):
            time = round(scale * g.choice([1.5, 3, 6, 11, 20]) * g.uniform(0.8, 1.2), 2)
            held = "%g" % round(self.cut_in * g.choice([0.4, 0.8])) if g.random() < 0.2 else ""
            n = g.choice([0, 1, 1, 2, 3])
            names = g.sample(range(1, 5), n)
            for j in range(n):
                bar = round(self.top * g.uniform(0.05, 0.72), 1)
                out.append(("step %d" % k, time if j == 0 else "", "function %d" % names[j], round(g.uniform(2, 34) / n ** 0.5, 2), bar,
                            g.choice([1, 0.75, 1.3]), g.choice([1, 1, 0.4, 0]), held if j == 0 else ""))
            if n == 0:
                out.append(("step %d" % k, time, "", "", "", "", "", held))
        if not any(r[2] for r in out):
            out.append(("move", 4, "function 1", 12, round(0.5 * self.top, 1), 1, 1, ""))
        return out

    def write(self, folder):
        os.makedirs(folder, exist_ok=True)
        with open(os.path.join(folder, "load.csv"), "w", newline="") as f:
            w = csv.writer(f)
            w.writerow("step,duration [s],function,flow [L/min],pressure [bar],return ratio,work share,held [bar]".split(","))
            w.writerows(self.load)
        show = lambda v: ("true" if v else "false") if isinstance(v, bool) else '"%s"' % v if isinstance(v, str) else (
            "[%s]" % ", ".join(map(show, v)) if isinstance(v, list) else "%r" % v)
        base = os.path.relpath(GENERIC, folder)
        text = ['title = "%s"' % os.path.basename(folder), 'units = "metric"', ""]

        def table(name, d):
            if d:
                text.extend(["[%s]" % name] + ['%s = %s' % (k if name != "owned" else '"%s"' % k, show(v)) for k, v in d.items()] + [""])
        table("files", {"profile": "load.csv", **{k: os.path.join(base, k + ".csv") for k in FILES}})
        for k in ("site", "oil", "circuit", "suction", "electric"):
            table(k, getattr(self, k))
        if self.thermostat:
            table("thermostat", {"on": "%g degC" % self.thermostat[0], "off": "%g degC" % self.thermostat[1]})
        for k in ("gas", "pumps", "engine", "relief"):
            table(k, getattr(self, k))
        if not self.open:
            table("accumulators", self.accumulators)
        for k in ("coolers", "reservoirs", "filters"):
            table(k, getattr(self, k))
        for s in self.schemes:
            table("[scheme]", s)
        for k in ("hardware", "owned", "limits", "objective", "settings"):
            table(k, getattr(self, k))
        with open(os.path.join(folder, "study.toml"), "w") as f:
            f.write("\n".join(text))


# ------------------------------------------------------------------ of a kind
def long_band(g, k):
    """a large store and a small draw: charged in one of many cycles"""
    s = Drawn(g, False)
    s.settings.update(shortfall_limit="1 %", closing_cycles=["128", "128", "24", "10"][k], coldest_running="40 degC")
    s.site["air_temperature"] = "25 degC"
    s.gas = None
    s.accumulators = {"counts": [1], "precharge": ["70 bar"], "pick": ["bladder-10-330", "bladder-20-330", "piston-store-25-350"]}
    s.pumps = {"counts": [1, 2], "drive": "tandem", "drive_ratios": [1.0], "pick": ["gear-11-a", "gear-16-a", "gear-8-a"]}
    s.relief = {"settings": ["205 bar"], "pick": ["relief-pilot-120-250"]}
    band = {"cut_out": "180 bar", "cut_in": "120 bar"}
    s.schemes = [{"rule": "together", **band}, {"rule": "matched", **band, "idle": k % 2 == 1},
                 {"rule": "staggered", **band, "stagger": "3 bar"}]
    draw = [0.5, 0.17, 0.11, 0.06][k]              # litres in a cycle, against a band of 2 to 7
    s.load = [("nudge", 2.5, "small cylinder", round(draw / 2.5 * 60, 3), 85, 0.8, 0.9, ""),
              ("wait", [14, 11, 25, 40][k], "", "", "", "", "", ["", 60, "", 95][k])]
    return s


def still_fan(g, k):
    """thermostats that the oil never reaches, just reaches within the profile, hardly leaves"""
    s = Drawn(g, k == 1)
    s.thermostat = [(95, 90), (62, 45), (46, 44)][k]
    s.settings.update(natural_share=["0.8", "0.6", "0.3"][k], oil_limit="80 degC", extra_steel="0 kg")
    s.site["air_temperature"] = "15 degC"
    s.coolers["counts"] = [1, 2]
    s.load = [("work", 900, "motor", 16, 70, 1, 0.9, ""), ("pull", 240, "motor", 21, 95, 1, 0.9, ""), ("pull", "", "cylinder", 4, 60, 0.8, 1, ""),
              ("drive away", 1500, "motor", 3, 20, 1, 1, ""), ("wait", 600, "", "", "", "", "", "")]
    return s


def low_loads(g, k):
    """open centre, loads and held levels below the stand-by pressure"""
    s = Drawn(g, True)
    s.settings.update(standby_pressure=["22 bar", "30 bar", "45 bar"][k])
    s.load = [("lower", 6, "boom", 20, 8, 1.3, 0, ""), ("lower", "", "slew", 6, 15, 1, 1, ""), ("dig", 5, "boom", 18, 110, 0.8, 1, ""),
              ("dig", "", "slew", 9, 12, 1, 1, ""), ("level", 8, "boom", 38, [21, 29.5, 30][k], 1, 0.5, ""), ("hold", 7, "", "", "", "", "", [12, 35, 20][k]),
              ("wait", 9, "", "", "", "", "", ""), ("creep", 4, "slew", 2, 5, 1, 1, 10)]
    return s


def drains(g, k):
    """asks a little more than one pump gives: run again from empty, or settling slowly"""
    s = Drawn(g, False)
    s.settings.update(shortfall_limit="5 %", coldest_running="60 degC", oil_limit="75 degC", closing_cycles="128")
    s.gas = None
    s.accumulators = {"counts": [1], "precharge": ["70 bar"], "pick": ["bladder-32-330", "bladder-50-330"]}
    s.pumps = {"counts": [1], "drive": "tandem", "drive_ratios": [1.0], "pick": ["gear-11-a", "gear-9.5-a", "gear-10-b"]}
    s.engine["speeds"] = ["2200 rpm"]
    s.relief = {"settings": ["205 bar"], "pick": ["relief-pilot-120-250"]}
    band = {"cut_out": "180 bar", "cut_in": "130 bar"}
    s.schemes = [{"rule": "together", **band}, {"rule": "matched", **band}, {"rule": "staggered", **band, "stagger": "3 bar"},
                 {"rule": "continuous"}]
    s.load = [("work", 6, "motor", [55, 60][k], 55, 1, 0.8, ""), ("wait", [9, 10][k], "", "", "", "", "", "")]
    return s


KINDS = [("band", long_band, 4), ("fan", still_fan, 3), ("low", low_loads, 3), ("drains", drains, 2)]


def main():
    a = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    a.add_argument("folder")
    a.add_argument("--count", type=int, default=12)
    a.add_argument("--seed", type=int, default=1)
    a = a.parse_args()
    for i in range(a.count):
        g = random.Random("drawn %d %d" % (a.seed, i))
        Drawn(g, i % 3 == 2).write(os.path.join(a.folder, "drawn-%02d" % i))
    for kind, make, n in KINDS:
        for k in range(n):
            make(random.Random("%s %d %d" % (kind, a.seed, k)), k).write(os.path.join(a.folder, "%s-%d" % (kind, k)))


if __name__ == "__main__":
    main()
