"""Draws the demo's reference: an invented phone photo of a tram depot at blue hour, `tram_depot.jpg`.

Made with Python 3.11, numpy 2.4.6, Pillow 13.0.0 and piexif 1.1.3 (`requirements.txt`); one fixed seed, so the same
versions draw the same photo. Nothing in it was photographed: every surface is drawn from `scene.py`, lit, textured,
seen through a small lens and written as a phone writes it (EXIF Orientation 6).
"""

from pathlib import Path

import numpy as np

import scene
from photo_look import blur, lens, phone_jpeg, sensor
from scene import COLOURS, HEIGHT, WIDTH, front_height, front_y, tram_quad, tram_x, tram_y
from textures import X, Y, area, brick_factor, disc, layered, line, linear_colour, noise, step, yard_factor

SEED = 20260120
JPEG_QUALITY = 85
TAKEN = "2026:01:20 16:52:31"
LAMP = linear_colour("#f0b469")


def colour(family, role):
    """The colour a part is drawn from, linear light."""
    return linear_colour(COLOURS[family][role])


def over(picture, mask, paint):
    """`paint` (a colour or a picture) laid over the picture where the mask covers."""
    mask = mask[..., None]
    return picture * (1.0 - mask) + paint * mask


def shaded(paint, factor):
    """A colour multiplied by a plane of factors."""
    return paint[None, None, :] * factor[..., None]


def sky(rng):
    """Three uneven bands: a dark bank of cloud, the blue of the hour, a pale strip over the roofs."""
    wander = 9 * layered(rng, 420, 60) + 5 * layered(rng, 90, 26)
    first = np.interp(X[0], [0, 320, 655, 980, 1290, 1600], [120, 134, 152, 128, 112, 92])[None, :]
    second = np.interp(X[0], [0, 240, 498, 1480, 1600], [322, 306, 268, 318, 335])[None, :]
    to_middle = step(Y + wander, first - 20, first + 20)
    to_pale = step(Y + 0.8 * wander, second - 24, second + 24)
    picture = np.broadcast_to(colour("Sky", "Shadow"), (HEIGHT, WIDTH, 3))
    picture = over(picture, to_middle, colour("Sky", "Local"))
    picture = over(picture, to_pale, colour("Sky", "Light"))
    falloff = 1.0 + 0.08 * (Y - first) / 400 - 0.05 * X / WIDTH
    clouds = np.exp(0.055 * layered(rng, 300, 40, 5) + 0.02 * layered(rng, 60, 12, 2))
    return picture * (falloff * clouds)[..., None]


def far_roofs(picture, rng):
    """Hazy hills, then slopes and gables of the sheds beyond the yard."""
    haze = 1.0 + 0.10 * step(Y, 420, 640)
    trees = np.exp(0.07 * layered(rng, 40, 16, 3))
    for hills in (scene.HILLS_LEFT, scene.HILLS_RIGHT):
        picture = over(picture, area(hills, 1.8), shaded(colour("Far roofs", "Light"), haze * trees))
    ribs = 1.0 + 0.05 * np.sin(X * 0.9 + Y * 0.35)
    patches = np.exp(0.07 * layered(rng, 60, 30, 3))
    for slope in scene.ROOF_SLOPES:
        picture = over(picture, area(slope, 0.8), shaded(colour("Far roofs", "Local"), ribs * patches * haze))
    for gable in scene.ROOF_GABLES:
        picture = over(picture, area(gable, 0.8), shaded(colour("Far roofs", "Shadow"), patches * haze))
    for ridge in (((70, 446), (252, 439)), ((356, 461), (470, 457))):
        picture = over(picture, 0.55 * line(ridge, 2.5), colour("Far roofs", "Light"))
    for x, y in ((190, 428), (206, 430), (438, 440)):
        picture = over(picture, area([(x, y), (x + 10, y), (x + 10, y + 26), (x, y + 26)], 0.7),
                       colour("Far roofs", "Shadow"))
    return picture


