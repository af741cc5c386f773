"""Independent reference of the cooler, reservoir and oil temperature of a power unit.

Writes thermal.json (inputs) and thermal_expected.json (results).
    python3 make_thermal.py            make both tables
    python3 make_thermal.py --check    the same with halved tolerances, differences, hand checks
Everything is SI, temperatures in degrees Celsius where the name ends in _c.
"""
import json
import math
import os
import sys

import numpy as np
import scipy
from scipy.integrate import quad
from scipy.optimize import brentq

HERE = os.path.dirname(os.path.abspath(__file__))
STEP = 0.005       # of the time constant: error of a step below 3e-14 of the change
FAN_STARTS = (20, 40)


# ----------------------------------------------------------------------------- laws
def air_pressure(z):
    R = 6356766.0
    h = R * z / (R + z)
    return 101325.0 * (1 - 0.0065 * h / 288.15) ** 5.25588


def air_density(z, ta_c):
    return air_pressure(z) / (287.053 * (ta_c + 273.15))


def oil_nu(o, t):
    """m2/s, Walther with 0.7 through 40 and 100 C"""
    ll = lambda n: math.log10(math.log10(n + 0.7))
    n40, n100 = o["kinematic_viscosity_40c_m2_per_s"] * 1e6, o["kinematic_viscosity_100c_m2_per_s"] * 1e6
    b = (ll(n40) - ll(n100)) / (math.log10(373.15) - math.log10(313.15))
    a = ll(n40) + b * math.log10(313.15)
    return (10 ** (10 ** (a - b * math.log10(t + 273.15))) - 0.7) * 1e-6


def oil_rho(o, t):
    return o["density_15c_kg_per_m3"] * (1 - 7e-4 * (t - 15))


def oil_cp(t):
    return 1830 + 3.8 * t


def crossflow(ntu, cr):
    """exact effectiveness, both streams unmixed: Mason's double series"""
    if cr == 0:
        return -math.expm1(-ntu)

    def tails(x):
        # 1 - exp(-x) sum_{m<=n} x^m/m!, n = 0, 1, ... ; summed from the far end to keep digits
        if x > 700:                 # exp(-x) is too small; hardly any flow: only the first terms meet more than 0
            assert cr * ntu < 100
            return [1.0] * 300
        n = int(x + 12 * math.sqrt(x) + 40)
        term, t = [], math.exp(-x)
        for m in range(n + 1):
            term.append(t)
            t *= x / (m + 1)
        out, s = [], 0.0
        for m in range(n, 0, -1):
            s += term[m]
            out.append(s)
        return out[::-1]

    a, b = tails(ntu), tails(cr * ntu)
    return math.fsum(x * y for x, y in zip(a, b)) / (cr * ntu)


def crossflow_integral(ntu, cr):
    """the same from the local solution of the two transport equations (check only)"""
    from scipy.special import ive
    a, b = ntu, cr * ntu

    def left(y):          # share of the hot excess that is left after a units, at cold coordinate y
        g = lambda s: math.exp(-(math.sqrt(s) - math.sqrt(y)) ** 2) * ive(0, 2 * math.sqrt(s * y))
        return 1 - quad(g, 0, a, epsabs=1e-14, epsrel=1e-13)[0]
    return 1 - quad(left, 0, b, epsabs=1e-13, epsrel=1e-12)[0] / b


