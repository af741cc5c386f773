"""Independent check of the whole chain: study, catalogs and profile in, every figure of the model out.

Written from the pages of the model alone, without reading the program that it checks. See README.md.

    check_chain.py simulate STUDY NAME [NAME ...] --duty DIR [--json DIR] [--program FILE]
    check_chain.py order STUDY RANKED.csv --first N --duty DIR
    check_chain.py count STUDY [--ranking FILE.json]
    check_chain.py sample STUDY --first N --seed K --duty DIR --program FILE
"""
import argparse
import collections
import csv
import functools
import itertools
import json
import math
import os
import re
import subprocess
import sys
import tempfile
import tomllib

G = 9.80665
PSI = 0.45359237 * G / 0.0254 ** 2
GAL = 3.785411784e-3
HP = 745.6998715822702
UNITS = {
    "Pa": 1, "kPa": 1e3, "MPa": 1e6, "bar": 1e5, "mbar": 100, "psi": PSI, "bar abs": 1e5, "psi abs": PSI, "kPa abs": 1e3,
    "m": 1, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "ft": 0.3048, "in": 0.0254,
    "m2": 1, "ft2": 0.3048 ** 2, "m3": 1, "L": 1e-3, "gal": GAL, "cm3": 1e-6, "in3": 0.0254 ** 3,
    "s": 1, "min": 60, "h": 3600, "kg": 1, "g": 1e-3, "lb": 0.45359237,
    "m3/s": 1, "L/min": 1e-3 / 60, "gpm": GAL / 60, "m3/h": 1 / 3600, "cfm": 0.3048 ** 3 / 60,
    "cSt": 1e-6, "mm2/s": 1e-6, "m2/s": 1, "kg/m3": 1, "lb/ft3": 0.45359237 / 0.3048 ** 3,
    "W": 1, "kW": 1e3, "hp": HP, "N.m": 1, "Nm": 1, "lbf.ft": 0.45359237 * G * 0.3048,
    "rpm": 1 / 60, "rev/s": 1, "1/min": 1 / 60, "1/h": 1 / 3600, "1/s": 1,
    "K": 1, "degC diff": 1, "degF diff": 5 / 9, "V": 1, "A": 1, "%": 0.01, "": 1,
    "W/(m2.K)": 1, "J/(kg.K)": 1, "g/kWh": 1e-3 / 3.6e6, "cm3/rev": 1e-6, "in3/rev": 0.0254 ** 3, "per L": 1e3,
    "per gal": 1 / GAL,
}


def value(text, unit=None):
    """A number with its unit, in SI; a bare number takes `unit`. Temperatures in degrees Celsius."""
    if isinstance(text, (int, float)) and not isinstance(text, bool):
        num, u = float(text), unit or ""
    else:
        m = re.match(r"^\s*([-+0-9.eE]+)\s*(.*?)\s*$", str(text))
        num, u = float(m.group(1)), m.group(2) or (unit or "")
    if u == "degC":
        return num
    if u == "degF":
        return (num - 32) * 5 / 9
    return num * UNITS[u]


def cents(text):
    m = re.match(r"^\s*(\d+)(?:\.(\d{1,2}))?\s*$", str(text))
    if not m:
        m = re.match(r"^\s*(\d+)(?:\.(\d+))?\s*$", "%.2f" % float(text))
    return int(m.group(1)) * 100 + int(((m.group(2) or "") + "00")[:2])


DEFAULTS = {
    "oil_limit": "80 degC", "coldest_running": "10 degC", "coldest_start": "-10 degC", "shortfall_limit": "0 %",
    "step_shortfall_limit": "5 %", "heat_margin_limit": "10 %", "mode_change_limit": "600 1/h", "dwell_limit": "30 s",
    "lowest_viscosity": "10 mm2/s", "start_viscosity": "1000 mm2/s", "lowest_inlet": "0.8 bar abs", "fill": "0.85",
    "wall_transfer": "12 W/(m2.K)", "return_allowance": "3 bar", "unloading_drop": "5 bar", "standby_pressure": "8 bar",
    "override_share": "0.1", "engine_reserve": "10 %", "alternator_efficiency": "55 %", "relative_humidity": "30 %",
    "fouling": "10 %", "natural_share": "0.3", "precharge_share": "0.9", "charging_temperature": "20 degC",
    "filter_bypass_share": "1", "extra_steel": "0 kg", "rod_volume": "0 L", "base_load": "0 A", "closing_cycles": "128",
    "fuel_price": "0 per L", "life": "0 h", "steel_heat": "480 J/(kg.K)", "other_load": "0 kW",
}

# The page asks for "a stated generic shape" and states none: share of rated torque over share of rated speed,
# as the program under test prints it with its results.
DIESEL = [(0.30, 0.85), (0.45, 1.08), (0.62, 1.15), (0.80, 1.10), (1.00, 1.00)]
SPARK = [(0.30, 0.85), (0.45, 1.02), (0.65, 1.08), (0.80, 1.06), (1.00, 1.00)]
GENERIC = {"diesel": DIESEL, "diesel-turbo": DIESEL, "diesel-turbo-cooled": DIESEL, "petrol": SPARK, "gas": SPARK,
           "electric": [(0.0, 1.0), (1.0, 1.0)]}

CLASSES = {  # physics 9.1: exponents m, n; pressure; reference pressure
    "diesel": (1.0, 0.75, "dry", 99.0e3), "diesel-turbo": (0.7, 2.0, "wet", 100e3),
    "diesel-turbo-cooled": (0.7, 1.2, "wet", 100e3), "petrol": (1.0, 0.5, "dry", 99.0e3),
    "gas": (0.86, 0.55, "dry", 99.0e3), "electric": None,
}


def vapour_pressure(t):
    """Saturation pressure of water, Pa, t in C; Wagner and Pruss, J. Phys. Chem. Ref. Data 31 (2002) 387, equation 2.5;
    that of the triple point below it."""
    tk, tc = max(t + 273.15, 273.16), 647.096
    x = 1 - tk / tc
    return 22.064e6 * math.exp(tc / tk * (-7.85951783 * x + 1.84408259 * x ** 1.5 - 11.7866497 * x ** 3
                                          + 22.6807411 * x ** 3.5 - 15.9618719 * x ** 4 + 1.80122502 * x ** 7.5))


MOST_MARGIN, HOTTEST = 1e9, 2000.0      # more heat margin, hotter oil (K) is no figure; the page is silent
REFERENCE_KELVIN = [298.0]        # physics 9.1 says 298 K


# --------------------------------------------------------------------------------------------- reading
class Row(dict):
    """A catalog row; `get` in SI, empty cells are None."""

    def __init__(self, heads, cells, kind):
        super().__init__()
        self.kind = kind
        for h, c in zip(heads, cells):
            m = re.match(r"^(.*?)\s*(?:\[(.*)\])?$", h.strip())
            name, unit = m.group(1).strip(), m.group(2)
            c = c.strip()
            if c == "":
                continue
            if name in ("torque curve", "fuel map"):
                self[name] = [tuple(float(x) for x in w.split(":")) for w in c.split()]
            elif name == "price":
                self[name] = cents(c)
            elif name in ("owned", "stock"):
                self[name] = int(c)
            elif unit is not None or re.fullmatch(r"[-+0-9.eE]+", c) and name not in ("id", "note", "source"):
                self[name] = value(c, unit or "")
            else:
                self[name] = c

    def __missing__(self, key):
        return None


def read_csv(path, kind):
    with open(path, newline="") as f:
        rows = [r for r in csv.reader(f) if r and any(c.strip() for c in r)]
    return [Row(rows[0], r, kind) for r in rows[1:]]


KINDS = ["pumps", "accumulators", "coolers", "reservoirs", "filters", "relief_valves", "unloading_valves", "engines"]