def lamp_spill(x, y, reach_px):
    """How much light of a lamp at (x, y) falls on a place, 1 at the lamp."""
    return 1.0 / (1.0 + (np.hypot(X - x, (Y - y) * 0.9) / reach_px) ** 2.4)


def depot(picture, rng):
    """The long brick front with its wing, coping, pilasters, doors and the one lit window."""
    bricks = brick_factor(rng)
    v = (Y - front_y(X, 0.0)) / front_height(X)
    damp = 1.0 - 0.20 * step(v, 0.72, 1.0) - 0.16 * step(v, 0.17, 0.105) * step(v, 0.0, 0.10)
    side = 0.94 + 0.12 * (X - 670) / 810
    wall = shaded(colour("Brick", "Local"), bricks * damp * side)
    spill = lamp_spill(1231, 420, 120)[..., None] * LAMP * 0.16
    flank_light = 1.0 - 0.22 * step(X, 560, 670) + 0.10 * step(Y, 520, 220)
    # The front reaches under the flank and the yard, so that no sky shows through the edges they share.
    front = scene.front_quad(scene.FRONT_X0 - 6, scene.FRONT_X1, scene.PARAPET_V, 1.02)
    picture = over(picture, area(front, 0.7), wall + spill * bricks[..., None])
    picture = over(picture, area(scene.FLANK, 0.7), shaded(colour("Brick", "Shadow"), bricks**0.8 * flank_light * 1.08))
    picture = over(picture, area(scene.FLANK_COPING, 0.9), shaded(colour("Brick", "Local"), bricks))
    picture = over(picture, area(scene.WING_FACE, 0.7), shaded(colour("Brick", "Local"), bricks * 0.98))
    picture = over(picture, area(scene.WING_COPING, 0.8), colour("Brick", "Light"))
    for pilaster in scene.PILASTERS:
        x = pilaster[0][0]
        picture = over(picture, area(pilaster, 0.8), wall * 1.13 + spill)
        edge = [(x - 9, front_y(x - 9, 0.11)), (x, front_y(x, 0.11)), (x, front_y(x, 1)), (x - 9, front_y(x - 9, 1))]
        picture = over(picture, 0.45 * area(edge, 1.5), colour("Brick", "Shadow"))
    coping = np.exp(0.06 * layered(rng, 50, 30, 4)) * (0.96 + 0.06 * side)
    picture = over(picture, area(scene.PARAPET, 0.8), shaded(colour("Brick", "Light"), coping * (0.5 + 0.5 * bricks)))
    shade = scene.front_quad(670, 1480, scene.PARAPET_V, 0.135)
    picture = over(picture, 0.5 * area(shade, 2.0), colour("Brick", "Shadow"))
    picture = over(picture, 0.6 * line(((1478, 130), (1478, 735)), 5), colour("Brick", "Shadow"))
    planks = 1.0 + 0.07 * np.sign(np.sin(X * 0.42)) + 0.05 * noise(rng, 5, 160)
    for door in (scene.DOOR_LEFT, scene.DOOR_RIGHT):
        fade = 0.92 + 0.16 * step(v, 1.0, 0.3)
        picture = over(picture, area(door, 0.9), shaded(colour("Brick", "Shadow"), planks * fade) + spill * 0.5)
        (x0, top), (x1, top1) = door[0], door[1]
        picture = over(picture, 0.55 * line(((x0 - 10, top - 8), (x1 + 10, top1 - 8)), 9), wall * 1.3)
        picture = over(picture, 0.5 * line((((x0 + x1) / 2, top), ((x0 + x1) / 2, front_y((x0 + x1) / 2, 1))), 3),
                       colour("Wet yard", "Shadow"))
    for x in (766, 804, 848, 886):
        pane = scene.front_quad(x, x + 28, 0.37, 0.45)
        picture = over(picture, 0.75 * area(pane, 0.8), colour("Far roofs", "Local") * (0.75 + 0.3 * rng.random()))
    return lit_window(picture, rng)


