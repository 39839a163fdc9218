"""Prints how long the image primitives of copper take against the same ones of
OpenCV, on 12 megapixels and the same processors: conversion to L*a*b*, blur,
connected components, distance, and widening and opening a mask.

    /usr/bin/python3 crosscheck/copper_speed.py

Needs OpenCV (Debian: python3-opencv) and Go. Ours is the median of three runs
of the benchmarks named Kernel. Nothing is written. OpenCV's distance is the
exact one (DIST_MASK_PRECISE), its L*a*b* that of float pixels.
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
    colours = (np.arange(4000 * 3000 * 3).reshape(3000, 4000, 3) * 7919 >> 3 & 255).astype(np.uint8)
    size = 2 * math.ceil(4 * 0.8) + 1
    box = lambda r: np.ones((2 * r + 1, 2 * r + 1), np.uint8)
    return {
        "Lab": timed(lambda: cv2.cvtColor(colours.astype(np.float32) / 255, cv2.COLOR_RGB2Lab)),
        "Blur": timed(lambda: cv2.GaussianBlur(plane, (size, size), 0.8, borderType=cv2.BORDER_REPLICATE)),
        "Components": timed(lambda: cv2.connectedComponentsWithStats(mask, connectivity=8)),
        "Distance": timed(lambda: cv2.distanceTransform(1 - mask, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)),
        "Dilate": timed(lambda: cv2.dilate(mask, box(5))),
        "Open": timed(lambda: cv2.morphologyEx(mask, cv2.MORPH_OPEN, box(2))),
    }


def main():
    mine, cv = ours(["./internal/num/raster", "./internal/photo"], "^BenchmarkKernel$", r"^BenchmarkKernel/(\w+?)"), theirs()
    print(f"OpenCV {cv2.__version__}, {os.cpu_count()} processors")
    for name, other in cv.items():
        print(f"{name:<12} ours {1e3 * mine[name]:9.2f} ms   OpenCV {1e3 * other:9.2f} ms   ratio {mine[name] / other:5.2f}")


if __name__ == "__main__":
    main()