# ----------------------------------------------------------------------------- case
class Thermal:
    def __init__(self, d):
        self.d = d
        self.ta = d["site"]["air_temperature_c"]
        self.nodes = d["nodes_c"]                       # rising
        self.steps = d["steps"]
        self.T = sum(s["duration_s"] for s in self.steps)
        c, o = d["cooler"], d["oil"]
        self.rho_air = air_density(d["site"]["altitude_m"], self.ta)
        self.ratio = self.rho_air / c["rated_air_density_kg_per_m3"]
        c_oil = c["rated_oil_flow_m3s"] * c["rated_oil_density_kg_per_m3"] * c["rated_oil_heat_capacity_j_per_kg_k"]
        c_air = c["rated_air_mass_flow_kg_per_s"] * c["air_heat_capacity_j_per_kg_k"]
        cmin, cmax = min(c_oil, c_air), max(c_oil, c_air)
        self.eps_r = c["rated_heat_w"] / (cmin * c["rated_entering_difference_k"])
        ntu = brentq(lambda n: crossflow(n, cmin / cmax) - self.eps_r, 1e-6, 60.0, xtol=1e-14, rtol=1e-15)
        self.ntu_r = ntu
        self.ua_rated = ntu * cmin
        self.ua = self.ua_rated * self.ratio ** 0.6 * (1 - c["fouling"])
        self.c_air = c_air * self.ratio
        r = d["reservoir"]
        self.area = r["wall_area_m2"]
        if self.area is None:
            self.area = 5 * r["volume_m3"] ** (2 / 3) * r["fill"]
        self.wall = self.area * r["wall_coefficient_w_per_m2_k"]
        n = c["count"]
        self.detail = []
        self.heat = [s["heat_w_at_nodes"] for s in self.steps]
        self.cool = {True: [], False: []}
        for s in self.steps:
            row = []
            on, off = [], []
            for t, q in zip(self.nodes, s["mean_return_flow_m3s_at_nodes"]):
                lim = math.inf
                if c["bypass_drop_pa"] is not None:
                    lim = (c["rated_oil_flow_m3s"] * c["bypass_drop_pa"] / c["rated_drop_pa"]
                           * c["rated_kinematic_viscosity_m2_per_s"] / oil_nu(o, t))
                core = min(q / n, lim)
                co = core * oil_rho(o, t) * oil_cp(t)
                e, taken = 0.0, 0.0
                if co > 0:
                    lo, hi = min(co, self.c_air), max(co, self.c_air)
                    e = crossflow(self.ua / lo, lo / hi)
                    taken = n * e * lo * (t - self.ta)
                still = taken * c["natural_share"]          # fan off: a share of the heat
                w = self.wall * (t - self.ta)
                on.append(taken + w)
                off.append(still + w)
                row.append({"core_flow_each_m3s": core, "effectiveness_fan_on": e,
                            "cooler_fan_on_w": taken, "cooler_fan_off_w": still, "wall_w": w})
            self.detail.append(row)
            self.cool[True].append(on)
            self.cool[False].append(off)

    def lin(self, row, t):
        x = self.nodes
        i = int(np.searchsorted(x, t)) - 1
        i = max(0, min(len(x) - 2, i))
        f = (t - x[i]) / (x[i + 1] - x[i])
        return row[i] + f * (row[i + 1] - row[i])

    def mean(self, rows):
        return [sum(s["duration_s"] * r[k] for s, r in zip(self.steps, rows)) / self.T
                for k in range(len(self.nodes))]

    def steady(self, fan):
        """first crossing from heating to cooling above Ta, up to the top node"""
        net = [h - c for h, c in zip(self.mean(self.heat), self.mean(self.cool[fan]))]
        pts = [self.ta] + [x for x in self.nodes if x > self.ta]
        val = [self.lin(net, t) for t in pts]
        if val[0] <= 0:
            return pts[0]
        for a, b, fa, fb in zip(pts[:-1], pts[1:], val[:-1], val[1:]):
            if fa > 0 >= fb:
                return brentq(lambda t: self.lin(net, t), a, b, xtol=1e-12, rtol=1e-15)
        return None

    def capacity(self, ts):
        r = self.d["reservoir"]     # filled at the cold start: the mass stays
        return (r["oil_volume_m3"] * oil_rho(self.d["oil"], self.d["cold_start_c"]) * oil_cp(ts)
                + r["steel_mass_kg"] * r["steel_heat_capacity_j_per_kg_k"])

    def advance(self, i, t_oil, fan, dt, cap, tol, stops=()):
        """one step (or part) in time; ends early at a stop temperature. Returns T, time used, stop"""
        h, c = self.heat[i], self.cool[fan][i]
        net = [a - b for a, b in zip(h, c)]
        used, hi = 0.0, t_oil
        kinks = self.nodes[1:-1]
        while dt - used > 1e-12 * dt:
            f0 = self.lin(net, t_oil)
            if f0 == 0:
                return t_oil, dt, None
            up = f0 > 0
            ahead = [x for x in list(kinks) + list(stops) if (x > t_oil + 1e-12 if up else x < t_oil - 1e-12)]
            goal = (min(ahead) if up else max(ahead)) if ahead else None
            # straight piece of the node table that holds from here on
            mid = t_oil + (1e-9 if up else -1e-9)
            x = self.nodes
            k = max(0, min(len(x) - 2, int(np.searchsorted(x, mid)) - 1))
            s = (net[k + 1] - net[k]) / (x[k + 1] - x[k])
            b = net[k] - s * x[k]
            # classical Runge-Kutta in steps that are small against the time constant; a passed goal by bisection
            z = s / cap
            n = max(1, math.ceil((dt - used) * abs(z) / tol))
            h = (dt - used) / n

            def rk(y, h):
                w = z * h
                return y + h * (b + s * y) / cap * (1 + w / 2 + w * w / 6 + w ** 3 / 24)
            passed = (lambda y: False) if goal is None else (lambda y: y >= goal) if up else (lambda y: y <= goal)
            for _ in range(n):
                y = rk(t_oil, h)
                if passed(y):
                    lo, hi = 0.0, h
                    for _ in range(60):
                        mid = 0.5 * (lo + hi)
                        lo, hi = (lo, mid) if passed(rk(t_oil, mid)) else (mid, hi)
                    used += hi
                    t_oil = goal
                    break
                t_oil = y
                used += h
            else:
                return t_oil, dt, None
            if goal in stops:
                return t_oil, used, goal
        return t_oil, dt, None

    def through(self, t0, fan, cap, tol):
        """one profile with the fan in one state: temperature at its end, highest, lowest"""
        t, hi, lo = t0, t0, t0
        for i, s in enumerate(self.steps):
            t, _, _ = self.advance(i, t, fan, s["duration_s"], cap, tol)
            hi, lo = max(hi, t), min(lo, t)
        return t, hi, lo

    def periodic(self, ts, fan, cap, tol):
        g = lambda t: self.through(t, fan, cap, tol)[0] - t
        a, b = ts, ts + g(ts)
        ga, gb = b - a, g(b)
        for _ in range(60):
            if abs(gb) < 1e-11 or gb == ga:
                break
            a, b, ga = b, b - gb * (b - a) / (gb - ga), gb
            gb = g(b)
        t, hi, lo = self.through(b, fan, cap, tol)
        return b, hi, lo

    def acting(self, ts, cap, tol):
        """the thermostat over the profile, from the steady mean: cycle by cycle until it has switched enough, or until
        temperature and fan repeat without a switching"""
        th = self.d["thermostat"]
        t, fan = ts, ts >= th["on_c"]
        begin, starts, window, clock = fan, 0, [], 0.0
        while True:
            t0, hi, on_time, switchings = t, t, 0.0, 0
            for i, s in enumerate(self.steps):
                left = s["duration_s"]
                while left > 1e-12 * s["duration_s"]:
                    stops = (th["off_c"],) if fan else (th["on_c"],)
                    t, used, stop = self.advance(i, t, fan, left, cap, tol, stops)
                    left -= used
                    hi = max(hi, t)
                    on_time += used if fan else 0.0
                    if stop is not None:
                        fan = not fan
                        starts += fan
                        switchings += 1
            clock += self.T
            if switchings == 0 and abs(t - t0) < 1e-9:
                start, hi, lo = self.periodic(t, fan, cap, tol)
                assert (lo > th["off_c"]) if fan else (hi < th["on_c"])
                return {"fan": "on" if fan else "off", "peak_c": hi, "lowest_c": lo, "start_of_cycle_c": start,
                        "fan_duty": float(fan), "fan_at_start": begin, "starts": starts, "cycles_counted": 1}
            if starts >= FAN_STARTS[0]:
                window.append((hi, on_time))
            if starts >= FAN_STARTS[1] and len(window) >= 2:
                return {"fan": "hunts", "peak_c": max(h for h, _ in window), "lowest_c": None,
                        "start_of_cycle_c": None, "fan_duty": sum(x for _, x in window) / (len(window) * self.T),
                        "fan_at_start": begin, "starts": starts, "cycles_counted": len(window)}
            if clock > 3e7:
                raise RuntimeError("fan does not hunt")

    def result(self, tol=None):
        tol = tol or STEP
        d = self.d
        h, c1, c0 = self.mean(self.heat), self.mean(self.cool[True]), self.mean(self.cool[False])
        lim = d["limit_c"]
        hl, cl = self.lin(h, lim), self.lin(c1, lim)
        on, off = self.steady(True), self.steady(False)
        th = d["thermostat"]
        o = {
            "air_pressure_pa": air_pressure(d["site"]["altitude_m"]),
            "air_density_kg_per_m3": self.rho_air,
            "air_mass_ratio": self.ratio,
            "rated_effectiveness": self.eps_r, "rated_ntu": self.ntu_r,
            "rated_ua_w_per_k": self.ua_rated, "ua_w_per_k": self.ua,
            "air_capacity_rate_w_per_k": self.c_air,
            "wall_area_m2": self.area, "wall_conductance_w_per_k": self.wall,
            "steps": [{"at_nodes": row} for row in self.detail],
            "cycle_mean_heat_w_at_nodes": h,
            "cycle_mean_cooling_fan_on_w_at_nodes": c1,
            "cycle_mean_cooling_fan_off_w_at_nodes": c0,
            "heat_margin_w": cl - hl, "heat_margin": (cl - hl) / hl,
            "steady_mean_fan_on_c": on, "steady_mean_fan_off_c": off,
        }
        ts = on
        if th:
            # a cold machine arrives at the mean with the fan off, where that lies below switch-on
            if off is not None and off < th["on_c"]:
                ts = off
            elif on is not None and on <= th["off_c"]:
                ts = th["on_c"]
        o["steady_mean_c"] = ts
        o["inadequate_no_root"] = ts is None
        for k in ("heat_capacity_j_per_k", "peak_c", "lowest_c", "start_of_cycle_c", "kelvin_to_limit", "fan",
                  "fan_duty", "thermostat"):
            o[k] = None
        if ts is None:
            return o
        cap = self.capacity(ts)
        o["heat_capacity_j_per_k"] = cap
        if th:
            x = self.acting(ts, cap, tol)
            for k in ("peak_c", "lowest_c", "start_of_cycle_c", "fan", "fan_duty"):
                o[k] = x.pop(k)
            o["thermostat"] = x
        else:
            o["fan"], o["fan_duty"] = "on", 1.0
            o["start_of_cycle_c"], o["peak_c"], o["lowest_c"] = self.periodic(ts, True, cap, tol)
        o["kelvin_to_limit"] = lim - o["peak_c"]
        return o


