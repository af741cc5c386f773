#!/usr/bin/env python3
"""Makes the generic catalog: eight CSV files in catalogs/generic/.

Every number is invented: it follows a trend (how such parts usually grow with size) plus a small wobble, so that no
row is exactly on the line, as in a real price list. No random numbers: the same script gives the same files on any
machine. Standard library only. Run: python3 catalogs/make_generic.py
"""

import csv
import math
from pathlib import Path

FOLDER = Path(__file__).resolve().parent / "generic"
SOURCE = "invented; see catalogs/README.md"


# ---------------------------------------------------------------- small tools


def wobble(n):
    """An uneven but fixed number between -1 and 1 for the n-th row (steps of the golden ratio)."""
    return 2.0 * ((n * 0.6180339887498949) % 1.0) - 1.0


def price(trend, n, spread=0.06):
    """A price near its trend, in cents, never a round sum."""
    return f"{trend * (1.0 + spread * wobble(7 * n + 3)) + 0.13 * (n % 7):.2f}"


def near(trend, n, spread, digits):
    """A figure near its trend, rounded as data sheets round."""
    text = f"{trend * (1.0 + spread * wobble(3 * n + 1)):.{digits}f}"
    return text


def step(value, size):
    """Rounds to a multiple of `size`, as ratings are."""
    return f"{size * round(value / size):g}"


def by_size(value, table):
    """The entry of the first bound that `value` does not exceed: ((bound, entry), ...)."""
    return next(entry for bound, entry in table if value <= bound)


def write(name, heading, rows):
    FOLDER.mkdir(exist_ok=True)
    ids = [row[0] for row in rows]
    assert len(set(ids)) == len(ids), f"{name}: an id stands twice"
    assert all(len(row) == len(heading) for row in rows), f"{name}: a row is not as long as the heading"
    with open(FOLDER / name, "w", newline="", encoding="utf-8") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(heading)
        out.writerows(rows)
    print(f"{name}: {len(rows)} rows")


# ---------------------------------------------------------------- pumps
#
# The trend is not one of efficiencies but of Wilson's coefficients: slip Cs and relative torque loss L at the rated
# point, both falling with the size of the gears because gaps do not grow with them. The efficiencies of a row are
# what a test at the row's own rated point would show:
#     lambda = mu omega / dp,   eta_v = 1 - Cs / lambda,   eta_overall = eta_v / (1 + L)
# So a series tested with thick oil at high speed looks better in its table than it is: the program undoes that.

OIL_DENSITY = 870.0


def efficiencies(slip, loss, speed, pressure, viscosity):
    lam = viscosity * 1e-6 * OIL_DENSITY * (speed * 2.0 * math.pi / 60.0) / (pressure * 1e5)
    volumetric = 1.0 - slip / lam
    return f"{100 * volumetric:.1f}", f"{100 * volumetric / (1.0 + loss):.1f}"


