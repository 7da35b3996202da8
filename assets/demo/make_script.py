"""Writes `tram_depot.ron`, the script of the demo study: board, block-in, two more passes, free colour.

Run after `make_reference.py`. Python 3.11 or later, standard library only; one fixed seed, so the file comes out the
same each time. The order is a painter's: big masses from far to near, then edges and planes with neighbouring
swatches, then lights and reflections, and a little free colour at the end.
"""

from pathlib import Path

import scene
from hand import Hand, Script, outline_text, samples_text
from scene import FRONT_X0, FRONT_X1, TRAM_X0, TRAM_X1, front_y, tram_x, tram_y

SEED = 1652

SKY_S, SKY_M, SKY_L = (("Sky", role) for role in ("Shadow", "Local", "Light"))
FAR_S, FAR_M, FAR_L = (("Far roofs", role) for role in ("Shadow", "Local", "Light"))
BRICK_S, BRICK_M, BRICK_L = (("Brick", role) for role in ("Shadow", "Local", "Light"))
YARD_S, YARD_M, YARD_L = (("Wet yard", role) for role in ("Shadow", "Local", "Light"))
TRAM_S, TRAM_M, TRAM_L = (("Enamel", role) for role in ("Shadow", "Local", "Light"))
LAMP_S, LAMP_M, LAMP_L = (("Lamp glow", role) for role in ("Shadow", "Local", "Light"))
LIT_TRAM = ("Lamp glow", "Accent")

CARMINE, RAIL_COLD, VIOLET, TURQUOISE = "#c23a5a", "#cfe6f0", "#4e4670", "#5a99a3"


def board(script):
    """The photo, its adjustments, and a family for each surface."""
    script.say('Reference("tram_depot.jpg")')
    script.say("Adjust(hue_turn: 4.0, soften: 0.6)")
    for family, outline in scene.TRIO_OUTLINES.items():
        script.say(f'PickTrio(family: "{family}", outline: {outline_text(scene.rounded(outline))})')
    x, y = scene.LIT_TRAM_PICK
    script.say(f'Pick(family: "Lamp glow", role: Accent, name: "Lit tram window", at: ({x}, {y}), aperture: 9)')


def block_in(script, hand):
    """Masses from far to near, each a little smaller than its surface so that the ground breathes between them."""
    far = [(SKY_S, scene.SKY_DARK), (SKY_M, scene.SKY_MIDDLE), (SKY_L, scene.SKY_PALE_LEFT),
           (SKY_L, scene.SKY_PALE_RIGHT), (FAR_L, scene.HILLS_LEFT), (FAR_L, scene.HILLS_RIGHT)]
    for paint, polygon in far:
        script.mass(paint, hand.outline(polygon, inset_px=7.5))
    for paint, polygons in ((FAR_M, scene.ROOF_SLOPES), (FAR_S, scene.ROOF_GABLES)):
        for polygon in polygons:
            script.mass(paint, hand.outline(polygon, inset_px=3.0, wobble_px=1.6))
    yard_middle = [*scene.YARD[:8], *reversed(scene.YARD_DARK[:5])]
    script.mass(YARD_M, hand.outline(yard_middle, inset_px=8.0))
    script.mass(YARD_S, hand.outline(scene.YARD_DARK, inset_px=8.0))
    for polygon in scene.PUDDLES:
        script.mass(YARD_L, hand.outline(polygon, inset_px=4.0))
    depot = [(BRICK_M, scene.WING_FACE), (BRICK_M, scene.FRONT), (BRICK_S, scene.FLANK), (BRICK_S, scene.DOOR_LEFT),
             (BRICK_S, scene.DOOR_RIGHT), (BRICK_L, scene.PARAPET), (LAMP_M, scene.LIT_WINDOW)]
    for paint, polygon in depot:
        script.mass(paint, hand.outline(polygon, inset_px=2.5, wobble_px=1.6), "Hard")
    script.mass(LAMP_S, hand.outline(scene.LAMP_REFLECTION, wobble_px=3.0))
    tram = [(YARD_S, scene.TRAM_UNDER), (TRAM_S, scene.TRAM_LOWER), (TRAM_S, scene.TRAM_END),
            (TRAM_M, scene.TRAM_UPPER), (TRAM_L, scene.TRAM_ROOF),
            *[(YARD_S, w) for w in [*scene.TRAM_WINDOWS, scene.TRAM_END_WINDOW]],
            (LIT_TRAM, scene.TRAM_LIT_WINDOW)]
    for paint, polygon in tram:
        script.mass(paint, hand.outline(polygon, wobble_px=1.5), "Hard")


