"""Times the thirty circuits of crosscheck/transients.py against SciPy's solvers
and SUNDIALS IDA in the same run, each at the largest tolerance that brings the
same accuracy. Prints a table.

    /usr/bin/python3 crosscheck/transient_speed.py

Accuracy is the largest error at forty times, over the largest value. A solver's
time at an accuracy is its least over the tolerances that reach it, each with
the making of the solver; ours with the making of the equations from the
compiled circuit. LSODA is Fortran that calls a function in Python, BDF and
Radau are Python throughout. IDA needs a C compiler and SUNDIALS (Debian:
libsundials-dev) and is left out without them.
"""

import json
import math
import os
import pathlib
import shutil
import subprocess
import tempfile
import time

os.environ.setdefault("OMP_NUM_THREADS", "1")
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

import numpy as np
from scipy.integrate import solve_ivp

import transients

HERE = pathlib.Path(__file__).resolve().parent
ACCURACIES = (1e-3, 1e-4)


def error(got, want):
    return max(abs(a - b) for a, b in zip(got, want)) / max(abs(b) for b in want)


def ours(folder):
    """Pairs of error and seconds, by circuit."""
    path = folder / "ours.json"
    env = dict(os.environ, FOILSIDE_TRANSIENTS=str(path), GOFLAGS="-tags=nodynamic -buildvcs=false", CGO_ENABLED="0")
    subprocess.run([os.environ.get("GO", "go"), "test", "./internal/sim", "-count=1", "-run", "^TestTransientsForOthers$"],
                   cwd=HERE.parent, env=env, check=True, stdout=subprocess.DEVNULL)
    return json.loads(path.read_text())


def by_scipy(case, method, at, want):
    start, f, out = case.system()
    found = []
    for k in range(2, 15):
        tolerance = 10 ** (-k / 2)

        def work():
            return solve_ivp(f, (0, case.span), start, method=method, t_eval=at, rtol=tolerance, atol=tolerance * 1e-4)

        s = work()
        if not s.success:
            continue
        found.append((error([float(out(t, y)) for t, y in zip(s.t, s.y.T)], want), quickest(work)))
        if found[-1][0] < min(ACCURACIES) / 3:
            break
    return found


def quickest(work):
    """The least of many, as for the others: a loaded machine spares none."""
    times, begin = [], time.perf_counter()
    while len(times) < 5 or time.perf_counter() - begin < 0.1:
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def ida_driver(folder):
    compiler = shutil.which("cc")
    if compiler is None:
        return None
    driver = folder / "ida_speed"
    made = subprocess.run([compiler, "-O3", "-march=native", str(HERE / "ida_speed.c"), "-o", str(driver), "-lsundials_ida",
                           "-lsundials_nvecserial", "-lsundials_sunlinsoldense", "-lsundials_sunmatrixdense", "-lm"], capture_output=True, text=True)
    return driver if made.returncode == 0 else None


def by_ida(driver, case, want):
    text = subprocess.run([str(driver), repr(case.span), *map(str, case.plain)], check=True, capture_output=True, text=True).stdout
    found = []
    for line in text.splitlines():
        _, seconds, *values = map(float, line.split())
        found.append((error(values, want), seconds))
    return found


def least(found, accuracy):
    times = [seconds for wrong, seconds in found if wrong <= accuracy]
    return min(times) if times else math.nan


def main():
    cases = transients.circuits()
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        mine = ours(folder)
        driver = ida_driver(folder)
        if driver is None:
            print("SUNDIALS IDA is not installed: left out")
        others = ["LSODA", "BDF", "Radau"] + (["IDA"] if driver else [])
        ratios = {(o, a): [] for o in others for a in ACCURACIES}
        print(f"{'times ours at 1e-3, 1e-4':26s}{'ours, µs':>18s}" + "".join(f"{o:>16s}" for o in others))
        for case in cases:
            at, want = case.reference()
            found = {o: by_scipy(case, o, at, want) for o in others[:3]}
            if driver:
                found["IDA"] = by_ida(driver, case, want)
            own = [least(mine[case.name], a) for a in ACCURACIES]
            row = f"{case.name:26s}" + "".join(f"{1e6 * t:9.0f}" for t in own)
            for o in others:
                for a, t in zip(ACCURACIES, own):
                    ratios[o, a].append(least(found[o], a) / t)
                    row += f"{ratios[o, a][-1]:8.2f}"
            print(row, flush=True)
        for o in others:
            for a in ACCURACIES:
                r = np.array(ratios[o, a])
                r = r[np.isfinite(r)]
                print(f"{o} at {a:g}: {math.exp(np.mean(np.log(r))):.2f} times our time in the mean, {min(r):.2f} to {max(r):.2f}, {len(r)} circuits")


if __name__ == "__main__":
    main()
