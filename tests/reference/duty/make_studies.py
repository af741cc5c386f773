"""Fifty whole studies for the independent reference: duty cycle at the temperature nodes, then the oil temperature.

Writes studies.json (inputs) and studies_expected.json (results).
    python3 make_studies.py           make both tables
    python3 make_studies.py --only NAME   print some
Stores that live on their band over many cycles, runs from empty, stores that settle slowly, fans that stand still,
thermostats over long logs. The duty is integrated in time by make_cycles.py, the oil temperature by make_thermal.py.
"""
import json
import multiprocessing
import os
import random
import sys

import make_cycles as mc
import make_thermal as mt

HERE = os.path.dirname(os.path.abspath(__file__))
OIL = {"n40": 46.0, "n100": 6.76}
OPEN, CLOSED = mc.OC, mc.CCn


def pumps(*names):
    known = {
        "a": lambda: mc.pump("a08", 8, 1500, 210, 36, 0.92, 0.82),
        "b": lambda: mc.pump("b16", 16, 1500, 200, 36, 0.95, 0.86),
        "c": lambda: mc.pump("c25", 25, 1800, 210, 32, 0.94, 0.85),
        "d": lambda: mc.pump("d40", 40, 2000, 250, 32, 0.96, 0.88),
    }
    return [known[n]() for n in names]


# ------------------------------------------------------------------ duty cycles
def long_band(i, r):
    """the pumps charge in one of many cycles; the charge ends in a rest, so that the phase comes back"""
    cycles = [3, 4, 6, 8, 11, 13, 17, 21, 24, 30, 34, 41, 57, 135][i]
    scheme = ("together", "matched", "staggered")[i % 3]
    size, count = r.choice([(10, 1), (10, 2), (20, 1)])
    precharge, cut_in = r.choice([(80, 120), (90, 130), (100, 140)])
    cut_out = cut_in + r.choice([40, 55, 70])
    relief = cut_out + r.choice([20, 30])
    gas = mc.Gas(size * count * 1e-3, precharge * 1e5 + 101325, 293.15, 308.0, cut_out * 1e5 + 101325,
                 1.03 * relief * 1e5 + 101325, 101325)
    low = cut_in - (4 if scheme == "staggered" else 0)
    band = gas.v(cut_out * 1e5) - gas.v(low * 1e5)
    draw = band / (cycles - 0.5)                  # m3 in a cycle
    time = r.choice([2.0, 3.0, 5.0])
    load = r.choice([60, 80, 95])
    flow = draw / time / mc.LPM
    split = r.uniform(0.3, 0.7)
    # on load the smallest pump fills the whole band within the rest
    rest = 1.4 * band / (8e-6 * 30 * 0.8 if scheme == "matched" else 16e-6 * 30 * 0.8)
    steps = [mc.step(time, mc.fn(round(flow * split, 4), load, 4, 0.8, 0.9), mc.fn(round(flow * (1 - split), 4), load - 20)),
             mc.step(round(rest * 0.6, 1)), mc.step(round(rest * 0.6, 1), held=low - 12 if i % 2 else None)]
    names = {"together": "bc", "matched": "ab", "staggered": "bc"}[scheme]
    return mc.case("band-%02d" % i, "lives on its band for %d cycles" % cycles, CLOSED, scheme, relief, pumps(*names), steps,
                   mc.oil(80.0, [80.0, 50.0, 20.0] if cycles < 30 else [80.0, 40.0], **OIL), (size, count, precharge, 308.0),
                   (cut_in, cut_out), 4 if scheme == "staggered" else None, idle_opt=i % 4 == 1)


def from_empty(i, r):
    """a little more is asked than the pumps give: the highest volume falls although charging is on throughout"""
    scheme = ("together", "matched", "staggered", "together")[i % 4]
    names = ("b", "ab", "ab", "bc")[i % 4]
    size, count = r.choice([(50, 1), (50, 2), (32, 3)])
    precharge, cut_in, cut_out = r.choice([(70, 120, 170), (80, 140, 190), (90, 150, 210)])
    relief = cut_out + 25
    ps = pumps(*names)
    flow = sum(p["displacement_m3_per_rev"] for p in ps) * 30 / mc.LPM
    work, rest = r.choice([(6, 10), (8, 14), (5, 5)])
    over = r.uniform(1.002, 1.012)                 # of the ideal flow: nothing above empty balances it
    asked = over * flow * (work + rest) / work
    load = r.choice([50, 60])
    steps = [mc.step(work, mc.fn(round(asked * 0.6, 3), load, 5, 1.0, 0.8), mc.fn(round(asked * 0.4, 3), load + 10, 3, 0.7)),
             mc.step(rest)]
    return mc.case("empty-%02d" % i, "drains and is run again from empty", CLOSED, scheme, relief, ps, steps,
                   mc.oil(80.0, [80.0, 30.0, 10.0], **OIL), (size, count, precharge, 303.0), (cut_in, cut_out),
                   3 if scheme == "staggered" else None, rpm=1800)