def edges():
    """Where two surfaces meet: polyline, paints of both sides, dabs, their length, size, and angle (None: along it)."""
    def front_line(v):
        return [(x, front_y(x, v)) for x in (FRONT_X0, (FRONT_X0 + FRONT_X1) / 2, FRONT_X1)]

    def tram_line(v):
        return [(x, tram_y(x, v)) for x in (TRAM_X0, tram_x(0.5), TRAM_X1)]

    left_door, right_door = scene.DOOR_LEFT, scene.DOOR_RIGHT
    reflection = scene.LAMP_REFLECTION
    return [
        (scene.SKY_DARK[2:], (SKY_S, SKY_M), 14, 120, 44, 2),
        ([(0, 322), (240, 306), (498, 268)], (SKY_M, SKY_L), 8, 105, 38, -4),
        ([(1485, 320), (1600, 335)], (SKY_L, SKY_M), 3, 80, 34, 0),
        (scene.HILLS_LEFT[:8], (FAR_L, SKY_L), 6, 75, 24, None),
        ([(70, 447), (136, 530), (136, 600)], (FAR_S, FAR_M), 4, 50, 22, None),
        ([(70, 447), (252, 440), (316, 520)], (FAR_M, FAR_L), 5, 60, 20, None),
        ([(0, 642), (118, 648)], (YARD_M, FAR_S), 3, 70, 26, 0),
        (front_line(0.0), (BRICK_L, SKY_M), 9, 90, 28, -4),
        (front_line(scene.PARAPET_V), (BRICK_M, BRICK_L), 9, 85, 26, -5),
        ([(1480, 150), (1480, 330)], (SKY_M, BRICK_M), 5, 56, 30, 0),
        ([(1480, 350), (1480, 720)], (BRICK_M, FAR_L), 6, 60, 30, 0),
        ([(498, 200), (498, 500)], (SKY_L, BRICK_S), 6, 62, 30, 0),
        ([(670, 250), (670, 500)], (BRICK_S, BRICK_M), 5, 62, 30, -3),
        ([left_door[3], left_door[0], left_door[1], left_door[2]], (BRICK_M, BRICK_S), 8, 56, 28, 0),
        ([right_door[3], right_door[0], right_door[1], right_door[2]], (BRICK_S, BRICK_M), 9, 62, 30, 0),
        (front_line(1.0), (YARD_M, BRICK_S), 11, 95, 30, 4),
        (scene.YARD_DARK[:5], (YARD_S, YARD_M), 15, 140, 46, 2),
        (scene.PUDDLES[1], (YARD_M, YARD_L), 5, 90, 26, 0),
        (scene.PUDDLES[0][1:6], (YARD_M, YARD_L), 5, 66, 26, 0),
        (scene.PUDDLES[2], (YARD_L, YARD_M), 5, 90, 24, -2),
        (tram_line(0.02), (TRAM_L, BRICK_S), 5, 60, 20, None),
        (tram_line(0.16), (TRAM_M, TRAM_L), 6, 66, 20, None),
        (tram_line(0.58), (TRAM_S, TRAM_M), 8, 70, 24, None),
        (tram_line(0.93), (YARD_S, TRAM_S), 8, 78, 30, None),
        ([scene.LIT_WINDOW[0], scene.LIT_WINDOW[3], scene.LIT_WINDOW[2]], (LAMP_S, BRICK_S), 6, 58, 24, 0),
        ([reflection[0], reflection[4], reflection[3]], (LAMP_S, YARD_S), 6, 72, 24, 0),
        ([reflection[1], reflection[2]], (YARD_S, LAMP_S), 5, 72, 24, 0),
    ]


