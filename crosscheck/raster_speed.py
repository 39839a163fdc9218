"""Prints how long the image primitives of alignment take against the same ones
of OpenCV, on 12 megapixels and the same processors: warp, blur, connected
components, contours, and a round shape fitted to 36 points.

    /usr/bin/python3 crosscheck/raster_speed.py

Needs OpenCV (Debian: python3-opencv) and Go. Ours is the median of three runs
of the benchmarks named Primitive. Nothing is written.
"""

import math
import os

import cv2
import numpy as np

from side_by_side import ours, timed


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
    mine, cv = ours(["./internal/num/raster", "./internal/align"], "Primitive", r"^BenchmarkPrimitive(\w+?)"), theirs()
    print(f"OpenCV {cv2.__version__}, {os.cpu_count()} processors")
    for name, other in cv.items():
        print(f"{name:<12} ours {1e3 * mine[name]:9.4f} ms   OpenCV {1e3 * other:9.4f} ms   ratio {mine[name] / other:5.2f}")


if __name__ == "__main__":
    main()
