"""Independent reference integrator of the duty cycle of a staged hydraulic power unit.

Writes cycles.json (inputs) and cycles_expected.json (results).
    python3 make_cycles.py            make both tables
    python3 make_cycles.py --check    the same with halved tolerances, differences, hand checks
    python3 make_cycles.py --only NAME   print one case
Everything is SI; pressures are gauge unless the name says otherwise.
"""
import itertools
import json
import math
import os
import sys
import time

import CoolProp
import CoolProp.CoolProp as CP
import numpy as np
import scipy
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq

HERE = os.path.dirname(os.path.abspath(__file__))
RTOL = 1e-11
ATOL_REL = 1e-13
CYCLE_LIMIT = 128
CLOSE_TOL = 1e-8      # of the gas volume
EQ = 1e-12            # two pressures (or instants) nearer than this, relatively, are equal
STATS = {}


# ----------------------------------------------------------------------------- gas
class Gas:
    """Real nitrogen on one isentropic line. p(v), v = oil volume, v = 0 where gas fills V0."""

    def __init__(self, volume, precharge_abs, t_charge, t_gas, anchor_abs, top_abs, air):
        a = CP.AbstractState("HEOS", "Nitrogen")
        self.a, self.V0, self.air = a, volume, air
        a.update(CP.PT_INPUTS, precharge_abs, t_charge)
        self.mass = a.rhomass() * volume
        a.update(CP.PT_INPUTS, anchor_abs, t_gas)
        self.s0, self.t0, rho_anchor = a.smass(), t_gas, a.rhomass()
        self.v_anchor = volume - self.mass / rho_anchor
        if self.v_anchor <= 0:
            raise ValueError("precharge at gas temperature is not below the upper pressure")
        a.update(CP.PSmass_INPUTS, top_abs, self.s0)
        self.vmax = volume - self.mass / a.rhomass()
        for n in range(16, 200, 4):
            k = np.arange(n + 1)
            x = np.cos(np.pi * (k + 0.5) / (n + 1))
            y = np.array([math.log(self.exact_abs(0.5 * self.vmax * (1 + xx))) for xx in x])
            c = np.polynomial.chebyshev.chebfit(x, y, n)
            xt = np.linspace(-1, 1, 37)
            err = max(abs(np.polynomial.chebyshev.chebval(xx, c)
                          - math.log(self.exact_abs(0.5 * self.vmax * (1 + xx)))) for xx in xt)
            if err < 3e-14:
                break
        STATS["gas_fit"] = max(STATS.get("gas_fit", 0), err)
        self.c = [float(z) for z in c]
        self.rc = self.c[:0:-1]
        self.p_empty = self.p(0.0)
        self.p_hi = self.p(self.vmax)
        self.dp0 = (self.p(1e-6 * self.vmax) - self.p_empty) / (1e-6 * self.vmax)
        self.dp1 = (self.p_hi - self.p((1 - 1e-6) * self.vmax)) / (1e-6 * self.vmax)

    def exact_abs(self, v):
        a, rho, t = self.a, self.mass / (self.V0 - v), self.t0
        for _ in range(60):
            a.update(CP.DmassT_INPUTS, rho, t)
            d = (a.smass() - self.s0) * t / a.cvmass()
            t -= d
            if abs(d) < 1e-12 * t:
                break
        a.update(CP.DmassT_INPUTS, rho, t)
        return a.p()

    def p(self, v):
        if v < 0.0:
            return self.p_empty + self.dp0 * v if hasattr(self, "dp0") else self.p(0.0)
        if v > self.vmax * (1 + 1e-12):
            return self.p_hi + self.dp1 * (v - self.vmax)
        x2 = 2.0 * (2.0 * v / self.vmax - 1.0)
        b1 = b2 = 0.0
        for c in self.rc:
            b1, b2 = c + x2 * b1 - b2, b1
        return math.exp(self.c[0] + 0.5 * x2 * b1 - b2) - self.air

    def v(self, p):
        if p <= self.p_empty:
            return 0.0
        return brentq(lambda v: self.p(v) - p, 0.0, self.vmax, xtol=1e-18, rtol=1e-15)

    def energy(self, v0, v1):
        """integral of gauge p over v"""
        if v0 == v1:
            return 0.0
        return quad(self.p, v0, v1, epsabs=0, epsrel=1e-13)[0]


# ----------------------------------------------------------------------------- pumps
class Pump:
    """Wilson's three coefficients from one rated point."""

    def __init__(self, d):
        self.id = d["id"]
        self.V = d["displacement_m3_per_rev"]
        w = 2 * math.pi * d["rated_speed_rev_per_s"]
        lam = d["rated_dynamic_viscosity_pa_s"] * w / d["rated_pressure_pa"]
        ev, et, f = (d["rated_volumetric_efficiency"], d["rated_overall_efficiency"],
                     d["viscous_share"])
        self.Cs = (1 - ev) * lam
        loss = ev / et - 1
        self.Cv = f * loss / lam
        self.Cf = (1 - f) * loss
        self.ratio = d["drive_ratio"]
        self.set = d["set_pressure_pa"] if d["set_pressure_pa"] is not None else math.inf
        self.unload = d["unloading_pressure_pa"]

    def at(self, engine_speed, mu):
        return PumpAt(self, engine_speed * self.ratio, mu)


class PumpAt:
    """one pump at one speed and viscosity"""

    def __init__(self, pump, N, mu):
        self.pump, self.set, self.unload = pump, pump.set, pump.unload
        self.VN = pump.V * N
        self.k = pump.Cs * pump.V / (2 * math.pi) / mu          # slip = k p
        self.cf = pump.Cf
        self.drag = self.VN * pump.Cv * mu * 2 * math.pi * N     # W, independent of p

    def slip(self, p):
        return min(self.k * min(p, self.set), self.VN)

    def full(self, p):
        return self.VN - self.slip(p)

    def friction(self, p):
        return self.VN * self.cf * min(p, self.set) + self.drag


# ----------------------------------------------------------------------------- study
class Case:
    def __init__(self, d):
        self.d = d
        self.open = d["circuit"] == "open-centre"
        self.scheme = d["scheme"]["kind"]
        self.p1 = d["scheme"]["cut_in_gauge_pa"]
        self.p2 = d["scheme"]["cut_out_gauge_pa"]
        self.dp = d["scheme"]["stagger_pa"] or 0.0
        self.relief = d["relief_setting_gauge_pa"]
        self.standby = d["standby_pressure_gauge_pa"]
        self.air = d["air_pressure_pa"]
        self.pumps = [Pump(x) for x in d["pumps"]]
        self.n = len(self.pumps)
        e = d["engine"]
        self.steps = d["steps"]
        for s in self.steps:
            s["_asked"] = sum(f["flow_m3s"] for f in s["functions"])
            s["_idle"] = (e["idle_where_nothing_is_asked_or_held"] and not s["functions"]
                          and s["held_pa"] is None)
            s["_speed"] = e["idle_speed_rev_per_s"] if s["_idle"] else e["governed_speed_rev_per_s"]
            s["_h"] = [f["load_pa"] + f["line_loss_at_asked_flow_pa"] for f in s["functions"]]
            if self.open:       # a threshold below the stand-by pressure counts as that
                s["_h"] = [max(h, self.standby) for h in s["_h"]]
            lev = s["_h"] + ([s["held_pa"]] if s["held_pa"] is not None else [])
            s["_oc_supply"] = min(self.relief, max(lev + [self.standby])) if lev else None
        self.T = sum(s["duration_s"] for s in self.steps)
        self.gas = None
        acc = d["accumulator"]
        if acc:
            assert not self.open
            upper = self.relief if self.scheme == "continuous" else self.p2
            assert self.scheme == "continuous" or self.p1 < self.p2 <= self.relief
            self.gas = Gas(acc["size_m3"] * acc["count"], acc["precharge_gauge_pa"] + self.air,
                           acc["charging_temperature_k"], acc["gas_temperature_k"],
                           upper + self.air, 1.03 * self.relief + self.air, self.air)
            self.p_start = upper
        else:
            assert self.scheme in ("continuous", "matched")
        self.mu_sel = d["oil"]["mode_selection_dynamic_viscosity_pa_s"]
        self._select()

    def _select(self):
        gov = self.d["engine"]["governed_speed_rev_per_s"]
        ref = self.p2 if (self.gas and self.scheme != "continuous") else self.relief
        flow = [q.at(gov, self.mu_sel).full(ref) for q in self.pumps]
        order = sorted(range(self.n), key=lambda i: (flow[i], self.pumps[i].id, i))
        # flows equal within 1e-12: by id
        for a in range(self.n):
            for b in range(self.n - 1):
                i, j = order[b], order[b + 1]
                if abs(flow[i] - flow[j]) <= 1e-12 * flow[j] and self.pumps[i].id > self.pumps[j].id:
                    order[b], order[b + 1] = j, i
        self.rank = [order.index(i) for i in range(self.n)]
        if self.scheme != "matched":
            return
        sets = [frozenset(c) for r in range(self.n + 1)
                for c in itertools.combinations(range(self.n), r)]

        def tie(s):
            return (len(s), sorted(self.pumps[i].id for i in s), sorted(s))

        for st in self.steps:
            pr = st["_oc_supply"] if (self.open and st["_oc_supply"] is not None) else ref
            fl = [q.at(st["_speed"], self.mu_sel).full(pr) for q in self.pumps]
            tot = {s: sum(fl[i] for i in s) for s in sets}
            asked = st["_asked"]

            def best(cands, sign):
                b = None
                for s in cands:
                    if b is None:
                        b = s
                        continue
                    x, y = sign * tot[s], sign * tot[b]
                    if abs(x - y) <= 1e-12 * max(abs(x), abs(y)):
                        if tie(s) < tie(b):
                            b = s
                    elif x < y:
                        b = s
                return b

            tol = 1e-12 * asked
            up = [s for s in sets if tot[s] >= asked - tol and s]
            st["_U"] = best(up, 1) if up else frozenset(range(self.n))
            lo = [s for s in sets if tot[s] < asked - tol]
            st["_L"] = best(lo, -1) if asked > 0 else frozenset()
            if not self.gas:
                if asked == 0:
                    if st["held_pa"] is None:
                        st["_U"] = frozenset()
                    else:
                        st["_U"] = best([frozenset([i]) for i in range(self.n)], 1)


