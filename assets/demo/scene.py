"""Geometry and colours of the invented scene: a tram depot at blue hour, cool light.

Everything is in pixels of the upright picture, 1600 x 1200, x to the right, y down; colours are sRGB hex. The photo
(`make_reference.py`) and the painting (`make_script.py`) are both made from this one description.

Run it to write `scene.json`: for each surface the outline from which a shadow / local / light trio is picked, and the
polygons of its parts by role. Needs Python 3.11 or later and nothing else.
"""

import json
from pathlib import Path

WIDTH, HEIGHT = 1600, 1200

# One eye level; lines along the depot's front meet at the left point, lines into its doors at the right one.
EYE_Y = 460.0
LEFT_VP = (-1191.0, EYE_Y)
RIGHT_VP = (1566.0, EYE_Y)

# The depot's front runs from FRONT_X0 (far) to FRONT_X1 (near); a projecting wing closes it on the left.
FRONT_X0, FRONT_X1 = 670.0, 1480.0
WING_X0, WING_X1 = 498.0, 528.0
ABOVE_EYE, BELOW_EYE = 0.55, 0.45

# The tram: near end at x = 190, far end at x = 735, its end face back to x = 118.
TRAM_X0, TRAM_X1, TRAM_END_X = 190.0, 735.0, 118.0
TRAM_GROUND_Y = 860.0
TRAM_HEIGHT = 0.8

# Shadow, local, light of each surface. Under the cool light of the day shadows lean warmer than lights.
COLOURS = {
    "Sky": {"Shadow": "#454a60", "Local": "#55739f", "Light": "#9cb6d6"},
    "Far roofs": {"Shadow": "#4d4853", "Local": "#666e80", "Light": "#8797a8"},
    "Brick": {"Shadow": "#4f3431", "Local": "#75514c", "Light": "#94797f"},
    "Wet yard": {"Shadow": "#3a353a", "Local": "#545c6b", "Light": "#8396b3"},
    "Enamel": {"Shadow": "#5f4825", "Local": "#917f38", "Light": "#b9bc93"},
    "Lamp glow": {"Shadow": "#a9653a", "Local": "#dd9e58", "Light": "#efd6a4"},
}


def front_height(x):
    """Height in pixels of the depot's front at column x; the front grows from the left vanishing point."""
    return 425.0 + 185.0 * (x - FRONT_X0) / (FRONT_X1 - FRONT_X0)


def front_y(x, v):
    """Row of the depot's front at column x and height fraction v, 0 at the coping and 1 at the ground."""
    return EYE_Y + front_height(x) * (v - ABOVE_EYE)


def towards(vanishing_point, start, x):
    """Row at column x of the line through `start` and a vanishing point."""
    (vx, vy), (sx, sy) = vanishing_point, start
    return sy + (vy - sy) * (x - sx) / (vx - sx)


def tram_y(x, v):
    """Row of the tram's side at column x and height fraction v, 0 at the roof and 1 at the ground."""
    ground = towards(RIGHT_VP, (TRAM_X0, TRAM_GROUND_Y), x)
    return ground - (1.0 - v) * TRAM_HEIGHT * (ground - EYE_Y)


def tram_end_y(x, v):
    """Row of the tram's end face at column x and height fraction v."""
    return towards(LEFT_VP, (TRAM_X0, tram_y(TRAM_X0, v)), x)


def tram_x(t):
    """Column of the tram's side at length fraction t, 0 at the near end; equal lengths shrink with distance."""
    near, far = RIGHT_VP[0] - TRAM_X0, RIGHT_VP[0] - TRAM_X1
    return RIGHT_VP[0] - 1.0 / (1.0 / near + t * (1.0 / far - 1.0 / near))


def front_quad(x0, x1, v0, v1):
    """Four corners of an upright rectangle on the depot's front."""
    return [(x0, front_y(x0, v0)), (x1, front_y(x1, v0)), (x1, front_y(x1, v1)), (x0, front_y(x0, v1))]


