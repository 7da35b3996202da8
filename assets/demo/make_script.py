"""Writes `tram_depot.ron`, the script of the demo study: board, block-in, two more passes, free colour.

Run after `make_reference.py`. Python 3.11 or later, standard library only; one fixed seed, so the file comes out the
same each time. The order is a painter's: a drawing in charcoal, planes from far to near laid along their form with flat
and bristle, edges lost and found with neighbouring swatches, then lights and reflections, some with the knife, and a
little free colour at the end.
"""

import math
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


def front_angle(x, y):
    """Slope in degrees of the lines along the depot's front at a place on it."""
    height = scene.front_height(x)
    v = (y - scene.EYE_Y) / height + scene.ABOVE_EYE
    return math.degrees(math.atan2(front_y(x + 1, v) - front_y(x, v), 1.0))


def tram_angle(x, y):
    """Slope in degrees of the lines along the tram's side at a place on it."""
    return math.degrees(math.atan2(scene.EYE_Y - y, scene.RIGHT_VP[0] - x))


def drawing(script, hand):
    """The construction in charcoal: long lines first, most of them lost again under the paint."""
    script.brush("Charcoal", 8, 0.9)
    lines = [((FRONT_X0, front_y(FRONT_X0, 0)), (FRONT_X1 + 40, front_y(FRONT_X1 + 40, 0))),
             ((FRONT_X0 - 60, front_y(FRONT_X0 - 60, 1)), (FRONT_X1 + 30, front_y(FRONT_X1 + 30, 1))),
             ((FRONT_X1, 100), (FRONT_X1, 760)), ((FRONT_X0, 210), (FRONT_X0, 668)), ((528, 170), (528, 520)),
             ((498, 180), (498, 520)), ((30, 646), (500, 646)), ((0, 520), (84, 434)), ((64, 440), (150, 548)),
             ((60, 447), (258, 438)), ((246, 434), (330, 540)), ((300, 530), (362, 456)), ((350, 458), (480, 456)),
             ((104, 576), (196, 582)), ((190, 530), (190, 840)), ((190, 836), (745, 690)), ((186, 540), (750, 506)),
             ((1470, 628), (1536, 556)), ((1526, 556), (1580, 640))]
    for door in (scene.DOOR_LEFT, scene.DOOR_RIGHT):
        lines += [(door[3], door[0]), (door[0], door[1]), (door[1], door[2])]
    lines += scene.RAILS
    for start, end in lines:
        script.stroke(YARD_S, hand.stroke(start, end, bend=0.004, press=0.75))


def lay(script, hand, paints, polygon, brush, size, angle, strength=1.0, **how):
    """A plane laid with a brush, mostly in the first paint, now and then in the others."""
    script.brush(brush, size, strength)
    strokes = hand.plane(polygon, size, angle, **how)
    chosen = [paints[0] if len(paints) == 1 or hand.random.random() < 0.80 else hand.random.choice(paints[1:])
              for _ in strokes]
    for paint in dict.fromkeys(chosen):
        for samples, of in zip(strokes, chosen):
            if of == paint:
                script.stroke(paint, samples)


