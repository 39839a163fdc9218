"""What the speed comparisons share: our benchmarks' times, and a timer. By
itself it does nothing.
"""

import os
import pathlib
import re
import statistics
import subprocess
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent


def ours(packages, bench, line):
    """Seconds of each of our benchmarks, the median of three runs; line is how
    a name stands at the start of a line of results."""
    env = dict(os.environ, GOFLAGS="-tags=nodynamic -buildvcs=false", CGO_ENABLED="0")
    text = subprocess.run(
        [os.environ.get("GO", "go"), "test", *packages, "-run", "^$", "-bench", bench, "-count", "3"],
        cwd=ROOT, env=env, check=True, capture_output=True, text=True).stdout
    found = {}
    for name, ns in re.findall(line + r"(?:-\d+)?\s+\d+\s+([\d.]+) ns/op", text, re.M):
        found.setdefault(name, []).append(float(ns) * 1e-9)
    return {name: statistics.median(times) for name, times in found.items()}


def timed(work, least=0.5):
    work()
    times = []
    while sum(times) < least or len(times) < 3:
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return statistics.median(times)