def tram_quad(t0, t1, v0, v1):
    """Four corners of an upright rectangle on the tram's side."""
    x0, x1 = tram_x(t0), tram_x(t1)
    return [(x0, tram_y(x0, v0)), (x1, tram_y(x1, v0)), (x1, tram_y(x1, v1)), (x0, tram_y(x0, v1))]


def tram_end_quad(v0, v1, x0=TRAM_END_X, x1=TRAM_X0):
    """Four corners of an upright rectangle on the tram's end face."""
    return [(x0, tram_end_y(x0, v0)), (x1, tram_end_y(x1, v0)), (x1, tram_end_y(x1, v1)), (x0, tram_end_y(x0, v1))]


def _wing_quad(x0, x1, vanishing_point, v0, v1):
    """A rectangle of the wing: its flank runs to the right vanishing point, its narrow face to the left one."""
    def row(x, v):
        corner = (FRONT_X0, front_y(FRONT_X0, v))
        if vanishing_point is RIGHT_VP:
            return towards(RIGHT_VP, corner, x)
        return towards(LEFT_VP, (WING_X1, towards(RIGHT_VP, corner, WING_X1)), x)
    return [(x0, row(x0, v0)), (x1, row(x1, v0)), (x1, row(x1, v1)), (x0, row(x0, v1))]


PARAPET_V = 0.105
FLANK = _wing_quad(WING_X1, FRONT_X0, RIGHT_VP, 0.0, 1.0)
WING_FACE = _wing_quad(WING_X0, WING_X1, LEFT_VP, 0.0, 1.0)
WING_COPING = _wing_quad(WING_X0, WING_X1, LEFT_VP, 0.0, 0.06)
FLANK_COPING = _wing_quad(WING_X1, FRONT_X0, RIGHT_VP, 0.0, 0.035)
PARAPET = front_quad(FRONT_X0, FRONT_X1, 0.0, PARAPET_V)
FRONT = front_quad(FRONT_X0, FRONT_X1, PARAPET_V, 1.0)
DOOR_LEFT = front_quad(752.0, 930.0, 0.34, 1.0)
DOOR_RIGHT = front_quad(1088.0, 1374.0, 0.27, 1.0)
LIT_WINDOW = front_quad(1106.0, 1356.0, 0.30, 0.575)
LIT_CORE = front_quad(1158.0, 1334.0, 0.335, 0.485)
PILASTERS = [front_quad(996.0, 1024.0, PARAPET_V, 1.0), front_quad(1424.0, 1458.0, PARAPET_V, 1.0)]

TRAM_SIDE = tram_quad(0.0, 1.0, 0.0, 0.9)
TRAM_ROOF = [(TRAM_END_X - 4, tram_end_y(TRAM_END_X, 0.125)), (TRAM_END_X + 2, tram_end_y(TRAM_END_X, 0.06)),
             (TRAM_END_X + 30, tram_end_y(TRAM_END_X + 30, 0.012)), (TRAM_X0, tram_y(TRAM_X0, 0.0)),
             (TRAM_X1, tram_y(TRAM_X1, 0.0)), (TRAM_X1 + 12, tram_y(TRAM_X1 + 12, 0.06)),
             (TRAM_X1 + 13, tram_y(TRAM_X1 + 13, 0.15)), (TRAM_X0 + 1, tram_y(TRAM_X0 + 1, 0.15))]
TRAM_UPPER = tram_quad(0.0, 1.0, 0.15, 0.58)
TRAM_LOWER = tram_quad(0.0, 1.0, 0.58, 0.9)
TRAM_END = tram_end_quad(0.12, 0.9)
TRAM_END_WINDOW = tram_end_quad(0.24, 0.5, 130.0, 178.0)
TRAM_WINDOWS = [tram_quad(0.06, 0.24, 0.24, 0.51), tram_quad(0.30, 0.48, 0.24, 0.51)]
TRAM_LIT_WINDOW = tram_quad(0.54, 0.70, 0.24, 0.51)
TRAM_UNDER = tram_quad(0.01, 0.99, 0.88, 1.03)
TAIL_LIGHT = (133.0, 745.0)

