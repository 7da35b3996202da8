"""A hand that is never quite straight: wobbling outlines, strokes with pressure, and the script they are written to.

Uses the standard library only; one seeded generator, so the same Python draws the same lines.
"""

import math
import random

from scene import HEIGHT, WIDTH


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

    def stroke(self, start, end, bend=0.06, press=1.0):
        """Pen samples from start to end: a slight bend, quick to press, slow to lift."""
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
            points.append((x0 + (x1 - x0) * t + nx * off, y0 + (y1 - y0) * t + ny * off, min(pressure, 1.0)))
        return [(min(max(x, 0), WIDTH), min(max(y, 0), HEIGHT), p) for x, y, p in points]

    def dab(self, centre, length_px, angle_deg, press=1.0):
        """A short stroke about a centre; 0 degrees is level, positive turns it clockwise on screen."""
        length, angle = self.vary(length_px, 0.35), math.radians(angle_deg + self.random.gauss(0, 7))
        if self.random.random() < 0.4:
            angle += math.pi
        dx, dy = math.cos(angle) * length / 2, math.sin(angle) * length / 2
        return self.stroke((centre[0] - dx, centre[1] - dy), (centre[0] + dx, centre[1] + dy), bend=0.035, press=press)

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

    def brush(self, size, strength, hardness=0.7, spacing=0.12):
        """The brush: diameter in pixels, the rest as fractions."""
        brush = (f"Brush((size: {size:.1f}, hardness: {hardness:.2f}, strength: {strength:.2f}, spacing: {spacing:.2f}, "
                 "pressure_size: true, pressure_strength: false))")
        if brush != self.brushed:
            self.brushed = brush
            self.say(brush)

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
