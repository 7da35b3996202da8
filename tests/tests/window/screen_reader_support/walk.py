"""What a screen reader finds of Stint: walks its tree by AT-SPI and writes one JSON line a control. With a name, presses that control.

Python of the system with pyatspi (Debian: python3-pyatspi), on the session bus of the program."""

import json
import sys
import time

import gi

gi.require_version("Atspi", "2.0")
from gi.repository import Gio, GLib

# What a screen reader does first: it says that it is there.
Gio.bus_get_sync(Gio.BusType.SESSION).call_sync(
    "org.a11y.Bus",
    "/org/a11y/bus",
    "org.freedesktop.DBus.Properties",
    "Set",
    GLib.Variant("(ssv)", ("org.a11y.Status", "IsEnabled", GLib.Variant("b", True))),
    None,
    Gio.DBusCallFlags.NONE,
    -1,
    None,
)

import pyatspi


def program():
    """The program among all that show themselves; None while it does not."""
    for one in pyatspi.Registry.getDesktop(0):
        if one is not None and one.name == "stint" and one.childCount > 0:
            return one
    return None


def walk(node, found):
    for child in node:
        if child is not None:
            found.append(child)
            walk(child, found)
    return found


limit = time.time() + 25
while program() is None and time.time() < limit:
    time.sleep(0.1)
if program() is None:
    sys.exit("Stint does not show itself")
pressed = sys.argv[1] if len(sys.argv) > 1 else None
# The tree of the first frame may still be on its way.
while True:
    nodes = walk(program(), [])
    if pressed is None and len(nodes) > 5 or any(node.name == pressed for node in nodes):
        break
    if time.time() > limit:
        sys.exit(f"not found: {pressed}; there are {[node.name for node in nodes]}")
    time.sleep(0.1)
if pressed is not None:
    for node in nodes:
        if node.name == pressed and "Action" in pyatspi.listInterfaces(node):
            node.queryAction().doAction(0)
            sys.exit(0)
    sys.exit(f"{pressed} cannot be pressed")
for node in nodes:
    place = [0, 0, 0, 0]
    if "Component" in pyatspi.listInterfaces(node):
        box = node.queryComponent().getExtents(pyatspi.DESKTOP_COORDS)
        place = [box.x, box.y, box.width, box.height]
    print(json.dumps({"role": node.getRoleName(), "name": node.name, "place": place}))