def block_in(script, hand):
    """Planes from far to near, each laid along its form, so that the ground breathes between the strokes."""
    drawing(script, hand)
    sky = scene.SKY_MIDDLE
    lay(script, hand, [SKY_L], scene.SKY_PALE_LEFT, "Bristle", 72, -5)
    lay(script, hand, [SKY_L], scene.SKY_PALE_RIGHT, "Bristle", 64, -3)
    lay(script, hand, [SKY_M], sky, "Bristle", 84, -4, bleed=0.2)
    lay(script, hand, [SKY_S], scene.SKY_DARK, "Bristle", 92, -1, bleed=0.15)
    script.brush("Bristle", 58)
    for y, count in ((316, 5), (352, 4), (392, 3)):
        for _ in range(count):
            x = hand.random.uniform(20, 460)
            script.stroke(SKY_L if y < 330 else SKY_M, hand.dab((x, y + hand.random.gauss(0, 9)), 150, -6, press=0.55))
    for hills in (scene.HILLS_LEFT, scene.HILLS_RIGHT):
        lay(script, hand, [FAR_L], hills, "Filbert", 40, -4)
    for paint, polygons, angle in ((FAR_M, scene.ROOF_SLOPES, 54), (FAR_S, scene.ROOF_GABLES, 86)):
        for polygon in polygons:
            script.mass(paint, hand.outline(polygon, inset_px=3.0, wobble_px=1.8))
            lay(script, hand, [paint], polygon, "Flat", 26, angle, gap=1.5, length=(3.0, 6.0), bleed=-0.1, press=(0.35, 0.7))
    yard_far = [(0, 640), (498, 640), (670, 651), (1480, 735), (1480, 650), (1600, 650), (1600, 860), (0, 800)]
    yard_near = [(0, 780), (1600, 850), *reversed(scene.YARD_DARK[:5])]
    lay(script, hand, [YARD_M], yard_far, "Bristle", 50, 1, gap=0.66, length=(6.0, 12.0))
    lay(script, hand, [YARD_M], yard_near, "Bristle", 74, 1, gap=0.62, length=(6.0, 12.0))
    for _ in range(2):
        lay(script, hand, [YARD_S], scene.YARD_DARK, "Bristle", 88, 1, gap=0.74, length=(4.0, 9.0), bleed=0.15)
    lay(script, hand, [BRICK_M], scene.WING_FACE, "Flat", 30, 90)
    script.mass(BRICK_S, hand.outline(scene.FLANK, inset_px=6.0, wobble_px=1.8))
    lay(script, hand, [BRICK_S], scene.FLANK, "Flat", 46, 88, gap=1.0, bleed=0.05)
    script.mass(BRICK_M, hand.outline(scene.FRONT, inset_px=16.0, wobble_px=3.0))
    lay(script, hand, [BRICK_M], scene.FRONT, "Bristle", 62, front_angle, gap=0.8, bleed=0.06, press=(0.55, 1.0))
    lay(script, hand, [BRICK_L], scene.PARAPET, "Flat", 44, front_angle, bleed=0.15)
    for door in (scene.DOOR_LEFT, scene.DOOR_RIGHT):
        script.mass(BRICK_S, hand.outline(door, inset_px=5.0, wobble_px=2.0))
        lay(script, hand, [BRICK_S], door, "Flat", 42, 89, gap=0.9, bleed=0.03, press=(0.5, 1.0))
    lay(script, hand, [LAMP_M], scene.LIT_WINDOW, "Flat", 44, front_angle, gap=0.6, bleed=0.0)
    for polygon in scene.PUDDLES:
        lay(script, hand, [YARD_L], polygon, "Flat", 26, -1)
    lay(script, hand, [LAMP_S], scene.LAMP_REFLECTION, "Bristle", 50, 0, gap=0.66, length=(2.5, 4.0), bleed=0.25)
    lay(script, hand, [YARD_S], scene.TRAM_UNDER, "Bristle", 34, tram_angle)
    for paint, polygon in ((TRAM_S, scene.TRAM_END), (TRAM_S, scene.TRAM_LOWER), (TRAM_M, scene.TRAM_UPPER)):
        script.mass(paint, hand.outline(polygon, inset_px=3.0, wobble_px=1.6))
    lay(script, hand, [TRAM_S], scene.TRAM_END, "Flat", 30, 88, gap=1.0, bleed=0.0)
    lay(script, hand, [TRAM_S, TRAM_S, YARD_S], scene.TRAM_LOWER, "Flat", 40, tram_angle, gap=0.8, bleed=0.03,
        press=(0.5, 1.0))
    lay(script, hand, [TRAM_M], scene.TRAM_UPPER, "Flat", 40, tram_angle, gap=0.8, bleed=0.03, press=(0.5, 1.0))
    lay(script, hand, [TRAM_L], scene.TRAM_ROOF, "Flat", 34, tram_angle, gap=0.6, bleed=0.04)
    for window in [*scene.TRAM_WINDOWS, scene.TRAM_END_WINDOW]:
        lay(script, hand, [YARD_S], window, "Flat", 24, tram_angle, gap=0.55, bleed=0.0)
    lay(script, hand, [LIT_TRAM], scene.TRAM_LIT_WINDOW, "Knife", 28, tram_angle, gap=0.5, bleed=0.0)


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
        ([(1480, 150), (1480, 330)], (SKY_M, BRICK_M), 2, 120, 24, None),
        ([(1480, 350), (1480, 720)], (BRICK_M, FAR_L), 3, 130, 24, None),
        ([(498, 200), (498, 500)], (SKY_L, BRICK_M), 3, 120, 22, None),
        ([(670, 250), (670, 500)], (BRICK_S, BRICK_M), 2, 130, 24, None),
        ([left_door[3], left_door[0], left_door[1], left_door[2]], (BRICK_M, BRICK_S), 5, 90, 22, None),
        ([right_door[3], right_door[0], right_door[1], right_door[2]], (BRICK_S, BRICK_M), 5, 100, 24, None),
        (front_line(1.0), (YARD_M, BRICK_S), 11, 95, 30, 4),
        (scene.YARD_DARK[:5], (YARD_S, YARD_M), 15, 140, 46, 2),
        (scene.PUDDLES[1], (YARD_M, YARD_L), 5, 90, 26, 0),
        (scene.PUDDLES[0][1:6], (YARD_M, YARD_L), 5, 66, 26, 0),
        (scene.PUDDLES[2], (YARD_L, YARD_M), 5, 90, 24, -2),
        (tram_line(0.02), (TRAM_L, BRICK_S), 2, 90, 12, None),
        (tram_line(0.16), (TRAM_M, TRAM_L), 6, 66, 20, None),
        (tram_line(0.58), (TRAM_S, TRAM_M), 8, 70, 24, None),
        (tram_line(0.93), (YARD_S, TRAM_S), 8, 78, 30, None),
        ([scene.LIT_WINDOW[0], scene.LIT_WINDOW[3], scene.LIT_WINDOW[2]], (LAMP_S, BRICK_S), 4, 80, 18, None),
        ([reflection[0], reflection[4], reflection[3]], (LAMP_S, YARD_S), 6, 72, 24, 0),
        ([reflection[1], reflection[2]], (YARD_S, LAMP_S), 5, 72, 24, 0),
    ]