def pumps():
    rows = []

    def gear(identity, size, n, grade, rated, limits, share, cost, mass, inlet, note):
        speed, pressure, viscosity = rated
        highest_pressure, highest_speed, lowest_speed, torque = limits
        slip = (grade[0] + grade[1] / math.sqrt(size)) * 1e-8 * (1.0 + 0.05 * wobble(n))
        loss = (grade[2] + grade[3] / math.sqrt(size)) * (1.0 + 0.06 * wobble(5 * n + 2))
        volumetric, overall = efficiencies(slip, loss, speed, pressure, viscosity)
        rows.append([
            identity, price(cost, n), near(mass, n, 0.04, 1), f"{0.35 + 0.3 * mass:.2f}",
            f"{size:g}", speed, pressure, viscosity, volumetric, overall, share,
            highest_pressure, highest_speed, lowest_speed, torque, inlet, "", SOURCE, note,
        ])

    # Shaft torque that the coupling end bears, by frame: four frames, as gear pumps are built.
    frame_torque = ((6.5, 48), (28, 112), (56, 195), (100, 320))
    pressures_a = ((11, 250), (19, 240), (28, 220), (45, 210), (63, 190), (80, 170), (100, 150))
    speeds_a = ((8, 4000), (16, 3600), (28, 3000), (45, 2700), (63, 2500), (100, 2200))

    # Series a: aluminium body, pressure-balanced side plates, small gaps.
    sizes = (2, 2.5, 3.3, 4, 5, 6.3, 8, 9.5, 11, 13, 14.5, 16, 19, 22, 25, 28, 31, 36, 40, 45, 51, 56, 63, 71, 80, 100)
    for n, size in enumerate(sizes):
        pressure = by_size(size, pressures_a)
        gear(
            f"gear-{size:g}-a", size, n, (1.05, 0.90, 0.072, 0.105),
            (1500, min(200, step_down(pressure * 0.85)), 36),
            (pressure, by_size(size, speeds_a), by_size(size, ((8, 700), (28, 600), (100, 500))), by_size(size, frame_torque)),
            "", 64 + 3.7 * size**0.97, 1.5 + 0.078 * size, 0.75 if size <= 40 else 0.8,
            "aluminium body, balanced side plates",
        )

    # Series b: the cheaper grade, wider gaps, tested faster and with thicker oil. Some limits are not stated.
    sizes = (2.6, 4.2, 5.5, 6.8, 8.2, 10, 12, 14, 16.5, 19.5, 22.5, 26, 30, 34, 39, 44, 52, 61, 74, 90)
    for n, size in enumerate(sizes, 40):
        pressure = by_size(size, ((10, 210), (22.5, 200), (34, 180), (52, 165), (90, 140)))
        gear(
            f"gear-{size:g}-b", size, n, (1.45, 1.15, 0.088, 0.135),
            (2000, step_down(pressure * 0.85), 46),
            (pressure, by_size(size, ((8.5, 3500), (17, 3200), (30, 2800), (52, 2500), (90, 2100))),
             "" if n % 4 == 1 else 700, "" if n % 5 == 2 else by_size(size, ((5.6, 40), (26, 95), (52, 165), (90, 270)))),
            "", 41 + 2.45 * size**0.97, 1.35 + 0.075 * size, "" if n % 3 == 0 else 0.8,
            "aluminium body, plain side plates",
        )

    # Cast-iron pumps for slow shafts: heavy, patient with poor suction, slow. Viscous share stated.
    for n, size in enumerate((14, 19, 26, 33, 41, 52, 64, 78, 98), 80):
        gear(
            f"iron-{size:g}", size, n, (1.15, 1.0, 0.080, 0.115),
            (1000, 160 if size < 60 else 150, 40),
            (210 if size < 40 else 190 if size < 60 else 175, 2400 if size < 30 else 2200 if size < 60 else 1900, 300,
             by_size(size, ((26, 150), (52, 260), (98, 410)))),
            "0.35", 92 + 4.6 * size**0.98, 3.1 + 0.17 * size, 0.7,
            "cast-iron body, slow shafts",
        )

    # Pressure-compensated axial piston pumps: little slip, more idle friction, a price of their own.
    kinds = ((18, 140), (18, 200), (28, 160), (28, 210), (45, 160), (45, 210), (63, 170), (63, 210), (80, 200))
    for n, (size, setting) in enumerate(kinds, 120):
        slip = (0.55 + 0.6 / math.sqrt(size)) * 1e-8 * (1.0 + 0.05 * wobble(n))
        loss = (0.085 + 0.11 / math.sqrt(size)) * (1.0 + 0.06 * wobble(5 * n + 2))
        volumetric, overall = efficiencies(slip, loss, 1500, 200, 36)
        mass = 5.6 + 0.37 * size
        rows.append([
            f"comp-{size}-{setting}", price(395 + 12.4 * size + 0.35 * (setting - 140), n), near(mass, n, 0.03, 1),
            f"{1.1 + 0.16 * size:.2f}", size, 1500, 200, 36, volumetric, overall, "0.4",
            280 if size < 60 else 260, by_size(size, ((18, 3300), (28, 3000), (45, 2700), (63, 2500), (80, 2300))),
            600, by_size(size, ((18, 130), (28, 190), (45, 320), (80, 560))), 0.85, setting, SOURCE,
            "axial piston, destrokes at its set pressure",
        ])

    write("pumps.csv", [
        "id", "price", "mass [kg]", "space [L]", "displacement [cm3/rev]", "rated speed [rpm]", "rated pressure [bar]",
        "rated viscosity [mm2/s]", "volumetric efficiency [%]", "overall efficiency [%]", "viscous loss fraction",
        "highest pressure [bar]", "highest speed [rpm]", "lowest speed [rpm]", "highest torque [N.m]",
        "min inlet pressure [bar abs]", "set pressure [bar]", "source", "note",
    ], rows)


