"""Writes internal/sim/testdata/scipy_reference.json: operating points of a
dozen circuits by SciPy's general root finder, on equations written out by hand
below from docs/numerics.md, so that the Go tests can compare without Python.

Run it with a Python that has SciPy (Debian: python3-scipy):

    /usr/bin/python3 crosscheck/operating_points.py

Nothing here is shared with the simulator: not the way to write equations (each
circuit has its own), not the junction (its voltage as a function of its
current, where the simulator has the current as a function of the voltage), not
the method.
"""

import json
import math
import pathlib

import numpy as np
from scipy.optimize import root

VT = 1.380649e-23 * 298.15 / 1.602176634e-19


def solve(equations, start):
    """The root of the equations, polished until it stands still."""
    x = np.array(start, float)
    for method in ("hybr", "lm"):
        got = root(equations, x, method=method, options={"xtol": 1e-15} if method == "hybr" else {"xtol": 1e-15, "ftol": 1e-15})
        if np.max(np.abs(equations(got.x))) < 1e-13:
            return got.x
        x = got.x
    # Newton with differences of a complex step would need analytic equations;
    # a few plain Newton steps with central differences finish the job.
    for _ in range(50):
        f = np.array(equations(x))
        jac = np.empty((len(x), len(x)))
        for k in range(len(x)):
            h = 1e-7 * max(1, abs(x[k]))
            up, down = x.copy(), x.copy()
            up[k] += h
            down[k] -= h
            jac[:, k] = (np.array(equations(up)) - np.array(equations(down))) / (2 * h)
        x = x - np.linalg.solve(jac, f)
    if np.max(np.abs(equations(x))) > 1e-12:
        raise SystemExit(f"no root: {equations(x)}")
    return x


class Junction:
    """A diode by its voltage at a current."""

    def __init__(self, drop, at, n, rs):
        self.nv, self.rs = n * VT, max(rs, 1e-4)
        self.isat = at / (math.expm1((drop - at * self.rs) / self.nv))

    def volts(self, i):
        return self.nv * math.log1p(i / self.isat) + i * self.rs


def transistor(vbe, vbc, drop=0.66, at=0.001, gain=100.0, reverse=0.7, leak=1e-10):
    """Collector and base current of an npn transistor (Ebers and Moll)."""
    isat = at / math.expm1(drop / VT)
    forward, backward = isat * math.expm1(vbe / VT), isat * math.expm1(vbc / VT)
    ibc = backward / reverse + leak * vbc
    return forward - backward - ibc, forward / gain + leak * vbe + ibc


CIRCUITS = []


def circuit(name, parts, **nets):
    CIRCUITS.append({"name": name, "parts": parts, "volts": {k: float(v) for k, v in nets.items()}})


def divider_stage():
    def f(x):
        b, e, c = x
        ic, ib = transistor(b - e, b - c, gain=200)
        return [(10 - b) / 10e3 - b / 2.2e3 - ib, ic + ib - e / 1e3, (10 - c) / 3.6e3 - ic]

    b, e, c = solve(f, [1.8, 1.1, 6])
    circuit("divider-biased stage", ["BT1 battery v gnd voltage=10 resistance=0", "R1 resistor v b value=10k", "R2 resistor b gnd value=2.2k",
            "RC resistor v c value=3.6k", "RE resistor e gnd value=1k", "Q1 npn c b e gain=200"], b=b, e=e, c=c)


def saturated_switch():
    def f(x):
        b, c = x
        ic, ib = transistor(b, b - c, gain=100)
        return [(9 - b) / 10e3 - ib, (9 - c) / 1e3 - ic]

    b, c = solve(f, [0.7, 0.1])
    circuit("saturated switch", ["BT1 battery v gnd voltage=9 resistance=0", "RB resistor v b value=10k", "RC resistor v c value=1k",
            "Q1 npn c b gnd gain=100"], b=b, c=c)