def planes():
    """Dabs inside a plane, in a neighbour's swatch: box x0, y0, x1, y1, paint, dabs, length, size, angle, pressure."""
    return [
        ((80, 40, 1520, 90), FAR_S, 7, 170, 50, 1, 0.40), ((700, 160, 1420, 190), SKY_S, 4, 130, 36, -3, 0.30),
        ((60, 200, 470, 270), FAR_M, 5, 130, 40, -3, 0.28), ((60, 350, 440, 400), FAR_L, 4, 120, 34, -3, 0.35),
        ((950, 420, 1070, 650), BRICK_L, 5, 66, 28, -2, 0.30),
        ((1390, 300, 1460, 660), BRICK_S, 4, 56, 26, 0, 0.35), ((780, 420, 910, 640), FAR_S, 4, 70, 30, 85, 0.35),
        ((750, 850, 1120, 900), BRICK_M, 6, 140, 34, 0, 0.35),
        ((120, 1020, 1060, 1130), BRICK_S, 8, 170, 50, 2, 0.34), ((200, 1000, 700, 1060), TRAM_S, 6, 120, 34, -3, 0.40),
        ((1350, 1060, 1520, 1130), YARD_M, 4, 130, 36, 3, 0.34),
    ]


def second_pass(script, hand):
    """Breaks edges with the neighbour's paint, finds some again, and scumbles the planes."""
    script.brush("Rag", 110, 0.8)
    for x, y, press in ((170, 150, 0.42), (520, 168, 0.46), (860, 146, 0.38)):
        script.stroke(SKY_S, hand.dab((x, y), 150, -3, press=press))
    script.stroke(SKY_L, hand.dab((280, 238), 140, -5, press=0.26))
    for polyline, (first, second), count, length, size, angle in edges():
        places = hand.along(polyline, count, size * 0.22)
        for paint, some in ((first, places[::2]), (second, places[1::2])):
            # Edges are dragged with stiff hair; small level ones are here and there set with a rounded brush.
            def brush(place):
                i, (_, _, slope) = place
                return "Filbert" if size <= 34 and i % 3 == 1 and abs((slope + 90) % 180 - 90) <= 45 else "Bristle"
            for place in sorted(enumerate(some), key=brush):
                x, y, slope = place[1]
                steep = 45 < abs((slope + 90) % 180 - 90)
                lean = slope if steep or angle is None else angle
                script.brush(brush(place), size)
                press = hand.random.uniform(0.30, 0.66)
                script.stroke(paint, hand.dab((x, y), length, lean, press=press, lost=True))
    for (x0, y0, x1, y1), paint, count, length, size, angle, press in planes():
        script.brush("Bristle", size, 0.8)
        for _ in range(count):
            centre = hand.random.uniform(x0, x1), hand.random.uniform(y0, y1)
            script.stroke(paint, hand.dab(centre, length * 1.2, angle, press=press * 0.8))
    script.brush("Knife", 26)
    for x in (968, 1040, 1410):
        top, foot = front_y(x, scene.PARAPET_V) + 16, front_y(x, 0.96)
        y0 = hand.random.uniform(top, (top + foot) / 2)
        script.stroke(BRICK_L, hand.stroke((x, y0), (x + hand.random.gauss(0, 3), y0 + 150), bend=0.01, press=0.26))
    script.brush("Flat", 16)
    for x0, x1 in ((FRONT_X0 + 20, 1080), (1100, 1470)):
        script.stroke(BRICK_L, hand.stroke((x0, front_y(x0, 0.02)), (x1, front_y(x1, 0.02)), bend=0.003))
    script.note("Too much on the coping: scraped back to the paint below")
    script.brush("Flat", 26, 0.7)
    x0, x1 = 1180.0, 1330.0
    script.say(f"Scrape({samples_text(hand.stroke((x0, front_y(x0, 0.05)), (x1, front_y(x1, 0.05))))})")