def step_down(pressure):
    """Rated pressure: the next multiple of 5 bar at or below."""
    return 5 * math.floor(pressure / 5.0)


# ---------------------------------------------------------------- accumulators


def accumulators():
    rows = []

    # Diaphragm: small, cheap, welded. The ratio limit of the larger ones is stated (it falls from 8 to 4 or 6).
    kinds = ((0.16, 250), (0.32, 210), (0.5, 210), (0.5, 330), (0.7, 210), (0.75, 330), (1.0, 210), (1.4, 210), (1.4, 330),
             (2.0, 210), (2.0, 330), (2.8, 250), (3.5, 250))
    for n, (size, pressure) in enumerate(kinds):
        cost = (38 + 52 * size**0.75) * (pressure / 210) ** 0.6
        mass = (0.7 + 2.6 * size) * (pressure / 210) ** 0.8
        limit = {0.16: "6", 2.8: "4"}.get(size, "")
        rows.append([f"diaphragm-{size:g}-{pressure}", price(cost, n), near(mass, n, 0.03, 1), f"{1.6 * size + 0.2:.2f}",
                     f"{size:g}", pressure, "diaphragm", limit, "", SOURCE, "welded steel, gas valve"])

    # Bladder: the gas volume is what the bladder leaves of the nominal size. Time constants stated for some.
    kinds = ((1, 330), (2.5, 330), (4, 210), (4, 330), (6, 330), (10, 210), (10, 330), (20, 210), (20, 330), (32, 210),
             (32, 330), (50, 210), (50, 330))
    for n, (size, pressure) in enumerate(kinds, 20):
        gas = size * (0.91 + 0.03 * wobble(n))
        cost = (72 + 88 * size**0.66) * (pressure / 210) ** 0.35
        mass = (3.2 + 2.15 * size) * (pressure / 210) ** 0.6
        time = f"{30 * (size / 10) ** (1 / 3):.0f}" if n % 2 == 0 else ""
        rows.append([f"bladder-{size:g}-{pressure}", price(cost, n), near(mass, n, 0.03, 1), f"{2.3 * size + 0.8:.1f}",
                     f"{gas:.2f}", pressure, "bladder", "", time, SOURCE, "forged steel, bladder can be changed"])

    # Piston: any ratio of pressures, heavy and dear.
    kinds = ((1, 250), (2, 250), (4, 250), (6, 250), (10, 350), (16, 350), (25, 350), (50, 350))
    for n, (size, pressure) in enumerate(kinds, 40):
        cost = (145 + 128 * size**0.64) * (pressure / 250) ** 0.5
        mass = (6.0 + 3.3 * size) * (pressure / 250) ** 0.7
        rows.append([f"piston-store-{size:g}-{pressure}", price(cost, n), near(mass, n, 0.03, 1), f"{2.0 * size + 1.2:.1f}",
                     f"{size:g}", pressure, "piston", "", f"{24 * (size / 10) ** (1 / 3):.0f}" if n % 3 == 0 else "", SOURCE,
                     "honed tube, any mounting"])

    write("accumulators.csv", [
        "id", "price", "mass [kg]", "space [L]", "gas volume [L]", "highest pressure [bar]", "separator", "ratio limit",
        "time constant [s]", "source", "note",
    ], rows)


# ---------------------------------------------------------------- coolers
#
# The trend runs in W per kelvin of entering difference (G = rated heat / rated difference), because that is what a
# core and a fan give; the table then states it at 40, 50 or 55.6 K (100 degF diff). Same core, bigger number.
# Air: the fan moves as much air as makes G = share x air capacity flow; the share says how well the core uses it.


