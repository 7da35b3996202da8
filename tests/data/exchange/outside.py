"""What programs that are not ours find in an exported board, one thing a line. Needs tinycss2, coloraide and jsonschema.

    outside.py css FILE               property NAME R G B L A B    every custom property that is a colour, in order
    outside.py tokens FILE [SCHEMA]   token PATH R G B L A B       every colour token, aliases not followed
    outside.py colours FILE           colour R G B L A B           every line of a file, a colour in CSS syntax

R G B are sRGB components, neither clipped nor mapped, 0-1 inside; L A B are OKLab. With SCHEMA the file must hold to it.
"""

import json
import sys

import tinycss2
from coloraide import Color


def numbers(colour):
    parts = [*colour.convert("srgb").coords(nans=False), *colour.convert("oklab").coords(nans=False)]
    return " ".join(f"{part:.9f}" for part in parts)


def properties(nodes):
    for node in nodes:
        if node.type == "declaration":
            yield node.name, tinycss2.serialize(node.value).strip()
        elif node.type in ("qualified-rule", "at-rule") and node.content is not None:
            yield from properties(tinycss2.parse_blocks_contents(node.content, skip_comments=True, skip_whitespace=True))
        elif node.type == "error":
            sys.exit(f"tinycss2: line {node.source_line}: {node.message}")


def css(path):
    with open(path, "rb") as file:
        rules, _ = tinycss2.parse_stylesheet_bytes(file.read(), skip_comments=True, skip_whitespace=True)
    for name, value in properties(rules):
        found = Color.match(value, fullmatch=True)
        if found is not None:
            print("property", name, numbers(found.color))


def tokens(path, schema=None):
    with open(path, encoding="utf-8") as file:
        root = json.load(file)
    if schema is not None:
        import jsonschema

        with open(schema, encoding="utf-8") as file:
            jsonschema.Draft202012Validator(json.load(file)).validate(root)

    def walk(group, path):
        for name, member in group.items():
            if name.startswith("$") or not isinstance(member, dict):
                continue
            if "$value" in member:
                value = member["$value"]
                if isinstance(value, dict):
                    space = value["colorSpace"]
                    parts = [float("nan") if part == "none" else part for part in value["components"]]
                    if space in ("hsl", "hwb"):
                        # coloraide counts these in fractions, the format in percent.
                        parts = [parts[0], parts[1] / 100, parts[2] / 100]
                    colour = Color(space, parts)
                else:
                    colour = Color(value)
                print("token", ".".join([*path, name]).replace(" ", "_"), numbers(colour))
            else:
                walk(member, [*path, name])

    walk(root, [])


def colours(path):
    with open(path, encoding="utf-8") as file:
        for line in file:
            print("colour", numbers(Color(line.strip())))


{"css": css, "tokens": tokens, "colours": colours}[sys.argv[1]](*sys.argv[2:])