SOURCES = ["pump_friction", "pump_slip", "relief", "unloading_and_standby", "throttling", "lines",
           "work_given_back"]


class StepRecord:
    def __init__(self):
        self.E = dict.fromkeys(SOURCES + ["shaft", "work"], 0.0)
        self.ret = 0.0          # returned volume
        self.delivered = 0.0
        self.asked = 0.0
        self.pmin, self.pmax = math.inf, -math.inf
        self.heldmin = math.inf
        self.peak = 0.0
        self.time = 0.0


class CycleRecord:
    def __init__(self):
        self.steps = []
        self.modes = {}
        self.changes = 0
        self.first_set = self.last_set = None
        self.vmin, self.vmax = math.inf, -math.inf
        self.findings = set()
        self.stored = 0.0
        self.turns = 0
        self.start = None       # volume and switches the cycle began with
        self.sets = []          # sets on load in their order
        self.charged = []       # switches while time passed


class Sim:
    """one case at one temperature node"""

    def __init__(self, case, mu, rtol=None, atol_rel=None):
        self.c, self.mu, self.gas = case, mu, case.gas
        self.rtol = rtol or RTOL
        self.atol_rel = atol_rel or ATOL_REL
        self.at = [[q.at(s["_speed"], mu) for q in case.pumps] for s in case.steps]
        self.vcache = {}

    # -- switches
    def start_flags(self, charging):
        k = self.c.scheme
        if k == "staggered":
            return tuple([charging] * self.c.n)
        if k in ("together", "matched") and self.gas:
            return (charging,)
        return ()

    def switch(self, flags, p):
        c = self.c
        out = list(flags)
        if c.scheme == "staggered":
            for i in range(c.n):
                off, on = c.p2 - c.rank[i] * c.dp, c.p1 - c.rank[i] * c.dp
                if p >= off * (1 - EQ):
                    out[i] = False
                elif p <= on * (1 + EQ):
                    out[i] = True
        elif flags:
            if p >= c.p2 * (1 - EQ):
                out[0] = False
            elif p <= c.p1 * (1 + EQ):
                out[0] = True
        return tuple(out)

    def onset(self, i_step, flags):
        c = self.c
        if c.scheme == "continuous":
            return frozenset(range(c.n))
        if c.scheme == "together":
            return frozenset(range(c.n)) if flags[0] else frozenset()
        if c.scheme == "staggered":
            return frozenset(i for i in range(c.n) if flags[i])
        st = c.steps[i_step]
        if not self.gas:
            return st["_U"]
        return st["_U"] if flags[0] else st["_L"]

    # -- net flow just below / just above a pressure
    @staticmethod
    def same(a, b):
        return a == b or abs(a - b) <= EQ * max(abs(a), abs(b)) < math.inf

    def parts(self, i_step, on, p):
        """flows at p: pumps surely full, compensated ones exactly at their setting; functions below, at"""
        at = self.at[i_step]
        fullq = sum(at[i].full(p) for i in on if at[i].set > p and not self.same(at[i].set, p))
        pinq = [(i, at[i].full(p)) for i in on if self.same(at[i].set, p)]
        st = self.c.steps[i_step]
        below = [j for j, h in enumerate(st["_h"]) if h < p and not self.same(h, p)]
        here = [j for j, h in enumerate(st["_h"]) if self.same(h, p)]
        q = [f["flow_m3s"] for f in st["functions"]]
        return fullq, pinq, below, here, q

    def f_minus(self, i_step, on, p):
        fullq, pinq, below, here, q = self.parts(i_step, on, p)
        return fullq + sum(x for _, x in pinq) - sum(q[j] for j in below)

    def f_plus(self, i_step, on, p):
        fullq, pinq, below, here, q = self.parts(i_step, on, p)
        return fullq - sum(q[j] for j in below) - sum(q[j] for j in here)

    def algebra(self, i_step, on, cap):
        """lowest p in [0, cap] at which the falling pump flow meets the rising demand"""
        at, st = self.at[i_step], self.c.steps[i_step]
        if self.f_plus(i_step, on, 0.0) <= 0:
            return 0.0
        pts = sorted({0.0, cap} | {h for h in st["_h"] if 0 < h < cap}
                     | {at[i].set for i in on if 0 < at[i].set < cap}
                     | {at[i].VN / at[i].k for i in on if at[i].k > 0 and at[i].VN / at[i].k < cap})
        for a, b in zip(pts[:-1], pts[1:]):
            if self.f_minus(i_step, on, b) < 0:
                return brentq(lambda p: self._f_between(i_step, on, p, a, b), a, b,
                              xtol=1e-9, rtol=1e-15)
            if self.f_plus(i_step, on, b) <= 0:
                return b
        return cap

    def _f_between(self, i_step, on, p, a, b):
        m = 0.5 * (a + b)
        at, st = self.at[i_step], self.c.steps[i_step]
        return (sum(at[i].full(p) for i in on if at[i].set > m)
                - sum(f["flow_m3s"] for f, h in zip(st["functions"], st["_h"]) if h < m))

    def rest_allocation(self, i_step, on, p, cap):
        """flows of pumps and functions and the surplus when the supply stays at p"""
        fullq, pinq, below, here, q = self.parts(i_step, on, p)
        at = self.at[i_step]
        qp = {i: (at[i].full(p) if at[i].set > p and not self.same(at[i].set, p) else 0.0) for i in on}
        qf = [0.0] * len(q)
        base = sum(q[j] for j in below)
        want = sum(q[j] for j in here)
        pin = sum(x for _, x in pinq)
        for j in below:
            qf[j] = q[j]
        surplus = 0.0
        if fullq - base - want > 0:                      # only at the cap
            for j in here:
                qf[j] = q[j]
            surplus = fullq - base - want
            assert self.same(p, cap) or surplus <= 1e-9 * max(base + want, 1e-12), (p, cap, surplus)
        else:
            need = base + want - fullq
            give = min(pin, need)                        # compensated pumps give what is asked
            for i, x in pinq:
                qp[i] = give * x / pin if pin > 0 else 0.0
            rest = fullq + give - base
            if here:
                for j in here:
                    qf[j] = max(0.0, rest) * q[j] / want
            # where the supply lies between thresholds, rest is zero to rounding
        return qp, qf, surplus

    def rates(self, i_step, on, p, qp, qf, surplus, surplus_kind, at_standby=False):
        at, st = self.at[i_step], self.c.steps[i_step]
        r = dict.fromkeys(SOURCES + ["shaft", "work"], 0.0)
        ret = surplus
        for i in range(self.c.n):
            a = at[i]
            pe = min(p, a.set) if i in on else a.unload
            # off load even a compensated pump runs full flow at the unloading pressure
            slip = min(a.k * pe, a.VN)
            fr = a.VN * a.cf * pe + a.drag
            q = qp[i] if i in on else a.VN - slip
            r["pump_friction"] += fr
            r["pump_slip"] += slip * pe
            r["shaft"] += fr + (slip + q) * pe
            if i not in on:
                r["unloading_and_standby"] += q * pe
                ret += q
        for f, x in zip(st["functions"], qf):
            if x == 0.0:
                continue
            line = f["line_loss_at_asked_flow_pa"] * (x / f["flow_m3s"]) ** 2
            r["work"] += x * f["load_pa"] * f["work_share"]
            r["work_given_back"] += x * f["load_pa"] * (1 - f["work_share"])
            r["lines"] += x * line
            r["throttling"] += x * (p - f["load_pa"] - line)
            ret += x * f["return_ratio"]
        r[surplus_kind] += surplus * p
        return r, ret

    # -- bookkeeping
    def note(self, cyc, rec, st, on, dt, pa, pb, qf, ret):
        rec.time += dt
        rec.delivered += sum(qf) * dt
        rec.asked += st["_asked"] * dt
        rec.ret += ret * dt
        rec.peak = max(rec.peak, ret)
        rec.pmin, rec.pmax = min(rec.pmin, pa, pb), max(rec.pmax, pa, pb)
        key = tuple(sorted(on))
        if not cyc.sets or cyc.sets[-1] != key:
            cyc.sets.append(key)
        cyc.modes[key] = max(cyc.modes.get(key, -math.inf), pa, pb)
        if cyc.first_set is None:
            cyc.first_set = key
        elif cyc.last_set != key:
            cyc.changes += 1
        cyc.last_set = key

    def add_rest(self, cyc, rec, i_step, on, p, cap, dt, kind="relief", alloc=None):
        st = self.c.steps[i_step]
        qp, qf, surplus = alloc or self.rest_allocation(i_step, on, p, cap)
        r, ret = self.rates(i_step, on, p, qp, qf, surplus, kind)
        for k, x in r.items():
            rec.E[k] += x * dt
        self.note(cyc, rec, st, on, dt, p, p, qf, ret)

    # -- a step without store
    def step_plain(self, cyc, i_step):
        c, st = self.c, self.c.steps[i_step]
        rec = StepRecord()
        cyc.steps.append(rec)
        on, dt = self.onset(i_step, ()), st["duration_s"]
        at = self.at[i_step]
        if not c.open:
            p = self.algebra(i_step, on, c.relief)
            self.add_rest(cyc, rec, i_step, on, p, c.relief, dt)
            return
        if st["_oc_supply"] is None:                     # nothing asked: stand-by
            p = c.standby if on else 0.0
            qp = {i: at[i].full(p) if at[i].set >= p else 0.0 for i in on}
            self.add_rest(cyc, rec, i_step, on, p, None, dt, "unloading_and_standby",
                          (qp, [], sum(qp.values())))
            return
        cap = st["_oc_supply"]
        kind = "relief" if self.same(cap, c.relief) else "throttling"
        p = self.algebra(i_step, on, cap)
        self.add_rest(cyc, rec, i_step, on, p, cap, dt, kind)

    # -- a step with store
    def step_store(self, cyc, i_step, v, p, flags):
        c, st, gas = self.c, self.c.steps[i_step], self.gas
        rec = StepRecord()
        cyc.steps.append(rec)
        T, t, guard = st["duration_s"], 0.0, 0
        while True:
            guard += 1
            if guard > 200000:
                raise RuntimeError("no progress")
            # supply, switches, set on load at this instant
            for _ in range(64):
                supply, on, motion = self.supply(i_step, v, p, flags)
                new = self.switch(flags, supply)
                if new == flags:
                    break
                flags = new
            else:
                raise RuntimeError("switches do not settle")
            left = T - t
            if left <= EQ * T:
                break
            cyc.turns += 1
            cyc.vmin, cyc.vmax = min(cyc.vmin, v), max(cyc.vmax, v)
            if v == 0.0:
                cyc.findings.add("store runs empty")
            if motion == 0:
                cap = c.relief if v > 0 else gas.p_empty
                self.add_rest(cyc, rec, i_step, on, supply, cap, left)
                cyc.charged.append(flags)
                if v > 0 and not on and c.p1 is not None and supply > c.p1 * (1 + EQ) and any(
                        self.same(h, supply) for h in st["_h"]):
                    cyc.findings.add("cut-in lies below a load pressure")
                t = T
                continue
            before = flags
            v, p, used = self.move(cyc, rec, i_step, on, v, p, motion, left)
            if used > EQ * T:
                cyc.charged.append(before)
            t = T if left - used <= EQ * T else t + used
            cyc.vmin, cyc.vmax = min(cyc.vmin, v), max(cyc.vmax, v)
        return v, p, flags

    def supply(self, i_step, v, p, flags):
        on = self.onset(i_step, flags)
        if v == 0.0:
            pe = self.gas.p_empty
            if self.f_plus(i_step, on, pe) > 0:
                return pe, on, 1
            return self.algebra(i_step, on, pe), on, 0
        fm, fp = self.f_minus(i_step, on, p), self.f_plus(i_step, on, p)
        if fm < 0:
            return p, on, -1
        if fp > 0 and p < self.c.relief * (1 - EQ):
            return p, on, 1
        return p, on, 0

    def v_of(self, p):
        if p not in self.vcache:
            self.vcache[p] = self.gas.v(p)
        return self.vcache[p]

    def move(self, cyc, rec, i_step, on, v, p, sign, left):
        """integrate in time until the nearest point ahead or the end of the step"""
        c, st, gas, at = self.c, self.c.steps[i_step], self.gas, self.at[i_step]
        # points ahead
        pts = list(st["_h"]) + [c.relief] + [a.set for a in at if a.set < math.inf]
        if c.scheme == "staggered":
            for s in range(c.n):
                pts += [c.p2 - s * c.dp, c.p1 - s * c.dp]
        elif c.scheme != "continuous":
            pts += [c.p1, c.p2]
        if sign > 0:
            pts = [x for x in pts if x > p * (1 + EQ) and x > gas.p_empty]
            target = min(pts)
        else:
            pts = [x for x in pts if x < p * (1 - EQ) and x > gas.p_empty]
            target = max(pts) if pts else gas.p_empty
        vt = self.v_of(target) if target > gas.p_empty else 0.0
        # what runs
        if sign > 0:
            act = [j for j, h in enumerate(st["_h"]) if h < p or self.same(h, p)]
            full = [i for i in on if at[i].set > p and not self.same(at[i].set, p)]
        else:
            act = [j for j, h in enumerate(st["_h"]) if h < p and not self.same(h, p)]
            full = [i for i in on if at[i].set > p or self.same(at[i].set, p)]
        fs = st["functions"]
        D = sum(fs[j]["flow_m3s"] for j in act)
        thr0 = sum(fs[j]["flow_m3s"] * (fs[j]["load_pa"] + fs[j]["line_loss_at_asked_flow_pa"])
                   for j in act)
        pumps = [(at[i].VN, at[i].k, at[i].cf, at[i].drag) for i in full]
        above = [(at[i].slip(at[i].set) * at[i].set, at[i].friction(at[i].set))
                 for i in on if i not in full]
        slip0, fric0 = sum(x for x, _ in above), sum(y for _, y in above)
        gp = gas.p
        scaleP = max(1.0, sum(at[i].VN for i in on) * c.relief, D * c.relief)
        scaleQ = max(D, sum(at[i].VN for i in on))
        sv, se = scaleQ * left, scaleP * left          # states are scaled to about one

        def rhs(_t, y):
            pr = gp(y[0] * sv)
            q, sh, fr, sl = -D, 0.0, fric0, slip0
            for VN, k, cf, drag in pumps:
                s = k * pr
                if s > VN:
                    s = VN
                w = VN * cf * pr + drag
                q += VN - s
                fr += w
                sl += s * pr
                sh += VN * pr + w
            return [q / sv, (sh + slip0 + fric0) / se, fr / se, sl / se, (D * pr - thr0) / se]

        kw = dict(method="DOP853", rtol=self.rtol, atol=self.atol_rel)
        y0 = [v / sv, 0.0, 0.0, 0.0, 0.0]
        ytar = vt / sv

        def ev(_t, y):
            return y[0] - ytar
        ev.terminal = True
        sol = solve_ivp(rhs, (0.0, left), y0, events=ev, **kw)
        if not sol.success:
            raise RuntimeError(sol.message)
        hit = sol.status == 1
        if hit:
            # restart from the last accepted point before it and polish the instant
            te, ta, ya = sol.t_events[0][0], sol.t[-2], sol.y[:, -2]
            yb = ya
            for _ in range(6):
                if te > ta:
                    s2 = solve_ivp(rhs, (ta, te), ya, **kw)
                    yb = s2.y[:, -1]
                else:
                    te, yb = ta, ya
                slope = rhs(te, yb)[0]
                d = (ytar - yb[0]) / slope
                te += d
                if abs(d) <= 1e-15 * max(te, left * 1e-3):
                    break
            yb = yb + np.array(rhs(te, yb)) * d
            used, y = te, yb
            if used > left:
                used = left
        else:
            used, y = left, sol.y[:, -1]
            # an end of step that falls on the point counts as the point
            if abs(y[0] - ytar) * sv <= 1e-13 * gas.V0:
                hit = True
        if hit:
            v1, p1 = vt, target
        else:
            v1 = float(y[0]) * sv
            p1 = gp(v1)
        rec.E["shaft"] += y[1] * se
        rec.E["pump_friction"] += y[2] * se
        rec.E["pump_slip"] += y[3] * se
        rec.E["throttling"] += y[4] * se
        # parts that do not depend on the supply: pumps off load, functions, lines
        qf = [0.0] * len(fs)
        for j in act:
            qf[j] = fs[j]["flow_m3s"]
        r, ret = self.rates(i_step, frozenset(), 0.0, {}, qf, 0.0, "relief")
        off = {"shaft": 0.0, "pump_friction": 0.0, "pump_slip": 0.0, "unloading_and_standby": 0.0}
        ret = sum(x * f["return_ratio"] for x, f in zip(qf, fs))
        for i in range(c.n):
            if i in on:
                continue
            a = at[i]
            s = min(a.k * a.unload, a.VN)
            fr = a.VN * a.cf * a.unload + a.drag
            off["shaft"] += fr + a.VN * a.unload
            off["pump_friction"] += fr
            off["pump_slip"] += s * a.unload
            off["unloading_and_standby"] += (a.VN - s) * a.unload
            ret += a.VN - s
        for k, x in off.items():
            rec.E[k] += x * used
        for k in ("work", "work_given_back", "lines"):
            rec.E[k] += r[k] * used
        if used > EQ * st["duration_s"]:
            self.note(cyc, rec, st, on, used, p, p1, qf, ret)
        else:
            rec.time += used
        return v1, p1, used

    def cycle(self, v, p, flags):
        cyc = CycleRecord()
        if not self.gas:
            for i in range(len(self.c.steps)):
                self.step_plain(cyc, i)
            return cyc, v, p, flags
        v0, start = v, (v, flags)
        for i in range(len(self.c.steps)):
            v, p, flags = self.step_store(cyc, i, v, p, flags)
        cyc.stored = self.gas.energy(v0, v)
        cyc.start = start
        return cyc, v, p, flags

    # -- closing
    def run(self):
        if not self.gas:
            cyc, *_ = self.cycle(None, None, ())
            return dict(window=[cyc], k=1, drains=False, irregular=False, jumps=0, ran=1)
        p = self.c.p_start
        out = self.close(self.v_of(p), p, self.start_flags(False), True)
        if out is None:
            out = self.close(0.0, self.gas.p_empty, self.start_flags(True), False)
            out["drains"] = True
        return out

    @staticmethod
    def charging(cyc):
        """charging on at some time in a cycle, and throughout it; without switches it is always on"""
        return (any(any(f) or not f for f in cyc.charged), all(all(f) for f in cyc.charged))

    def close(self, v, p, flags, from_full):
        g = self.gas
        tol = CLOSE_TOL * g.V0
        recs, jumps, longest, running = [], 0, 0, 0
        hist, highs = [(v, flags)], []                   # since the last jump
        n, limit = 0, CYCLE_LIMIT
        while n < limit:
            n += 1
            cyc, v, p, flags = self.cycle(v, p, flags)
            recs.append(cyc)
            hist.append((v, flags))
            highs.append(cyc.vmax)
            running = 0 if self.charging(cyc)[0] else running + 1
            longest = max(longest, running)
            limit = max(CYCLE_LIMIT, min(4096, 4 * longest))
            for k in range(1, len(hist)):
                if hist[-1 - k][1] == flags and abs(hist[-1 - k][0] - v) <= tol:
                    return dict(window=recs[-k:], k=k, drains=False, irregular=False, jumps=jumps,
                                ran=n, last_change=abs(hist[-1 - k][0] - v) / g.V0)
            if not from_full:
                continue
            three = recs[-3:]
            if (len(hist) >= 4 and jumps < 3 and len({f for _, f in hist[-4:]}) == 1
                    and three[0].sets == three[1].sets == three[2].sets
                    and all(self.charging(c)[0] for c in three)):
                e = [x for x, _ in hist[-4:]]
                d = [e[1] - e[0], e[2] - e[1], e[3] - e[2]]
                if (all(x > 0 for x in d) or all(x < 0 for x in d)) and abs(d[2]) < abs(d[1]) < abs(d[0]):
                    lim = e[3] - d[2] ** 2 / (d[2] - d[1])
                    if lim > 0:
                        jumps += 1
                        full = self.v_of(self.c.p_start)
                        v, p = (lim, g.p(lim)) if lim < full else (full, self.c.p_start)
                        hist, highs = [(v, flags)], []
                        continue
            if (len(highs) >= 17 and all(highs[-i] < highs[-i - 1] for i in range(1, 17))
                    and all(self.charging(c)[1] for c in recs[-16:])):
                return None
        cand = [(abs(hist[-1 - k][0] - v), k) for k in range(1, len(hist)) if hist[-1 - k][1] == flags]
        if not cand:
            cand = [(abs(hist[-1 - k][0] - v), k) for k in range(1, len(hist))]
        k = min(cand)[1]
        return dict(window=recs[-k:], k=k, drains=False, irregular=True, jumps=jumps, ran=n)