def lit_window(picture, rng):
    """Lamp light behind old glass: a bright core, a warm middle, deep orange in the corners."""
    warp = 14 * layered(rng, 70, 60, 3)
    glow = lamp_spill(1262, 372, 100)
    glow = step(glow + 0.006 * warp, 0.10, 0.62)
    inside = over(np.broadcast_to(colour("Lamp glow", "Shadow"), (HEIGHT, WIDTH, 3)), step(glow, 0.08, 0.42),
                  colour("Lamp glow", "Local"))
    core = area(scene.LIT_CORE, 7.0)
    inside = over(inside, core, colour("Lamp glow", "Light"))
    left_curtain = area(scene.front_quad(1106, 1142, 0.30, 0.575), 5.0)
    sill = area(scene.front_quad(1106, 1356, 0.52, 0.575), 5.0)
    inside = over(inside, 0.85 * np.maximum(left_curtain, sill), colour("Lamp glow", "Shadow"))
    picture = over(picture, area(scene.LIT_WINDOW, 0.9), inside * np.exp(0.04 * layered(rng, 30, 50, 3))[..., None])
    for x in (1190, 1274):
        picture = over(picture, 0.7 * line(((x, front_y(x, 0.30)), (x, front_y(x, 0.575))), 4),
                       colour("Lamp glow", "Shadow") * 0.75)
    bar = ((1106, front_y(1106, 0.41)), (1356, front_y(1356, 0.41)))
    picture = over(picture, 0.55 * line(bar, 4), colour("Lamp glow", "Shadow") * 0.8)
    return over(picture, 0.8 * line((*scene.LIT_WINDOW, scene.LIT_WINDOW[0]), 5), colour("Brick", "Shadow"))


def yard(picture, rng):
    """Wet setts: near ones dark, the middle holding the sky's grey, puddles holding its light; all of it mirrors."""
    factor = yard_factor(rng)
    wander = 10 * layered(rng, 160, 26, 4)
    ground = shaded(colour("Wet yard", "Local"), factor * (0.96 + 0.06 * step(Y, 980, 700)))
    edge = np.interp(X[0], [0, 380, 800, 1190, 1600], [985, 952, 908, 962, 1040])[None, :]
    ground = over(ground, step(Y + wander, edge - 26, edge + 34), shaded(colour("Wet yard", "Shadow"), factor))
    for puddle in scene.PUDDLES:
        ragged = step(area(puddle, 11.0) + 0.13 * layered(rng, 70, 9, 4), 0.30, 0.74)
        ripples = np.exp(0.09 * layered(rng, 110, 7, 4)) * (1.06 - 0.12 * step(Y, 740, 880))
        ground = over(ground, 0.95 * ragged, shaded(colour("Wet yard", "Light"), factor**0.3 * ripples))
    base = np.where(X < 670, np.interp(X, [0, 498, 528, 670], [650, 677, 681, 651]), front_y(X, 1.0))
    base = np.where(X > 1480, 660.0, base)
    mirrored_y = np.clip(2 * base - Y, 0, HEIGHT - 1) + 5 * noise(rng, 40, 5)
    mirror = picture[np.clip(mirrored_y, 0, HEIGHT - 1).astype(int), X.astype(int)]
    mirror = blur(mirror, 5.0, 17.0)
    wet = 0.34 * step(Y, 1010, 690) * np.clip(1.0 + 0.3 * layered(rng, 120, 20, 3), 0.3, 1.6)
    ground = over(ground, wet, mirror)
    foot = np.exp(-np.maximum(Y - base, 0) / 9.0) * 0.55
    ground = ground * (1.0 - foot)[..., None]
    broken = np.clip(0.92 * area(scene.LAMP_REFLECTION, 9.0) * (1 + 0.22 * layered(rng, 60, 7, 3)), 0, 1)
    ground = over(ground, broken, shaded(colour("Lamp glow", "Shadow"), np.exp(0.10 * layered(rng, 80, 8, 3))))
    hot = area([(1200, 850), (1300, 852), (1284, 960), (1226, 962)], 13.0)
    hot = hot * np.clip(0.7 + 0.4 * noise(rng, 70, 8), 0, 1)
    ground = over(ground, 0.75 * hot, colour("Lamp glow", "Local"))
    around = np.exp(-(((X - 1242) / 150) ** 2) - ((Y - 800) / 170) ** 2)
    ground = ground + around[..., None] * LAMP * 0.055
    for start, end in scene.RAILS:
        away = step(Y, 1200, 700)
        picture_rail = line((start, end), 7) * 0.55
        ground = over(ground, picture_rail, colour("Wet yard", "Shadow") * 0.8)
        shine = line(((start[0] + 3, start[1]), (end[0] + 1, end[1])), 2.6) * (0.25 + 0.5 * away)
        ground = over(ground, np.clip(shine * (1 + 0.35 * noise(rng, 120, 24)), 0, 1), colour("Sky", "Light"))
    return over(picture, area(scene.YARD, 0.8), ground)


