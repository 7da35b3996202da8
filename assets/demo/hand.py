"""A hand that is never quite straight: wobbling outlines, strokes with pressure, planes laid stroke beside stroke, and the
script they are written to.

Uses the standard library only; one seeded generator, so the same Python draws the same lines.
"""

import math
import random
import re
from pathlib import Path

from scene import HEIGHT, WIDTH

BRUSHES = Path(__file__).parent.parent / "brushes"


class Hand:
    """Turns intended lines into outlines and pen samples in canvas pixels."""

    def __init__(self, seed):
        self.random = random.Random(seed)

    def vary(self, value, share=0.2):
        """A value give or take a share of itself."""
        return value * self.random.uniform(1 - share, 1 + share)

    def outline(self, polygon, inset_px=0.0, wobble_px=2.2):
        """A mass: the polygon drawn a little smaller, its long edges waving, kept off the canvas's own edge."""
        cx = sum(x for x, _ in polygon) / len(polygon)
        cy = sum(y for _, y in polygon) / len(polygon)
        points = []
        for (x0, y0), (x1, y1) in zip(polygon, [*polygon[1:], polygon[0]]):
            length = math.hypot(x1 - x0, y1 - y0)
            if length < 1:
                continue
            pieces = max(1, round(length / 70))
            for i in range(pieces):
                x, y = x0 + (x1 - x0) * i / pieces, y0 + (y1 - y0) * i / pieces
                away = max(math.hypot(cx - x, cy - y), 1.0)
                x += (cx - x) / away * inset_px + self.random.gauss(0, wobble_px)
                y += (cy - y) / away * inset_px + self.random.gauss(0, wobble_px)
                points.append(self._off_the_edge(x, y))
        return points

    def _off_the_edge(self, x, y):
        """The point moved inside a ragged border of bare ground, widest at the lower corners."""
        low = math.exp(-(((HEIGHT - y) / 130) ** 2))
        left = 21 + 7 * math.sin(y / 61) + self.random.uniform(-4, 6) + 52 * low
        right = 22 + 8 * math.sin(y / 83 + 1) + self.random.uniform(-4, 6) + 30 * low
        top = 18 + 6 * math.sin(x / 97) + self.random.uniform(-4, 5)
        bottom = 27 + 9 * math.sin(x / 120 + 2) + self.random.uniform(-5, 7)
        return min(max(x, left), WIDTH - right), min(max(y, top), HEIGHT - bottom)

    def stroke(self, start, end, bend=0.06, press=1.0, free=False, lost=False):
        """Pen samples from start to end: a slight bend, quick to press, slow to lift; `free` ones may leave the canvas, and
        those that are `lost` come and go with hardly any pressure."""
        (x0, y0), (x1, y1) = start, end
        length = math.hypot(x1 - x0, y1 - y0)
        samples = max(4, min(12, round(length / 22)))
        sag = self.random.gauss(0, bend) * length
        nx, ny = (-(y1 - y0) / length, (x1 - x0) / length) if length else (0.0, 0.0)
        top = press * self.random.uniform(0.8, 1.0)
        points = []
        for i in range(samples):
            t = i / (samples - 1)
            off = sag * 4 * t * (1 - t) + self.random.gauss(0, 0.8)
            pressure = top * (0.42 + 0.58 * min(1.0, t / 0.22) * min(1.0, (1.12 - t) / 0.4))
            if lost:
                pressure = top * (0.25 + 0.75 * min(1.0, t / 0.3)) * min(1.0, (1.06 - t) / 0.45)
            points.append((x0 + (x1 - x0) * t + nx * off, y0 + (y1 - y0) * t + ny * off, min(pressure, 1.0)))
        return points if free else self._inside(points)

    def dab(self, centre, length_px, angle_deg, press=1.0, lost=False):
        """A short stroke about a centre; 0 degrees is level, positive turns it clockwise on screen."""
        length, angle = self.vary(length_px, 0.35), math.radians(angle_deg + self.random.gauss(0, 7))
        if self.random.random() < 0.4:
            angle += math.pi
        dx, dy = math.cos(angle) * length / 2, math.sin(angle) * length / 2
        return self.stroke((centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy), bend=0.035, press=press,
                           lost=lost)

    def plane(self, polygon, width_px, angle_deg, gap=0.72, length=(4.0, 8.0), bleed=0.3, press=(0.7, 1.0)):
        """Strokes that lay a plane: rows at an angle, a row `gap` brush widths from the next, each broken into strokes of
        some brush widths that overlap, begin and end a little inside or outside the edge (`bleed`), and lean by themselves.

        `angle_deg` may be a function of a place: a stroke then turns with the form.
        """
        middle = (sum(x for x, _ in polygon) / len(polygon), sum(y for _, y in polygon) / len(polygon))
        angle = math.radians(angle_deg(*middle) if callable(angle_deg) else angle_deg)
        ux, uy = math.cos(angle), math.sin(angle)
        turned = [((x - middle[0]) * ux + (y - middle[1]) * uy, (y - middle[1]) * ux - (x - middle[0]) * uy)
                  for x, y in polygon]
        low, high = min(v for _, v in turned), max(v for _, v in turned)
        rows = max(1, round((high - low) / (width_px * gap)))
        strokes = []
        for row in range(rows):
            v = low + (high - low) * (row + 0.5) / rows
            for begin, end in self._spans(turned, v):
                strokes += self._row(begin, end, v, width_px, length, bleed, press)
        laid = []
        for samples in strokes:
            back = [(middle[0] + u * ux - v * uy, middle[1] + u * uy + v * ux, p) for u, v, p in samples]
            if callable(angle_deg):
                back = self._turned(back, angle_deg, math.degrees(angle))
            laid.append(self._inside(back))
        return laid

    @staticmethod
    def _spans(turned, v):
        """Where a level line at `v` runs inside the polygon, from left to right."""
        crossings = sorted(u0 + (v - v0) / (v1 - v0) * (u1 - u0)
                           for (u0, v0), (u1, v1) in zip(turned, [*turned[1:], turned[0]]) if (v0 <= v) != (v1 <= v))
        return list(zip(crossings[::2], crossings[1::2]))

    def _row(self, begin, end, v, width_px, length, bleed, press):
        """A row of strokes from `begin` to `end`, now from the left and now from the right."""
        strokes, at = [], begin + width_px * self.random.uniform(-bleed, bleed * 0.4)
        last = end + width_px * self.random.uniform(-bleed * 0.4, bleed)
        while at < last - width_px * 0.4:
            to = min(at + width_px * self.random.uniform(*length), last)
            if last - to < width_px * 1.2:
                to = last
            tilt = self.random.gauss(0, 0.10) * min(width_px, to - at)
            y0 = v + self.random.gauss(0, width_px * 0.10)
            strokes.append(self.stroke((at, y0 - tilt / 2), (to, y0 + tilt / 2), bend=0.02,
                                       press=self.random.uniform(*press), free=True))
            at = to - width_px * self.random.uniform(0.3, 0.9)
            if to == last:
                break
        return [[(begin + end - u, y, p) for u, y, p in s] for s in strokes] if self.random.random() < 0.4 else strokes

    @staticmethod
    def _turned(samples, angle_deg, laid_deg):
        """A stroke turned about its middle to the angle that holds there."""
        mx, my, _ = samples[len(samples) // 2]
        turn = math.radians(angle_deg(mx, my) - laid_deg)
        c, s = math.cos(turn), math.sin(turn)
        return [(mx + (x - mx) * c - (y - my) * s, my + (x - mx) * s + (y - my) * c, p) for x, y, p in samples]

    @staticmethod
    def _inside(samples):
        """Kept on the canvas."""
        return [(min(max(x, 0), WIDTH), min(max(y, 0), HEIGHT), p) for x, y, p in samples]

    def along(self, polyline, count, scatter_px):
        """`count` places spread along a polyline, each a little off it, as (x, y, angle of the line in degrees)."""
        spans = [(a, b, math.dist(a, b)) for a, b in zip(polyline, polyline[1:])]
        total = sum(length for _, _, length in spans)
        places = []
        for i in range(count):
            goal = total * min(max((i + self.random.uniform(0.1, 0.9)) / count, 0.0), 0.999)
            for (x0, y0), (x1, y1), length in spans:
                if goal <= length:
                    break
                goal -= length
            t = goal / length
            places.append((x0 + (x1 - x0) * t + self.random.gauss(0, scatter_px),
                           y0 + (y1 - y0) * t + self.random.gauss(0, scatter_px),
                           math.degrees(math.atan2(y1 - y0, x1 - x0))))
        return places


class Script:
    """The commands of a study as readable RON, one a line; says again only what has changed."""

    def __init__(self, width_px, height_px, board, light):
        self.head = {"format": 1, "width": width_px, "height": height_px, "board": f'"{board}"', "light": light}
        self.lines, self.loaded, self.brushed = [], None, None
        self.masses = self.strokes = 0

    def note(self, text):
        """A comment line with space above it."""
        self.lines.append(f"\n    // {text}")

    def say(self, command):
        """Any command as it stands."""
        self.lines.append(f"    {command},")

    def load(self, paint):
        """Loads a swatch given as (family, role), or a free colour given as "#rrggbb"."""
        if paint != self.loaded:
            self.loaded = paint
            self.say(f'LoadFree("{paint}")' if isinstance(paint, str)
                     else f'Load(Swatch(family: "{paint[0]}", role: {paint[1]}))')

    def brush(self, name, size, strength=1.0):
        """A brush of assets/brushes by its name, with a width in pixels and a strength as a fraction."""
        text = re.sub(r"//.*", "", (BRUSHES / f"{name.lower()}.ron").read_text(encoding="utf-8"))
        start = text.index("brush:") + len("brush:")
        brush = re.sub(r"\s+", " ", text[start:text.rindex(")")]).strip().rstrip(",")
        brush = re.sub(r"\bsize: [0-9.]+", f"size: {size:.1f}", brush, count=1)
        brush = re.sub(r"\bstrength: [0-9.]+", f"strength: {strength:.2f}", brush, count=1)
        brush = brush.replace("( ", "(").replace(", )", ")")
        if brush != self.brushed:
            self.brushed = brush
            self.say(f"Brush({brush})")

    def mass(self, paint, points, edge="Soft"):
        """A closed outline filled with one paint."""
        self.load(paint)
        self.masses += 1
        self.say(f"Mass(outline: {outline_text(points)}, edge: {edge})")

    def stroke(self, paint, samples):
        """A stroke with one paint."""
        self.load(paint)
        self.strokes += 1
        self.say(f"Stroke({samples_text(samples)})")

    def text(self):
        """The whole file."""
        head = "".join(f"    {name}: {value},\n" for name, value in self.head.items())
        return "(\n" + head + "    commands: [\n" + "\n".join(self.lines) + "\n    ],\n)\n"


def outline_text(points):
    """Corners in whole pixels."""
    return "[" + ", ".join(f"({round(x)}, {round(y)})" for x, y in points) + "]"


def samples_text(samples):
    """Pen samples: whole pixels and pressure 0-1."""
    return "[" + ", ".join(f"({round(x)}, {round(y)}, {p:.2f})" for x, y, p in samples) + "]"
