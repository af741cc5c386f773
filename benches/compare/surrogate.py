"""A linear surrogate for CP-SAT: the exact price, and what every adequate combination must meet without a simulation.

CP-SAT lists all combinations of one band of price after the other; the program says which of them are adequate.
Most constraints follow from a check or a rule, so no adequate combination is lost; two are estimates (ESTIMATE below).
Heat, accumulators' course, shortfall, inlet, engine power are simulated and stay unknown to the surrogate.
"""

import math
import time
from collections import defaultdict

from ortools.sat.python import cp_model

# Flow of a fixed pump on or off load / its flow without slip, at the least, over the cycle. An estimate.
ESTIMATE = 0.75
# Names that one run of the solver should list.
BAND = 5000
# m3/s in whole numbers: 1e-9 m3/s.
FLOW = 1e9


def steps_of(profile):
    """Duration, asked flow, return flow, highest load of each step."""
    for step in profile:
        functions = step["functions"]
        yield (
            step["duration_s"],
            sum(f["flow_m3_per_s"] for f in functions),
            sum(f["flow_m3_per_s"] * f["return_ratio"] for f in functions),
            max((f["load_pressure_pa"] for f in functions), default=0.0),
        )


class Surrogate:
    """The model, with a row of 0/1 variables for each slot and whole numbers of pumps."""

    def __init__(self, slots):
        self.slots = slots
        self.study = slots["study"]
        self.settings = {line["key"]: line["value"] for line in slots["settings"]}
        self.model = cp_model.CpModel()
        self.one = {}
        for slot in ["engines", "relief_valves", "schemes", "accumulators", "coolers", "reservoirs", "return_filters"]:
            self.one[slot] = [self.model.new_bool_var(f"{slot}{i}") for i in range(len(slots[slot]))]
            self.model.add_exactly_one(self.one[slot])
        counts = slots["pump_counts"]
        self.pumps = [self.model.new_int_var(0, max(counts), f"pump{i}") for i in range(len(slots["pumps"]))]
        self.number = self.model.new_int_var_from_domain(cp_model.Domain.from_values(counts), "number")
        self.model.add(sum(self.pumps) == self.number)
        self.price()
        self.rules()
        self.flows()
        self.sums()

    def facts(self, slot):
        return [choice["facts"] for choice in self.slots[slot]]

    def where(self, slot, test):
        """Variables of the choices that pass a test."""
        return [var for var, fact in zip(self.one[slot], self.facts(slot)) if test(fact)]

    def forbid(self, *literals):
        self.model.add_bool_or([literal.negated() for literal in literals])

    def is_choice(self, slot, test):
        """A variable that is 1 where the choice passes a test."""
        var = self.model.new_bool_var("")
        self.model.add(var == sum(self.where(slot, test)))
        return var

    def price(self):
        """Price in cents, exact but for unloading valves that are owned or run out (then at most the true one)."""
        model, slots, study = self.model, self.slots, self.study
        terms = []
        for slot in ["engines", "relief_valves", "accumulators", "coolers", "reservoirs", "return_filters"]:
            for var, fact in zip(self.one[slot], self.facts(slot)):
                if fact is not None:
                    bought = max(0, fact.get("count", 1) - fact["owned"])
                    terms.append(bought * fact["price_cents"] * var)
        by_id = defaultdict(list)
        for var, fact in zip(self.pumps, self.facts("pumps")):
            by_id[fact["id"]].append((var, fact))
        most = max(slots["pump_counts"])
        for same in by_id.values():
            fact, used = same[0][1], sum(var for var, _ in same)
            if fact["stock"] is not None:
                model.add(used <= fact["stock"])
            if fact["owned"] == 0:
                terms.append(fact["price_cents"] * used)
            elif fact["owned"] < most:
                bought = model.new_int_var(0, most, "")
                model.add_max_equality(bought, [0, used - fact["owned"]])
                terms.append(fact["price_cents"] * bought)
        rule = {name: self.is_choice("schemes", lambda s, n=name: s["rule"] == n) for name in
                ["continuous", "together", "staggered", "matched"]}
        self.rule = rule
        terms.append(study["switch_price_cents"] * rule["together"])
        terms.append(study["controller_price_cents"] * rule["matched"])
        switches = model.new_int_var(0, most, "switches")
        model.add(switches == self.number).only_enforce_if(rule["staggered"])
        model.add(switches == 0).only_enforce_if(rule["staggered"].negated())
        terms.append(study["switch_price_cents"] * switches)
        # the cheapest unloading valve that carries a pump at an engine speed
        lowest = min(r["setting_pa"] for r in self.facts("relief_valves"))
        dearest = 4 * max((v["price_cents"] for v in slots["unloading_valves"]), default=0)
        valves = model.new_int_var(0, dearest, "valves")
        model.add(valves == 0).only_enforce_if(rule["continuous"])
        for engine, fact in zip(self.one["engines"], self.facts("engines")):
            prices = []
            for var, pump in zip(self.pumps, self.facts("pumps")):
                fits = [
                    0 if v["owned"] else v["price_cents"]
                    for v in slots["unloading_valves"]
                    if v["rated_flow_m3_per_s"] >= self.flow(pump, fact) and v["highest_pressure_pa"] >= lowest
                ]
                if pump["compensator_setting_pa"] is not None:
                    continue
                if fits:
                    prices.append(min(fits) * var)
                else:
                    model.add(var == 0).only_enforce_if(engine, rule["continuous"].negated())
            model.add(valves == sum(prices)).only_enforce_if(engine, rule["continuous"].negated())
        terms.append(valves)
        self.cost = model.new_int_var(0, study["budget_cents"] or 10**9, "cost")
        model.add(self.cost == sum(terms))

    @staticmethod
    def flow(pump, engine):
        """Flow without slip, m3/s."""
        return pump["displacement_m3_per_rad"] * pump["drive_ratio"] * engine["speed_rad_per_s"]

    def rules(self):
        """Rules of exclusion and checks of ratings."""
        none = self.where("accumulators", lambda t: t is None)
        schemes = self.facts("schemes")
        for i, (scheme, fact) in enumerate(zip(self.one["schemes"], schemes)):
            cut_out = fact["cut_out_pa"]
            earlier = any(e["rule"] == fact["rule"] and e["engine_idles"] == fact["engine_idles"] for e in schemes[:i])
            for store in none:
                if fact["rule"] in ("together", "staggered") or earlier:
                    self.forbid(scheme, store)
            if fact["rule"] == "matched" and cut_out is None:
                self.model.add(sum(none) == 1).only_enforce_if(scheme)
            if fact["rule"] != "continuous" and cut_out is not None:
                weak = self.where("relief_valves", lambda r: r["setting_pa"] < cut_out or r["cracking_pressure_pa"] < cut_out * (1 - 1e-9))
                for relief in weak:
                    for store, has in zip(self.one["accumulators"], self.facts("accumulators")):
                        if has is not None:
                            self.forbid(scheme, relief, store)
        load = max(highest for *_, highest in steps_of(self.slots["profile"]))
        for relief, fact in zip(self.one["relief_valves"], self.facts("relief_valves")):
            if not fact["lowest_setting_pa"] <= fact["setting_pa"] <= fact["highest_setting_pa"]:
                self.model.add(relief == 0)
            if fact["cracking_pressure_pa"] < load * (1 - 1e-9):
                for store in none:
                    self.forbid(relief, store)
            for store in self.where("accumulators", lambda t: t is not None and t["highest_pressure_pa"] < fact["setting_pa"]):
                self.forbid(relief, store)
            for pump, row in zip(self.pumps, self.facts("pumps")):
                compensator = row["compensator_setting_pa"] or 0.0
                if row["highest_pressure_pa"] < fact["setting_pa"] or compensator > fact["cracking_pressure_pa"] * (1 + 1e-9):
                    self.model.add(pump == 0).only_enforce_if(relief)
        for engine, fact in zip(self.one["engines"], self.facts("engines")):
            for pump, row in zip(self.pumps, self.facts("pumps")):
                speed = fact["speed_rad_per_s"] * row["drive_ratio"]
                if speed > row["highest_speed_rad_per_s"] * (1 + 1e-9) or speed < (row["lowest_speed_rad_per_s"] or 0) * (1 - 1e-9):
                    self.model.add(pump == 0).only_enforce_if(engine)
            for cooler, row in zip(self.one["coolers"], self.facts("coolers")):
                current = self.settings["base_current"] + (row["count"] * row["fan_current_a"] if row else 0.0)
                if current > fact["alternator_current_a"] * (1 + 1e-9):
                    self.forbid(engine, cooler)
        for slot in ["engines", "relief_valves", "accumulators", "coolers", "reservoirs", "return_filters"]:
            for var, fact in zip(self.one[slot], self.facts(slot)):
                stock = fact and fact["stock"]
                voltage = fact and fact.get("fan_voltage_v", self.study["voltage_v"])
                level = fact and fact.get("level_range_m3", self.settings["rod_volume"])
                if fact and (
                    (stock is not None and fact.get("count", 1) > stock)
                    or abs(voltage - self.study["voltage_v"]) > 1e-9
                    or level < self.settings["rod_volume"] * (1 - 1e-9)
                ):
                    self.model.add(var == 0)

    def flows(self):
        """Relief flow, asked flow, dwell, flow through cooler and filter."""
        settings = self.settings
        steps = list(steps_of(self.slots["profile"]))
        period = sum(duration for duration, *_ in steps)
        mean = sum(duration * asked for duration, asked, *_ in steps) / period
        peak = max(asked for _, asked, *_ in steps)
        back = sum(duration * returned for duration, _, returned, _ in steps) / period
        extra = back - mean  # what cylinders give back more than they take
        rest = sum(duration for duration, asked, *_ in steps if asked == 0.0) / period
        stored = self.is_choice("accumulators", lambda t: t is not None)
        idle = self.is_choice("schemes", lambda s: s["engine_idles"])
        up, down = (lambda v: math.ceil(v * FLOW)), (lambda v: math.floor(v * FLOW))
        rated = sum(up(f["rated_flow_m3_per_s"]) * v for v, f in zip(self.one["relief_valves"], self.facts("relief_valves")))
        limits = {
            "return_filters": [up(f["count"] * f["rated_flow_m3_per_s"]) for f in self.facts("return_filters")],
            "coolers": [up(f["count"] * f["highest_flow_m3_per_s"]) if f else 10**12 for f in self.facts("coolers")],
            "reservoirs": [up(f["oil_volume_m3"] / settings["residence_time_limit"]) for f in self.facts("reservoirs")],
        }
        capacity = {slot: sum(n * v for n, v in zip(limits[slot], self.one[slot])) for slot in limits}
        for engine, fact in zip(self.one["engines"], self.facts("engines")):
            flows = [(var, self.flow(row, fact), row["compensator_setting_pa"] is None) for var, row in
                     zip(self.pumps, self.facts("pumps"))]
            ideal = sum(down(flow) * var for var, flow, _ in flows)
            most = sum(up(flow) * var for var, flow, _ in flows)
            self.model.add(ideal <= rated).only_enforce_if(engine)
            least = down(mean * (1 - settings["shortfall_limit"]))
            self.model.add(most >= least).only_enforce_if(engine)
            least = down(peak * (1 - settings["step_shortfall_limit"]))
            self.model.add(most >= least).only_enforce_if(engine, stored.negated())
            # estimates: fixed pumps keep pumping, on load or off
            share = 1.0 - rest + rest * fact["idle_speed_rad_per_s"] / fact["speed_rad_per_s"]
            sure = sum(down(ESTIMATE * flow) * var for var, flow, fixed in flows if fixed)
            slow = sum(down(ESTIMATE * share * flow) * var for var, flow, fixed in flows if fixed)
            for slot in ["return_filters", "coolers"]:
                self.model.add(sure <= capacity[slot]).only_enforce_if(engine)
            dwell = capacity["reservoirs"]
            self.model.add(sure + down(min(extra, 0.0)) <= dwell).only_enforce_if(engine, idle.negated())
            self.model.add(slow + down(min(extra, 0.0)) <= dwell).only_enforce_if(engine, idle)

    def sums(self):
        """Mass and space."""
        for key, limit in [("mass_kg", self.study["highest_mass_kg"]), ("installed_volume_m3", self.study["highest_installed_volume_m3"])]:
            if limit is None:
                continue
            terms = []
            for slot in ["engines", "relief_valves", "accumulators", "coolers", "reservoirs", "return_filters"]:
                for var, fact in zip(self.one[slot], self.facts(slot)):
                    if fact and fact[key]:
                        terms.append(math.floor(1e6 * fact[key] * fact.get("count", 1)) * var)
            terms += [math.floor(1e6 * (row[key] or 0)) * var for var, row in zip(self.pumps, self.facts("pumps"))]
            self.model.add(sum(terms) <= math.ceil(1e6 * limit))

    def name(self, value):
        """Name of a solution; `value` tells a variable's."""
        pumps = []
        for var, choice in zip(self.pumps, self.slots["pumps"]):
            pumps += [choice["name"]] * value(var)
        parts = ["+".join(pumps)]
        for slot in ["engines", "relief_valves", "schemes", "accumulators", "coolers", "reservoirs", "return_filters"]:
            parts += [c["name"] for var, c in zip(self.one[slot], self.slots[slot]) if value(var)]
        return "/".join(parts)