def tram_reflection(picture, rng):
    """The tram's own dark and yellow in the wet ground below it."""
    wobble = 9 * noise(rng, 46, 7)
    bottom = tram_y(X, 1.0)
    tram_height = np.maximum(bottom - tram_y(X, 0.0), 1.0)
    for v0, v1, paint, strength in (
            (0.9, 1.04, colour("Wet yard", "Shadow"), 0.95),
            (0.58, 0.9, colour("Enamel", "Shadow"), 0.42),
            (0.15, 0.58, colour("Enamel", "Local"), 0.13)):
        v = 1.0 - (Y + wobble * (1 - v1 + 0.15) - bottom) / tram_height
        mask = step(v, v0 - 0.03, v0 + 0.03) * step(-v, -v1 - 0.03, -v1 + 0.03)
        mask = mask * step(X, scene.TRAM_X0 - 70, scene.TRAM_X0 + 70)
        mask = mask * step(-X, -scene.TRAM_X1 - 25, -scene.TRAM_X1 + 25)
        picture = over(picture, blur(mask * strength, 6, 4), paint)
    return picture


def tram(picture, rng):
    """The parked tram: cool light on the roof, yellow enamel, lower panels turned from the sky, one lit window."""
    picture = tram_reflection(picture, rng)
    v = (Y - tram_y(X, 0.0)) / np.maximum(tram_y(X, 1.0) - tram_y(X, 0.0), 1.0)
    grime = np.exp(0.045 * layered(rng, 40, 90, 4))
    dark = colour("Wet yard", "Shadow")
    picture = over(picture, area(scene.TRAM_UNDER, 2.0), dark * 0.85)
    for t in (0.14, 0.26, 0.72, 0.84):
        x = tram_x(t)
        radius = 0.075 * (tram_y(x, 1.0) - tram_y(x, 0.0))
        picture = over(picture, disc(x, tram_y(x, 0.945), radius, radius), dark)
        hub = disc(x, tram_y(x, 0.945), radius * 0.45, radius * 0.45)
        picture = over(picture, 0.22 * hub, colour("Wet yard", "Local"))
    end = shaded(colour("Enamel", "Shadow"), grime * (0.82 + 0.22 * step(Y, 860, 560)))
    picture = over(picture, area(scene.TRAM_END, 0.9), end)
    picture = over(picture, area(scene.TRAM_END_WINDOW, 0.9), shaded(dark, 1.1 + 0.9 * step(Y, 720, 600)))
    glare = np.exp(-(((X - 0.6 * WIDTH / 2) / 300) ** 2))
    upper = shaded(colour("Enamel", "Local"), grime * (0.94 + 0.10 * glare) * (1.07 - 0.16 * step(v, 0.2, 0.58)))
    picture = over(picture, area(scene.TRAM_UPPER, 0.8), upper)
    lower = shaded(colour("Enamel", "Shadow"), grime * (1.10 - 0.30 * step(v, 0.6, 0.9)))
    picture = over(picture, area(scene.TRAM_LOWER, 0.8), lower)
    picture = over(picture, 0.6 * area(tram_quad(0, 1, 0.555, 0.585), 1.0), colour("Enamel", "Light"))
    for t in np.linspace(0.07, 0.93, 9):
        seam = ((tram_x(t), tram_y(tram_x(t), 0.59)), (tram_x(t), tram_y(tram_x(t), 0.88)))
        picture = over(picture, 0.3 * line(seam, 2), dark)
    curve = np.sqrt(np.clip(1.0 - ((v - 0.045) / 0.125) ** 2, 0.0, 1.0))
    lengthwise = 0.95 + 0.10 * step(X, 760, 260) + 0.03 * noise(rng, 90, 60)
    roof = shaded(colour("Enamel", "Light"), grime * lengthwise * (0.66 + 0.40 * curve))
    picture = over(picture, area(scene.TRAM_ROOF, 1.6), roof)
    for t in np.linspace(0.08, 0.92, 7):
        rib = ((tram_x(t), tram_y(tram_x(t), 0.0)), (tram_x(t), tram_y(tram_x(t), 0.14)))
        picture = over(picture, 0.22 * line(rib, 2), colour("Enamel", "Shadow"))
    picture = over(picture, 0.6 * area(tram_quad(-0.02, 1.02, 0.145, 0.18), 1.5), colour("Enamel", "Shadow"))
    panes = dark[None, None, :] * 1.05 + (step(v, 0.5, 0.22) * 0.5)[..., None] * colour("Far roofs", "Local")
    for window in scene.TRAM_WINDOWS:
        picture = over(picture, area(window, 0.9), panes * np.exp(0.10 * layered(rng, 50, 30, 3))[..., None])
        (x0, y0), (x1, y1), _, (_, y3) = window
        slant = [(x0 + 10, y0 + 4), (x0 + 34, y0 + 5), (x0 + 14, y3 - 14), (x0 + 4, y3 - 14)]
        picture = over(picture, 0.28 * area(slant, 3.0), colour("Sky", "Light"))
        picture = over(picture, 0.7 * line((*window, window[0]), 3.5), colour("Enamel", "Shadow"))
    lamp = linear_colour("#ecdfb4")
    inner = lamp * 0.82 + (step(v, 0.45, 0.27)[..., None] * lamp * 0.18)
    inner = inner * np.exp(0.03 * layered(rng, 30, 30, 3))[..., None]
    picture = over(picture, area(scene.TRAM_LIT_WINDOW, 0.9), inner)
    frame = line((*scene.TRAM_LIT_WINDOW, scene.TRAM_LIT_WINDOW[0]), 3.5)
    picture = over(picture, 0.7 * frame, colour("Enamel", "Shadow"))
    x, y = scene.TAIL_LIGHT
    picture = over(picture, blur(disc(x, y, 7, 9), 1.2), linear_colour("#7a2f38"))
    pole = ((tram_x(0.52), tram_y(tram_x(0.52), 0.0)), (tram_x(0.52) - 96, 386))
    picture = over(picture, 0.75 * line(pole, 3.2), colour("Far roofs", "Shadow"))
    wires = ((-5, 352), pole[1], (842, front_y(842, 0.29)))
    return over(picture, 0.5 * line(wires, 2.0), colour("Far roofs", "Shadow") * 0.9)


def main():
    """Draw, photograph and write."""
    rng = np.random.default_rng(SEED)
    picture = sky(rng)
    picture = far_roofs(picture, rng)
    picture = depot(picture, rng)
    picture = yard(picture, rng)
    picture = tram(picture, rng)
    data = phone_jpeg(sensor(lens(picture), rng), JPEG_QUALITY, TAKEN)
    Path(__file__).with_name("tram_depot.jpg").write_bytes(data)
    print(f"tram_depot.jpg: {len(data) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