# ----------------------------------------------------------------------------- cases
LPM = 1 / 60000.0


def r12(x):
    return float("%.12g" % x)


def nodes(limit, coldest, ta):
    x, t = [], limit
    while t > coldest + 1e-9:
        x.append(t)
        t -= 10.0
    x.append(coldest)
    if ta < coldest:
        x.append(ta)
    return sorted(x)


def oil(n40, n100, rho=870.0):
    return {"kinematic_viscosity_40c_m2_per_s": r12(n40 * 1e-6), "kinematic_viscosity_100c_m2_per_s": r12(n100 * 1e-6),
            "density_15c_kg_per_m3": rho}


def heat_row(o, x, fixed, slip, drag):
    """invented but plausible: a fixed part, slip with 1/mu, drag with mu"""
    out = []
    for t in x:
        m = oil_nu(o, t) * oil_rho(o, t) / (30e-6 * 870)
        out.append(float("%.6g" % (fixed + slip / m + drag * min(m, 40))))
    return out


def flow_row(o, x, lpm, slip):
    out = []
    for t in x:
        m = oil_nu(o, t) * oil_rho(o, t) / (30e-6 * 870)
        out.append(float("%.6g" % (max(0.0, lpm - slip / m) * LPM)))
    return out


def case(name, note, limit, coldest, ta, alt, o, steps, cooler, reservoir, thermostat=None, cold_start=-10.0):
    x = nodes(limit, coldest, ta)
    return {"name": name, "note": note, "limit_c": limit, "coldest_running_c": coldest, "cold_start_c": cold_start, "nodes_c": x,
            "site": {"altitude_m": alt, "air_temperature_c": ta}, "oil": o,
            "cooler": cooler, "reservoir": reservoir, "thermostat": thermostat,
            "steps": [{"duration_s": float(s[0]), "heat_w_at_nodes": heat_row(o, x, *s[1:4]),
                       "mean_return_flow_m3s_at_nodes": flow_row(o, x, *s[4:6])} for s in steps]}