def num(x):
    if isinstance(x, (bool, int, str)) or x is None:
        return x
    return float("%.12g" % x)


def summarise(case, sim, out):
    w, k = out["window"], out["k"]
    T = case.T * k
    E = {s: sum(r.E[s] for c in w for r in c.steps) for s in SOURCES + ["shaft", "work"]}
    heat = sum(E[s] for s in SOURCES)
    stored = sum(c.stored for c in w)
    res = (E["shaft"] - E["work"] - heat - stored) / E["shaft"]
    asked = sum(r.asked for c in w for r in c.steps)
    deliv = sum(r.delivered for c in w for r in c.steps)
    ch = sum(c.changes for c in w)
    for a, b in zip(w[:-1], w[1:]):
        ch += a.last_set != b.first_set
    ch += w[-1].last_set != w[0].first_set
    modes = {}
    for c in w:
        for m, x in c.modes.items():
            modes[m] = max(modes.get(m, -math.inf), x)
    ns = len(case.steps)
    worst = 0.0
    for c in w:
        for r in c.steps:
            if r.asked > 0:
                worst = max(worst, 1 - r.delivered / r.asked)
    held = [r.pmin for c in w for r, s in zip(c.steps, case.steps) if s["held_pa"] is not None]
    findings = sorted(set().union(*[c.findings for c in w]))
    o = {
        "period_k": k,
        "drains": out["drains"],
        "irregular": out["irregular"],
        "findings": findings,
        "jumps_taken": out["jumps"],
        "cycles_run_last_start": out["ran"],
        "mean_shaft_w": E["shaft"] / T,
        "mean_work_w": E["work"] / T,
        "mean_heat_w": heat / T,
        "mean_heat_by_source_w": {s: E[s] / T for s in SOURCES},
        "mean_stored_change_w": stored / T,
        "ledger_residual_over_shaft": res,
        "asked_m3_per_cycle": asked / k,
        "delivered_m3_per_cycle": deliv / k,
        "shortfall": max(0.0, 1 - deliv / asked) if asked > 0 else 0.0,
        "worst_step_shortfall": worst,
        "lowest_supply_in_held_steps_pa": min(held) if held else None,
        "lowest_supply_pa": min(r.pmin for c in w for r in c.steps),
        "highest_supply_pa": max(r.pmax for c in w for r in c.steps),
        "highest_supply_per_mode_pa": {",".join(map(str, m)): x for m, x in sorted(modes.items())},
        "mode_changes_per_hour": ch * 3600.0 / T,
        "mean_return_flow_m3s": sum(r.ret for c in w for r in c.steps) / T,
        "peak_return_flow_m3s": max(r.peak for c in w for r in c.steps),
        "store_volume_lowest_m3": min(c.vmin for c in w) if sim.gas else None,
        "store_volume_highest_m3": max(c.vmax for c in w) if sim.gas else None,
        "steps": [],
    }
    for i in range(ns):
        rs = [c.steps[i] for c in w]
        d = case.steps[i]["duration_s"] * k
        o["steps"].append({
            "mean_heat_w": sum(sum(r.E[s] for s in SOURCES) for r in rs) / d,
            "mean_return_flow_m3s": sum(r.ret for r in rs) / d,
            "mean_shaft_w": sum(r.E["shaft"] for r in rs) / d,
            "delivered_m3": sum(r.delivered for r in rs) / k,
            "lowest_supply_pa": min(r.pmin for r in rs),
            "highest_supply_pa": max(r.pmax for r in rs),
        })
    return o