def planes():
    """Dabs inside a plane, in a neighbour's swatch: box x0, y0, x1, y1, paint, dabs, length, size, angle, strength."""
    return [
        ((80, 40, 1520, 90), FAR_S, 7, 170, 50, 1, 0.30), ((700, 160, 1420, 190), SKY_S, 4, 130, 36, -3, 0.30),
        ((60, 200, 470, 270), FAR_M, 5, 130, 40, -3, 0.28), ((60, 350, 440, 400), FAR_L, 4, 120, 34, -3, 0.35),
        ((720, 300, 1060, 330), FAR_S, 4, 100, 34, -5, 0.26), ((950, 420, 1070, 650), BRICK_L, 5, 66, 28, -2, 0.30),
        ((1390, 300, 1460, 660), BRICK_S, 4, 56, 26, 0, 0.35), ((780, 420, 910, 640), FAR_S, 4, 70, 30, 85, 0.35),
        ((1120, 520, 1350, 690), LAMP_S, 4, 70, 26, 88, 0.28), ((750, 850, 1120, 900), BRICK_M, 6, 140, 34, 0, 0.35),
        ((120, 1020, 1060, 1130), BRICK_S, 8, 170, 50, 2, 0.34), ((200, 1000, 700, 1060), TRAM_S, 6, 120, 34, -3, 0.40),
        ((1350, 1060, 1520, 1130), YARD_M, 4, 130, 36, 3, 0.34),
    ]


def second_pass(script, hand):
    """Breaks edges with the neighbour's paint and varies the planes."""
    for polyline, (first, second), count, length, size, angle in edges():
        script.brush(size, 0.62)
        places = hand.along(polyline, count, size * 0.30)
        for paint, some in ((first, places[::2]), (second, places[1::2])):
            for x, y, slope in some:
                script.stroke(paint, hand.dab((x, y), length, slope if angle is None else angle))
    for (x0, y0, x1, y1), paint, count, length, size, angle, strength in planes():
        script.brush(size, strength, hardness=0.55)
        for _ in range(count):
            centre = hand.random.uniform(x0, x1), hand.random.uniform(y0, y1)
            script.stroke(paint, hand.dab(centre, length, angle))
    script.note("Too much on the coping: scraped back to the mass below")
    script.brush(26, 0.7)
    x0, x1 = 1180.0, 1330.0
    script.say(f"Scrape({samples_text(hand.stroke((x0, front_y(x0, 0.05)), (x1, front_y(x1, 0.05))))})")


def third_pass(script, hand):
    """Lights, accents and reflections."""
    def rows(paint, box, count, length, size, strength, angle=0.0):
        x0, y0, x1, y1 = box
        script.brush(size, strength)
        for i in range(count):
            y = y0 + (y1 - y0) * (i + 0.5) / count
            script.stroke(paint, hand.dab((hand.random.uniform(x0, x1), y), length, angle))

    rows(LAMP_L, (1200, 345, 1300, 430), 6, 110, 32, 0.85, -3)
    rows(LAMP_S, (1120, 330, 1136, 470), 4, 60, 24, 0.7, 86)
    script.brush(5, 0.75, hardness=0.8)
    for x in (1190, 1274):
        script.stroke(LAMP_S, hand.stroke((x, front_y(x, 0.305)), (x, front_y(x, 0.57)), bend=0.01))
    rows(LAMP_M, (1215, 856, 1275, 1000), 7, 84, 20, 0.75)
    rows(LAMP_L, (1235, 870, 1270, 930), 3, 54, 12, 0.7)
    rows(LAMP_S, (1195, 760, 1280, 815), 3, 90, 16, 0.4)
    rows(YARD_L, (1440, 770, 1560, 850), 4, 130, 18, 0.7)
    rows(SKY_L, (30, 724, 90, 850), 4, 80, 18, 0.6)
    rows(YARD_L, (300, 900, 640, 930), 4, 120, 12, 0.5, -4)
    rows(TRAM_M, (230, 955, 420, 1010), 4, 100, 22, 0.30, -6)
    rows(FAR_L, (1040, 960, 1100, 1060), 3, 110, 10, 0.4)
    script.brush(9, 0.8)
    for t0, t1 in ((0.05, 0.3), (0.36, 0.62), (0.7, 0.95)):
        a, b = tram_x(t0), tram_x(t1)
        script.stroke(TRAM_L, hand.stroke((a, tram_y(a, 0.57)), (b, tram_y(b, 0.57)), bend=0.01))
    for window in scene.TRAM_WINDOWS:
        (x0, y0), _, _, (_, y3) = window
        script.stroke(FAR_L, hand.stroke((x0 + 26, y0 + 10), (x0 + 14, y3 - 14), bend=0.03, press=0.8))
    script.brush(6, 0.75, hardness=0.8)
    for (x0, y0), (x1, y1) in scene.RAILS:
        for t0, t1 in ((0.06, 0.3), (0.36, 0.6), (0.64, 0.92)):
            script.stroke(YARD_L, hand.stroke((x0 + (x1 - x0) * t0, y0 + (y1 - y0) * t0),
                                              (x0 + (x1 - x0) * t1, y0 + (y1 - y0) * t1), bend=0.004))
    script.brush(4, 0.6)
    script.stroke(FAR_S, hand.stroke((24, 354), (330, 380), bend=0.01, press=0.9))
    script.stroke(FAR_S, hand.stroke((336, 386), (430, 516), bend=0.01, press=0.9))
    script.note("Taken back, and thought better of")
    script.say("Undo")
    script.say("Redo")