class Study:
    def __init__(self, path):
        with open(path, "rb") as f:
            d = tomllib.load(f)
        self.d = d
        base = os.path.dirname(os.path.abspath(path))
        self.cat = {}
        for k in KINDS:
            files = d["files"].get(k, [])
            files = [files] if isinstance(files, str) else files
            rows = [r for f in files for r in read_csv(os.path.join(base, f), k)]
            self.cat[k] = {r["id"]: r for r in rows}
        for i, n in d.get("owned", {}).items():
            for k in KINDS:
                if i in self.cat[k]:
                    self.cat[k][i]["owned"] = n
        s = {**DEFAULTS, **d.get("settings", {})}
        self.s = {k: value(x) for k, x in s.items()}
        self.ta = value(d["site"]["air_temperature"])
        self.z = value(d["site"]["altitude"])
        h = 6356766.0 * self.z / (6356766.0 + self.z)
        self.pair = 101325.0 * (1 - 0.0065 * h / 288.15) ** 5.25588
        self.rho_air = self.pair / (287.053 * (self.ta + 273.15))
        self.oil = Oil(d["oil"])
        self.open = d["circuit"]["kind"] == "open-centre"
        self.line = None
        if "line_drop" in d["circuit"]:
            self.line = (value(d["circuit"]["line_drop"]), value(d["circuit"]["line_flow"]))
        self.steps = self.profile(os.path.join(base, d["files"]["profile"]))
        self.T = sum(x["duration"] for x in self.steps)
        g = d.get("gas", {})
        self.t_gas = value(g["temperature"]) if "temperature" in g else self.ta
        self.t_hot = value(g["hottest"]) if "hottest" in g else max(self.t_gas, self.s["oil_limit"])
        self.t_cold = value(g["coldest"]) if "coldest" in g else self.s["coldest_start"]
        th = d.get("thermostat")
        self.thermostat = {"on_c": value(th["on"]), "off_c": value(th["off"])} if th else None
        lim, cold = self.s["oil_limit"], self.s["coldest_running"]
        n, t, i = [], lim, 0
        while t > cold + 1e-9:
            n.append(t)
            i += 1
            t = lim - 10.0 * i
        n.append(cold)
        if self.ta < cold - 1e-9:
            n.append(self.ta)
        self.nodes = sorted(n)

    def profile(self, path):
        steps = []
        for r in read_csv(path, "profile"):
            name = r["step"]
            if name is None or not steps or steps[-1]["name"] != name:
                steps.append({"name": name, "duration": r["duration"], "held": None, "functions": []})
            st = steps[-1]
            if r["held"] is not None:
                st["held"] = r["held"]
            if r["function"] is None:
                continue
            q = r["flow"]
            line = (r["line drop"], r["line flow"]) if r["line drop"] is not None else self.line
            st["functions"].append({
                "name": r["function"], "flow": q, "load": r["pressure"],
                "line": line[0] * (q / line[1]) ** 2 if line else 0.0,
                "ret": 1.0 if r["return ratio"] is None else r["return ratio"],
                "work": 1.0 if r["work share"] is None else r["work share"]})
        return steps

    def picked(self, kind, section):
        p = self.d.get(section, {}).get("pick")
        return [self.cat[kind][i] for i in p] if p is not None else list(self.cat[kind].values())


class Oil:
    def __init__(self, o):
        n40 = value(o["viscosity_at_40"]) if "viscosity_at_40" in o else float(o["grade"]) * 1e-6
        if "viscosity_at_100" in o:
            n100 = value(o["viscosity_at_100"])
        else:
            n100 = nu100_from_vi(n40 * 1e6, float(o["viscosity_index"])) * 1e-6
        self.n40, self.n100 = n40, n100
        self.rho15 = value(o["density_at_15"])
        self.cold = None
        if "cold_temperature" in o:
            self.cold = (value(o["cold_temperature"]), value(o["cold_viscosity"]))

    def nu(self, t):
        ll = lambda n: math.log10(math.log10(n * 1e6 + 0.7))
        lt = lambda c: math.log10(c + 273.15)
        a, b = (40.0, self.n40), (100.0, self.n100)
        if self.cold and t < 40.0:
            a, b = self.cold, (40.0, self.n40)
        w = (lt(t) - lt(a[0])) / (lt(b[0]) - lt(a[0]))
        return (10 ** 10 ** (ll(a[1]) + w * (ll(b[1]) - ll(a[1]))) - 0.7) * 1e-6

    def rho(self, t):
        return self.rho15 * (1 - 7e-4 * (t - 15))

    def cp(self, t):
        return 1830 + 3.8 * t

    def mu(self, t):
        return self.nu(t) * self.rho(t)


def nu100_from_vi(n40, vi):
    from chemicals.viscosity import viscosity_index
    from scipy.optimize import brentq
    return brentq(lambda x: viscosity_index(n40 * 1e-6, x * 1e-6) - vi, 2.0, n40, xtol=1e-13)


# --------------------------------------------------------------------------------------------- candidate
class Candidate:
    """Parts and choices by name: pumps/engine@speed/relief@setting/scheme-n/store/cooler/reservoir/filter."""

    def __init__(self, st, name):
        self.st, self.name = st, name
        f = name.split("/")
        self.pumps = []
        for w in f[0].split("+"):
            i, _, r = w.partition("*")
            self.pumps.append((st.cat["pumps"][i], float(r) if r else 1.0))
        i, _, sp = f[1].partition("@")
        self.engine, self.speed = st.cat["engines"][i], value(sp)
        i, _, se = f[2].partition("@")
        self.relief, self.setting = st.cat["relief_valves"][i], value(se)
        self.rule, _, k = f[3].rpartition("-")
        sch = st.d["scheme"][int(k) - 1]
        assert sch["rule"] == self.rule
        opt = lambda x: value(sch[x]) if x in sch else None
        self.p2, self.p1, self.stagger, self.idle = opt("cut_out"), opt("cut_in"), opt("stagger") or 0.0, sch.get("idle", False)
        self.store = None
        if f[4] != "none":
            m = re.match(r"^(.*)x(\d+)@(.*)$", f[4])
            self.store, self.n_store, self.pre = st.cat["accumulators"][m.group(1)], int(m.group(2)), value(m.group(3))
        if self.store is None and self.rule == "matched":
            self.p1 = self.p2 = None
        many = lambda w: re.match(r"^(.*)x(\d+)$", w).groups()
        self.cooler, self.n_cooler = None, 0
        if f[5] != "none":
            i, n = many(f[5])
            self.cooler, self.n_cooler = st.cat["coolers"][i], int(n)
        self.reservoir = st.cat["reservoirs"][f[6]]
        self.filter, self.n_filter = None, 0
        if f[7] != "none":
            i, n = many(f[7])
            self.filter, self.n_filter = st.cat["filters"][i], int(n)
        s = st.s
        staged = self.rule != "continuous"
        self.valves = []
        for p, r in self.pumps:
            v = None
            if staged and p["set pressure"] is None:
                v = unloading_valve(st, p["displacement"] * self.speed * r, self.setting)
            self.valves.append(v)
        self.staged = staged

    def parts(self):
        p = [r for r, _ in self.pumps] + [self.engine, self.relief] + [v for v in self.valves if v is not None]
        if self.store is not None:
            p += [self.store] * self.n_store
        return p + [self.cooler] * self.n_cooler + [self.reservoir] + [self.filter] * self.n_filter

    def unloading_pressure(self, i):
        v = self.valves[i]
        drop = self.st.s["unloading_drop"]
        if v is not None and v["open drop"] is not None:
            drop = v["open drop"]
        return drop + self.st.s["return_allowance"]


def unloading_valve(st, flow, setting):
    """The cheapest that fits flow and relief setting; ties by id (the page is silent on both)."""
    fit = [v for v in st.picked("unloading_valves", "unloading")
           if v["rated flow"] >= flow * (1 - 1e-12) and v["highest pressure"] >= setting * (1 - 1e-12)]
    return min(fit, key=lambda v: (v["price"], v["id"])) if fit else None


class Excluded(Exception):
    pass