def rounded(o):
    if isinstance(o, dict):
        return {k: rounded(v) for k, v in o.items()}
    if isinstance(o, (list, tuple)):
        return [rounded(v) for v in o]
    return num(o)


# ----------------------------------------------------------------------------- cases
BAR, LPM, CC = 1e5, 1 / 60000.0, 1e-6


def r12(x):
    return float("%.12g" % x)


def nu_walther(n40, n100, t):
    ll = lambda n: math.log10(math.log10(n + 0.7))
    b = (ll(n40) - ll(n100)) / (math.log10(373.15) - math.log10(313.15))
    a = ll(n40) + b * math.log10(313.15)
    return 10 ** (10 ** (a - b * math.log10(t + 273.15))) - 0.7


def oil(limit, nodes, n40=46.0, n100=6.76):
    def one(t):
        rho = 870 * (1 - 7e-4 * (t - 15))
        return float("%.5g" % (nu_walther(n40, n100, t) * 1e-6 * rho)), float("%.6g" % rho)
    return {"mode_selection_temperature_c": limit,
            "mode_selection_dynamic_viscosity_pa_s": one(limit)[0],
            "nodes": [{"temperature_c": t, "dynamic_viscosity_pa_s": one(t)[0],
                       "density_kg_per_m3": one(t)[1]} for t in nodes]}


