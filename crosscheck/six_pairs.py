"""Writes internal/align/testdata/six_pairs.json: boards of six pairs marked by
hand, with one pixel of noise in each photo, and the errors of OpenCV's
findHomography (least squares) at places between them, so that the Go test can
compare without Python.

Run it with a Python that has OpenCV and numpy (Debian: python3-opencv):

    /usr/bin/python3 crosscheck/six_pairs.py

A third of the boards are taken with a straight lens, a third with one camera
whose lens bends by a standard deviation of 1.5 % at half the diagonal, and a
third with two such cameras.
"""

import json
import pathlib

import cv2
import numpy as np

from align_reference import Camera, judged

SIZES = ((4000, 3000), (4000, 3000))


def case(rng, kind):
    k1 = rng.normal(0, 0.015, 2) if kind != "straight" else np.zeros(2)
    if kind == "lens":
        k1[1] = k1[0]
    component = Camera(rng, SIZES[0], np.radians(10), k1[0], False)
    foil = Camera(rng, SIZES[1], np.radians(10), k1[1], True)
    # As people mark: places near the corners and two between, each off a little.
    board = np.array([[10, 10], [90, 10], [90, 60], [10, 60], [50, 15], [45, 55]]) + rng.uniform(-8, 8, (6, 2))
    seen = [view.see(board) + rng.normal(0, 1, board.shape) for view in (component, foil)]
    test = rng.uniform([3, 3], [97, 67], (24, 2))
    pairs = list(zip(np.round(seen[0], 2).tolist(), np.round(seen[1], 2).tolist()))
    truth = list(zip(np.round(component.see(test), 2).tolist(), np.round(foil.see(test), 2).tolist()))
    return {"kind": kind, "pairs": [a + b for a, b in pairs], "test": [a + b for a, b in truth],
            "least_squares": judged(pairs, truth, 0)}


def main():
    rng = np.random.default_rng(606)
    cases = [case(rng, kind) for _ in range(100) for kind in ("straight", "lens", "two lenses")]
    reference = {"opencv": cv2.__version__, "synthetic": {"component": SIZES[0], "foil": SIZES[1], "cases": cases}}
    target = pathlib.Path(__file__).resolve().parent.parent / "internal" / "align" / "testdata" / "six_pairs.json"
    target.write_text(json.dumps(reference, separators=(",", ":")).replace('{"kind"', '\n{"kind"') + "\n")


if __name__ == "__main__":
    main()