SKY_DARK = [(0, 0), (1600, 0), (1600, 92), (1290, 112), (980, 128), (655, 152), (320, 134), (0, 120)]
SKY_MIDDLE = [(0, 120), (320, 134), (655, 152), (980, 128), (1290, 112), (1600, 92), (1600, 335), (1480, 318),
              (670, 250), (498, 268), (240, 306), (0, 322)]
SKY_PALE_LEFT = [(0, 322), (240, 306), (498, 268), (498, 500), (0, 560)]
SKY_PALE_RIGHT = [(1480, 318), (1600, 335), (1600, 580), (1480, 580)]
HILLS_LEFT = [(0, 452), (60, 437), (150, 446), (245, 414), (320, 398), (400, 417), (460, 402), (498, 410), (498, 640),
              (0, 640)]
HILLS_RIGHT = [(1480, 500), (1540, 486), (1600, 496), (1600, 650), (1480, 650)]
ROOF_SLOPES = [[(70, 447), (252, 440), (316, 520), (316, 640), (136, 640), (136, 530)],
               [(356, 462), (470, 458), (498, 490), (498, 600), (404, 600), (404, 522)],
               [(1532, 560), (1600, 556), (1600, 665), (1566, 665), (1566, 622)]]
ROOF_GABLES = [[(0, 520), (70, 447), (136, 530), (136, 645), (0, 645)],
               [(308, 524), (356, 462), (404, 522), (404, 600), (308, 600)],
               [(1480, 618), (1532, 560), (1566, 622), (1566, 668), (1480, 668)]]

YARD = [(0, 640), (498, 640), (498, 677), (528, 681), (670, 651), (1480, 735), (1480, 650), (1600, 650), (1600, 1200),
        (0, 1200)]
YARD_DARK = [(0, 985), (380, 952), (800, 908), (1190, 962), (1600, 1040), (1600, 1200), (0, 1200)]
PUDDLES = [[(0, 712), (64, 694), (112, 716), (104, 790), (140, 852), (96, 884), (0, 872)],
           [(1384, 800), (1450, 762), (1600, 742), (1600, 872), (1490, 884), (1400, 858)],
           [(716, 806), (880, 762), (1010, 776), (960, 812), (800, 846)]]
LAMP_REFLECTION = [(1136, 838), (1342, 846), (1304, 1072), (1262, 1104), (1194, 1112)]

# Two tracks run into the doors: rails as (start, end) on the ground.
RAILS = [((100.0, towards(RIGHT_VP, (TRAM_X0, 866.0), 100.0)), (826.0, towards(RIGHT_VP, (TRAM_X0, 866.0), 826.0))),
         ((228.0, 1210.0), (1150.0, 701.0)),
         ((740.0, 1210.0), (1290.0, 716.0))]

# Where a trio is picked: an outline that takes in the shadow, local and light of one surface in like areas.
TRIO_OUTLINES = {
    "Sky": [(24, 16), (470, 16), (470, 384), (24, 410)],
    "Far roofs": [(4, 466), (70, 450), (100, 436), (180, 440), (245, 420), (320, 404), (400, 422), (404, 520),
                  (310, 524), (268, 528), (116, 530), (116, 636), (4, 636)],
    "Brick": [(596, 226), (664, 232), (690, 232), (1300, 152), (1300, 196), (744, 278), (744, 492), (668, 498),
              (596, 500)],
    "Wet yard": [(1412, 800), (1590, 762), (1590, 1150), (1412, 1100)],
    "Enamel": [(tram_x(0.25), tram_y(tram_x(0.25), 0.02)), (tram_x(0.98), tram_y(tram_x(0.98), 0.02)),
               (tram_x(0.98), tram_y(tram_x(0.98), 0.86)), (tram_x(0.75), tram_y(tram_x(0.75), 0.86)),
               (tram_x(0.75), tram_y(tram_x(0.75), 0.15)), (tram_x(0.25), tram_y(tram_x(0.25), 0.13))],
    "Lamp glow": front_quad(1112.0, 1350.0, 0.31, 0.567),
}
LIT_TRAM_PICK = (round(tram_x(0.62)), round(tram_y(tram_x(0.62), 0.38)))