def pump(id, cc, rpm, bar, nu, ev, et, ratio=1.0, set_bar=None, unload_bar=8.0, share=0.3):
    return {"id": id, "displacement_m3_per_rev": r12(cc * CC), "rated_speed_rev_per_s": r12(rpm / 60),
            "rated_pressure_pa": r12(bar * BAR), "rated_dynamic_viscosity_pa_s": r12(nu * 1e-6 * 870),
            "rated_volumetric_efficiency": ev, "rated_overall_efficiency": et, "viscous_share": share,
            "drive_ratio": ratio, "set_pressure_pa": None if set_bar is None else r12(set_bar * BAR),
            "unloading_pressure_pa": r12(unload_bar * BAR)}


def fn(lpm, load, line=0.0, ret=1.0, work=1.0):
    return {"flow_m3s": r12(lpm * LPM), "load_pa": r12(load * BAR),
            "line_loss_at_asked_flow_pa": r12(line * BAR), "return_ratio": ret, "work_share": work}


def step(s, *fs, held=None):
    return {"duration_s": float(s), "held_pa": None if held is None else r12(held * BAR),
            "functions": list(fs)}


def case(name, note, circuit, scheme, relief, pumps, steps, oil_, acc=None, cut=(None, None),
         stagger=None, rpm=1800, idle=900, idle_opt=False, air=101325.0, standby=8.0):
    return {
        "name": name, "note": note, "circuit": circuit,
        "scheme": {"kind": scheme,
                   "cut_in_gauge_pa": None if cut[0] is None else r12(cut[0] * BAR),
                   "cut_out_gauge_pa": None if cut[1] is None else r12(cut[1] * BAR),
                   "stagger_pa": None if stagger is None else r12(stagger * BAR)},
        "relief_setting_gauge_pa": r12(relief * BAR),
        "standby_pressure_gauge_pa": r12(standby * BAR),
        "air_pressure_pa": air,
        "engine": {"governed_speed_rev_per_s": r12(rpm / 60), "idle_speed_rev_per_s": r12(idle / 60),
                   "idle_where_nothing_is_asked_or_held": idle_opt},
        "pumps": pumps,
        "accumulator": None if acc is None else {
            "size_m3": r12(acc[0] * 1e-3), "count": acc[1], "precharge_gauge_pa": r12(acc[2] * BAR),
            "charging_temperature_k": 293.15, "gas_temperature_k": acc[3]},
        "oil": oil_,
        "steps": steps,
    }


CCn, OC = "closed-centre", "open-centre"