def third_pass(script, hand):
    """Lights, accents and reflections; a few lines of the drawing found again."""
    def rows(paint, box, count, length, brush, size, angle=0.0, press=0.9, strength=1.0):
        x0, y0, x1, y1 = box
        script.brush(brush, size, strength)
        for i in range(count):
            y = y0 + (y1 - y0) * (i + 0.5) / count
            script.stroke(paint, hand.dab((hand.random.uniform(x0, x1), y), length, angle, press=press))

    script.brush("Soft", 170, 0.34)
    for x, y in ((1130, 300), (1330, 290), (1240, 520), (1150, 510), (1330, 505)):
        script.stroke(LAMP_S, hand.dab((x, y), 90, -5, press=0.5))
    lay(script, hand, [LAMP_M], scene.LIT_WINDOW, "Flat", 40, front_angle, gap=0.75, bleed=-0.1)
    rows(LAMP_L, (1215, 350, 1285, 430), 4, 130, "Knife", 34, -4)
    rows(LAMP_S, (1122, 335, 1130, 470), 3, 70, "Flat", 20, 86)
    script.brush("Round", 8)
    for x in (1190, 1274):
        script.stroke(LAMP_S, hand.stroke((x, front_y(x, 0.305)), (x, front_y(x, 0.57)), bend=0.01, press=0.8))
    script.stroke(LAMP_S, hand.stroke((1110, front_y(1110, 0.45)), (1352, front_y(1352, 0.45)), bend=0.005, press=0.7))
    rows(LAMP_M, (1215, 850, 1275, 1010), 7, 92, "Flat", 20)
    rows(LAMP_L, (1235, 868, 1265, 940), 4, 58, "Knife", 15)
    rows(YARD_S, (1180, 880, 1300, 1080), 6, 80, "Bristle", 18, 0, 0.5)
    rows(LAMP_S, (1195, 750, 1280, 815), 4, 110, "Bristle", 22, 0, 0.42)
    rows(YARD_L, (1440, 770, 1560, 850), 4, 150, "Knife", 24)
    rows(SKY_L, (20, 724, 90, 850), 5, 100, "Knife", 26)
    rows(SKY_L, (790, 790, 940, 830), 3, 120, "Knife", 18, -2)
    rows(YARD_L, (240, 900, 700, 935), 5, 150, "Bristle", 20, -3, 0.42)
    rows(TRAM_M, (210, 955, 400, 1030), 5, 130, "Bristle", 30, -5, 0.22, 0.7)
    rows(FAR_L, (1010, 960, 1120, 1070), 3, 130, "Bristle", 16, 0, 0.38)
    script.brush("Knife", 13)
    for t0, t1 in ((0.04, 0.3), (0.34, 0.62), (0.68, 0.96)):
        a, b = tram_x(t0), tram_x(t1)
        script.stroke(TRAM_L, hand.stroke((a, tram_y(a, 0.57)), (b, tram_y(b, 0.57)), bend=0.006))
    script.brush("Flat", 14)
    for window in scene.TRAM_WINDOWS:
        (x0, y0), _, _, (_, y3) = window
        script.stroke(FAR_L, hand.stroke((x0 + 30, y0 + 10), (x0 + 16, y3 - 14), bend=0.03, press=0.55))
    x0, y0, y3 = scene.DOOR_LEFT[0][0], scene.DOOR_LEFT[0][1], scene.DOOR_LEFT[3][1]
    script.brush("Flat", 22)
    for i in range(4):
        x = x0 + 22 + i * 40
        script.stroke(FAR_M, hand.stroke((x, y0 + 18), (x + 1, y0 + 48), bend=0.01, press=0.7))
    script.brush("Charcoal", 9, 0.9)
    for start, end in (((760, y3 - 170), (762, y3 - 20)), ((1100, 500), (1102, 680)), ((1368, 500), (1366, 700)),
                       ((1090, front_y(1090, 0.27)), (1300, front_y(1300, 0.27))), ((192, 590), (191, 800)),
                       ((70, 447), (126, 520)), ((672, 300), (671, 470)), ((1000, 700), (1240, 716))):
        script.stroke(YARD_S, hand.stroke(start, end, bend=0.006, press=0.7))
    script.brush("Round", 8)
    for (x0, y0), (x1, y1) in scene.RAILS:
        for i in range(9):
            t0 = 0.02 + i * 0.105 + hand.random.uniform(0.0, 0.015)
            t1 = t0 + hand.random.uniform(0.09, 0.12)
            script.stroke(YARD_L, hand.stroke((x0 + (x1 - x0) * t0, y0 + (y1 - y0) * t0),
                                              (x0 + (x1 - x0) * t1, y0 + (y1 - y0) * t1), bend=0.002, press=0.95))
    script.brush("Round", 5)
    for x0, x1 in ((10, 130), (126, 250), (246, 350), (346, 440)):
        script.stroke(FAR_S, hand.stroke((x0, 352 + x0 * 0.09), (x1, 352 + x1 * 0.09), bend=0.004, press=0.95))
    script.stroke(FAR_S, hand.stroke((440, 380), (498, 456), bend=0.01, press=0.9))
    script.brush("Flat", 12)
    for x in (190, 208):
        script.stroke(FAR_S, hand.stroke((x, 424), (x, 450), bend=0.0, press=0.8))
    script.note("Taken back, and thought better of")
    script.say("Undo")
    script.say("Redo")


