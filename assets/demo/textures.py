"""Masks, noise and surface textures that the reference picture is drawn with.

Planes are float arrays of shape (HEIGHT, WIDTH); masks run from 0 to 1.
"""

import numpy as np
from PIL import Image, ImageDraw

from photo_look import blur, to_linear
from scene import FRONT_X0, HEIGHT, LEFT_VP, WIDTH, front_height, front_y

OVERSAMPLING = 2
Y, X = np.mgrid[0:HEIGHT, 0:WIDTH].astype(np.float64)


def linear_colour(hexadecimal):
    """A colour "#rrggbb" as linear light."""
    return to_linear(np.array([int(hexadecimal[i:i + 2], 16) for i in (1, 3, 5)]) / 255.0)


def _drawn(draw_on):
    image = Image.new("L", (WIDTH * OVERSAMPLING, HEIGHT * OVERSAMPLING))
    draw_on(ImageDraw.Draw(image))
    small = image.resize((WIDTH, HEIGHT), Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float64) / 255.0


def area(polygon, soft_px=0.0):
    """Cover of a polygon, with its edge blurred by a Gaussian of `soft_px`."""
    mask = _drawn(lambda d: d.polygon([(x * OVERSAMPLING, y * OVERSAMPLING) for x, y in polygon], fill=255))
    return blur(mask, soft_px) if soft_px > 0 else mask


def line(points, width_px):
    """Cover of a polyline."""
    scaled = [(x * OVERSAMPLING, y * OVERSAMPLING) for x, y in points]
    return _drawn(lambda d: d.line(scaled, fill=255, width=max(1, round(width_px * OVERSAMPLING)), joint="curve"))


def disc(x, y, radius_x, radius_y):
    """Cover of an ellipse."""
    box = [(x - radius_x) * OVERSAMPLING, (y - radius_y) * OVERSAMPLING, (x + radius_x) * OVERSAMPLING,
           (y + radius_y) * OVERSAMPLING]
    return _drawn(lambda d: d.ellipse(box, fill=255))


def step(value, edge0, edge1):
    """Smooth step from 0 at `edge0` to 1 at `edge1`."""
    t = np.clip((value - edge0) / (edge1 - edge0), 0.0, 1.0)
    return t * t * (3 - 2 * t)


def noise(rng, cell_x, cell_y):
    """Smooth noise of unit deviation whose features are about `cell_x` by `cell_y` pixels."""
    grid = rng.standard_normal((int(HEIGHT / cell_y) + 3, int(WIDTH / cell_x) + 3)).astype(np.float32)
    plane = np.asarray(Image.fromarray(grid).resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC), dtype=np.float64)
    return (plane - plane.mean()) / plane.std()


def layered(rng, cell_x, cell_y, layers=4):
    """Noise with `layers` octaves, each half as large and 0.55 as strong; unit deviation."""
    total = sum(0.55**k * noise(rng, max(cell_x / 2**k, 2), max(cell_y / 2**k, 2)) for k in range(layers))
    return total / total.std()


def brick_factor(rng):
    """What multiplies the colour of the depot's front: courses of uneven bricks, mortar, and damp streaks."""
    v = (Y - front_y(X, 0.0)) / front_height(X)
    along = 1.0 / (FRONT_X0 - LEFT_VP[0]) - 1.0 / np.maximum(X - LEFT_VP[0], 200.0)
    courses, bricks = v * 56.0, along * 118000.0
    row = np.floor(courses).astype(int)
    shifted = bricks + 0.5 * (row % 2)
    column = np.floor(shifted).astype(int)
    tones = rng.normal(0.0, 1.0, (97, 89))
    tone = tones[row % 97, column % 89]
    joint_y = np.abs((courses % 1.0) - 0.5) * 2
    joint_x = np.abs((shifted % 1.0) - 0.5) * 2
    mortar = np.maximum(step(joint_y, 0.78, 0.98), step(joint_x, 0.88, 0.99))
    streaks = layered(rng, 26, 420, 3) * (0.35 + 0.65 * step(v, 0.75, 0.1)) + 0.8 * layered(rng, 120, 160, 3)
    return (1.0 + 0.105 * tone) * (1.0 - 0.13 * mortar) * np.exp(0.075 * streaks)


def yard_factor(rng):
    """What multiplies the colour of the yard: setts that grow towards the viewer, tyre marks, pooled water."""
    depth = np.maximum(Y - 460.0, 60.0)
    across, away = (X - 1566.0) / depth * 9.0, 26000.0 / depth
    row = np.floor(away).astype(int)
    column = np.floor(across + 0.5 * (row % 2)).astype(int)
    tone = rng.normal(0.0, 1.0, (101, 103))[row % 101, column % 103]
    joint = np.maximum(step(np.abs(away % 1.0 - 0.5) * 2, 0.8, 1.0),
                       step(np.abs((across + 0.5 * (row % 2)) % 1.0 - 0.5) * 2, 0.86, 1.0))
    near = step(Y, 640, 1000)
    setts = (1.0 + 0.085 * tone * near) * (1.0 - 0.16 * joint * near)
    ripple = layered(rng, 90, 9, 3) * (1 - near) + layered(rng, 130, 26, 4) * near
    return setts * np.exp(0.10 * ripple)
