"""Writes internal/align/testdata/opencv_reference.json: what OpenCV's
findHomography makes of the same pairs, so that the Go tests can compare
without Python.

Run it with a Python that has OpenCV and numpy (Debian: python3-opencv):

    /usr/bin/python3 crosscheck/align_reference.py [PHOTOS]

PHOTOS is the folder of real photographs with truth/NAME.json; without it the
script looks for shared/photos in the folders above itself.

Two parts:
  boards     real boards. "halves": fitted to pairs 0, 2, 4, ..., judged on the
             others. "left_one_out": every pair placed by the map of all others.
  synthetic  random geometries with known truth: pairs, test places, and the
             errors of OpenCV's maps at those places.
Errors are distances in foil pixels. Method 0 is least squares, RANSAC uses
OpenCV's default threshold of 3 pixels.
"""

import json
import pathlib
import sys

import cv2
import numpy as np

BOARDS = ["SUPPLY81", "SUPPLY91", "CARD84", "PERFA", "PERFB"]
METHODS = {"least_squares": 0, "ransac": cv2.RANSAC}


def fit(pairs, method):
    """The homography of OpenCV, or None where it refuses."""
    component = np.array([p[0] for p in pairs], float)
    foil = np.array([p[1] for p in pairs], float)
    if len(pairs) < 4:
        return None
    matrix, _ = cv2.findHomography(component, foil, method)
    return matrix


def distances(matrix, pairs):
    component = np.array([p[0] for p in pairs], float)
    foil = np.array([p[1] for p in pairs], float)
    placed = cv2.perspectiveTransform(component[None], matrix)[0]
    return np.linalg.norm(placed - foil, axis=1)


def summary(errors):
    return {"median": round(float(np.median(errors)), 6), "largest": round(float(np.max(errors)), 6)}


def judged(train, test, method):
    matrix = fit(train, method)
    return None if matrix is None else summary(distances(matrix, test))


def left_one_out(pairs, method):
    errors = []
    for i in range(len(pairs)):
        matrix = fit(pairs[:i] + pairs[i + 1:], method)
        if matrix is None:
            return None
        errors.append(distances(matrix, [pairs[i]])[0])
    return summary(errors)


def boards(photos):
    out = {}
    for name in BOARDS:
        truth = json.loads((photos / "truth" / (name + ".json")).read_text())
        pairs = [(p["component"], p["foil"]) for p in truth["pairs"]]
        out[name] = {
            key: {"halves": judged(pairs[0::2], pairs[1::2], method), "left_one_out": left_one_out(pairs, method)}
            for key, method in METHODS.items()
        }
    return out


def rotation(axis, angle):
    return cv2.Rodrigues(np.array(axis, float) * angle)[0]


class Camera:
    """A pinhole with one radial term, looking down on a board of 100 x 70 mm."""

    def __init__(self, rng, size, tilt_sd, k1, turned_over):
        self.size = np.array(size, float)
        self.focal = max(size) * rng.uniform(0.8, 1.4)
        self.k1 = k1
        tilt = abs(rng.normal(0, tilt_sd))
        way = rng.uniform(0, 2 * np.pi)
        turn = np.radians(rng.choice([0, 90, 180, 270]) + rng.normal(0, 5))
        over = np.diag([-1.0, 1.0, -1.0]) if turned_over else np.eye(3)
        self.pose = rotation([0, 0, 1], turn) @ rotation([np.cos(way), np.sin(way), 0], tilt) @ over
        # Near enough that the board's diagonal fills 70 to 95 % of the shorter side.
        self.far = self.focal * 122 / (min(size) * rng.uniform(0.7, 0.95))
        self.aim = rng.normal(0, 2, 2)

    def see(self, board):
        points = np.column_stack([board - [50, 35] + self.aim, np.zeros(len(board))]) @ self.pose.T
        points[:, 2] += self.far
        flat = points[:, :2] / points[:, 2:] * self.focal
        norm = np.linalg.norm(self.size) / 2
        r2 = (flat ** 2).sum(axis=1) / norm ** 2
        return flat * (1 + self.k1 * r2)[:, None] + (self.size - 1) / 2


def places(rng, kind, n):
    if kind != "strip":
        return rng.uniform([2, 2], [98, 68], (n, 2))
    # All but one or two along one edge, as when only the connector has holes.
    board = np.column_stack([rng.uniform(5, 95, n), 60 + rng.normal(0, 3, n)])
    board[0] = rng.uniform([5, 5], [95, 30])
    return board


def case(rng, kind):
    lens = 0.015 if kind == "lens" else 0.0
    component = Camera(rng, (3000, 2250), np.radians(10), rng.normal(0, lens) if lens else 0.0, False)
    foil = Camera(rng, (2800, 2100), np.radians(10), rng.normal(0, lens) if lens else 0.0, True)
    n = {"few": rng.integers(4, 7), "plain": rng.integers(7, 31), "lens": rng.integers(12, 41),
         "wrong": rng.integers(8, 31), "strip": rng.integers(4, 9)}[kind]
    board = places(rng, kind, n)
    noise = rng.uniform(0.5, 3)
    seen = [component.see(board) + rng.normal(0, noise, (n, 2)), foil.see(board) + rng.normal(0, noise, (n, 2))]
    wrong = []
    if kind == "wrong":
        wrong = sorted(rng.choice(n, 1 if n < 14 else 2, replace=False).tolist())
        for i in wrong:
            way, by = rng.uniform(0, 2 * np.pi), rng.uniform(60, 600)
            seen[1][i] += by * np.array([np.cos(way), np.sin(way)])
    test = rng.uniform([3, 3], [97, 67], (12, 2))
    pairs = [(a, b) for a, b in zip(np.round(seen[0], 1).tolist(), np.round(seen[1], 1).tolist())]
    truth = [(a, b) for a, b in zip(np.round(component.see(test), 2).tolist(), np.round(foil.see(test), 2).tolist())]
    out = {"kind": kind, "wrong": [i + 1 for i in wrong],
           "pairs": [a + b for a, b in pairs], "test": [a + b for a, b in truth]}
    for key, method in METHODS.items():
        out[key] = judged(pairs, truth, method)
    return out


def main():
    if len(sys.argv) > 1:
        photos = pathlib.Path(sys.argv[1])
    else:
        photos = next(p / "shared" / "photos" for p in pathlib.Path(__file__).resolve().parents
                      if (p / "shared" / "photos").is_dir())
    rng = np.random.default_rng(1984)
    cv2.setRNGSeed(1984)
    kinds = ["few", "plain", "lens", "wrong", "strip"]
    reference = {
        "opencv": cv2.__version__,
        "boards": boards(photos),
        "synthetic": {"component": [3000, 2250], "foil": [2800, 2100], "cases": [case(rng, kinds[i % 5]) for i in range(300)]},
    }
    target = pathlib.Path(__file__).resolve().parent.parent / "internal" / "align" / "testdata" / "opencv_reference.json"
    target.parent.mkdir(exist_ok=True)
    text = json.dumps(reference, separators=(",", ":"))
    # One case a line, so that a change can be read.
    target.write_text(text.replace('{"kind"', '\n{"kind"') + "\n")


if __name__ == "__main__":
    main()