def direct_coupled():
    def f(x):
        b1, c1, e2, c2 = x
        i1, ib1 = transistor(b1, b1 - c1, gain=300)
        i2, ib2 = transistor(c1 - e2, c1 - c2, gain=150)
        return [(e2 - b1) / 100e3 - ib1, (12 - c1) / 22e3 - i1 - ib2, i2 + ib2 - e2 / 470 - (e2 - b1) / 100e3, (12 - c2) / 2.2e3 - i2]

    b1, c1, e2, c2 = solve(f, [0.65, 1.9, 1.2, 6])
    circuit("two stages, direct coupled with feedback", ["BT1 battery v gnd voltage=12 resistance=0", "RF resistor e2 b1 value=100k",
            "RC resistor v c1 value=22k", "RE resistor e2 gnd value=470", "RD resistor v c2 value=2.2k", "Q1 npn c1 b1 gnd gain=300",
            "Q2 npn c2 c1 e2 gain=150"], b1=b1, c1=c1, e2=e2, c2=c2)


def pnp_germanium():
    # Everything upside down: the supply is the emitter side's common.
    def f(x):
        b, e, c = x
        ic, ib = transistor(e - b, c - b, drop=0.2, at=0.002, gain=80, reverse=5, leak=1e-8)
        return [ib + (6 - b) / 2.2e3 - b / 15e3, (6 - e) / 220 - ic - ib, ic - c / 1.5e3]

    b, e, c = solve(f, [5.2, 5.4, 4])
    circuit("germanium pnp stage", ["BT1 battery v gnd voltage=6 resistance=0", "R1 resistor v b value=2.2k", "R2 resistor b gnd value=15k",
            "RE resistor v e value=220", "RC resistor c gnd value=1.5k", "Q1 pnp c b e gain=80 material=germanium"], b=b, e=e, c=c)


def diode_string():
    silicon, red = Junction(0.73, 0.01, 1.8, 1), Junction(1.85, 0.01, 2, 8)

    # One current through resistor, diode and LED; each leakage takes its part.
    def g(x):
        total, idiode, iled = x
        vd, vl = silicon.volts(idiode), red.volts(iled)
        return [12 - 470 * total - vd - vl, total - idiode - 2e-10 * vd, total - iled - 1e-10 * vl]

    total, idiode, iled = solve(g, [0.02, 0.02, 0.02])
    circuit("diode and LED in series", ["BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v a value=470", "D1 diode a k", "D2 led k gnd"],
            a=silicon.volts(idiode) + red.volts(iled), k=red.volts(iled))


def bridge():
    rectifier = Junction(0.92, 1, 1.7, 0.04)

    def f(x):
        i, load = x
        drop = rectifier.volts(i)
        out = 15 - 2 * drop
        # Each blocking pair leaks at the output's voltage and one drop.
        leak = 1e-9 * (out + drop)
        return [load - out / 100, i + 1e-9 * drop - load - leak]

    i, load = solve(f, [0.13, 0.13])
    drop = rectifier.volts(i)
    circuit("bridge on a battery", ["BT1 battery x gnd voltage=15 resistance=0", "D1 bridge x gnd p n", "R1 resistor p n value=100"],
            p=15 - drop, n=drop)


def mirror():
    def f(x):
        b, c = x
        i1, ib1 = transistor(b, 0, gain=100)
        i2, ib2 = transistor(b, b - c, gain=100)
        return [(12 - b) / 10e3 - i1 - ib1 - ib2, (12 - c) / 4.7e3 - i2]

    b, c = solve(f, [0.66, 6])
    circuit("current mirror", ["BT1 battery v gnd voltage=12 resistance=0", "R1 resistor v b value=10k", "R2 resistor v c value=4.7k",
            "Q1 npn b b gnd gain=100", "Q2 npn c b gnd gain=100"], b=b, c=c)


def long_tailed_pair():
    def f(x):
        e, c1, c2 = x
        i1, ib1 = transistor(0.02 - e, 0.02 - c1, gain=150)
        i2, ib2 = transistor(-e, -c2, gain=150)
        return [i1 + ib1 + i2 + ib2 - (e + 12) / 10e3, (12 - c1) / 10e3 - i1, (12 - c2) / 10e3 - i2]

    e, c1, c2 = solve(f, [-0.6, 4, 8])
    circuit("long-tailed pair, 20 mV apart", ["BT1 battery v gnd voltage=12 resistance=0", "BT2 battery gnd m voltage=12 resistance=0",
            "BT3 battery i gnd voltage=0.02 resistance=0", "RE resistor e m value=10k", "R1 resistor v c1 value=10k", "R2 resistor v c2 value=10k",
            "Q1 npn c1 i e gain=150", "Q2 npn c2 gnd e gain=150"], e=e, c1=c1, c2=c2)