def free_colour(script, hand):
    """The few notes that the board cannot give."""
    x, y = scene.TAIL_LIGHT
    script.brush(26, 0.95, hardness=0.75)
    script.stroke(CARMINE, hand.dab((x, y), 8, 80))
    script.brush(18, 0.7)
    for row in (868, 892, 914):
        script.stroke(CARMINE, hand.dab((x + 6, row), 48, 0))
    script.brush(46, 0.52)
    for place in ((236, 930), (330, 968), (560, 950), (650, 990), (845, 945), (905, 996), (1010, 980), (1040, 1034),
                  (1420, 1010), (1500, 1046), (760, 1050), (480, 1010), (180, 1000)):
        script.stroke(VIOLET, hand.dab(place, 200, 1))
    for place in ((210, 84), (330, 62), (880, 70), (1010, 90), (1330, 52)):
        script.stroke(VIOLET, hand.dab(place, 190, 1))
    script.brush(28, 0.5)
    for place in ((90, 420), (215, 398), (330, 372), (430, 388), (1535, 452), (1560, 478)):
        script.stroke(TURQUOISE, hand.dab(place, 130, -4))
    script.brush(7, 0.9, hardness=0.85)
    for (x0, y0), (x1, y1) in scene.RAILS[1:]:
        for t0, t1 in ((0.50, 0.66), (0.74, 0.97)):
            script.stroke(RAIL_COLD, hand.stroke((x0 + (x1 - x0) * t0, y0 + (y1 - y0) * t0),
                                                 (x0 + (x1 - x0) * t1, y0 + (y1 - y0) * t1), bend=0.003))


def main():
    """Writes the script and says what is in it."""
    script, hand = Script(scene.WIDTH, scene.HEIGHT, "Tram depot, blue hour", "Cool"), Hand(SEED)
    script.note("Board: the photo, a trio for each surface, one accent")
    board(script)
    script.note("Block-in: masses from far to near")
    block_in(script, hand)
    script.note("Second pass: edges and planes")
    script.say('AddPass("Second pass")')
    script.say('SelectPass("Second pass")')
    second_pass(script, hand)
    script.note("Third pass: lights, accents, reflections")
    script.say('AddPass("Third pass")')
    script.say('SelectPass("Third pass")')
    third_pass(script, hand)
    script.note("Free colour: tail light, violet in the wet yard and the cloud, turquoise over the hills, cold rails")
    script.say("OpenFree")
    free_colour(script, hand)
    script.say("ShutFree")
    text = script.text()
    Path(__file__).with_name("tram_depot.ron").write_text(text, encoding="utf-8")
    print(f"tram_depot.ron: {script.masses} masses, {script.strokes} strokes, {len(text) / 1000:.0f} kB")


if __name__ == "__main__":
    main()
