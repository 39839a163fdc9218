"""Writes internal/sim/testdata/scipy_transients.json: thirty circuits over
time by SciPy's general solver of differential equations, on equations written
out by hand below, so that the Go tests can compare without Python.

    /usr/bin/python3 crosscheck/transients.py

Nothing here is shared with the simulator: every circuit has its own state
equations; diode currents are found by bisection, not by the omega function.
Times are compared by crosscheck/transient_speed.py.
"""

import json
import math
import pathlib

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

VT = 1.380649e-23 * 298.15 / 1.602176634e-19
LEAD = 1e-3  # ohms in series with every capacitor, as in the simulator


def sine(volts, hertz):
    return lambda t: volts * math.sqrt(2) * math.sin(2 * math.pi * hertz * t)


def rc(r, c, v):
    return [0.0], lambda t, y: [(v(t) - y[0]) / (r + LEAD) / c], lambda t, y: (y[0] * r + v(t) * LEAD) / (r + LEAD)


def rl(r, l, own, v):
    # out is across r, after a coil with resistance own
    return [0.0], lambda t, y: [(v(t) - y[0] * (r + own)) / l], lambda t, y: y[0] * r


def rlc(r, l, c, v):
    def f(t, y):
        return [(v(t) - y[0] * (r + 1e-3 + LEAD) - y[1]) / l, y[0] / c]

    return [0.0, 0.0], f, lambda t, y: y[1] + LEAD * y[0]


def ladder(n, r, c, v):
    a = np.zeros((n, n))
    for k in range(n):
        a[k, k] = -(2 if k < n - 1 else 1) / (r * c)
        if k > 0:
            a[k, k - 1] = 1 / (r * c)
        if k < n - 1:
            a[k, k + 1] = 1 / (r * c)

    def f(t, y):
        d = a @ y
        d[0] += v(t) / (r * c)
        return d

    return [0.0] * n, f, lambda t, y: y[-1]


def law(drop, at, n, rs):
    """i over v of a diode with its drop at a current, by bisection."""
    nv = n * VT
    inside = max(drop - at * rs, drop / 2)
    rs = (drop - inside) / at
    sat = at / math.expm1(inside / nv)

    def current(v):
        if v < 0.3:
            return sat * math.expm1(v / nv)
        top = (v + 1e-9) / rs
        return brentq(lambda i: nv * math.log1p(i / sat) + i * rs - v, 0, top, xtol=1e-18, rtol=1e-13)

    return current


def rectifier(feed, c, load, v):
    # feed and diode carry one current: found together as one diode with more
    # resistance in series.
    inside = law(0.92, 1.0, 1.7, 0.04)
    nv = 1.7 * VT
    sat = 1.0 / math.expm1((0.92 - 0.04) / nv)
    rs = 0.04 + feed
    del inside

    def current(u):
        if u < 0.2:
            return sat * math.expm1(u / nv)
        return brentq(lambda i: nv * math.log1p(i / sat) + i * rs - u, 0, u / rs, xtol=1e-18, rtol=1e-13)

    return [0.0], lambda t, y: [(current(v(t) - y[0]) - y[0] / load) / c], lambda t, y: y[0]


def coupled(l1, ratio, k, r1, r2, load, v):
    lag = 20e-9
    l2 = l1 * ratio**2
    m = k * math.sqrt(l1 * l2)
    inv = np.linalg.inv(np.array([[l1, m], [m, l2]]) + lag * np.diag([r1, r2 + load]))

    # The flux lags: L·i − lag·dλ/dt = λ with dλ/dt = v − R·i.
    def amps(t, y):
        return inv @ (np.array(y) + lag * np.array([v(t), 0.0]))

    def f(t, y):
        i = amps(t, y)
        return [v(t) - r1 * i[0], -(r2 + load) * i[1]]

    return [0.0, 0.0], f, lambda t, y: -load * amps(t, y)[1]


def step(volts):
    return lambda t: volts


class Case:
    """One circuit: its parts for the simulator, and its equations by family,
    source (shape, volts, hertz) and figures."""

    def __init__(self, name, span, parts, plain):
        self.name, self.span, self.parts, self.plain = name, span, parts, plain

    def system(self):
        """Start, right side and output."""
        family, shape, volts, hertz, *figures = self.plain
        source = step(volts) if shape == "step" else sine(volts, hertz)
        return FAMILIES[family](*figures, source)

    def reference(self):
        """Times and outputs, to far below any tolerance asked for."""
        start, f, out = self.system()
        at = np.linspace(0, self.span, 41)[1:]
        fine = solve_ivp(f, (0, self.span), start, method="LSODA", t_eval=at, rtol=1e-10, atol=1e-12, max_step=self.span / 200)
        return at, [float(out(t, y)) for t, y in zip(fine.t, fine.y.T)]


