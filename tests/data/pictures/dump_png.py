"""Prints what pypng, an independent reader of PNG, finds in a file, one thing a line:

    chunk TYPE HEX        every chunk but IDAT, in order; "chunk IDAT" stands once, where the pixels begin
    size WIDTH HEIGHT BITS PLANES
    row SAMPLE SAMPLE …   every row of pixels, top down
"""

import sys

import png

with open(sys.argv[1], "rb") as file:
    before = None
    for kind, data in png.Reader(file=file).chunks():
        kind = kind.decode("ascii")
        if kind != "IDAT":
            print("chunk", kind, data.hex())
        elif before != "IDAT":
            print("chunk", kind)
        before = kind
with open(sys.argv[1], "rb") as file:
    width, height, rows, info = png.Reader(file=file).read()
    print("size", width, height, info["bitdepth"], info["planes"])
    for row in rows:
        print("row", *row)