def cooler(heat, etd, lpm, air, count=1, fouling=0.1, nat=0.3, bypass=None, rho_air=1.2, cp_air=1007.0,
           rho=870.0, cp=2000.0):
    return {"rated_heat_w": heat, "rated_entering_difference_k": etd, "rated_oil_flow_m3s": r12(lpm * LPM),
            "rated_air_mass_flow_kg_per_s": air, "rated_air_density_kg_per_m3": rho_air,
            "air_heat_capacity_j_per_kg_k": cp_air, "rated_oil_density_kg_per_m3": rho,
            "rated_oil_heat_capacity_j_per_kg_k": cp, "count": count, "fouling": fouling, "natural_share": nat,
            "rated_drop_pa": bypass[0] if bypass else None, "bypass_drop_pa": bypass[1] if bypass else None,
            "rated_kinematic_viscosity_m2_per_s": bypass[2] if bypass else None}


def tank(vol, oil_m3, coef=12.0, fill=0.85, area=None, steel=40.0, cps=480.0):
    return {"volume_m3": vol, "fill": fill, "wall_area_m2": area, "wall_coefficient_w_per_m2_k": coef,
            "oil_volume_m3": oil_m3, "steel_mass_kg": steel, "steel_heat_capacity_j_per_kg_k": cps}