def coolers():
    rows = []
    air_capacity = 1.2 * 1007.0 / 3600.0  # W/K per m3/h

    def family(name, volts, kilowatts, difference, start, share, cost, mass, oil, viscosity, drop, bypass, flow, pressure, note):
        for n, heat in enumerate(kilowatts, start):
            conductance = 1000.0 * heat / difference
            air = conductance / (air_capacity * share * (1.0 + 0.05 * wobble(n)))
            oil_flow = oil * conductance**0.58
            amperes = (1.1 + 0.0092 * air) * 12.0 / volts
            rows.append([
                f"{name}-{volts}-{10 * heat:g}", price((58 + 1.9 * conductance**0.97) * cost, n, 0.08),
                near((2.2 + 0.062 * conductance) * mass, n, 0.04, 1), f"{3.0 + 0.14 * conductance:.1f}",
                f"{heat:g}", difference, step(oil_flow, 5), step(air, 20), viscosity,
                near(drop, n, 0.25, 2), bypass(n), step(oil_flow * flow, 5), pressure,
                f"{amperes:.1f}", volts, SOURCE, note,
            ])

    family("aircooler", 12, (1.5, 2.4, 3.3, 4.2, 5.5, 7, 9, 11.5, 14, 18), 40, 0, 0.36, 1.0, 1.0, 3.3, 30, 0.45,
           lambda n: "2.5" if n % 4 == 3 else "", 1.6, 20, "aluminium core, one or more axial fans")
    family("aircooler", 24, (2.2, 3.8, 5.5, 7.5, 10, 13, 17, 22, 30, 38, 48, 60), 40, 20, 0.36, 1.06, 1.02, 3.3, 30, 0.5,
           lambda n: "2.5" if n % 4 == 1 else "", 1.6, 20, "aluminium core, one or more axial fans")
    family("barcooler", 12, (4, 6.5, 9, 13, 18, 24), 50, 40, 0.41, 1.24, 1.25, 3.8, 32, 0.6,
           lambda n: "3.5" if n % 3 else "2", 1.9, 26, "bar-and-plate core, bypass valve built in")
    family("barcooler", 24, (8, 13, 20, 28, 40, 55), 50, 60, 0.41, 1.28, 1.27, 3.8, 32, 0.65,
           lambda n: "3.5" if n % 3 else "2", 1.9, 26, "bar-and-plate core, bypass valve built in")
    family("fieldcooler", 12, (2, 3.2, 4.8, 7, 10, 15), 55.6, 80, 0.31, 0.78, 0.92, 2.9, 22, 0.7,
           lambda n: "", 1.35, 10, "tube-and-fin core, rated at a difference of 100 degF")
    family("fieldcooler", 24, (5, 9, 14, 22), 55.6, 100, 0.31, 0.80, 0.94, 2.9, 22, 0.7,
           lambda n: "", 1.35, 10, "tube-and-fin core, rated at a difference of 100 degF")

    write("coolers.csv", [
        "id", "price", "mass [kg]", "space [L]", "rated heat [kW]", "rated difference [K]", "rated oil flow [L/min]",
        "rated air flow [m3/h]", "rated viscosity [mm2/s]", "rated drop [bar]", "bypass drop [bar]", "highest flow [L/min]",
        "highest pressure [bar]", "fan current [A]", "fan voltage [V]", "source", "note",
    ], rows)


# ---------------------------------------------------------------- reservoirs
#
# Wall area stated = wetted walls at normal level, base left out; empty = the program's 5 V^(2/3) x fill. The program
# warms the wall as steel (480 J/(kg K)). For aluminium (900) the wall mass is given as that of steel that holds the
# same heat: mass x 900 / 480.


def reservoirs():
    rows = []
    sizes = (10, 15, 20, 25, 30, 40, 50, 60, 75, 90, 110, 130, 160, 200, 250, 320, 400)
    for n, size in enumerate(sizes):
        area = (size / 1000.0) ** (2.0 / 3.0)
        mass = 2.5 + 6.4 * area * 7850 * (0.002 if size <= 30 else 0.003)
        stated = f"{(4.4 + 0.5 * wobble(n)) * area:.2f}" if n % 2 == 0 else ""
        rows.append([f"reservoir-steel-{size}", price(38 + 20.5 * size**0.62, n), f"{mass:.1f}", f"{1.12 * size + 1:.1f}", size,
                     stated, f"{size * (0.30 + 0.03 * wobble(n + 5)):.1f}", "", SOURCE, "welded steel sheet, one baffle"])
    sizes = (12, 18, 25, 35, 45, 55, 70, 85, 100, 120, 150, 180, 220, 280, 350)
    for n, size in enumerate(sizes, 30):
        area = (size / 1000.0) ** (2.0 / 3.0)
        mass = 1.6 + 6.4 * area * 2700 * (0.003 if size <= 35 else 0.004)
        stated = f"{(4.9 + 0.5 * wobble(n)) * area:.2f}" if n % 3 != 2 else ""
        rows.append([f"reservoir-alu-{size}", price(47 + 27.5 * size**0.62, n), f"{mass:.1f}", f"{1.12 * size + 1:.1f}", size,
                     stated, f"{size * (0.33 + 0.03 * wobble(n + 5)):.1f}", f"{mass * 900 / 480:.1f}", SOURCE,
                     "aluminium, long and flat, one baffle; wall mass as steel of equal heat"])
    write("reservoirs.csv", [
        "id", "price", "mass [kg]", "space [L]", "volume [L]", "wall area [m2]", "level band [L]", "wall mass [kg]", "source",
        "note",
    ], rows)