FAMILIES = {"rc": rc, "rl": rl, "rlc": rlc, "ladder": ladder, "rectifier": rectifier, "coupled": coupled}


def circuits():
    """Thirty cases."""
    out = []

    def add(name, span, parts, *plain):
        out.append(Case(name, span, parts, plain))

    for k, (r, c) in enumerate([(1e3, 1e-6), (47e3, 10e-9), (10.0, 100e-6), (1e6, 1e-6)]):
        add(f"RC step {k}", 5 * r * c, ["BT1 battery v gnd voltage=9 resistance=0", f"R1 resistor v out value={r:g}", f"C1 capacitor out gnd value={c:g}"], "rc", "step", 9, 0, r, c)
    for k, (r, c, f) in enumerate([(1e3, 1e-6, 100), (10e3, 10e-9, 5e3), (100.0, 10e-6, 50)]):
        add(f"RC sine {k}", 3 / f, [f"G1 signal v gnd voltage=5 frequency={f:g} resistance=0", f"R1 resistor v out value={r:g}", f"C1 capacitor out gnd value={c:g}"], "rc", "sine", 5, f, r, c)
    for k, (r, l) in enumerate([(1e3, 1.0), (10.0, 10e-3), (100.0, 1e-3)]):
        add(f"RL step {k}", 5 * l / r, ["BT1 battery v gnd voltage=9 resistance=0", f"L1 inductor v out value={l:g} resistance=1", f"R1 resistor out gnd value={r:g}"], "rl", "step", 9, 0, r, l, 1.0)
    for k, (r, f) in enumerate([(10.0, 50), (100.0, 1e3)]):
        add(f"RL sine {k}", 3 / f, [f"G1 signal v gnd voltage=5 frequency={f:g} resistance=0", "L1 inductor v out value=10m resistance=1", f"R1 resistor out gnd value={r:g}"], "rl", "sine", 5, f, r, 10e-3, 1.0)
    for k, r in enumerate([20.0, 100.0, 632.455532, 2e3, 10e3]):
        add(f"RLC step {k}", 2e-3, ["BT1 battery v gnd voltage=9 resistance=0", f"R1 resistor v a value={r:g}", "L1 inductor a out value=10m resistance=1m", "C1 capacitor out gnd value=100n"], "rlc", "step", 9, 0, r, 10e-3, 100e-9)
    for k, f in enumerate([1e3, 5e3]):
        add(f"RLC sine {k}", 2e-3, [f"G1 signal v gnd voltage=5 frequency={f:g} resistance=0", "R1 resistor v a value=100", "L1 inductor a out value=10m resistance=1m", "C1 capacitor out gnd value=100n"], "rlc", "sine", 5, f, 100, 10e-3, 100e-9)
    for n in (2, 3, 5, 8):
        parts = ["BT1 battery n0 gnd voltage=9 resistance=0"]
        for k in range(n):
            b = "out" if k == n - 1 else f"n{k + 1}"
            parts += [f"R{k + 1} resistor n{k} {b} value=10k", f"C{k + 1} capacitor {b} gnd value=100n"]
        add(f"ladder of {n}", 5e-3 * n, parts, "ladder", "step", 9, 0, n, 10e3, 100e-9)
    for k, (feed, c, load, f) in enumerate([(10.0, 100e-6, 1e3, 50), (1.0, 470e-6, 470.0, 50), (100.0, 10e-6, 10e3, 100), (5.0, 47e-6, 2200.0, 50)]):
        add(f"rectifier {k}", 3 / f, [f"G1 signal v gnd voltage=10 frequency={f:g} resistance={feed:g}", "D1 diode v out current=1", f"C1 capacitor out gnd value={c:g}", f"R1 resistor out gnd value={load:g}"], "rectifier", "sine", 10, f, feed, c, load)
    for k, (ratio, kk, load) in enumerate([(1, 0.98, 1e3), (10, 0.95, 100e3), (0.2, 0.999, 50.0)]):
        add(f"transformer {k}", 3e-3, ["G1 signal v gnd voltage=5 frequency=1k resistance=0", f"T1 transformer v gnd out gnd winding_p=2,100,10m winding_s=5,{100 * ratio:g} coupling={kk:g}", f"R1 resistor out gnd value={load:g}"], "coupled", "sine", 5, 1e3, 10e-3, ratio, kk, 2.0, 5.0, load)
    return out


def main():
    rows = []
    for case in circuits():
        at, out = case.reference()
        rows.append({"name": case.name, "span": case.span, "parts": case.parts, "time": at.tolist(), "out": out})
    path = pathlib.Path(__file__).parent.parent / "internal/sim/testdata/scipy_transients.json"
    path.write_text(json.dumps(rows, indent=1) + "\n")
    print(f"{len(rows)} circuits")


if __name__ == "__main__":
    main()