# --------------------------------------------------------------------------------------------- the chain
class Chain:
    def __init__(self, st, name, lib):
        self.st, self.c, self.lib = st, Candidate(st, name), lib

    def excluded(self):
        """rules of sections 5, 6 and 12, by name"""
        st, c = self.st, self.c
        if c.store is not None and st.open:
            return "accumulators in an open centre"
        if c.store is None and c.rule in ("together", "staggered"):
            return "scheme needs an accumulator"
        if c.store is not None and c.rule == "matched" and c.p2 is None:
            return "accumulator, but the scheme has no cut-out and cut-in"
        if c.store is not None and c.p2 is not None and c.p1 >= c.p2:
            return "cut-in at or above cut-out"
        if c.store is not None and c.p2 is not None and c.setting < c.p2 * (1 - 1e-12):
            return "relief setting below cut-out"
        if not c.relief["lowest setting"] * (1 - 1e-12) <= c.setting <= c.relief["highest setting"] * (1 + 1e-12):
            return "relief setting outside the range of the relief valve"
        if any(p["highest pressure"] < c.setting * (1 - 1e-12) for p, _ in c.pumps) or (
                c.store is not None and c.store["highest pressure"] < c.setting * (1 - 1e-12)):
            return "relief setting above a rating"
        if c.store is not None:
            import CoolProp.CoolProp as CP
            rho = CP.PropsSI("D", "P", c.pre + st.pair, "T", st.s["charging_temperature"] + 273.15, "Nitrogen")
            full = c.p2 if c.p2 is not None else c.setting
            if CP.PropsSI("P", "D", rho, "T", st.t_gas + 273.15, "Nitrogen") - st.pair >= full:
                return "precharge at or above the pressure of the full accumulator"
        if c.staged and any(v is None and p["set pressure"] is None for v, (p, _) in zip(c.valves, c.pumps)):
            return "no unloading valve carries a pump"
        if c.cooler is not None and c.cooler["fan voltage"] != value(st.d["electric"]["voltage"]):
            return "fan for another voltage"
        parts = collections.Counter((p.kind, p["id"]) for p in c.parts())
        if any(st.cat[k][i]["stock"] is not None and n > st.cat[k][i]["stock"] for (k, i), n in parts.items()):
            return "more of a part than can be had"
        return None

    def case(self):
        st, c = self.st, self.c
        d = {
            "name": "x", "note": "", "circuit": "open-centre" if st.open else "closed-centre",
            "scheme": {"kind": c.rule, "cut_in_gauge_pa": c.p1, "cut_out_gauge_pa": c.p2, "stagger_pa": c.stagger},
            "relief_setting_gauge_pa": c.setting, "standby_pressure_gauge_pa": st.s["standby_pressure"],
            "air_pressure_pa": st.pair,
            "engine": {"governed_speed_rev_per_s": c.speed, "idle_speed_rev_per_s": c.engine["idle speed"],
                       "idle_where_nothing_is_asked_or_held": c.idle},
            "pumps": [], "accumulator": None,
            "oil": {"mode_selection_temperature_c": st.s["oil_limit"],
                    "mode_selection_dynamic_viscosity_pa_s": st.oil.mu(st.s["oil_limit"]),
                    "nodes": [{"temperature_c": t, "dynamic_viscosity_pa_s": st.oil.mu(t),
                               "density_kg_per_m3": st.oil.rho(t)} for t in st.nodes]},
            "steps": [{"duration_s": s["duration"], "held_pa": s["held"],
                       "functions": [{"flow_m3s": f["flow"], "load_pa": f["load"],
                                      "line_loss_at_asked_flow_pa": f["line"], "return_ratio": f["ret"],
                                      "work_share": f["work"]} for f in s["functions"]]} for s in st.steps]}
        for i, (p, r) in enumerate(c.pumps):
            d["pumps"].append({
                "id": p["id"], "displacement_m3_per_rev": p["displacement"], "rated_speed_rev_per_s": p["rated speed"],
                "rated_pressure_pa": p["rated pressure"],
                "rated_dynamic_viscosity_pa_s": p["rated viscosity"] * (p["rated density"] or 870.0),
                "rated_volumetric_efficiency": p["volumetric efficiency"],
                "rated_overall_efficiency": p["overall efficiency"],
                "viscous_share": 0.3 if p["viscous share"] is None else p["viscous share"], "drive_ratio": r,
                "set_pressure_pa": p["set pressure"], "unloading_pressure_pa": c.unloading_pressure(i)})
        if c.store is not None:
            d["accumulator"] = {"size_m3": c.store["gas volume"], "count": c.n_store, "precharge_gauge_pa": c.pre,
                                "charging_temperature_k": st.s["charging_temperature"] + 273.15,
                                "gas_temperature_k": st.t_gas + 273.15}
        return d

    def run(self):
        st, c, s, o = self.st, self.c, self.st.s, self.st.oil
        mc, mt = self.lib
        why = self.excluded()
        if why:
            raise Excluded(why)
        case = mc.Case(self.case())
        mc.CYCLE_LIMIT = int(s["closing_cycles"])
        self.kase = case
        nodes = []
        for n in case.d["oil"]["nodes"]:
            sim = mc.Sim(case, n["dynamic_viscosity_pa_s"])
            out = sim.run()
            r = mc.summarise(case, sim, out)
            r["T"] = n["temperature_c"]
            r["worst_steps"] = [max([1 - x.steps[i].delivered / x.steps[i].asked for x in out["window"]
                                     if x.steps[i].asked > 0], default=0.0) for i in range(len(st.steps))]
            nodes.append(r)
        self.nodes = nodes
        F = {}
        self.F = F
        # site, oil, pumps
        F["site/air_pressure"], F["site/air_density"] = st.pair, st.rho_air
        for lab, t in (("at_40", 40.0), ("at_100", 100.0), ("at_coldest_start", s["coldest_start"])):
            F["oil/%s/nu" % lab], F["oil/%s/mu" % lab], F["oil/%s/rho" % lab], F["oil/%s/cp" % lab] = (
                o.nu(t), o.mu(t), o.rho(t), o.cp(t))
        for i, t in enumerate(st.nodes):
            F["oil/node%d/T" % i], F["oil/node%d/nu" % i], F["oil/node%d/rho" % i], F["oil/node%d/cp" % i] = (
                t, o.nu(t), o.rho(t), o.cp(t))
        for i, q in enumerate(case.pumps):
            F["pump%d/Cs" % i], F["pump%d/Cv" % i], F["pump%d/Cf" % i] = q.Cs, q.Cv, q.Cf
            if c.staged:
                F["pump%d/unloading" % i] = q.unload
                F["pump%d/valve" % i] = c.valves[i]["id"] if c.valves[i] is not None else None
        # nodes
        for i, r in enumerate(nodes):
            k = "node%d/" % i
            F[k + "period"], F[k + "drains"], F[k + "irregular"] = r["period_k"], r["drains"], r["irregular"]
            F[k + "shaft"], F[k + "work"], F[k + "heat"] = r["mean_shaft_w"], r["mean_work_w"], r["mean_heat_w"]
            F[k + "stored"] = r["mean_stored_change_w"]
            for a, x in r["mean_heat_by_source_w"].items():
                F[k + "heat/" + a] = x
            F[k + "asked"], F[k + "delivered"] = r["asked_m3_per_cycle"], r["delivered_m3_per_cycle"]
            F[k + "shortfall"], F[k + "worst_step_shortfall"] = r["shortfall"], r["worst_step_shortfall"]
            F[k + "mode_changes"] = r["mode_changes_per_hour"] / 3600
            F[k + "mean_return"], F[k + "peak_return"] = r["mean_return_flow_m3s"], r["peak_return_flow_m3s"]
            F[k + "lowest_supply"], F[k + "highest_supply"] = r["lowest_supply_pa"], r["highest_supply_pa"]
            F[k + "rests_above_cut_in"] = "cut-in lies below a load pressure" in r["findings"]
            if case.gas:
                F[k + "lowest_oil"], F[k + "highest_oil"] = r["store_volume_lowest_m3"], r["store_volume_highest_m3"]
            for m, x in r["highest_supply_per_mode_pa"].items():
                F[k + "mode[%s]" % m] = x
            for j, x in enumerate(r["steps"]):
                kk = k + "step%d/" % j
                F[kk + "shaft"], F[kk + "heat"], F[kk + "return"] = x["mean_shaft_w"], x["mean_heat_w"], x["mean_return_flow_m3s"]
                F[kk + "delivered"] = x["delivered_m3"]
                F[kk + "low"], F[kk + "high"] = x["lowest_supply_pa"], x["highest_supply_pa"]
        self.thermal()
        self.checks()
        self.money()
        return F

    # ---- section 8
    def thermal(self):
        st, c, s, F = self.st, self.c, self.st.s, self.F
        mt = self.lib[1]
        r, q = c.reservoir, c.cooler
        vol = r["volume"]
        self.v_oil = vol * s["fill"]
        steel = (r["wall mass"] if r["wall mass"] is not None else r["mass"]) + s["extra_steel"]
        no = q is None
        q = q if not no else Row([], [], "none")
        rho_r = q["rated air density"] or 1.2
        d = {"site": {"altitude_m": st.z, "air_temperature_c": st.ta}, "nodes_c": st.nodes, "limit_c": s["oil_limit"],
             "cold_start_c": s["coldest_start"],
             "oil": {"kinematic_viscosity_40c_m2_per_s": st.oil.n40, "kinematic_viscosity_100c_m2_per_s": st.oil.n100,
                     "density_15c_kg_per_m3": st.oil.rho15},
             "steps": [{"duration_s": x["duration"],
                        "heat_w_at_nodes": [n["steps"][i]["mean_heat_w"] for n in self.nodes],
                        "mean_return_flow_m3s_at_nodes": [0.0 if no else n["steps"][i]["mean_return_flow_m3s"] for n in self.nodes]}
                       for i, x in enumerate(st.steps)],
             "cooler": {"rated_heat_w": q["rated heat"] or 1000.0, "rated_entering_difference_k": q["rated difference"] or 40.0,
                        "rated_oil_flow_m3s": q["rated oil flow"] or 1e-3,
                        "rated_air_mass_flow_kg_per_s": (q["rated air flow"] or 1.0) * rho_r,
                        "rated_air_density_kg_per_m3": rho_r, "air_heat_capacity_j_per_kg_k": 1007.0,
                        "rated_oil_density_kg_per_m3": q["rated oil density"] or 870.0,
                        "rated_oil_heat_capacity_j_per_kg_k": q["rated oil heat"] or 2000.0,
                        "count": max(1, c.n_cooler), "fouling": s["fouling"], "natural_share": s["natural_share"],
                        "rated_drop_pa": q["rated drop"],
                        "bypass_drop_pa": q["bypass drop"] if q["rated drop"] is not None else None,
                        "rated_kinematic_viscosity_m2_per_s": q["rated viscosity"]},
             "reservoir": {"volume_m3": vol, "fill": s["fill"], "wall_area_m2": r["wall area"],
                           "wall_coefficient_w_per_m2_k": s["wall_transfer"], "oil_volume_m3": self.v_oil,
                           "steel_mass_kg": steel, "steel_heat_capacity_j_per_kg_k": s["steel_heat"]},
             "thermostat": None if no else st.thermostat}
        mt.oil_nu = lambda _o, t: st.oil.nu(t)          # with the cold point
        t = mt.Thermal(d)
        x = t.result()
        self.th, self.x = t, x
        heat, on, off = (x["cycle_mean_heat_w_at_nodes"], x["cycle_mean_cooling_fan_on_w_at_nodes"],
                         x["cycle_mean_cooling_fan_off_w_at_nodes"])
        for i in range(len(st.nodes)):
            F["warmth/heat%d" % i], F["warmth/cool_on%d" % i] = heat[i], on[i]
            F["warmth/cool_off%d" % i] = None if no else off[i]
        if not no:
            F["cooler/rated_ua"], F["cooler/ua"], F["cooler/air"] = t.ua_rated, t.ua, t.c_air
            F["cooler/fan_off_share"] = s["natural_share"]
        F["reservoir/area"], F["warmth/wall"] = t.area, t.wall
        lim = s["oil_limit"]
        F["warmth/heat_at_limit"], F["warmth/cooling_at_limit"] = t.lin(heat, lim), t.lin(on, lim)
        F["warmth/heat_margin"], F["warmth/heat_margin_power"] = min(x["heat_margin"], MOST_MARGIN), x["heat_margin_w"]
        F["warmth/steady"] = x["steady_mean_c"]
        F["warmth/steady_fan_always_on"] = x["steady_mean_fan_on_c"]
        F["warmth/steady_fan_always_off"] = None if no else x["steady_mean_fan_off_c"]
        ts = x["steady_mean_c"]
        # no steady mean: the fan runs (the page is silent); no cooler: no fan
        F["warmth/fan"] = None if no else x["fan"] if ts is not None else "on"
        F["warmth/peak"], F["warmth/heat_capacity"] = x["peak_c"], t.capacity(ts if ts is not None else lim)
        if x["peak_c"] is not None and x["peak_c"] + 273.15 > HOTTEST:
            F["warmth/peak"] = None
        self.duty = None
        if ts is not None:
            h, a, b = t.lin(heat, ts), t.lin(on, ts), t.lin(off, ts)
            F["warmth/heat_at_steady"], F["warmth/on_at_steady"], F["warmth/off_at_steady"] = h, a, None if no else b
            F["warmth/fan_duty"] = None if no else x["fan_duty"]
            self.duty = F["warmth/fan_duty"] or 0.0

    # ---- section 6: gas that exchanges heat with its wall (physics 6.4), asked only whether it empties
    def timed_empties(self, node, dt=2e-3, cycles=60):
        """Fixed steps, no events. None where the lowest volume is too near 0 to tell."""
        import CoolProp.CoolProp as CP
        k, st = self.kase, self.st
        sim = self.lib[0].Sim(k, st.oil.mu(node["T"]))
        g, a = k.gas, CP.AbstractState("HEOS", "Nitrogen")
        tau = self.c.store["time constant"]
        if tau is None:
            tau = 30.0 * (self.c.store["gas volume"] / 10e-3) ** (1 / 3)
        wall = t = st.t_gas + 273.15
        v, flags, ends, lows = g.v_anchor, sim.start_flags(False), [], []
        for _ in range(cycles):
            low = v
            for i, s in enumerate(k.steps):
                n = max(1, math.ceil(s["duration_s"] / dt))
                h = s["duration_s"] / n
                want = [(x, f["flow_m3s"]) for x, f in zip(s["_h"], s["functions"])]
                for _ in range(n):
                    a.update(CP.DmassT_INPUTS, g.mass / (g.V0 - v), t)
                    p = a.p() - g.air
                    flags = sim.switch(flags, p)
                    on = sim.onset(i, flags)
                    q = sum(sim.at[i][j].full(p) for j in on if p < sim.at[i][j].set)
                    net = q - sum(x for th, x in want if p >= th)
                    if p >= k.relief and net > 0 or v <= 0 and net < 0:
                        net = 0.0
                    # dT/dt = (Tw - T)/tau - (T/cv) (dp/dT)_v dv_gas/dt per mass
                    t += h * ((wall - t) / tau + t / a.cvmass() * a.first_partial_deriv(CP.iP, CP.iT, CP.iDmass) * net / g.mass)
                    v = max(0.0, v + net * h)
                    low = min(low, v)
            lows.append(low)
            for m, (w, u, fl) in enumerate(reversed(ends)):
                if fl == flags and abs(u - t) < 0.05 and abs(w - v) < 1e-3 * g.V0:
                    low = min(lows[-m - 1:])
                    return low <= 0.0 if not 0.0 < low < 2e-3 * g.V0 else None
            ends.append((v, t, flags))
        return min(lows[len(lows) // 2:]) <= 0.0

    # ---- section 9
    def torque(self, i, p, mu, on):
        """torque of pump i on its own shaft at governed speed"""
        q = self.kase.pumps[i].at(self.c.speed, mu)
        pe = min(p, q.set) if on else q.unload
        return (q.VN * pe + q.friction(pe)) / (2 * math.pi * self.c.speed * q.pump.ratio)

    def power(self, mode, p, mu):
        w = 0.0
        for i, q in enumerate(self.kase.pumps):
            w += self.torque(i, p, mu, i in mode) * 2 * math.pi * self.c.speed * q.ratio
        return w

    def inlet(self, t):
        st, c = self.st, self.c
        u = st.d["suction"]
        q = sum(p["displacement"] * c.speed * r for p, r in c.pumps)
        bore, length = value(u["bore"]), value(u["length"])
        a = math.pi * bore ** 2 / 4
        v, nu, rho = q / a, st.oil.nu(t), st.oil.rho(t)
        re_ = v * bore / nu
        f = 64 / re_ if re_ < 2300 else 0.3164 * re_ ** -0.25
        dyn = rho * v * v / 2
        p = st.pair + rho * G * value(u["head"]) - (f * length / bore + float(u["fittings"]) + 1) * dyn
        if "strainer_drop" in u:
            p -= value(u["strainer_drop"]) * q / value(u["strainer_flow"]) * nu / value(u["strainer_viscosity"])
        return p

    def filter_drop(self, q, t):
        f, o = self.c.filter, self.st.oil
        x = q / self.c.n_filter / f["rated flow"]
        d = o.rho(t) / (f["rated density"] or 870.0)
        return (f["housing drop"] * x * x + f["element drop"] * x * o.nu(t) / f["rated viscosity"]) * d

    def cooler_drop(self, q, t):
        k, o = self.c.cooler, self.st.oil
        if k is None or k["rated drop"] is None:
            return 0.0
        d = k["rated drop"] * q / self.c.n_cooler / k["rated oil flow"] * o.nu(t) / k["rated viscosity"]
        return min(d, k["bypass drop"]) if k["bypass drop"] is not None else d

    def checks(self):
        st, c, s, F, N = self.st, self.c, self.st.s, self.F, self.nodes
        C = self.C = collections.OrderedDict()
        self.untold = set()
        lim, cold, start = s["oil_limit"], s["coldest_running"], s["coldest_start"]
        top = [n for n in N if abs(n["T"] - lim) < 1e-9][0]

        def put(name, figure, limit, kind, scale=None):
            """kind <= or >= or yes"""
            if kind == "yes":
                C[name] = {"figure": 1.0 if figure else 0.0, "limit": 1.0, "margin": None if figure else -1.0,
                           "met": bool(figure), "kind": kind}
                return
            sign = 1 if kind == "<=" else -1
            if figure is None or math.isnan(figure):
                C[name] = {"figure": None, "limit": limit, "margin": -1.0, "met": False, "kind": kind}
                return
            if scale is not None:
                m = sign * (limit - figure) / scale
            elif limit == 0:
                m = sign * (0.0 - figure)
            else:
                m = sign * (limit - figure) / abs(limit)
            C[name] = {"figure": figure, "limit": limit, "margin": m, "met": m >= -1e-9, "kind": kind, "zero": limit == 0}

        put("shortfall_over_the_cycle", max(n["shortfall"] for n in N), s["shortfall_limit"], "<=")
        worst, wi = 0.0, None
        for n in N:
            for i, x in enumerate(n["worst_steps"]):
                if x > worst * (1 + 1e-9) + 1e-12:
                    worst, wi = x, st.steps[i]["name"]
        put("shortfall_of_the_worst_step", max(0.0, max(n["worst_step_shortfall"] for n in N)), s["step_shortfall_limit"], "<=")
        held = [(n["steps"][i]["lowest_supply_pa"], x["held"]) for n in N for i, x in enumerate(st.steps) if x["held"]]
        if held:
            low, lev = min(held, key=lambda x: (x[0] - x[1]) / x[1])
            put("held_pressure", low, lev, ">=")
        put("changes_of_mode", max(n["mode_changes_per_hour"] for n in N) / 3600, s["mode_change_limit"], "<=")
        put("heat_margin", F["warmth/heat_margin"], s["heat_margin_limit"], ">=")
        peak = F["warmth/peak"]
        put("peak_oil_temperature", peak, lim, "<=", scale=lim - st.ta)
        put("viscosity_at_the_peak_temperature", st.oil.nu(peak) if peak is not None else None, s["lowest_viscosity"], ">=")
        put("viscosity_at_the_coldest_start", st.oil.nu(start), s["start_viscosity"], "<=")
        # modes that occur at any node, with the highest supply met in each
        modes = {}
        for n in N:
            for m, p in n["highest_supply_per_mode_pa"].items():
                k = frozenset(int(x) for x in m.split(",") if x != "")
                modes[k] = max(modes.get(k, -math.inf), p)
        self.modes = modes
        P = self.kase.pumps

        def worst_of(items):
            """items: (figure, limit, kind); the one with the smallest margin"""
            return min(items, key=lambda x: (x[1] - x[0]) / abs(x[1]) * (1 if x[2] == "<=" else -1))
        items = []
        for i, (row, ratio) in enumerate(c.pumps):
            p = max([min(x, P[i].set) if i in m else P[i].unload for m, x in modes.items()])
            items.append((p, row["highest pressure"], "<="))
        a = worst_of(items)
        put("pump_pressure", *a)
        put("pump_speed", *worst_of([(2 * math.pi * c.speed * r, 2 * math.pi * p["highest speed"], "<=") for p, r in c.pumps]))
        idles = any(x["_idle"] for x in self.kase.steps)
        low = c.engine["idle speed"] if idles else c.speed
        it = [(2 * math.pi * low * r, 2 * math.pi * p["lowest speed"], ">=") for p, r in c.pumps if p["lowest speed"] is not None]
        if it:
            put("lowest_pump_speed", *worst_of(it))
        # shaft torque
        mul, muc = st.oil.mu(lim), st.oil.mu(cold)
        n = len(P)
        own = st.d["pumps"].get("drive") == "own-pads"
        items = []
        groups = [[i] for i in range(n)] if own else []
        if not own:
            for r in sorted({x for _, x in c.pumps}):
                g = [i for i in range(n) if c.pumps[i][1] == r]
                g.sort(key=lambda i: (-self.torque(i, c.setting, mul, True), c.pumps[i][0]["id"]))
                groups.append(g)
        for g in groups:
            for a, i in enumerate(g):
                t = max(sum(self.torque(j, p, mu, j in m) for j in g[a:]) for m, p in modes.items() for mu in (mul, muc))
                if c.pumps[i][0]["highest torque"] is not None:
                    items.append((t, c.pumps[i][0]["highest torque"], "<="))
        if items:
            put("pump_shaft_torque", *worst_of(items))
        low_in = max(p["lowest inlet"] if p["lowest inlet"] is not None else s["lowest_inlet"] for p, _ in c.pumps)
        F["inlet/hot"], F["inlet/cold"], F["inlet/start"] = self.inlet(lim), self.inlet(cold), self.inlet(start)
        put("inlet_pressure_hot", F["inlet/hot"], low_in, ">=")
        put("inlet_pressure_cold", F["inlet/cold"], low_in, ">=")
        # engine
        e = c.engine
        cls = CLASSES[e["aspiration"]]
        if cls is None:
            alpha = 1.0
        else:
            m_, n_, how, ref = cls
            p = st.pair - (s["relative_humidity"] * vapour_pressure(st.ta) if how == "dry" else 0.0)
            k = (p / ref) ** m_ * (REFERENCE_KELVIN[0] / (st.ta + 273.15)) ** n_
            alpha = min(1.0, 1.175 * k - 0.175)
        F["engine/derating"] = alpha
        if e["torque curve"]:
            curve = [(a / 60, b) for a, b in e["torque curve"]]
        else:
            tr = e["rated power"] / (2 * math.pi * e["rated speed"])
            curve = [(a * e["rated speed"], b * tr) for a, b in GENERIC[e["aspiration"]]]
        T = interp(curve, c.speed) if c.speed <= curve[-1][0] * (1 + 1e-9) else 0.0
        F["engine/torque"] = T
        avail = T * 2 * math.pi * c.speed * alpha
        F["engine/available"] = avail
        fan_e = c.cooler["fan current"] * c.cooler["fan voltage"] * c.n_cooler if c.cooler is not None else 0.0
        self.fan = fan_e / s["alternator_efficiency"]
        F["engine/fan"] = self.fan
        need = max(self.power(m, p, mu) for m, p in modes.items() for mu in (mul, muc))
        need0 = self.power(frozenset(), 0.0, st.oil.mu(start))
        F["engine/needed"], F["engine/start"] = need + self.fan, need0 + self.fan
        need, need0 = need + s["other_load"], need0 + s["other_load"]
        usable = (1 - s["engine_reserve"]) * avail
        put("engine_power", need + self.fan, usable, "<=")
        put("engine_power_at_the_coldest_start", need0 + self.fan, usable, "<=")
        # relief
        qsum = sum(p["displacement"] * c.speed * r for p, r in c.pumps)
        F["pump_flow"] = qsum
        put("relief_valve_flow", c.relief["rated flow"], qsum, ">=")
        share = c.relief["override share"] if c.relief["override share"] is not None else s["override_share"]
        crack = c.setting * (1 - share)
        F["relief/cracking"] = crack
        # an open centre counts a threshold below its stand-by pressure as that
        low = s["standby_pressure"] if st.open else 0.0
        hmax = max((max(f["load"] + f["line"], low) for x in st.steps for f in x["functions"]), default=0.0)
        if c.store is not None and c.p2 is not None:
            put("relief_cracking_pressure", crack, c.p2, ">=")
        else:
            put("relief_cracking_pressure", crack, hmax, ">=")
        sets = [p["set pressure"] for p, _ in c.pumps if p["set pressure"] is not None]
        if sets:
            put("compensator_setting", max(sets), crack, "<=")
        rate = ([p["highest pressure"] for p, _ in c.pumps] + [v["highest pressure"] for v in c.valves if v is not None]
                + ([c.store["highest pressure"]] if c.store is not None else []) + [c.relief["highest setting"]])
        put("relief_setting_against_ratings", c.setting, min(rate), "<=")
        # accumulator
        if c.store is not None:
            import CoolProp.CoolProp as CP
            p2 = c.p2 if c.p2 is not None else c.setting
            rho = CP.PropsSI("D", "P", c.pre + st.pair, "T", s["charging_temperature"] + 273.15, "Nitrogen")
            pr = lambda t: CP.PropsSI("P", "D", rho, "T", t + 273.15, "Nitrogen")
            F["gas/at_gas"], F["gas/hot"], F["gas/cold"], F["gas/rho"] = pr(st.t_gas), pr(st.t_hot), pr(st.t_cold), rho
            put("accumulator_rating", c.store["highest pressure"], c.setting, ">=")
            if c.rule == "continuous":
                pin = min(f["load"] for x in st.steps for f in x["functions"])
            elif c.rule == "staggered":
                pin = c.p1 - (n - 1) * c.stagger
            else:
                pin = c.p1
            put("precharge_at_the_hottest_gas", F["gas/hot"], s["precharge_share"] * (pin + st.pair), "<=")
            rl = c.store["ratio limit"]
            if rl is None:
                rl = {"bladder": 4.0, "piston": None}.get(c.store["separator"], 8.0 if c.store["gas volume"] <= 2.0e-3 else 4.0)
            if rl is not None:
                put("precharge_at_the_coldest_gas", F["gas/cold"], (p2 + st.pair) / rl, ">=")
            dry = any("store runs empty" in x["findings"] for x in N)
            if not dry and top["store_volume_lowest_m3"] < 0.5 * self.kase.gas.v_anchor:
                dry = self.timed_empties(top)
            if dry is None:
                self.untold.add("accumulator_never_empty")
            else:
                put("accumulator_never_empty", not dry, 1, "yes")
            F["store/lowest"], F["store/highest"] = min(x["store_volume_lowest_m3"] for x in N), max(x["store_volume_highest_m3"] for x in N)
        qp = max(x["peak_return_flow_m3s"] for x in N)
        F["return/peak"] = qp
        if c.cooler is not None:
            put("cooler_flow", qp / c.n_cooler, c.cooler["highest flow"], "<=")
            put("cooler_pressure", c.cooler["highest pressure"], s["return_allowance"], ">=")
        fd = self.filter_drop(qp, lim) if c.filter is not None else 0.0
        F["return/drop"] = fd + self.cooler_drop(qp, lim)
        put("return_line_drop", F["return/drop"], s["return_allowance"], "<=")
        if c.filter is not None:
            put("filter_flow", qp / c.n_filter, c.filter["rated flow"], "<=")
            bp = c.filter["bypass drop"] * s["filter_bypass_share"]
            put("filter_drop_hot", fd, bp, "<=")
            put("filter_drop_cold", self.filter_drop(qp, cold), bp, "<=")
        qm = top["mean_return_flow_m3s"]
        F["return/mean"] = qm
        put("dwell_in_the_reservoir", self.v_oil / qm if qm > 0 else math.inf, s["dwell_limit"], ">=")
        swing = F["store/highest"] - F["store/lowest"] if c.store is not None else 0.0
        put("level_band_of_the_reservoir", c.reservoir["level band"], s["rod_volume"] + swing, ">=")
        put("air_space_of_the_reservoir", c.reservoir["volume"] * (1 - s["fill"]),
            self.v_oil * (st.oil.rho(start) / st.oil.rho(lim) - 1), ">=")
        fa = c.cooler["fan current"] * c.n_cooler if c.cooler is not None else 0.0
        put("alternator_current", fa + s["base_load"], c.engine["alternator current"], "<=")
        if 1e-9 < worst < 1 - 1e-9:                     # noise and full stand-still name no step by themselves
            F["worst_step"] = wi

    # ---- section 10
    def money(self):
        st, c, s, F = self.st, self.c, self.st.s, self.F
        parts = c.parts()
        count = collections.Counter((p.kind, p["id"]) for p in parts)
        cost = sum(st.cat[k][i]["price"] * max(0, n - (st.cat[k][i]["owned"] or 0)) for (k, i), n in count.items())
        hw = st.d.get("hardware", {})
        if c.rule == "together":
            cost += cents(hw.get("switch_price", 0))
        if c.rule == "staggered":
            cost += cents(hw.get("switch_price", 0)) * len(c.pumps)
        if c.rule == "matched":
            cost += cents(hw.get("controller_price", 0))
        F["bill/purchase"] = cost
        F["bill/mass"] = sum(p["mass"] for p in parts)
        F["bill/space"] = sum(p["space"] or 0.0 for p in parts)
        # fuel at the steady mean: shaft power of each step linear between nodes, fans included
        ts = self.x["steady_mean_c"]
        # no steady mean: at the limit, fan on (the page is silent)
        at, duty = (ts, self.duty) if ts is not None else (s["oil_limit"], 1.0)
        e, m = c.engine, 0.0
        for i, x in enumerate(st.steps):
            w = self.th.lin([n["steps"][i]["mean_shaft_w"] for n in self.nodes], at) + self.fan * duty + s["other_load"]
            sp = self.kase.steps[i]["_speed"]
            b = e["consumption"] if e["consumption"] is not None else bilinear(e["fuel map"], sp * 60, w / (2 * math.pi * sp))
            m += w * b * x["duration"] / st.T
        F["fuel/mass_rate"] = m
        run = m / e["fuel density"] * s["life"] * s["fuel_price"]
        F["bill/running_cents"] = int(math.floor(run * 100 + 0.5))
        total = cost + F["bill/running_cents"]
        F["bill/cost"] = total
        L = st.d.get("limits", {})
        C = self.C

        def put(name, figure, limit):
            m = (limit - figure) / abs(limit)
            C[name] = {"figure": figure, "limit": limit, "margin": m, "met": m >= -1e-9, "kind": "<=", "zero": False}
        if "mass" in L:
            put("mass", F["bill/mass"], value(L["mass"]))
        if "space" in L:
            put("space", F["bill/space"], value(L["space"]))
        if "budget" in L:
            put("budget", total, cents(L["budget"]))
        ob = {"cost": 1.0, "heat_margin": 0.0, "shortfall": 0.0}
        if "objective" in st.d:
            ob = {k: float(st.d["objective"].get(k, 0.0)) for k in ob}
        F["score/objective"] = float(ob["cost"] * total / 100 - ob["heat_margin"] * F["warmth/heat_margin"]
                                     + ob["shortfall"] * C["shortfall_over_the_cycle"]["figure"])
        F["score/adequate"] = all(x["met"] for x in C.values())
        # binds: failed before met, then the smallest margin; a limit of 0 only when exceeded, yes/no only when failed
        failed = {k: x for k, x in C.items() if not x["met"]}
        pool = failed or {k: x for k, x in C.items() if x["margin"] is not None and not x.get("zero")}
        F["score/binds"] = min(pool, key=lambda k: pool[k]["margin"])
        F["score/margin"] = pool[F["score/binds"]]["margin"]


def interp(curve, x):
    if x <= curve[0][0]:
        return curve[0][1]
    for (a, y), (b, z) in zip(curve[:-1], curve[1:]):
        if x <= b:
            return y + (z - y) * (x - a) / (b - a)
    return curve[-1][1]


def bilinear(rows, rpm, torque):
    """full grid rpm:N.m:g/kWh; the edge's value outside; returns kg/J"""
    xs, ys = sorted({r[0] for r in rows}), sorted({r[1] for r in rows})
    z = {(r[0], r[1]): r[2] for r in rows}
    along = lambda a: interp([(b, z[a, b]) for b in ys], torque)
    return interp([(a, along(a)) for a in xs], rpm) * 1e-3 / 3.6e6


# --------------------------------------------------------------------------------------------- comparison
def theirs(d):
    """The program's figures under the same keys."""
    K = 273.15
    c = lambda t: None if t is None else t - K
    F = {"site/air_pressure": d["study"]["air_pressure_pa_abs"], "site/air_density": d["study"]["air_density_kg_per_m3"]}
    for lab, key in (("at_40", "at_40_degc"), ("at_100", "at_100_degc"), ("at_coldest_start", "at_cold_start")):
        o = d["oil"][key]
        F["oil/%s/nu" % lab], F["oil/%s/mu" % lab], F["oil/%s/rho" % lab], F["oil/%s/cp" % lab] = (
            o["kinematic_viscosity_m2_per_s"], o["dynamic_viscosity_pa_s"], o["density_kg_per_m3"], o["specific_heat_j_per_kg_k"])
    for i, o in enumerate(d["oil"]["at_nodes"]):
        F["oil/node%d/T" % i], F["oil/node%d/nu" % i], F["oil/node%d/rho" % i], F["oil/node%d/cp" % i] = (
            c(o["temperature_k"]), o["kinematic_viscosity_m2_per_s"], o["density_kg_per_m3"], o["specific_heat_j_per_kg_k"])
    for i, q in enumerate(d["parts"]["pumps"]):
        F["pump%d/Cs" % i], F["pump%d/Cv" % i], F["pump%d/Cf" % i] = (
            q["slip_coefficient"], q["viscous_friction_coefficient"], q["pressure_friction_coefficient"])
        F["pump%d/unloading" % i] = d["nodes"][0]["pumps"]["governed"][i]["unloading_pressure_pa"]
        F["pump%d/valve" % i] = (q.get("unloading_valve") or {}).get("id")
    for i, n in enumerate(d["nodes"]):
        k, cy, ex = "node%d/" % i, n["cycle"], n["extremes"]
        T = cy["time_s"]
        F[k + "period"], F[k + "drains"], F[k + "irregular"] = n["repeats_after_cycles"], n["accumulators_run_down"], n["never_repeats"]
        F[k + "rests_above_cut_in"] = n["rests_above_cut_in"]
        F[k + "shaft"], F[k + "work"], F[k + "heat"], F[k + "stored"] = cy["shaft_j"] / T, cy["work_j"] / T, cy["heat_total_j"] / T, cy["stored_j"] / T
        for a, x in cy["heat"].items():
            F[k + "heat/" + a.removesuffix("_j").replace("stand_by", "standby").replace("overrunning_loads", "work_given_back")] = x / T
        F[k + "asked"], F[k + "delivered"] = cy["demand_m3"], cy["delivered_m3"]
        F[k + "shortfall"], F[k + "worst_step_shortfall"] = n["flow_shortfall_fraction"], ex["worst_step_flow_shortfall_fraction"]
        F[k + "mode_changes"] = n["pump_switching_per_s"]
        F[k + "mean_return"], F[k + "peak_return"] = cy["returned_m3"] / T, ex["peak_return_flow_m3_per_s"]
        F[k + "lowest_supply"], F[k + "highest_supply"] = ex["lowest_supply_pressure_pa"], ex["highest_supply_pressure_pa"]
        F[k + "lowest_oil"], F[k + "highest_oil"] = ex["accumulator_lowest_oil_m3"], ex["accumulator_highest_oil_m3"]
        for m in ex["highest_supply_by_pump_set"]:
            F[k + "mode[%s]" % ",".join(str(j - 1) for j in m["loaded_pumps"])] = m["highest_supply_pressure_pa"]
        for j, s in enumerate(n["steps"]):
            kk, r = k + "step%d/" % j, s["rates"]
            F[kk + "shaft"], F[kk + "heat"], F[kk + "return"] = r["shaft_w"], r["heat_total_w"], r["returned_m3_per_s"]
            F[kk + "delivered"] = r["delivered_m3_per_s"] * d["demand"][j]["duration_s"]
            F[kk + "low"], F[kk + "high"] = s["lowest_supply_pressure_pa"], s["highest_supply_pressure_pa"]
    w, L = d["oil_temperatures"], d["figures_behind_checks"]
    for i in range(len(w["heat_at_nodes_w"])):
        F["warmth/heat%d" % i], F["warmth/cool_on%d" % i], F["warmth/cool_off%d" % i] = (
            w["heat_at_nodes_w"][i], w["cooling_at_nodes_fan_on_w"][i], (w["cooling_at_nodes_fan_off_w"] or {i: None})[i])
    q = d["parts"].get("cooler")
    if q:
        F["cooler/rated_ua"], F["cooler/ua"], F["cooler/air"] = (
            q["rated_conductance_w_per_k"], q["conductance_w_per_k"], q["air_capacity_rate_w_per_k"])
        F["cooler/fan_off_share"] = q["fan_off_fraction"]
    F["reservoir/area"], F["warmth/wall"] = d["parts"]["reservoir"]["wall_area_m2"], w["wall_conductance_w_per_k"]
    for k, key in (("heat_at_limit", "heat_at_oil_limit_w"), ("cooling_at_limit", "cooling_at_oil_limit_w"),
                   ("heat_margin", "heat_margin_fraction"), ("heat_margin_power", "spare_cooling_w"),
                   ("heat_at_steady", "heat_at_steady_w"), ("fan_duty", "fan_duty_fraction"),
                   ("heat_capacity", "heat_capacity_j_per_k")):
        F["warmth/" + k] = w[key]
    F["warmth/fan"] = "hunts" if w["fan"] == "cycles" else w["fan"]
    for k in ("steady", "steady_fan_always_on", "steady_fan_always_off", "peak"):
        F["warmth/" + k] = c(w[k + "_k"])
    F["warmth/on_at_steady"], F["warmth/off_at_steady"] = w["cooling_at_steady_fan_on_w"], w["cooling_at_steady_fan_off_w"]
    e = d["parts"]["engine"]
    F["engine/derating"], F["engine/torque"], F["engine/available"] = (
        e["power_after_derating_fraction"], e["torque_at_speed_n_m"], L["engine_power_available_w"])
    F["engine/fan"] = L["fan_power_w"]
    F["engine/needed"], F["engine/start"] = L["pump_power_w"] + L["fan_power_w"], L["pump_power_at_cold_start_w"] + L["fan_power_w"]
    F["inlet/hot"], F["inlet/cold"], F["inlet/start"] = (
        L["inlet_pressure_hot_pa_abs"], L["inlet_pressure_cold_pa_abs"], L["inlet_pressure_at_cold_start_pa_abs"])
    F["pump_flow"], F["return/peak"], F["return/mean"] = (
        L["pump_flow_m3_per_s"], L["peak_return_flow_m3_per_s"], L["mean_return_flow_m3_per_s"])
    si = d["row"]["si"]
    F["return/drop"], F["relief/cracking"] = si["return_pressure_drop_pa"], d["parts"]["relief_valve"]["cracking_pressure_pa"]
    a = d["parts"].get("accumulator")
    if a:
        F["gas/at_gas"], F["gas/hot"], F["gas/cold"], F["gas/rho"] = (
            a["precharge_at_gas_temperature_pa_abs"], a["precharge_at_hottest_gas_pa_abs"],
            a["precharge_at_coldest_gas_pa_abs"], a["gas_density_without_oil_kg_per_m3"])
        F["store/lowest"], F["store/highest"] = si["accumulator_lowest_oil_m3"], si["accumulator_highest_oil_m3"]
    F["bill/purchase"], F["bill/mass"], F["bill/space"] = (
        d["bill"]["purchase_cost_cents"], d["bill"]["mass_kg"], d["bill"]["installed_volume_m3"])
    F["bill/cost"], F["fuel/mass_rate"] = d["ranked_by"]["cost_cents"], d["fuel"]["mass_rate_kg_per_s"]
    F["bill/running_cents"] = d["fuel"]["running_cost_cents"] or 0
    F["score/objective"], F["score/adequate"] = d["ranked_by"]["objective"], d["ranked_by"]["adequate"]
    b = [x for x in d["checks"] if x["limiting"]]
    F["worst_step"] = si["worst_step"]
    F["score/binds"], F["score/margin"] = (b[0]["check"], b[0]["headroom_fraction"]) if b else (None, None)
    return F, {x["check"]: x for x in d["checks"]}


def differ(key, a, b, tol):
    if isinstance(a, bool) or isinstance(b, bool) or isinstance(a, str) or isinstance(b, str) or a is None or b is None:
        return 0.0 if a == b else math.inf
    if a == b:
        return 0.0
    if math.isinf(a) or math.isinf(b) or math.isnan(a) or math.isnan(b):
        return math.inf
    return abs(a - b) / max(abs(a), abs(b))


def floor_of(key, F):
    """Below this a difference says nothing: energies against shaft power, volumes against asked volume."""
    m = re.match(r"(node\d+)/", key)
    if m:
        k = m.group(1)
        if re.search(r"shaft|heat|work|stored", key):
            return 1e-6 * abs(F[k + "/shaft"])
        if re.search(r"asked|delivered", key):
            return 1e-6 * F[k + "/asked"]
        if "shortfall" in key:
            return 1e-6
        if re.search(r"return", key):
            return 1e-6 * F[k + "/peak_return"]
        if re.search(r"low|high|mode\[", key) and "oil" not in key:
            return 1e-6 * F[k + "/highest_supply"]
    if key.startswith("warmth/"):
        if re.search("steady$|peak|always", key):
            return 1e-6 * 300
        return 1e-6 * abs(F["warmth/heat_at_limit"])
    if key.startswith("oil/") and key.endswith("/T"):
        return 1e-9
    return 0.0


def compare(ch, d, tol=1e-6):
    F = ch.F
    P, pc = theirs(d)
    out = []
    for k, a in F.items():
        if k not in P:
            out.append((math.inf, k, a, "(not reported)"))
            continue
        b = P[k]
        e = differ(k, a, b, tol)
        if isinstance(a, int) and a != b:               # money, periods: exact
            out.append((e, k, a, b))
            continue
        if e > tol and not (isinstance(a, float) and isinstance(b, (int, float)) and abs(a - b) <= floor_of(k, F)):
            out.append((e, k, a, b))
    for k, x in ch.C.items():
        if k not in pc:
            out.append((math.inf, "check/" + k, x, "(no such check)"))
            continue
        y = pc[k]
        K = 273.15 if y["unit"] == "k" else 0.0
        for f in ("figure", "limit", "margin", "met"):
            a, b = x[f], y["headroom_fraction" if f == "margin" else f]
            if f in ("figure", "limit") and b is not None:
                b -= K
            e = differ(k, a, b, tol)
            if e > tol and not (isinstance(a, float) and isinstance(b, float) and abs(a - b) < 1e-6 * (300 if K else 1) and (K or f == "margin" or "shortfall" in k)):
                out.append((e, "check/%s/%s" % (k, f), a, b))
    for k in pc:
        if k not in ch.C and k not in ch.untold:
            out.append((math.inf, "check/" + k, "(not mine)", {f: pc[k][f] for f in ("figure", "limit", "margin", "met")}))
    return out


# --------------------------------------------------------------------------------------------- the space
def space(st):
    """The slots and, for each combination of what the rules read, the number of times it stands in the product."""
    d = st.d
    pool = [(p, r) for p in st.picked("pumps", "pumps") for r in d["pumps"].get("drive_ratios", [1.0])]
    sets = [m for k in d["pumps"]["counts"] for m in itertools.combinations_with_replacement(pool, k)]
    eng = st.picked("engines", "engine")
    speeds = d.get("engine", {}).get("speeds")
    relief = st.picked("relief_valves", "relief")
    settings = [value(x) for x in d["relief"]["settings"]]
    acc = [None] if "accumulators" not in d else [
        x for n in d["accumulators"]["counts"]
        for x in ([None] if n == 0 else [(a, n, value(p)) for a in st.picked("accumulators", "accumulators") for p in d["accumulators"]["precharge"]])]
    cool = [x for n in d.get("coolers", {}).get("counts", [1]) for x in ([None] if n == 0 else [(q, n) for q in st.picked("coolers", "coolers")])]
    filt = [x for n in d.get("filters", {}).get("counts", [1]) for x in ([None] if n == 0 else [(q, n) for q in st.picked("filters", "filters")])]
    res = st.picked("reservoirs", "reservoirs")
    return sets, eng, speeds, relief, settings, acc, cool, res, filt


def count(st):
    import CoolProp.CoolProp as CP
    sets, eng, speeds, relief, settings, acc, cool, res, filt = space(st)
    schemes = st.d["scheme"]
    volt = value(st.d["electric"]["voltage"])
    rest = len(cool) * len(res) * len(filt)
    bad_fan = sum(1 for q in cool if q is not None and q[0]["fan voltage"] != volt) * len(res) * len(filt)
    n_speed = len(speeds) if speeds else 1
    total = len(sets) * len(eng) * n_speed * len(relief) * len(settings) * len(schemes) * len(acc) * rest
    out = collections.Counter()
    at_gas = {}
    for x in acc:
        if x is not None:
            rho = CP.PropsSI("D", "P", x[2] + st.pair, "T", st.s["charging_temperature"] + 273.15, "Nitrogen")
            at_gas[id(x)] = CP.PropsSI("P", "D", rho, "T", st.t_gas + 273.15, "Nitrogen") - st.pair
    for i, sch in enumerate(schemes):
        p2 = value(sch["cut_out"]) if "cut_out" in sch else None
        p1 = value(sch["cut_in"]) if "cut_in" in sch else None
        rule, idle = sch["rule"], sch.get("idle", False)
        for x in acc:
            same = False
            if x is None and rule == "matched":
                same = any(o["rule"] == rule and o.get("idle", False) == idle for o in schemes[:i])
            for e in eng:
                for sp in (speeds or ["%r rpm" % (e["governed speed"] * 60)]):
                    for rv in relief:
                        for se in settings:
                            for ps in sets:
                                why = None
                                flow = [p["displacement"] * r * value(sp) for p, r in ps]
                                if x is not None and st.open:
                                    why = "accumulators_in_an_open_centre"
                                elif x is None and rule in ("together", "staggered"):
                                    why = "scheme_needs_an_accumulator"
                                elif x is not None and rule == "matched" and p2 is None:
                                    why = "accumulator_but_the_scheme_has_no_cut_out_and_cut_in"
                                elif same:
                                    why = "without_accumulator_the_same_as_an_earlier_scheme"
                                elif x is not None and p2 is not None and p1 >= p2:
                                    why = "cut_in_at_or_above_cut_out"
                                elif x is not None and p2 is not None and se < p2 * (1 - 1e-12):
                                    why = "relief_setting_below_cut_out"
                                elif not rv["lowest setting"] * (1 - 1e-12) <= se <= rv["highest setting"] * (1 + 1e-12):
                                    why = "relief_setting_outside_the_range_of_the_relief_valve"
                                elif any(p["highest pressure"] < se * (1 - 1e-12) for p, _ in ps) or (
                                        x is not None and x[0]["highest pressure"] < se * (1 - 1e-12)):
                                    why = "relief_setting_above_a_rating"
                                elif x is not None and at_gas[id(x)] >= (p2 if p2 is not None else se):
                                    why = "precharge_at_or_above_the_pressure_of_the_full_accumulator"
                                elif rule != "continuous" and any(
                                        p["set pressure"] is None and valve_cached(st, round(q, 15), se) is None
                                        for (p, _), q in zip(ps, flow)):
                                    why = "no_unloading_valve_carries_a_pump"
                                if why:
                                    out[why] += rest
                                    continue
                                stock = collections.Counter(p["id"] for p, _ in ps)
                                if any(st.cat["pumps"][k]["stock"] is not None and n > st.cat["pumps"][k]["stock"] for k, n in stock.items()):
                                    out["more_of_a_part_than_can_be_had"] += rest
                                    continue
                                out["fan_for_another_voltage"] += bad_fan
                                out["evaluated"] += rest - bad_fan
    return total, {k: v for k, v in out.items() if v}, {"pump_sets": len(sets), "engines": len(eng), "engine_speeds": n_speed,
        "relief_valves": len(relief), "relief_settings": len(settings), "schemes": len(schemes),
        "accumulator_choices": len(acc), "cooler_reservoir_and_filter_choices": rest}


def sample(st, n, seed):
    """names of n combinations drawn at random, excluded ones left out"""
    import random
    g = random.Random(seed)
    d, out = st.d, []
    sch = d["scheme"]
    ratios = d["pumps"].get("drive_ratios", [1.0])
    while len(out) < n:
        k = g.choice(d["pumps"]["counts"])
        ps = sorted((p["id"], r) for p, r in (
            (g.choice(st.picked("pumps", "pumps")), g.choice(ratios)) for _ in range(k)))
        i = g.randrange(len(sch))
        rule = sch[i]["rule"]
        acc = "none"
        if "accumulators" in d and not st.open:
            c = g.choice(d["accumulators"]["counts"])
            if c:
                acc = "%sx%d@%s" % (g.choice(st.picked("accumulators", "accumulators"))["id"], c,
                                    g.choice(d["accumulators"]["precharge"]).replace(" ", ""))
        if acc == "none" and rule in ("together", "staggered") or acc != "none" and rule == "matched" and "cut_out" not in sch[i]:
            continue
        if acc == "none" and any(o["rule"] == rule == "matched" and o.get("idle") == sch[i].get("idle") for o in sch[:i]):
            continue
        se = g.choice(d["relief"]["settings"])
        many = lambda kind: "none" if (c := g.choice(d[kind]["counts"])) == 0 else "%sx%d" % (g.choice(st.picked(kind, kind))["id"], c)
        out.append("/".join([
            "+".join(p if r == 1 else "%s*%g" % (p, r) for p, r in ps),
            "%s@%s" % (g.choice(st.picked("engines", "engine"))["id"], g.choice(d["engine"]["speeds"]).replace(" ", "")),
            "%s@%s" % (g.choice(st.picked("relief_valves", "relief"))["id"], se.replace(" ", "")),
            "%s-%d" % (rule, i + 1), acc, many("coolers"), g.choice(st.picked("reservoirs", "reservoirs"))["id"], many("filters")]))
    return out


_VALVES = {}


def valve_cached(st, q, se):
    k = (id(st), q, se)
    if k not in _VALVES:
        _VALVES[k] = unloading_valve(st, q, se)
    return _VALVES[k]


# --------------------------------------------------------------------------------------------- command line
def library(path):
    sys.path.insert(0, path)
    import make_cycles
    import make_thermal
    return make_cycles, make_thermal


def show(x):
    return "%.12g" % x if isinstance(x, float) else str(x)


def main():
    ap = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ap.add_argument("command", choices=["simulate", "order", "count", "sample"])
    ap.add_argument("study")
    ap.add_argument("names", nargs="*", help="names of combinations (simulate), the ranked CSV (order)")
    ap.add_argument("--duty", help="folder of make_cycles.py and make_thermal.py")
    ap.add_argument("--program", help="the program under test; without it figures are printed, not compared")
    ap.add_argument("--ranking", help="JSON of `rank`, for count")
    ap.add_argument("--first", type=int, default=20)
    ap.add_argument("--tolerance", type=float, default=1e-6)
    ap.add_argument("--seed", type=int, default=1, help="of the sample")
    ap.add_argument("--reference-kelvin", type=float, default=298.15, help="reference temperature of the derating")
    a = ap.parse_args()
    REFERENCE_KELVIN[0] = a.reference_kelvin
    st = Study(a.study)
    if a.command == "count":
        total, out, slots = count(st)
        print("slots", json.dumps(slots))
        print("combinations", total, "sum", sum(out.values()))
        for k, v in sorted(out.items()):
            print("  %-60s %d" % (k, v))
        if a.ranking:
            with open(a.ranking) as f:
                acc = json.load(f)["account"]
            mine = {k: v for k, v in out.items() if k != "evaluated"}
            rep = {k: int(v) for k, v in acc["ruled_out_by_rule"].items() if int(v)}
            same = mine == rep and out.get("evaluated", 0) == int(acc["simulated"]) and total == int(acc["combinations"]) and all(
                int(acc["slots"][k]) == v for k, v in slots.items())
            print("account of the program: %s" % ("the same" if same else "DIFFERENT %s" % acc))
        return
    lib = library(a.duty)
    if a.command == "sample":
        a.names = sample(st, a.first, a.seed)
    if a.command == "order":
        with open(a.names[0], newline="") as f:
            rows = list(csv.DictReader(f))[: a.first]
        got = []
        for r in rows:
            ch = Chain(st, r["name"], lib)
            ch.run()
            F = ch.F
            ids = tuple(re.split(r"[/]", r["name"]))
            got.append(((not F["score/adequate"], F["score/objective"], -round(F["warmth/heat_margin"] * 1e9),
                         round(ch.C["shortfall_over_the_cycle"]["figure"] * 1e9), ids), r["rank"], r["name"]))
        mine = [x[1] for x in sorted(got)]
        print("order of the first %d by own figures: %s" % (len(got), "the same" if mine == [x[1] for x in got] else mine))
        for x in sorted(got):
            print(x[1], x[0][:4], x[2])
        return
    for name in a.names:
        ch = Chain(st, name, lib)
        try:
            ch.run()
        except ValueError as e:
            print("%s\n  no figures: %s" % (name, e))
            continue
        except Excluded as e:
            said = ""
            if a.program:
                p = subprocess.run([a.program, "simulate", a.study, name], capture_output=True, text=True)
                said = "; program: " + (p.stderr.strip().split("excluded by a rule: ")[-1] if p.returncode else "NOT EXCLUDED")
            print("%s\n  excluded: %s%s%s" % (name, e, said, "" if not said or said.endswith(str(e)) else "  <- DIFFERENT"))
            continue
        if not a.program:
            print(json.dumps({"name": name, "figures": ch.F, "checks": ch.C}, indent=1))
            continue
        with tempfile.TemporaryDirectory() as t:
            out = os.path.join(t, "x.json")
            p = subprocess.run([a.program, "simulate", a.study, name, "--json", out], capture_output=True, text=True)
            if not os.path.exists(out):
                print("%s\n  program: %s" % (name, p.stderr.strip()))
                continue
            with open(out) as f:
                d = json.load(f)
        diff = compare(ch, d, a.tolerance)
        state = ["fan " + str(ch.F["warmth/fan"]), "periods " + "/".join(sorted({str(n["period_k"]) for n in ch.nodes}))]
        state += [w for w in ("drains", "irregular") if any(n[w] for n in ch.nodes)]
        state += sorted({f for n in ch.nodes for f in n["findings"]}) + (["jumps"] if any(n["jumps_taken"] for n in ch.nodes) else [])
        state += [k + " not told" for k in ch.untold]
        if ch.F["warmth/fan"] == "hunts":
            state.append("fan on for %.4f of the time" % ch.duty)
        print("%s\n  %s, binds %s %s; %d figures, %d checks, %d differences\n  %s" % (
            name, "adequate" if ch.F["score/adequate"] else "not adequate", ch.F["score/binds"], show(ch.F["score/margin"]),
            len(ch.F), len(ch.C), len(diff), ", ".join(state)))
        for e, k, x, y in diff:
            print("    %-52s mine %s  program %s  (%.2g)" % (k, show(x), show(y), e))
        sys.stdout.flush()


if __name__ == "__main__":
    main()