def settling(i, r):
    """always on load: the ends lead to where slip and demand meet; jumps take them there, to full at most"""
    names = ("b", "c", "bc", "d", "b", "c", "bc", "d")[i]
    ps = pumps(*names)
    relief = r.choice([210, 240, 260])
    size, count, precharge = r.choice([(20, 2, 70), (32, 1, 80), (50, 1, 60)])
    oil = mc.oil(80.0, [80.0, 76.0], **OIL)
    mu = oil["nodes"][0]["dynamic_viscosity_pa_s"]
    at = [mc.Pump(p).at(30.0, mu) for p in ps]
    aim = [130, 150, 170, 185, 200, 145, 160, 300][i] * 1e5  # the last leads above full
    mean = sum(q.VN - q.k * aim for q in at) / mc.LPM
    work, rest = r.choice([(3, 4), (4, 6), (2, 3)])
    asked = mean * (work + rest) / work
    steps = [mc.step(work, mc.fn(round(asked, 3), 70, 6, 1.0, 0.9)), mc.step(rest)]
    return mc.case("settle-%02d" % i, "continuous, settles slowly", CLOSED, "continuous", relief, ps, steps, oil,
                   (size, count, precharge, 308.0))


def log(i, r):
    """a log of hours without store"""
    circuit = OPEN if i % 3 == 2 else CLOSED
    scheme = "matched" if i % 2 else "continuous"
    n = r.choice([8, 12, 16, 24])
    hours = r.choice([0.5, 1.5, 4.0, 8.0])
    cuts = [r.uniform(0.3, 1.7) for _ in range(n)]
    long = hours * 3600 / sum(cuts)
    steps = []
    for k, c in enumerate(cuts):
        busy = (k // (n // 4)) % 2 == 0           # hard and easy quarters
        lpm, bar = (r.uniform(20, 40), r.uniform(90, 150)) if busy else (r.uniform(3, 12), r.uniform(2, 40))
        functions = [mc.fn(round(lpm, 2), round(bar, 1), round(bar / 15, 1), r.choice([1.0, 0.7, 1.4]), r.choice([1.0, 0.5]))]
        if k % 5 == 3:
            functions.append(mc.fn(round(lpm / 2, 2), round(bar * 0.6, 1), 2))
        if k % 7 == 6:
            functions = []
        steps.append(mc.step(round(long * c, 1), *functions, held=90 if k % 9 == 8 else None))
    nodes = [80.0, 70.0, 60.0, 50.0, 40.0, 30.0, 20.0, 10.0]
    return mc.case("log-%02d" % i, "log of %g h" % hours, circuit, scheme, 190, pumps(*r.choice(["bc", "ab", "abc", "c"])),
                   steps, mc.oil(80.0, nodes, **OIL), standby=r.choice([8, 15, 25]), idle_opt=i % 4 == 3)


# ------------------------------------------------------------------ oil temperature
def half(value):
    return round(2 * value) / 2


def thermal(i, cycle, nodes, r, kind):
    """cooler, reservoir and thermostat beside the heat of a duty; the thermostat is laid around its means"""
    o = mt.oil(46, 6.76)
    ta = r.choice([15.0, 20.0, 28.0, 35.0])
    steps = []
    for k, s in enumerate(cycle["steps"]):
        steps.append({"duration_s": s["duration_s"],
                      "heat_w_at_nodes": [n["steps"][k]["mean_heat_w"] for n in nodes],
                      "mean_return_flow_m3s_at_nodes": [n["steps"][k]["mean_return_flow_m3s"] for n in nodes]})
    heat = nodes[-1]["mean_heat_w"]
    size = r.choice({"log": [1.2, 1.8, 2.6], "band": [0.9, 1.2, 2.0]}.get(kind, [1.6, 2.2, 2.8]))
    natural = r.choice([0.15, 0.3, 0.45])
    volume = r.choice([0.03, 0.045, 0.08])
    if i % 5 == 4:                                      # so much cooler that its fan may stand still
        size, natural, ta = 4.0, 0.5, 15.0
    d = {"name": cycle["name"], "note": cycle["note"], "limit_c": 80.0, "cold_start_c": r.choice([-15.0, -5.0, 5.0]),
         "nodes_c": [n["temperature_c"] for n in nodes],
         "site": {"altitude_m": r.choice([0.0, 400.0, 1500.0]), "air_temperature_c": ta}, "oil": o, "steps": steps,
         "cooler": mt.cooler(float(min(round(size * heat, -2), 50e3)), 45.0, 60, r.choice([0.7, 1.0, 1.4]) * max(1.0, size * heat / 9000),
                             count=r.choice([1, 1, 2]), fouling=r.choice([0.0, 0.1, 0.2]), nat=natural,
                             bypass=r.choice([None, (0.8e5, 2.5e5, 32e-6)])),
         "reservoir": mt.tank(volume, volume * 0.85, r.choice([6.0, 12.0]), steel=r.choice([15.0, 30.0])),
         "thermostat": None}
    d["cooler"]["rated_air_mass_flow_kg_per_s"] = mt.r12(d["cooler"]["rated_air_mass_flow_kg_per_s"])
    t = mt.Thermal(json.loads(json.dumps(d)))
    on, off = t.steady(True), t.steady(False)
    thermostat = i % 5
    if thermostat == 1 and on is not None:                    # hunts by the mean, where there is room for it
        d["thermostat"] = {"on_c": half(on + 9), "off_c": half(on + 3)}
    elif thermostat == 2 and on is not None:                  # the mean says on, the profile may say otherwise
        d["thermostat"] = {"on_c": half(on + 1.5), "off_c": half(on - 1.5)}
    elif thermostat == 3 and off is not None:                 # the mean says off, the profile may say otherwise
        d["thermostat"] = {"on_c": half(off + 1), "off_c": half(off - 4)}
    elif thermostat == 3 and on is not None:                  # always on
        d["thermostat"] = {"on_c": half(on - 6), "off_c": half(on - 12)}
    elif thermostat == 4:                                     # the fan stands still
        d["thermostat"] = {"on_c": 95.0, "off_c": 90.0}
    return d


KINDS = [("band", long_band, 14), ("empty", from_empty, 8), ("settle", settling, 8), ("log", log, 20)]


def one(job):
    kind, make, i = job
    r = random.Random("%s %d" % (kind, i))
    cycle = make(i, r)
    result = mc.run_all([json.loads(json.dumps(cycle))], verbose=False)[0]
    rising = sorted(result["nodes"], key=lambda n: n["temperature_c"])
    d = thermal(i, cycle, rising, r, kind)
    warm = mt.Thermal(json.loads(json.dumps(d))).result()
    for k in ("steps", "rated_effectiveness", "rated_ntu"):
        warm.pop(k)
    d.pop("steps")
    line = "%-10s %-40s" % (cycle["name"], cycle["note"][:40])
    line += " ".join("%gC k=%d ran=%d j=%d%s%s" % (n["temperature_c"], n["period_k"], n["cycles_run_last_start"],
             n["jumps_taken"], " DRAINS" if n["drains"] else "", " IRR" if n["irregular"] else "") for n in result["nodes"][:3])
    line += " | steady %s peak %s fan %s duty %s %s" % (warm["steady_mean_c"], warm["peak_c"], warm["fan"],
                                                       warm["fan_duty"], warm["thermostat"])
    print(line, flush=True)
    return ({"name": cycle["name"], "cycle": cycle, "thermal": d},
            {"name": cycle["name"], "cycle": result, "thermal": warm})


def main():
    jobs = [(kind, make, i) for kind, make, count in KINDS for i in range(count)]
    if "--only" in sys.argv:
        pattern = sys.argv[sys.argv.index("--only") + 1]
        jobs = [(kind, make, i) for kind, make, i in jobs if pattern in "%s-%02d" % (kind, i)]
    with multiprocessing.Pool(2) as pool:
        made = pool.map(one, jobs, chunksize=1)
    if "--only" in sys.argv:
        return
    about = mc.about()
    for name, k in (("studies.json", 0), ("studies_expected.json", 1)):
        with open(os.path.join(HERE, name), "w") as f:
            json.dump({"about": about, "studies": mc.rounded([m[k] for m in made])}, f, separators=(",", ":"))
            f.write("\n")


if __name__ == "__main__":
    main()