def build():
    C = []
    N4 = [80.0, 60.0, 40.0, 20.0]
    N3 = [80.0, 50.0, 20.0]
    N2 = [80.0, 40.0]
    p8 = lambda **k: pump("p08", 8, 1500, 210, 36, 0.92, 0.82, **k)
    p16 = lambda **k: pump("p16", 16, 1500, 200, 36, 0.95, 0.86, **k)
    p25 = lambda **k: pump("p25", 25, 1800, 210, 32, 0.94, 0.85, **k)
    p40 = lambda **k: pump("p40", 40, 2000, 250, 32, 0.96, 0.88, **k)
    p60 = lambda **k: pump("p60", 60, 1800, 250, 30, 0.955, 0.87, **k)

    # ---- closed centre, no store
    C.append(case("plain-01-continuous-surplus", "two fixed pumps always on load, surplus over the relief valve",
        CCn, "continuous", 180, [p16(), p25()],
        [step(10, fn(30, 120, 12, 0.75, 1.0)), step(6, fn(20, 150, 8, 1.33, 0.0), fn(12, 90, 4)),
         step(14), step(5, fn(55, 60, 20, 1.0, 0.4))], oil(80.0, N4)))
    C.append(case("plain-02-matched-three-pumps", "matched set of three, with a held-only and an empty step",
        CCn, "matched", 200, [p8(), p16(), p25(ratio=1.25)],
        [step(8, fn(12, 150, 6)), step(5, fn(40, 130, 9, 1.4, 0.8)), step(7, held=140),
         step(12), step(4, fn(60, 110, 10, 0.6, 1.0), fn(25, 140, 5, 1.0, 0.0)),
         step(9, fn(12, 160, 2), held=150)], oil(80.0, N4)))
    C.append(case("plain-03-starving-between-thresholds", "falling flow meets a constant demand between two thresholds",
        CCn, "continuous", 240, [pump("worn-a", 20, 1500, 180, 30, 0.88, 0.78)],
        [step(12, fn(31.5, 60, 5), fn(20, 225, 6)), step(8, fn(28, 40, 3), fn(5.0, 70, 2), fn(9, 236, 1)),
         step(10, fn(33, 30, 4))], oil(80.0, [80.0, 70.0, 60.0, 50.0, 30.0])))
    C.append(case("plain-04-starving-pinned", "supply pinned at thresholds, two functions sharing one threshold",
        CCn, "continuous", 210, [p16(), p8()],
        [step(9, fn(25, 90, 10, 1.2, 1.0), fn(30, 150, 14, 0.8, 0.7)),
         step(6, fn(20, 80, 5), fn(18, 120, 10, 1.5, 0.5), fn(12, 125, 5, 0.5, 1.0), fn(10, 190, 5)),
         step(11, fn(70, 100, 20, 1.0, 0.0)), step(4)], oil(80.0, N4)))
    C.append(case("plain-05-capped", "thresholds above the relief setting stand still; a threshold exactly at the cap",
        CCn, "continuous", 170, [p25()],
        [step(8, fn(20, 165, 10), fn(15, 100, 6)), step(7, fn(60, 160, 10, 0.9, 0.6)),
         step(9, fn(10, 150, 4, 1.1, 1.0), held=160), step(6, held=175)], oil(80.0, N3)))
    C.append(case("plain-06-compensated", "one pressure-compensated pump, never the relief valve",
        CCn, "continuous", 230, [p40(set_bar=200)],
        [step(10, fn(30, 120, 10)), step(15), step(6, fn(90, 150, 20, 1.3, 0.9)),
         step(8, fn(12, 195, 3, 1.0, 0.0), held=190), step(5, fn(40, 204, 4), fn(20, 100, 5))],
        oil(80.0, N4)))
    C.append(case("plain-07-compensated-pair-and-fixed", "two compensated pumps of equal setting share by capacity, with a fixed one",
        CCn, "matched", 240, [p25(set_bar=190), pump("c16", 16, 1500, 200, 36, 0.95, 0.86, set_bar=190), p8()],
        [step(10, fn(50, 150, 12)), step(6, fn(75, 140, 9, 1.25, 0.5)), step(9, fn(10, 170, 3)),
         step(7), step(8, held=180), step(5, fn(120, 160, 12))], oil(80.0, N3)))
    C.append(case("plain-08-matched-idle", "idle speed in steps that ask and hold nothing",
        CCn, "matched", 190, [p16(), p40(ratio=0.8)],
        [step(20), step(6, fn(22, 140, 6)), step(30), step(10, fn(60, 120, 15, 0.7, 0.85)), step(5, held=100),
         step(12)], oil(80.0, N3), rpm=2200, idle=1000, idle_opt=True))
    C.append(case("plain-09-continuous-compensated-with-fixed", "compensated pump gives way to the relief valve's fixed pump",
        CCn, "continuous", 210, [p25(set_bar=180), p16()],
        [step(8, fn(20, 130, 5)), step(8, fn(50, 150, 8, 1.1, 0.3)), step(5, fn(27, 185, 4)),
         step(5, fn(35, 185, 4)), step(6)], oil(80.0, N4)))

    # ---- open centre
    C.append(case("open-01-surplus", "surplus passes back at the supply",
        OC, "continuous", 200, [p25(), p16()],
        [step(8, fn(30, 120, 10, 0.75)), step(12), step(5, fn(15, 170, 4, 1.33, 0.0), fn(10, 60, 2)),
         step(6, held=110), step(9, fn(20, 90, 6, 1.0, 0.5), held=130)], oil(80.0, N4)))
    C.append(case("open-02-shortage", "too little flow: pinned at thresholds and at the step's supply",
        OC, "continuous", 210, [p16()],
        [step(8, fn(20, 150, 8), fn(18, 80, 6, 1.4, 0.8)), step(6, fn(45, 100, 15, 0.9, 1.0)),
         step(5, fn(28.0, 60, 2), held=190), step(7, fn(27.5, 60, 2), fn(6, 90, 3)), step(4)],
        oil(80.0, N4)))
    C.append(case("open-03-matched", "matched sets at the step's supply, held only, nothing asked",
        OC, "matched", 220, [p8(), p16(), p25()],
        [step(10, fn(11, 180, 5)), step(5, fn(30, 140, 6, 0.66, 0.9)), step(8, held=120), step(15),
         step(6, fn(70, 90, 12), fn(8, 150, 3, 1.0, 0.0)), step(4, fn(120, 60, 25))],
        oil(80.0, N4), standby=6.0))
    C.append(case("open-04-capped-idle", "function above the cap stands still, surplus over the relief valve; idle speed",
        OC, "continuous", 160, [p25(ratio=1.1), p8()],
        [step(7, fn(20, 158, 8), fn(20, 100, 8)), step(25), step(6, fn(90, 150, 9, 1.2, 0.4), fn(10, 155, 10)),
         step(9, held=170), step(5, fn(12, 150, 10))], oil(80.0, N3), rpm=2000, idle=950, idle_opt=True,
        standby=9.0))
    C.append(case("open-05-compensated", "compensated pump in an open centre, supply below and above its setting",
        OC, "continuous", 230, [p25(set_bar=150), p16()],
        [step(7, fn(30, 100, 8)), step(9, fn(24, 170, 5, 0.8, 1.0)), step(6, fn(40, 160, 5), fn(10, 70, 2)),
         step(10)], oil(80.0, N3)))

    # ---- with store
    C.append(case("store-01-together", "two pumps, one switch", CCn, "together", 210, [p16(), p25()],
        [step(6, fn(40, 110, 10, 0.75)), step(10, fn(12, 90, 3)), step(5, fn(95, 100, 20, 1.3, 0.6)), step(14)],
        oil(80.0, N4), acc=(10, 1, 90, 313.15), cut=(140, 180)))
    C.append(case("store-02-together-idle-held", "one pump, idle option, held step, altitude", CCn, "together", 220,
        [p40()],
        [step(20, held=150), step(4, fn(150, 120, 15, 1.5, 1.0)), step(25), step(3, fn(110, 100, 8, 0.67, 0.0)),
         step(12)], oil(80.0, N3), acc=(20, 1, 100, 308.15), cut=(160, 200), rpm=1500, idle=800,
        idle_opt=True, air=84556.0))
    C.append(case("store-03-staggered-three", "three pumps with three switches", CCn, "staggered", 230,
        [p25(), p8(), p16()],
        [step(8, fn(60, 120, 10)), step(6, fn(15, 100, 3, 1.2, 0.5)), step(4, fn(140, 110, 20, 0.8)), step(12),
         step(10, fn(30, 130, 5, 1.0, 0.0))], oil(80.0, N4), acc=(10, 2, 110, 303.15), cut=(165, 205), stagger=8))
    C.append(case("store-04-staggered-idle", "two pumps, switches far apart, idle option", CCn, "staggered", 250,
        [p40(), p16()],
        [step(15, fn(25, 140, 4)), step(5, fn(130, 120, 12, 1.4, 0.7)), step(20), step(6, held=170),
         step(8, fn(80, 100, 10, 0.6, 1.0))], oil(80.0, N3), acc=(20, 1, 120, 313.15), cut=(180, 230),
        stagger=20, rpm=1600, idle=900, idle_opt=True))
    C.append(case("store-05-matched", "matched sets of three with a store", CCn, "matched", 220,
        [p8(), p16(), p25()],
        [step(8, fn(20, 120, 5)), step(6, fn(70, 110, 15, 0.75, 0.8)), step(10), step(5, fn(110, 100, 12, 1.3)),
         step(9, fn(8, 140, 2, 1.0, 0.0))], oil(80.0, N4), acc=(10, 1, 95, 308.15), cut=(150, 190)))
    C.append(case("store-06-matched-above-cut-out", "cold oil: the lower set outruns the demand, store goes above cut-out to the relief valve",
        CCn, "matched", 205, [pump("w16", 16, 1500, 180, 40, 0.86, 0.76), pump("w25", 25, 1500, 180, 40, 0.88, 0.78)],
        [step(30, fn(18.2, 120, 5)), step(10, fn(60, 110, 8, 1.2, 0.9)), step(40, fn(29.5, 90, 6)), step(8)],
        oil(80.0, N4), acc=(6, 1, 90, 303.15), cut=(150, 185)))
    C.append(case("store-07-continuous-relief", "continuous, store filled over the relief valve", CCn, "continuous", 170,
        [p25()],
        [step(5, fn(90, 100, 12, 0.8)), step(20), step(4, fn(120, 90, 15, 1.3, 0.5)), step(10, fn(20, 110, 3)),
         step(15)], oil(80.0, N4), acc=(10, 1, 80, 313.15)))
    C.append(case("store-08-drains", "mean demand a little above the pump's flow: drains over many cycles, run again from empty",
        CCn, "continuous", 200, [pump("tight16", 16, 1500, 200, 36, 0.985, 0.89)],
        [step(10, fn(50, 40, 5)), step(10, fn(8.5, 30, 2, 1.2, 0.5)), step(5, fn(31, 50, 4))],
        oil(80.0, [80.0, 60.0, 40.0]), acc=(40, 1, 90, 303.15)))
    C.append(case("store-09-pinned-no-pump", "cut-in lies below a load pressure: rests at a threshold with no pump on load",
        CCn, "together", 200, [p25()],
        [step(20, fn(12, 140, 5)), step(12, fn(10, 90, 2)), step(15, fn(30, 100, 6)), step(20, fn(5, 138, 2))],
        oil(80.0, N3), acc=(6, 1, 70, 303.15), cut=(110, 170)))
    C.append(case("store-10-pinned-with-pump", "function rests at a threshold and takes the pump's flow; others below it get all",
        CCn, "together", 220, [p16(), p8()],
        [step(20, fn(60, 150, 10, 1.3, 0.8), fn(12, 90, 3, 0.7, 0.0)), step(15),
         step(12, fn(30, 155, 5), fn(30, 150, 10, 1.1, 0.4)), step(8, fn(8, 60, 1))],
        oil(80.0, N3), acc=(5, 1, 100, 308.15), cut=(165, 200)))
    C.append(case("store-11-short-cycling", "small store, the switch acts several times a second", CCn, "together", 215,
        [p40()],
        [step(12, fn(30, 110, 6)), step(8, fn(38, 120, 8, 1.2, 0.7)), step(5)],
        oil(80.0, N2), acc=(1, 1, 110, 303.15), cut=(160, 185)))
    C.append(case("store-12-period-above-one", "the switch does not act in every cycle", CCn, "together", 210,
        [p16()],
        [step(4, fn(20, 100, 5)), step(12), step(3, fn(15, 90, 2, 1.3, 0.5))],
        oil(80.0, N3), acc=(20, 1, 90, 308.15), cut=(130, 185)))
    C.append(case("store-13-runs-empty", "store runs empty within a step, pumps alone, then refills", CCn, "together", 210,
        [p25()],
        [step(12, fn(95, 44, 8, 0.8), fn(10, 30, 1)), step(30), step(5, fn(70, 36, 8, 1.25, 0.6)), step(25)],
        oil(80.0, N4), acc=(6, 1, 90, 303.15), cut=(120, 180)))
    C.append(case("store-14-runs-empty-staggered", "store runs empty, three switches, supply between thresholds when empty",
        CCn, "staggered", 230, [p8(), p16(), p25()],
        [step(15, fn(75, 40, 5), fn(60, 70, 5, 1.3, 0.4), fn(15, 130, 5)), step(25),
         step(10, fn(110, 50, 10, 0.7)), step(40, fn(10, 120, 2))],
        oil(80.0, N3), acc=(10, 1, 100, 303.15), cut=(150, 200), stagger=10))
    C.append(case("store-15-slow-settling", "continuous, settles over many cycles by slip alone", CCn, "continuous", 250,
        [pump("s16", 16, 1500, 200, 32, 0.93, 0.84)],
        [step(10, fn(30.0, 60, 5)), step(10, fn(20.1, 70, 3)), step(5, fn(22.6, 50, 2, 1.2, 0.5))],
        oil(80.0, [80.0, 77.0, 74.0]), acc=(10, 1, 70, 303.15)))
    C.append(case("store-16-compensated-continuous", "compensated pump rests at its setting with a store", CCn, "continuous", 230,
        [p40(set_bar=190)],
        [step(5, fn(150, 110, 12, 0.7)), step(15, fn(20, 120, 3)), step(20), step(6, fn(90, 150, 10, 1.3, 0.8)),
         step(4, held=160)], oil(80.0, N4), acc=(10, 1, 100, 308.15)))
    C.append(case("store-17-compensated-matched", "compensated and fixed pumps, matched, setting below cut-out", CCn, "matched", 240,
        [p25(set_bar=185), p16(), p8()],
        [step(8, fn(45, 120, 6)), step(6, fn(90, 110, 10, 1.2, 0.6)), step(14), step(12, fn(20, 140, 3)),
         step(5, fn(15, 188, 4, 1.0, 0.0))], oil(80.0, N3), acc=(8, 1, 105, 303.15), cut=(160, 200)))
    C.append(case("store-18-big-bottles", "two large bottles, long cycle, three pumps, shares and ratios at their ends",
        CCn, "staggered", 280, [p60(), p40(), p25(ratio=1.3)],
        [step(40, fn(120, 150, 15, 0.5, 0.0)), step(25, fn(260, 170, 20, 1.8, 1.0)), step(60),
         step(30, fn(330, 140, 30, 1.2, 0.5), fn(40, 200, 5, 0.0, 1.0)), step(45, fn(60, 180, 6)),
         step(20, held=200), step(15, fn(200, 120, 10, 2.0, 0.25))],
        oil(80.0, N3, 68.0, 8.73), acc=(40, 2, 150, 318.15), cut=(210, 260), stagger=12, rpm=1700))
    C.append(case("store-19-long-many-steps", "twelve steps, matched, 300 s, held and idle steps", CCn, "matched", 230,
        [p8(), p16(), p40()],
        [step(30, fn(10, 120, 2)), step(20, fn(45, 130, 6, 0.75)), step(10, fn(130, 100, 15, 1.33)), step(40),
         step(25, held=150), step(15, fn(25, 140, 4, 1, 0)), step(20, fn(90, 120, 9, 0.6, 0.9)), step(30),
         step(35, fn(14, 110, 3)), step(20, fn(60, 150, 8, 1.5, 0.7), fn(15, 80, 2)), step(15, held=140),
         step(40, fn(5, 100, 1))], oil(80.0, N3, 32.0, 5.36), acc=(12, 1, 105, 308.15), cut=(155, 195),
        rpm=1600, idle=850, idle_opt=True))
    C.append(case("store-20-rests-at-relief-threshold", "continuous: falls, rests at a threshold, rises to the relief valve",
        CCn, "continuous", 190, [p25(), p8()],
        [step(10, fn(80, 120, 10, 1.2, 0.8), fn(20, 80, 4)), step(12, fn(15, 150, 3)), step(8, fn(75, 140, 12)),
         step(15)], oil(80.0, N3), acc=(4, 1, 85, 303.15)))
    C.append(case("store-21-identical-pumps", "three equal pumps, staggered: ties go by id, then by place",
        CCn, "staggered", 225, [p16(), p16(), p16()],
        [step(9, fn(50, 120, 8, 1.1, 0.8)), step(7), step(5, fn(110, 100, 15, 0.8)), step(11, fn(18, 140, 3, 1.0, 0.0)),
         step(6, held=155)], oil(80.0, N3), acc=(6, 2, 100, 308.15), cut=(160, 200), stagger=7))
    C.append(case("store-22-coincident-points", "a threshold on the cut-in point, the same threshold in two steps running, one on the second cut-out",
        CCn, "staggered", 220, [p25(), p8()],
        [step(10, fn(70, 140, 10, 1.2, 0.7)), step(6, fn(30, 145, 5), fn(25, 142, 8, 0.9, 0.5)), step(12),
         step(8, fn(20, 185, 5)), step(9, fn(60, 130, 10, 0.7)), step(5, held=140)],
        oil(80.0, N3), acc=(6, 1, 95, 303.15), cut=(150, 200), stagger=10))
    C.append(case("store-23-irregular", "pump without slip, constant demand: the phase of the switch drifts, no period is found",
        CCn, "together", 215, [pump("ideal20", 20, 1500, 200, 36, 1.0, 0.9)],
        [step(60, fn(9, 100, 5))], oil(80.0, N2), acc=(10, 1, 100, 313.15), cut=(150, 200)))
    C.append(case("store-24-slow-decline", "settles downward by slip alone over thousands of cycles; the jumps do not suffice",
        CCn, "continuous", 200, [p16()],
        [step(10, fn(44, 40, 5)), step(10, fn(8.5, 30, 2, 1.2, 0.5)), step(5, fn(30, 50, 4))],
        oil(80.0, [80.0, 60.0]), acc=(40, 1, 90, 303.15)))
    C.append(case("store-25-together-altitude-cold-gas", "sequences of short and long steps, high site, cool gas",
        CCn, "together", 200, [p8(), p25(ratio=0.9)],
        [step(3, fn(80, 100, 10, 1.6, 0.9)), step(2), step(3, fn(80, 100, 10, 0.625, 0.0)), step(30), step(1, fn(60, 60, 5)),
         step(45, fn(6, 110, 1))], oil(70.0, [70.0, 40.0, 10.0], 32.0, 5.36), acc=(4, 2, 95, 278.15), cut=(135, 175),
        air=70109.0, rpm=2000))
    C.append(case("store-26-lossless-by-hand", "pump without slip, one discharge below cut-in, one full charge: all by hand",
        CCn, "together", 215, [pump("ideal20", 20, 1500, 200, 36, 1.0, 0.9)],
        [step(2, fn(40, 100, 5)), step(10)], oil(80.0, N2), acc=(10, 1, 100, 313.15), cut=(150, 200)))
    return C


