"""Prints how long the image primitives of alignment take against the same ones
of OpenCV, on 12 megapixels and the same processors: warp, blur, connected
components, contours, and a round shape fitted to 36 points.

    /usr/bin/python3 crosscheck/raster_speed.py

Needs OpenCV (Debian: python3-opencv) and Go. Ours is the median of three runs
of the benchmarks named Primitive. Nothing is written.
"""

import math
import os
import pathlib
import re
import statistics
import subprocess
import time

import cv2
import numpy as np

ROOT = pathlib.Path(__file__).resolve().parent.parent


def ours():
    """Seconds of each of our benchmarks."""
    env = dict(os.environ, GOFLAGS="-tags=nodynamic -buildvcs=false", CGO_ENABLED="0")
    text = subprocess.run(
        [os.environ.get("GO", "go"), "test", "./internal/num/raster", "./internal/align", "-run", "^$", "-bench", "Primitive", "-count", "3"],
        cwd=ROOT, env=env, check=True, capture_output=True, text=True).stdout
    found = {}
    for name, ns in re.findall(r"^BenchmarkPrimitive(\w+?)(?:-\d+)?\s+\d+\s+([\d.]+) ns/op", text, re.M):
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


def theirs():
    cv2.setNumThreads(os.cpu_count())
    y, x = np.mgrid[0:3000, 0:4000]
    disc = (x % 64 - 32) ** 2 + (y % 64 - 32) ** 2 < 400
    plane = ((x + y) % 50 + 150 * disc).astype(np.float32)
    mask = (plane >= 120).astype(np.uint8)
    back = np.array([[0.98, 0.05, 20], [-0.04, 1.01, 15], [1e-5, -5e-6, 1]])
    size = 2 * math.ceil(4 * 1.5) + 1
    t = 2 * math.pi * np.arange(36) / 36
    r = 11 + 0.3 * np.sin(7 * np.arange(36))
    round36 = np.column_stack([40.3 + r * np.cos(t), 39.8 + r * np.sin(t)]).astype(np.float32)

    def many_ellipses():
        for _ in range(1000):
            cv2.fitEllipse(round36)

    return {
        "Warp": timed(lambda: cv2.warpPerspective(plane, back, (4000, 3000), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP)),
        "Blur": timed(lambda: cv2.GaussianBlur(plane, (size, size), 1.5, borderType=cv2.BORDER_REPLICATE)),
        "Components": timed(lambda: cv2.connectedComponentsWithStats(mask, connectivity=4)),
        "Contours": timed(lambda: cv2.findContours(1 - mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)),
        "Circle": timed(many_ellipses) / 1000,
    }


def main():
    mine, cv = ours(), theirs()
    print(f"OpenCV {cv2.__version__}, {os.cpu_count()} processors")
    for name, other in cv.items():
        print(f"{name:<12} ours {1e3 * mine[name]:9.4f} ms   OpenCV {1e3 * other:9.4f} ms   ratio {mine[name] / other:5.2f}")


if __name__ == "__main__":
    main()