def build():
    o46, o32, o68 = oil(46, 6.76), oil(32, 5.36, 865.0), oil(68, 8.73, 880.0)
    C = []
    #                             s   fixed slip drag  L/min slip
    C.append(case("thermal-01-plain", "no thermostat, sea level", 80.0, 10.0, 35.0, 0.0, o46,
        [(20, 6000, 700, 250, 60, 2.0), (15, 900, 60, 150, 48, 1.0), (25, 9500, 900, 260, 75, 3.0)],
        cooler(8000.0, 40.0, 60, 0.8), tank(0.06, 0.05)))
    C.append(case("thermal-02-altitude-bypass", "two coolers in parallel, by-pass limits the cold core flow, 2500 m, fouled",
        80.0, 10.0, 30.0, 2500.0, o68,
        [(30, 16000, 1500, 400, 150, 5.0), (20, 3000, 200, 300, 120, 2.0), (12, 22000, 1800, 420, 190, 6.0)],
        cooler(9000.0, 40.0, 70, 0.9, count=2, fouling=0.2, bypass=(0.8e5, 2.0e5, 32e-6)), tank(0.15, 0.12, 15.0, steel=80.0)))
    C.append(case("thermal-03-hunts", "fan on: mean below switch-off; fan off: above switch-on", 75.0, 10.0, 25.0, 300.0, o46,
        [(12, 3500, 300, 150, 45, 1.5), (8, 800, 50, 100, 40, 1.0), (10, 5200, 420, 160, 55, 2.0)],
        cooler(9000.0, 40.0, 60, 1.0), tank(0.05, 0.042, steel=30.0), {"on_c": 55.0, "off_c": 48.0}))
    C.append(case("thermal-04-fan-never-starts", "fan off: mean below switch-on", 80.0, 10.0, 20.0, 0.0, o32,
        [(30, 1800, 150, 150, 50, 1.5), (30, 400, 30, 100, 45, 1.0)],
        cooler(9000.0, 40.0, 70, 1.0), tank(0.1, 0.08), {"on_c": 60.0, "off_c": 52.0}))
    C.append(case("thermal-05-fan-always-on", "fan on: mean above switch-off", 80.0, 10.0, 40.0, 1200.0, o46,
        [(20, 5200, 600, 200, 60, 2.0), (10, 1200, 80, 120, 50, 1.0), (14, 7500, 700, 220, 70, 2.5)],
        cooler(10000.0, 40.0, 65, 0.9, fouling=0.05), tank(0.08, 0.065), {"on_c": 52.0, "off_c": 45.0}))
    C.append(case("thermal-06-no-root", "more heat than cooling at every temperature up to the limit", 80.0, 10.0, 40.0, 1500.0, o46,
        [(20, 14000, 1800, 300, 60, 2.0), (20, 11000, 900, 300, 70, 2.0)],
        cooler(8000.0, 40.0, 60, 0.8, fouling=0.15), tank(0.06, 0.05, 6.0)))
    C.append(case("thermal-07-cold-site", "design air below the coldest running temperature; steep cold heat; negative margin with a cold root",
        80.0, 10.0, -15.0, 500.0, o68,
        [(25, 2500, 5200, 60, 40, 6.0), (20, 900, 4300, 40, 35, 4.0), (9, 4000, 6500, 80, 46, 7.0)],
        cooler(5500.0, 40.0, 50, 0.5, bypass=(1.0e5, 2.5e5, 32e-6)), tank(0.05, 0.04)))
    long = []
    for k in range(12):
        long.append((600 if k % 3 else 420, 3000 + 900 * (k % 5), 350 + 40 * (k % 4), 180, 55 + 4 * (k % 3), 2.0))
    C.append(case("thermal-08-log-of-hours", "two-hour log, stated wall area, columns other than the default", 75.0, 5.0, 32.0, 800.0, o32,
        long, cooler(11000.0, 45.0, 80, 0.85, fouling=0.12, nat=0.2, rho_air=1.165, cp_air=1006.0, rho=860.0, cp=1950.0),
        tank(0.12, 0.1, 15.0, area=1.1, steel=65.0, cps=500.0)))
    C.append(case("thermal-09-hunts-uneven", "hunting with long uneven steps: oil runs above switch-on; a step without return flow",
        85.0, 10.0, 22.0, 100.0, o46,
        [(110, 21000, 500, 200, 60, 2.0), (300, 500, 0, 40, 0, 0.0), (330, 1500, 200, 150, 50, 1.5)],
        cooler(12500.0, 40.0, 60, 1.3), tank(0.07, 0.06, 12.0, steel=35.0), {"on_c": 60.0, "off_c": 52.0}))
    C.append(case("thermal-10-air-between-nodes", "design air above the coldest running temperature, between nodes; small return flow",
        70.0, 8.0, 43.0, 0.0, o32,
        [(18, 2200, 200, 120, 12, 0.6), (22, 700, 60, 90, 6, 0.3)],
        cooler(8000.0, 40.0, 60, 0.7, count=2, fouling=0.0), tank(0.04, 0.034, 12.0, steel=20.0)))
    return C


