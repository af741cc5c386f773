"""Rough, separate check of make_cycles.py: tiny fixed time steps, no events, no algebra of rest.

A line of small stiffness stands in for an empty or missing store; a function runs while the
supply is at or above its threshold, a compensated pump while it is below its setting, the relief
valve passes whatever would lift the supply above it. Rest at a threshold appears by chatter.
Agreement is limited by the time step (about 1e-3).    python3 brute_check.py
"""
import sys
import make_cycles as m

DT = 2e-5       # s, without store
DT_STORE = float(sys.argv.pop(1)) if len(sys.argv) > 1 and sys.argv[1][0].isdigit() else 2e-4
LINE = 2e-6     # m3 that takes the supply from nothing to the pressure of the empty store


def brute(case, sim, window, dt, only_last=False):
    c, gas = case, case.gas
    E = dict.fromkeys(["shaft", "work", "unl", "relief", "lines"], 0.0)
    deliv = ret = 0.0
    changes, last = 0, None
    pe = gas.p_empty if gas else c.relief
    vr = gas.v(c.relief) if gas else LINE
    v, flags = window[0].start if gas else (0.0, ())
    total = 0.0
    for _ in window:
        for i, st in enumerate(c.steps):
            at = sim.at[i]
            n = max(1, int(round(st["duration_s"] / dt)))
            h = st["duration_s"] / n
            fs = list(zip(st["functions"], st["_h"]))
            # a short time for the line to fill, not counted
            warm = 0 if gas else 10000
            for s in range(-warm, n):
                p = gas.p(v) if (gas and v >= 0) else pe * (1 + v / LINE) if gas else pe * v / LINE
                p = max(p, 0.0)
                flags = sim.switch(flags, p)
                on = sim.onset(i, flags)
                q = 0.0
                sh = un = rt = 0.0
                for j, a in enumerate(at):
                    if j in on:
                        x = min(p, a.set)
                        sl = a.k * x
                        f = a.VN - sl if p < a.set else 0.0
                        q += f
                        sh += a.VN * a.cf * x + a.drag + sl * x + f * p
                    else:
                        f = a.VN - a.k * a.unload
                        un += f * a.unload
                        sh += a.VN * a.cf * a.unload + a.drag + a.VN * a.unload
                        rt += f
                d = w = li = 0.0
                for f, th in fs:
                    if p >= th * (1 - 1e-12):
                        d += f["flow_m3s"]
                        w += f["flow_m3s"] * f["load_pa"] * f["work_share"]
                        rt += f["flow_m3s"] * f["return_ratio"]
                nv = v + (q - d) * h
                over = max(0.0, nv - vr)
                nv -= over
                v = max(nv, -LINE if gas else 0.0)
                if s < 0:
                    continue
                E["shaft"] += sh * h
                E["work"] += w * h
                E["unl"] += un * h
                E["relief"] += over * c.relief
                ret += rt * h + over
                deliv += d * h
                if last is not None and on != last:
                    changes += 1
                last = on
        total += c.T
    return {k: x / total for k, x in E.items()}, deliv / len(window), ret / total, changes


if __name__ == "__main__":
    pick = sys.argv[1:] or ["plain-02", "plain-04", "plain-06", "plain-07", "plain-09", "store-03", "store-05",
                            "store-06", "store-09", "store-10", "store-13", "store-14", "store-16", "store-17",
                            "store-18", "store-20", "store-22"]
    for name in pick:
        d = [x for x in m.build() if x["name"].startswith(name)][0]
        cs = m.load_case(d)
        sim = m.Sim(cs, d["oil"]["nodes"][0]["dynamic_viscosity_pa_s"])
        out = sim.run()
        o = m.summarise(cs, sim, out)
        E, dv, rt, ch = brute(cs, sim, out["window"], DT_STORE if cs.gas else DT)
        sh = o["mean_shaft_w"]
        mean_w = o["mean_work_w"]
        print("%-42s k=%d  shaft %.1e  work %.1e  unloading %.1e  relief %.1e  delivered %.1e  return %.1e  changes %d/%d" % (
            d["name"], o["period_k"], E["shaft"] / sh - 1, (E["work"] - mean_w) / sh,
            (E["unl"] - o["mean_heat_by_source_w"]["unloading_and_standby"]) / sh,
            (E["relief"] - o["mean_heat_by_source_w"]["relief"]) / sh,
            dv / o["delivered_m3_per_cycle"] - 1, rt / o["mean_return_flow_m3s"] - 1,
            ch, round(o["mode_changes_per_hour"] * cs.T * o["period_k"] / 3600)), flush=True)
