"""Times SuiteSparse KLU on the same matrices as our own sparse LU, in the same
run, and compares the solutions. Prints a table; fails where a solution differs
by more than 1e-6 of its largest figure or where our time is over the bound.

    /usr/bin/python3 crosscheck/sparse_lu.py

Needs a C compiler and KLU (Debian: libsuitesparse-dev). Without them SciPy's
SuperLU stands in; it cannot refactor on kept pivots, so its time says less and
no bound is held against it.
"""

import json
import os
import pathlib
import shutil
import subprocess
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
BOUND = 1.3  # times KLU
ROUNDS = 3


def ours(folder):
    env = dict(os.environ, FOILSIDE_MATRICES=str(folder))
    subprocess.run(["go", "test", "./internal/sim", "-count=1", "-run", "^TestMatricesForOthers$"],
                   cwd=HERE.parent, env=env, check=True, stdout=subprocess.DEVNULL)
    files = sorted(folder.glob("*.json"), key=lambda f: int(f.stem))
    return [json.loads(f.read_text()) for f in files]


def klu_driver(folder):
    compiler = shutil.which("cc")
    if compiler is None:
        return None
    driver = folder / "klu_speed"
    made = subprocess.run([compiler, "-O3", "-march=native", "-I/usr/include/suitesparse", str(HERE / "klu_speed.c"), "-o", str(driver), "-lklu"],
                          capture_output=True, text=True)
    return driver if made.returncode == 0 else None


def by_klu(driver, folder, m):
    plain = folder / "matrix.txt"
    n, nnz = len(m["columns"]) - 1, len(m["rows"])
    plain.write_text("\n".join([f"{n} {nnz}"] + [" ".join(repr(v) for v in m[key]) for key in ("columns", "rows", "numbers", "right")]))
    figures = subprocess.run([str(driver), str(plain)], check=True, capture_output=True, text=True).stdout.split()
    return float(figures[0]), int(figures[1]), [float(v) for v in figures[2:]]


def by_superlu(m):
    import time

    import numpy as np
    from scipy.sparse import csc_matrix
    from scipy.sparse.linalg import splu

    n = len(m["columns"]) - 1
    a = csc_matrix((m["numbers"], m["rows"], m["columns"]), (n, n))
    b = np.array(m["right"])
    least = 1e9
    for _ in range(200):
        start = time.perf_counter()
        lu = splu(a)
        x = lu.solve(b)
        least = min(least, time.perf_counter() - start)
    return 1e6 * least, lu.L.nnz + lu.U.nnz - n, list(x)


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        driver = klu_driver(folder)
        other = "KLU" if driver else "SuperLU (a stand-in)"
        best = {}
        for _ in range(ROUNDS):
            for m in ours(folder):
                us, fill, x = by_klu(driver, folder, m) if driver else by_superlu(m)
                size = max(abs(v) for v in x)
                apart = max(abs(a - b) for a, b in zip(x, m["solution"])) / size
                row = best.setdefault(m["name"], [len(x), 1e9, 1e9, m["fill"], fill, 0.0])
                row[1], row[2], row[5] = min(row[1], m["microseconds"]), min(row[2], us), max(row[5], apart)
    print(f"{'matrix':16}{'unknowns':>9}{'ours µs':>9}{other + ' µs':>9}{'ratio':>7}{'fill':>7}{'its':>7}{'apart':>9}")
    failed = False
    for name, (n, mine, theirs, fill, its, apart) in best.items():
        print(f"{name:16}{n:9}{mine:9.2f}{theirs:9.2f}{mine / theirs:7.2f}{fill:7}{its:7}{apart:9.1e}")
        failed |= apart > 1e-6 or (driver is not None and mine > BOUND * theirs)
    if failed:
        raise SystemExit("a solution differs, or the time is over the bound")


if __name__ == "__main__":
    main()