class Listed(cp_model.CpSolverSolutionCallback):
    """Gathers names; judges and forgets them in batches."""

    def __init__(self, surrogate, judge, end):
        super().__init__()
        self.surrogate, self.judge, self.end, self.names = surrogate, judge, end, []

    def on_solution_callback(self):
        self.names.append(self.surrogate.name(self.value))
        if len(self.names) >= 2000:
            self.flush()
        if time.monotonic() >= self.end:
            self.stop_search()

    def flush(self):
        if self.names:
            self.judge(self.names)
            self.names = []


def cheapest(slots, program, seconds, threads):
    """Names by rising price as far as the time goes, in bands of price: all judged, in order; the adequate ones with
    figures and times; the price in cents up to which all are listed.
    """
    start = time.monotonic()
    end = start + seconds
    surrogate = Surrogate(slots)
    order, adequate = [], {}

    def judge(names):
        for name, scored in zip(names, program.score(names)):
            order.append((name, scored))
            if scored.state == "adequate":
                adequate[name] = (scored, time.monotonic() - start)

    solver = cp_model.CpSolver()
    solver.parameters.num_workers = threads
    solver.parameters.use_lns = False
    solver.parameters.max_time_in_seconds = seconds
    model = surrogate.model.clone()
    model.minimize(surrogate.cost)
    if solver.solve(model) != cp_model.OPTIMAL:
        return order, adequate, None
    done = round(solver.objective_value) - 1
    band = max(1, done // 50)
    while (left := end - time.monotonic()) > 0:
        model = surrogate.model.clone()
        model.add_linear_constraint(surrogate.cost, done + 1, done + band)
        solver = cp_model.CpSolver()
        solver.parameters.enumerate_all_solutions = True
        solver.parameters.num_workers = 1
        solver.parameters.linearization_level = 0  # a hundred times faster here than with linear programs
        solver.parameters.max_time_in_seconds = left
        before = len(order)
        listed = Listed(surrogate, judge, end)
        status = solver.solve(model, listed)
        listed.flush()
        if status not in (cp_model.OPTIMAL, cp_model.INFEASIBLE) or time.monotonic() >= end:
            break
        done += band
        # about BAND names at once, so that the order by price is kept nearly and little time goes into starting
        band = max(1, round(band * min(4.0, BAND / max(len(order) - before, 1))))
    return order, adequate, done