def load_case(d):
    return Case(json.loads(json.dumps(d)))


def run_all(cases, rtol=None, atol=None, verbose=True):
    res = []
    for d in cases:
        t0 = time.time()
        cs = load_case(d)
        nodes = []
        for nd in d["oil"]["nodes"]:
            sim = Sim(cs, nd["dynamic_viscosity_pa_s"], rtol, atol)
            o = summarise(cs, sim, sim.run())
            tol = 1e-2 if o["irregular"] else 1e-5 if o["cycles_run_last_start"] >= 100 else 1e-6
            o = {"temperature_c": nd["temperature_c"], "suggested_relative_tolerance": tol, **o}
            nodes.append(o)
        entry = {"name": d["name"], "nodes": nodes}
        if cs.scheme == "matched":
            entry["selection"] = [{"upper_set": sorted(s["_U"]), "lower_set": sorted(s["_L"])}
                                  if cs.gas else {"upper_set": sorted(s["_U"])} for s in cs.steps]
        if cs.scheme == "staggered":
            entry["stagger_rank_per_pump"] = cs.rank
        if cs.gas:
            entry["gas"] = {
                "mass_kg": cs.gas.mass,
                "volume_at_cut_out_or_relief_m3": cs.gas.v_anchor,
                "pressure_when_empty_pa": cs.gas.p_empty,
                "volume_at_cut_in_m3": cs.gas.v(cs.p1) if cs.p1 else None,
                "volume_at_relief_m3": cs.gas.v(cs.relief)}
        res.append(entry)
        if verbose:
            print("%-44s %5.1f s" % (d["name"], time.time() - t0))
            for o in nodes:
                print("   %4.0f C k=%d ran=%d jumps=%d%s%s heat=%9.3f shaft=%9.3f short=%.5f worst=%.4f "
                      "p=%.2f..%.2f ch/h=%.2f res=%.1e %s" % (
                          o["temperature_c"], o["period_k"], o["cycles_run_last_start"], o["jumps_taken"],
                          " DRAINS" if o["drains"] else "", " IRR" if o["irregular"] else "",
                          o["mean_heat_w"], o["mean_shaft_w"], o["shortfall"], o["worst_step_shortfall"],
                          o["lowest_supply_pa"] / 1e5, o["highest_supply_pa"] / 1e5,
                          o["mode_changes_per_hour"], o["ledger_residual_over_shaft"],
                          "; ".join(o["findings"])), flush=True)
    return res


def write(name, obj):
    with open(os.path.join(HERE, name), "w") as f:
        json.dump(obj, f, indent=1)
        f.write("\n")


def about():
    return {"made_with": {"python": sys.version.split()[0], "scipy": scipy.__version__,
                          "numpy": np.__version__, "CoolProp": CoolProp.__version__},
            "units": "SI; pressures gauge unless the name says absolute",
            "nitrogen": "Span et al. 2000, HEOS"}


def flat(o, pre=""):
    if isinstance(o, dict):
        for k, x in o.items():
            yield from flat(x, pre + "/" + k)
    elif isinstance(o, list):
        for i, x in enumerate(o):
            yield from flat(x, pre + "/%d" % i)
    elif not isinstance(o, (bool, str)) and o is not None:
        yield pre, o


SKIP = ("ledger_residual", "suggested", "mean_stored_change", "cycles_run", "jumps_taken")


def difference(a, b):
    """largest difference of two result lists: means against the node's shaft power or asked volume"""
    worst = {"energies": (0.0, ""), "volumes": (0.0, ""), "pressures": (0.0, ""), "counts": (0.0, "")}
    for ca, cb in zip(a, b):
        for na, nb in zip(ca["nodes"], cb["nodes"]):
            if na["irregular"] or nb["irregular"]:
                continue
            fa, fb = dict(flat(na)), dict(flat(nb))
            assert fa.keys() == fb.keys(), ca["name"]
            for k in fa:
                if any(x in k for x in SKIP):
                    continue
                d = abs(fa[k] - fb[k])
                if k.endswith("_w") or "/mean_heat_by_source_w/" in k:
                    g, d = "energies", d / na["mean_shaft_w"]
                elif "_pa" in k:
                    g, d = "pressures", d / max(na["highest_supply_pa"], 1.0)
                elif "m3" in k or "shortfall" in k:
                    g, d = "volumes", d / max(abs(fa[k]), 1e-3)
                else:
                    g = "counts"
                if d > worst[g][0]:
                    worst[g] = (d, "%s %g C %s" % (ca["name"], na["temperature_c"], k))
    return worst


