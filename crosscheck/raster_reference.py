"""Writes internal/num/raster/testdata/opencv_reference.json: what OpenCV and
SciPy make of one small plane, so that the Go kernels can be compared without
Python.

Run it with a Python that has OpenCV and SciPy (Debian: python3-opencv,
python3-scipy):

    /usr/bin/python3 crosscheck/raster_reference.py

The plane is 25 × 15, value((x*x*7 + y*y*13 + x*y*5) mod 29) at (x, y); the mask
is where it is at least 20. Borders are replicated.
"""

import json
import math
import pathlib

import cv2
import numpy as np
import scipy
from scipy import ndimage

OUT = pathlib.Path(__file__).resolve().parent.parent / "internal/num/raster/testdata/opencv_reference.json"


def plane():
    y, x = np.mgrid[0:15, 0:25]
    return ((x * x * 7 + y * y * 13 + x * y * 5) % 29).astype(np.float32)


def gaussian(p, sigma):
    k = 2 * math.ceil(4 * sigma) + 1
    return cv2.GaussianBlur(p, (k, k), sigma, sigma, borderType=cv2.BORDER_REPLICATE)


def main():
    p = plane()
    mask = (p >= 20).astype(np.uint8)
    box = np.ones((5, 5), np.uint8)
    flat = lambda a: [round(float(v), 6) for v in np.asarray(a).ravel()]
    out = {
        "made_by": f"crosscheck/raster_reference.py, OpenCV {cv2.__version__}, SciPy {scipy.__version__}",
        "gaussian_0.8": flat(gaussian(p, 0.8)),
        "gaussian_2": flat(gaussian(p, 2)),
        "mean_2": flat(cv2.blur(p, (5, 5), borderType=cv2.BORDER_REPLICATE)),
        "dilate_2": flat(cv2.dilate(p, box, borderType=cv2.BORDER_REPLICATE)),
        "erode_2": flat(cv2.erode(p, box, borderType=cv2.BORDER_REPLICATE)),
        "shrink_2.5": flat(cv2.resize(p, (10, 6), interpolation=cv2.INTER_AREA)),
        "distance": flat(ndimage.distance_transform_edt(mask == 0)),
        "pieces_four": int(cv2.connectedComponents(mask, connectivity=4)[0]) - 1,
        "pieces_eight": int(cv2.connectedComponents(mask, connectivity=8)[0]) - 1,
    }
    OUT.parent.mkdir(exist_ok=True)
    OUT.write_text(json.dumps(out, indent=1) + "\n")


if __name__ == "__main__":
    main()