def num(o):
    if isinstance(o, dict):
        return {k: num(v) for k, v in o.items()}
    if isinstance(o, (list, tuple)):
        return [num(v) for v in o]
    if isinstance(o, bool) or o is None or isinstance(o, (str, int)):
        return o
    return float("%.12g" % o)


def run(tol=None):
    return [{"name": c["name"], **Thermal(json.loads(json.dumps(c))).result(tol)} for c in build()]


def flat(o, pre=""):
    if isinstance(o, dict):
        for k, x in o.items():
            yield from flat(x, pre + "/" + k)
    elif isinstance(o, list):
        for i, x in enumerate(o):
            yield from flat(x, pre + "/%d" % i)
    elif not isinstance(o, (bool, str)) and o is not None:
        yield pre, o


def check(res):
    print("crossflow against known values and the `ht` package")
    try:
        from ht import effectiveness_from_NTU
    except ImportError:
        effectiveness_from_NTU = None
    for n, c, w in [(0.5, 0.5, 0.357827), (1, 0.5, 0.547490), (1, 1, 0.476222), (2, 0.5, 0.732409), (2, 1, 0.614247),
                    (3, 0.5, 0.819708), (5, 0.5, 0.901668), (5, 1, 0.750904), (0.05, 0.9, None), (0.3, 0.03, None)]:
        e = crossflow(n, c)
        print("  NTU %-5g Cr %-5g %.12f  known %s  ht %s  integral %.1e" % (
            n, c, e, "%.1e" % (e - w) if w else "-",
            "%.1e" % (e - effectiveness_from_NTU(n, c, "crossflow")) if effectiveness_from_NTU else "-",
            e - crossflow_integral(n, c)))
    d = build()[0]
    d["cooler"].update(fouling=0.0)
    t = Thermal(d)
    print("rated UA of 8 kW at 40 K, 60 L/min, 0.8 kg/s: %.6f W/K (known 246.502)" % t.ua_rated)
    for tol in (STEP / 2, 4 * STEP):
        w = (0, "")
        for a, b in zip(res, run(tol)):
            fa, fb = dict(flat(a)), dict(flat(b))
            for k in fa:
                e = abs(fa[k] - fb[k]) / max(1.0, abs(fa[k]))
                w = max(w, (e, a["name"] + k))
        print("steps of %g time constants: largest relative change %.1e %s" % ((tol,) + w))
    # exact exponentials for the periodic cases
    for c, r in zip(build(), res):
        t = Thermal(c)
        if r["start_of_cycle_c"] is None:
            continue
        fan = r["fan"] == "on"
        T, hi = r["start_of_cycle_c"], r["start_of_cycle_c"]
        for i, s in enumerate(t.steps):
            net = [a - b for a, b in zip(t.heat[i], t.cool[fan][i])]
            left, x = s["duration_s"], t.nodes
            while left > 1e-12:
                f = t.lin(net, T)
                k = max(0, min(len(x) - 2, int(np.searchsorted(x, T + math.copysign(1e-9, f))) - 1))
                sl = (net[k + 1] - net[k]) / (x[k + 1] - x[k])
                b = net[k] - sl * x[k]
                tinf, lam = -b / sl, sl / r["heat_capacity_j_per_k"]
                goal = x[k + 1] if f > 0 else x[k]
                inner = (k + 1 < len(x) - 1) if f > 0 else k > 0
                tt = math.log((goal - tinf) / (T - tinf)) / lam if inner and (goal - tinf) / (T - tinf) > 0 else math.inf
                if 0 <= tt < left:
                    T, left = goal, left - tt
                else:
                    T, left = tinf + (T - tinf) * math.exp(lam * left), 0.0
                hi = max(hi, T)
        print("  %-28s closing by exact exponentials %.1e K, peak %.1e K" % (
            c["name"], T - r["start_of_cycle_c"], hi - r["peak_c"]))


def main():
    res = run()
    for r in res:
        print("%-30s UA %.3f/%.3f margin %.4f (%.0f W) steady on %s off %s -> %s %s peak %s %s" % (
            r["name"], r["rated_ua_w_per_k"], r["ua_w_per_k"], r["heat_margin"], r["heat_margin_w"],
            r["steady_mean_fan_on_c"], r["steady_mean_fan_off_c"], r["steady_mean_c"],
            r["fan"], r["peak_c"], r["thermostat"]))
    if "--check" in sys.argv:
        check(res)
        return
    about = {"made_with": {"python": sys.version.split()[0], "scipy": scipy.__version__, "numpy": np.__version__},
             "units": "SI, temperatures in degrees Celsius where the name ends in _c; nodes rise"}
    for name, obj in (("thermal.json", build()), ("thermal_expected.json", num(res))):
        with open(os.path.join(HERE, name), "w") as f:
            json.dump({"about": about, "cases": obj}, f, indent=1)
            f.write("\n")


if __name__ == "__main__":
    main()