def darlington():
    def f(x):
        b, m, c = x
        i1, ib1 = transistor(b - m, b - c, gain=120)
        i2, ib2 = transistor(m, m - c, gain=60)
        return [(9 - b) / 1e6 - ib1, i1 + ib1 - ib2, (9 - c) / 1e3 - i1 - i2]

    b, m, c = solve(f, [1.3, 0.65, 0.8])
    circuit("Darlington pair", ["BT1 battery v gnd voltage=9 resistance=0", "RB resistor v b value=1M", "RC resistor v c value=1k",
            "Q1 npn c b m gain=120", "Q2 npn c m gnd gain=60"], b=b, m=m, c=c)


def lamp_driver():
    cold, rated = 6.0, 0.6  # 6 V, 0.1 A: 60 Ω hot, a tenth of it cold
    full = 10 ** (1 / 1.2)

    def lamp(volts, tau):
        return volts**2 / (cold * tau**1.2) - rated * (tau**4 - 1) / (full**4 - 1)

    def f(x):
        b, c, tau = x
        ic, ib = transistor(b, b - c, gain=100)
        return [(6 - b) / 1e3 - ib, (6 - c) / (cold * tau**1.2) - ic, lamp(6 - c, tau)]

    b, c, tau = solve(f, [0.75, 0.2, 6.5])
    circuit("lamp in a collector", ["BT1 battery v gnd voltage=6 resistance=0", "RB resistor v b value=1k", "DS1 lamp v c voltage=6 current=0.1",
            "Q1 npn c b gnd gain=100"], b=b, c=c)


def junction_fet():
    k, off, round_off, gate = 0.005 / 4, 2.0, 0.02, Junction(0.7, 0.001, 1, 10)

    def f(x):
        s, d = x
        over = -s + off
        vov = (over + math.hypot(over, round_off)) / 2
        i = k * vov**2
        # Gate junctions in reverse: each gives its saturation current away.
        return [i + 1e-10 * (d - s) + gate.isat - s / 1e3, (15 - d) / 4.7e3 - i - 1e-10 * (d - s) - gate.isat]

    s, d = solve(f, [1.0, 10])
    circuit("junction FET, source resistor", ["BT1 battery v gnd voltage=15 resistance=0", "RD resistor v d value=4.7k", "RS resistor s gnd value=1k",
            "Q1 jfet-n d gnd s"], s=s, d=d)


def triode():
    k = (0.0016 / 1.5) ** 1.5 / math.sqrt(0.0012)

    def f(x):
        a, c = x
        e = -c + (a - c) / 100 + 0.6
        e = (e + math.hypot(e, 0.02)) / 2
        va = ((a - c) + math.hypot(a - c, 0.02)) / 2
        ia = k * e**1.5 * va / (va + 2)
        grid = (-c + math.hypot(c, 0.02)) / 2
        ig = k * grid**1.5 + 1e-11 * (0 - c)
        return [(250 - a) / 100e3 - ia - 1e-11 * (a - c), ia + 1e-11 * (a - c) + ig - c / 1.5e3]

    a, c = solve(f, [150, 1.3])
    circuit("triode stage", ["BT1 battery v gnd voltage=250 resistance=0", "RA resistor v a value=100k", "RK resistor c gnd value=1.5k",
            "V1 triode a gnd c amplification_factor=100 mutual_conductance=0.0016@0.0012"], a=a, c=c)


for make in (divider_stage, saturated_switch, direct_coupled, pnp_germanium, diode_string, bridge, mirror, long_tailed_pair, darlington,
             lamp_driver, junction_fet, triode):
    make()

out = pathlib.Path(__file__).resolve().parent.parent / "internal/sim/testdata/scipy_reference.json"
out.write_text(json.dumps(CIRCUITS, indent=1, ensure_ascii=False) + "\n")
print(f"{len(CIRCUITS)} circuits")
