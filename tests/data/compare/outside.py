"""Value, warmth and chroma of outlined surfaces on two pictures of the same view, by Pillow and coloraide, which are not ours.

    outside.py PICTURE PHOTO < OUTLINES

Each line of OUTLINES is a name without blanks, and the corners of an outline on the photo: x y x y ... The mean light of the
pixels inside is taken on both; the outline is scaled to the picture. One line a surface is printed:
NAME VALUE CHROMA A B VALUE CHROMA A B, the picture first; VALUE is Munsell's, CHROMA, A and B are OKLab's.
"""

import sys

from coloraide import Color
from PIL import Image, ImageDraw, ImageOps

# ASTM D1535: luminance in per cent of the perfect diffuser as a quintic of Munsell value.
QUINTIC = (1.1914, -0.22533, 0.23352, -0.020484, 0.00081939)
LINEAR = [Color("srgb", [code / 255, 0, 0]).convert("srgb-linear")["r"] for code in range(256)]


def value_of(y):
    low, high = 0.0, 10.0
    for _ in range(60):
        middle = (low + high) / 2
        if sum(c * middle ** (i + 1) for i, c in enumerate(QUINTIC)) / 100 < y:
            low = middle
        else:
            high = middle
    return low


def mean(image, corners):
    mask = Image.new("L", image.size)
    ImageDraw.Draw(mask).polygon(corners, fill=255)
    counts = image.histogram(mask)
    light = [sum(n * LINEAR[code] for code, n in enumerate(counts[256 * c : 256 * c + 256])) for c in range(3)]
    pixels = sum(counts[:256])
    return Color("srgb-linear", [part / pixels for part in light])


def figures(colour):
    _, a, b = colour.convert("oklab").coords(nans=False)
    return f"{value_of(colour.convert('xyz-d65')['y']):.5f} {(a * a + b * b) ** 0.5:.6f} {a:.6f} {b:.6f}"


picture, photo = (ImageOps.exif_transpose(Image.open(path)).convert("RGB") for path in sys.argv[1:3])
scale = [picture.size[i] / photo.size[i] for i in range(2)]
for line in sys.stdin:
    name, *numbers = line.split()
    # The middle of a pixel is half a pixel from its corner, where Pillow has it.
    place = [float(number) for number in numbers]
    on_photo = [(x - 0.5, y - 0.5) for x, y in zip(place[::2], place[1::2])]
    on_picture = [(x * scale[0] - 0.5, y * scale[1] - 0.5) for x, y in zip(place[::2], place[1::2])]
    print(name, figures(mean(picture, on_picture)), figures(mean(photo, on_photo)))
