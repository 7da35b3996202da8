"""Makes membership.csv: which OKLab colours are convex mixtures of a few others, by SciPy's Delaunay triangulation.

    python3 make.py > membership.csv        needs numpy and scipy

Swatches are 8-bit sRGB colours of an invented board; points lie in and around their hull. Points nearer than 2e-4 to the surface
are left out, where single precision may fall on either side.
"""

import numpy as np
from scipy.spatial import ConvexHull, Delaunay

SWATCHES = ["9db2c6", "5c7394", "3b4a66", "8f7478", "73524e", "4c3432", "b9b489", "8c7a3c", "574526", "ecd3a3", "d49b5b"]
# Linear sRGB to OKLab: B. Ottosson, "A perceptual color space for image processing", 2020.
M1 = np.array([[0.4122214708, 0.5363325363, 0.0514459929],
               [0.2119034982, 0.6806995451, 0.1073969566],
               [0.0883024619, 0.2817188376, 0.6299787005]])
M2 = np.array([[0.2104542553, 0.7936177850, -0.0040720468],
               [1.9779984951, -2.4285922050, 0.4505937099],
               [0.0259040371, 0.7827717662, -0.8086757660]])


def oklab(text):
    code = np.array([int(text[i:i + 2], 16) for i in (0, 2, 4)]) / 255
    linear = np.where(code <= 0.04045, code / 12.92, ((code + 0.055) / 1.055) ** 2.4)
    return M2 @ np.cbrt(M1 @ linear)


points = np.array([oklab(text) for text in SWATCHES])
hull, triangulation = ConvexHull(points), Delaunay(points)
random = np.random.default_rng(7)
low, high = points.min(axis=0) - 0.02, points.max(axis=0) + 0.02
print("# Made by make.py with SciPy 1.17.1 (BSD-3): L, a, b, whether inside")
print("# swatches " + " ".join(SWATCHES))
made = {True: 0, False: 0}
while min(made.values()) < 120:
    point = random.uniform(low, high)
    inside = bool(triangulation.find_simplex(point) >= 0)
    nearest = abs((hull.equations[:, :3] @ point + hull.equations[:, 3]).max())
    if nearest < 2e-4 or made[inside] >= 120:
        continue
    made[inside] += 1
    print(",".join(f"{x:.6f}" for x in point) + f",{int(inside)}")