def free_colour(script, hand):
    """The few notes that the board cannot give."""
    x, y = scene.TAIL_LIGHT
    script.brush("Filbert", 24)
    script.stroke(CARMINE, hand.dab((x, y), 12, 80))
    script.brush("Bristle", 16)
    for row in (868, 892, 918):
        script.stroke(CARMINE, hand.dab((x + 6, row), 54, 0, press=0.5))
    script.brush("Bristle", 34, 0.8)
    for place in ((236, 936), (340, 968), (570, 952), (650, 986), (845, 950), (905, 992), (1010, 976), (1430, 1016),
                  (1500, 1046)):
        script.stroke(VIOLET, hand.dab(place, 210, 1, press=0.34))
    for place in ((210, 84), (340, 66), (880, 74), (1330, 56)):
        script.stroke(VIOLET, hand.dab(place, 220, 1, press=0.34))
    script.brush("Bristle", 24)
    for place in ((90, 424), (215, 402), (330, 378), (1540, 462)):
        script.stroke(TURQUOISE, hand.dab(place, 140, -4, press=0.42))
    script.brush("Round", 8)
    for (x0, y0), (x1, y1) in scene.RAILS[1:]:
        for t0, t1 in ((0.46, 0.54), (0.53, 0.62), (0.61, 0.68), (0.76, 0.84), (0.83, 0.91), (0.90, 0.985)):
            script.stroke(RAIL_COLD, hand.stroke((x0 + (x1 - x0) * t0, y0 + (y1 - y0) * t0),
                                                 (x0 + (x1 - x0) * t1, y0 + (y1 - y0) * t1), bend=0.002))


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