def hand_checks(cases, res):
    by = {c["name"]: (c, r) for c, r in zip(cases, res)}

    def show(what, got, want):
        print("  %-66s %.12g  %.12g  %.1e" % (what, got, want, abs(got / want - 1)))

    print("hand checks: model, by hand, relative difference")
    # Wilson check rows: 16 cm3, 1500 rpm, 200 bar, 36 mm2/s, 870 kg/m3, 0.95, 0.86
    q = Pump(pump("x", 16, 1500, 200, 36, 0.95, 0.86))
    show("Wilson Cs", q.Cs, 1.22993e-8)
    show("Wilson Cv", q.Cv, 127630)
    show("Wilson Cf", q.Cf, 0.0732558)
    for rpm, bar, nu, qv, tq in [(1500, 200, 12, 20.4, 55.1935), (1500, 200, 100, 23.568, 59.1020),
                                 (750, 200, 36, 10.8, 55.46), (1500, 20, 36, 23.88, 7.065)]:
        a = q.at(rpm / 60, nu * 870e-6)
        p = bar * 1e5
        show("Wilson flow L/min %g rpm %g bar %g" % (rpm, bar, nu), a.full(p) * 60000, qv)
        tor = (a.VN * p + a.friction(p)) / (2 * math.pi * rpm / 60)
        show("Wilson torque N m", tor, tq)
    # isentropic nitrogen from 100 bar, 293 K (known values of V/V0)
    g = Gas(1.0, 100e5, 293.0, 293.0, 100.0001e5, 320e5, 0.0)
    for bar, want in [(150, 0.783143), (200, 0.663997), (250, 0.587257), (300, 0.533049)]:
        show("isentropic V/V0 at %g bar" % bar, 1 - g.v(bar * 1e5), want)
    # lossless band: t_on, t_off, changes per hour, mean powers
    c, r = by["store-23-irregular"]
    cs = load_case(c)
    gas = cs.gas
    a = gas.a
    vols = []
    for p in (cs.p2, cs.p1):
        a.update(CP.PSmass_INPUTS, p + cs.air, gas.s0)
        vols.append(gas.V0 - gas.mass / a.rhomass())
    dV = vols[0] - vols[1]
    Qd, Qp = 9 / 60000, 20e-6 * 30
    t_on, t_off = dV / (Qp - Qd), dV / Qd
    Tc = 60.0
    # trace switching turns of many cycles: duty of the whole, from the period found
    o = r["nodes"][0]
    print("   dV %.6f L, t_on %.6f s, t_off %.6f s, turns/h %.6f (k = %d, changes/h %.6f)" % (
        dV * 1e3, t_on, t_off, 3600 / (t_on + t_off), o["period_k"], o["mode_changes_per_hour"]))
    k = o["period_k"]
    on_time = 0.0
    t = 0.0
    # from the start at cut-out: off, on, off, ... until k cycles before the end of the run
    ends = o["cycles_run_last_start"] * Tc
    start = ends - k * Tc
    phase, t, seg = 0, 0.0, []
    while t < ends:
        d = t_off if phase == 0 else t_on
        lo, hi = max(t, start), min(t + d, ends)
        if hi > lo and phase == 1:
            on_time += hi - lo
        t += d
        phase ^= 1
    duty = on_time / (k * Tc)
    mu = c["oil"]["nodes"][0]["dynamic_viscosity_pa_s"]
    q = Pump(c["pumps"][0])
    pa = q.at(30.0, mu)
    un = q.unload
    show("mean unloading heat W", o["mean_heat_by_source_w"]["unloading_and_standby"], (1 - duty) * Qp * un)
    show("mean return flow", o["mean_return_flow_m3s"], Qd + (1 - duty) * Qp)
    show("mean work W", o["mean_work_w"], Qd * 100e5)
    c, r = by["store-26-lossless-by-hand"]
    o = r["nodes"][0]
    t1 = dV / (40 / 60000)
    on1 = 2 - t1
    low = vols[0] - dV - (40 / 60000 - Qp) * on1
    on_time = on1 + (vols[0] - low) / Qp
    show("store-26 lowest volume m3", o["store_volume_lowest_m3"], low)
    show("store-26 mean unloading heat W", o["mean_heat_by_source_w"]["unloading_and_standby"],
         (1 - on_time / 12) * Qp * un)
    show("store-26 changes per hour", o["mode_changes_per_hour"], 2 * 300.0)
    pint = quad(gas.p, vols[1], vols[0], epsabs=0, epsrel=1e-13)[0] / (40 / 60000) \
        + quad(gas.p, low, vols[1], epsabs=0, epsrel=1e-13)[0] / (40 / 60000 - Qp)
    show("store-26 throttling W", o["mean_heat_by_source_w"]["throttling"],
         40 / 60000 * (pint - 105e5 * 2) / 12)
    # a plain step by arithmetic: two fixed pumps, 180 bar, 80 C, step 1 (30 L/min asked at 120 + 12 bar)
    c, r = by["plain-01-continuous-surplus"]
    mu = c["oil"]["nodes"][0]["dynamic_viscosity_pa_s"]
    p, heat, Q = 180e5, 0.0, 0.0
    for cc, w, pr, mur, ev, et in [(16e-6, 25.0, 200e5, 36e-6 * 870, 0.95, 0.86),
                                   (25e-6, 30.0, 210e5, 32e-6 * 870, 0.94, 0.85)]:
        lam = mur * 2 * math.pi * w / pr
        Cs, Lo = (1 - ev) * lam, ev / et - 1
        Cv, Cf = 0.3 * Lo / lam, 0.7 * Lo
        om, D = 2 * math.pi * 30.0, cc / (2 * math.pi)
        slip = Cs * D * p / mu
        Q += D * om - slip
        heat += (Cv * D * mu * om + Cf * D * p) * om + slip * p
    q1 = 30 / 60000
    heat += (Q - q1) * p + q1 * (p - 132e5) + q1 * 12e5
    show("plain-01 step 1 heat W", r["nodes"][0]["steps"][0]["mean_heat_w"], heat)
    show("plain-01 step 1 return m3/s", r["nodes"][0]["steps"][0]["mean_return_flow_m3s"], 0.75 * q1 + Q - q1)
    # one charging turn as a quadrature over v, against integration in time (with slip)
    c, r = by["store-12-period-above-one"]
    cs = load_case(c)
    sim = Sim(cs, c["oil"]["nodes"][0]["dynamic_viscosity_pa_s"])
    cyc, rec = CycleRecord(), StepRecord()
    pa = sim.at[1][0]
    v0 = sim.v_of(cs.p1)
    v, pp, used = sim.move(cyc, rec, 1, frozenset([0]), v0, cs.p1, 1, 1000.0)
    want = quad(lambda x: 1 / (pa.VN - pa.k * cs.gas.p(x)), v0, sim.v_of(cs.p2), epsabs=0, epsrel=1e-13)[0]
    show("time of a full charge s, by quadrature over v", used, want)
    want = quad(lambda x: pa.k * cs.gas.p(x) ** 2 / (pa.VN - pa.k * cs.gas.p(x)), v0, sim.v_of(cs.p2),
                epsabs=0, epsrel=1e-13)[0]
    show("slip heat of a full charge J, by quadrature over v", rec.E["pump_slip"], want)


if __name__ == "__main__":
    cases = build()
    if "--only" in sys.argv:
        pat = sys.argv[sys.argv.index("--only") + 1]
        run_all([c for c in cases if pat in c["name"]])
        sys.exit()
    t0 = time.time()
    res = run_all(cases, verbose="--quiet" not in sys.argv)
    print("cases", len(cases), "nodes", sum(len(r["nodes"]) for r in res),
          "worst residual %.2e" % max(abs(o["ledger_residual_over_shaft"]) for r in res for o in r["nodes"]),
          "gas fit %.1e" % STATS.get("gas_fit", 0), "%.0f s" % (time.time() - t0))
    if "--check" in sys.argv:
        for rt, at in ((RTOL / 2, ATOL_REL / 2), (1e-9, 1e-11)):
            print("tolerances", rt, at)
            for k, x in difference(res, run_all(cases, rt, at, False)).items():
                print("   %-10s %.2e  %s" % ((k,) + x))
        keep = CLOSE_TOL
        CLOSE_TOL = 1e-10
        print("closing tolerance", CLOSE_TOL)
        for k, x in difference(res, run_all(cases, None, None, False)).items():
            print("   %-10s %.2e  %s" % ((k,) + x))
        CLOSE_TOL = keep
        hand_checks(cases, res)
    else:
        write("cycles.json", {"about": about(), "cases": cases})
        write("cycles_expected.json", {"about": about(), "cases": rounded(res)})