# ---------------------------------------------------------------- filters


def filters():
    rows = []
    sizes = (25, 40, 60, 80, 105, 130, 160, 200, 250, 320, 400)
    for n, size in enumerate(sizes):
        rows.append([f"spinon-{size}", price(17 + 0.82 * size**0.93, n), near(0.7 + 0.013 * size, n, 0.05, 1),
                     f"{0.8 + 0.022 * size:.2f}", size, 30, near(0.22, n, 0.2, 2), near(0.42, n + 1, 0.2, 2), "1.7", SOURCE,
                     "screwed cartridge on an aluminium head"])
    sizes = (30, 50, 75, 100, 125, 150, 180, 225, 275, 340, 410)
    for n, size in enumerate(sizes, 30):
        rows.append([f"intank-{size}", price(34 + 1.12 * size**0.93, n), near(1.1 + 0.016 * size, n, 0.05, 1),
                     f"{1.2 + 0.027 * size:.2f}", size, 32, near(0.14, n, 0.2, 2), near(0.30, n + 1, 0.2, 2),
                     "2.5" if n % 3 else "2", SOURCE, "stands in the lid of the reservoir"])
    write("filters.csv", [
        "id", "price", "mass [kg]", "space [L]", "rated flow [L/min]", "rated viscosity [mm2/s]", "housing drop [bar]",
        "element drop [bar]", "bypass drop [bar]", "source", "note",
    ], rows)


# ---------------------------------------------------------------- valves


def relief_valves():
    rows = []
    direct = ((25, 20, 80), (40, 30, 120), (40, 80, 250), (60, 40, 140), (60, 100, 250), (90, 50, 160), (90, 100, 250))
    for n, (flow, low, high) in enumerate(direct):
        rows.append([f"relief-direct-{flow}-{high}", price(23 + 0.42 * flow, n), near(0.45 + 0.006 * flow, n, 0.05, 1),
                     f"{0.25 + 0.003 * flow:.2f}", flow, low, high, near(0.19, n, 0.15, 2), SOURCE, "poppet and spring"])
    pilot = ((60, 50, 210), (90, 70, 315), (120, 50, 160), (120, 80, 250), (180, 80, 315), (240, 50, 210), (240, 100, 350),
             (320, 80, 315), (450, 80, 350))
    for n, (flow, low, high) in enumerate(pilot, 10):
        share = "" if n % 4 == 1 else near(0.08, n, 0.2, 2)
        rows.append([f"relief-pilot-{flow}-{high}", price(48 + 0.47 * flow, n), near(0.9 + 0.007 * flow, n, 0.05, 1),
                     f"{0.4 + 0.004 * flow:.2f}", flow, low, high, share, SOURCE, "pilot-operated"])
    write("relief_valves.csv", [
        "id", "price", "mass [kg]", "space [L]", "rated flow [L/min]", "lowest setting [bar]", "highest setting [bar]",
        "override share", "source", "note",
    ], rows)


def unloading_valves():
    rows = []
    kinds = ((25, 210), (40, 250), (55, 210), (70, 250), (90, 315), (115, 250), (150, 315), (190, 250), (240, 315), (320, 315))
    for n, (flow, pressure) in enumerate(kinds):
        rows.append([f"unload-{flow}", price(43 + 0.78 * flow**0.96 + 0.05 * (pressure - 210), n), near(0.8 + 0.009 * flow, n, 0.05, 1),
                     f"{0.4 + 0.005 * flow:.2f}", flow, pressure, "" if n % 4 == 3 else near(4.2, n, 0.25, 1), SOURCE,
                     "electric, open when not energised"])
    write("unloading_valves.csv", [
        "id", "price", "mass [kg]", "space [L]", "rated flow [L/min]", "highest pressure [bar]", "open drop [bar]", "source", "note",
    ], rows)