# Every polygon of the block-in with the swatch it is painted from, far to near.
PARTS = [
    ("Sky", "Shadow", SKY_DARK), ("Sky", "Local", SKY_MIDDLE), ("Sky", "Light", SKY_PALE_LEFT),
    ("Sky", "Light", SKY_PALE_RIGHT),
    ("Far roofs", "Light", HILLS_LEFT), ("Far roofs", "Light", HILLS_RIGHT),
    *[("Far roofs", "Local", p) for p in ROOF_SLOPES], *[("Far roofs", "Shadow", p) for p in ROOF_GABLES],
    ("Wet yard", "Local", YARD), ("Wet yard", "Shadow", YARD_DARK), *[("Wet yard", "Light", p) for p in PUDDLES],
    ("Brick", "Local", WING_FACE), ("Brick", "Shadow", FLANK), ("Brick", "Local", FRONT), ("Brick", "Light", PARAPET),
    ("Brick", "Shadow", DOOR_LEFT), ("Brick", "Shadow", DOOR_RIGHT),
    ("Lamp glow", "Local", LIT_WINDOW), ("Lamp glow", "Light", LIT_CORE), ("Lamp glow", "Shadow", LAMP_REFLECTION),
    ("Wet yard", "Shadow", TRAM_UNDER), ("Enamel", "Shadow", TRAM_END), ("Enamel", "Local", TRAM_UPPER),
    ("Enamel", "Shadow", TRAM_LOWER), ("Enamel", "Light", TRAM_ROOF),
    *[("Wet yard", "Shadow", p) for p in [*TRAM_WINDOWS, TRAM_END_WINDOW]], ("Lamp glow", "Light", TRAM_LIT_WINDOW),
]


def rounded(polygon):
    """Whole pixels, kept inside the picture."""
    return [[min(max(round(x), 0), WIDTH), min(max(round(y), 0), HEIGHT)] for x, y in polygon]


def as_json():
    """The scene as plain values."""
    return {
        "width_px": WIDTH, "height_px": HEIGHT, "light": "Cool",
        "surfaces": [{
            "family": family,
            "trio_outline": rounded(TRIO_OUTLINES[family]),
            "drawn_from": COLOURS[family],
            "parts": [{"role": role, "outline": rounded(p)} for f, role, p in PARTS if f == family],
        } for family in COLOURS],
    }


def as_text(scene):
    """JSON with one outline a line, so that it can be read and compared."""
    lines = ["{", f'  "width_px": {scene["width_px"]}, "height_px": {scene["height_px"]}, "light": "Cool",',
             '  "surfaces": [']
    for i, surface in enumerate(scene["surfaces"]):
        lines.append(f'    {{ "family": {json.dumps(surface["family"])},')
        lines.append(f'      "drawn_from": {json.dumps(surface["drawn_from"])},')
        lines.append(f'      "trio_outline": {json.dumps(surface["trio_outline"])},')
        lines.append('      "parts": [')
        lines.append(",\n".join(f'        {{ "role": "{part["role"]}", "outline": {json.dumps(part["outline"])} }}'
                                for part in surface["parts"]))
        lines.append("      ] }" + ("," if i + 1 < len(scene["surfaces"]) else ""))
    return "\n".join([*lines, "  ]", "}"]) + "\n"


if __name__ == "__main__":
    text = as_text(as_json())
    assert json.loads(text) == as_json()
    Path(__file__).with_name("scene.json").write_text(text, encoding="utf-8")