# ---------------------------------------------------------------- engines
#
# Two engines have a full-load curve and a fuel map of their own; the map is a formula of speed and torque (idle
# friction shared by little torque makes consumption climb), evaluated on a full grid and rounded.


def fuel_map(speeds, torques, best, friction, best_speed):
    cells = []
    for speed in speeds:
        for torque in torques:
            rise = 1.0 + 0.11 * ((speed - best_speed) / best_speed) ** 2
            cells.append(f"{speed}:{torque}:{best * rise * (1.0 + friction / torque):.0f}")
    return " ".join(cells)


def engines():
    diesel_curve = "1000:97 1300:105 1600:111 1800:112 2100:109.5 2400:104 2600:100 2800:95.5"
    petrol_curve = "1400:57 1800:61.5 2200:65 2500:66 2900:64.5 3300:61.5 3600:58.4"
    diesel_map = fuel_map((1000, 1500, 2000, 2400, 2800), (15, 35, 60, 80, 95), 212, 12.5, 1750)
    petrol_map = fuel_map((1400, 2000, 2600, 3200, 3600), (8, 18, 30, 42, 56), 262, 7.5, 2400)
    # id, aspiration, rated kW, rated rpm, curve, governed, idle, g/kWh, map, fuel kg/m3, alternator A, price, mass, space, note
    kinds = (
        ("petrol-5", "petrol", 5, 3600, "", 3400, 1600, 372, "", 745, 6, 438, 21, 42, "one cylinder, air-cooled, lamp coil 12 V"),
        ("petrol-9", "petrol", 9, 3600, "", 3400, 1500, 358, "", 745, 16, 792, 34, 66, "one cylinder, air-cooled, alternator 12 V"),
        ("petrol-15", "petrol", 15, 3600, "", 3400, 1450, 341, "", 745, 18, 1680, 45, 95, "two cylinders, air-cooled, alternator 12 V"),
        ("petrol-22", "petrol", 22, 3600, petrol_curve, 3300, 1450, "", petrol_map, 745, 38, 2860, 58, 120,
         "two cylinders, injection, own curve and map, alternator 12 V"),
        ("petrol-30", "petrol", 30, 3600, "", 3300, 1300, 325, "", 745, 55, 3945, 104, 205, "three cylinders, water-cooled, alternator 12 V"),
        ("diesel-8", "diesel", 8, 3000, "", 2800, 1200, 268, "", 840, 20, 2470, 92, 150, "one cylinder, air-cooled, alternator 12 V"),
        ("diesel-18", "diesel", 18, 2800, "", 2600, 1050, 254, "", 840, 40, 4690, 118, 215, "three cylinders, alternator 12 V"),
        ("diesel-28", "diesel", 28, 2800, diesel_curve, 2600, 1000, "", diesel_map, 840, 62, 5980, 164, 280,
         "four cylinders, own curve and map, alternator 12 V"),
        ("diesel-37", "diesel-turbo", 37, 2600, "", 2400, 950, 243, "", 840, 58, 7420, 215, 345, "four cylinders, alternator 24 V"),
        ("diesel-60", "diesel-turbo-cooled", 60, 2400, "", 2200, 900, 229, "", 840, 80, 9870, 312, 480, "four cylinders, alternator 24 V"),
    )
    rows = []
    for n, (identity, aspiration, power, speed, curve, governed, idle, use, grid, density, current, cost, mass, space, note) in enumerate(kinds):
        rows.append([identity, price(cost, n, 0.02), mass, space, aspiration, power, speed, curve, governed, idle, use, grid,
                     density, current, SOURCE, note])
    write("engines.csv", [
        "id", "price", "mass [kg]", "space [L]", "aspiration", "rated power [kW]", "rated speed [rpm]",
        "torque curve [rpm:N.m]", "governed speed [rpm]", "idle speed [rpm]", "consumption [g/kWh]", "fuel map [rpm:N.m:g/kWh]",
        "fuel density [kg/m3]", "alternator current [A]", "source", "note",
    ], rows)


if __name__ == "__main__":
    for make in (pumps, accumulators, coolers, reservoirs, filters, relief_valves, unloading_valves, engines):
        make()
