"""Reads the DXF drawings that the tests wrote with another library, ezdxf, and compares them with
what the model says (expected.json).

    python drawings.py FOLDER
"""

import json
import math
import pathlib
import sys

import ezdxf
from ezdxf import recover, units

LAYERS = {
    "contour", "bends", "joint-features", "service-features", "anchor-features", "end-features",
    "dimensions", "text",
}


def corners(line):
    return [(x, y, bulge) for x, y, bulge in line.get_points("xyb")]


def area(line):
    """Inside of a closed line: corners by the shoelace formula, arcs as segments of a circle."""
    points = corners(line)
    total = 0.0
    for (x1, y1, bulge), (x2, y2, _) in zip(points, points[1:] + points[:1]):
        total += (x1 * y2 - x2 * y1) / 2
        if bulge:
            angle = 4 * math.atan(bulge)
            radius = math.hypot(x2 - x1, y2 - y1) * (1 + bulge * bulge) / (4 * abs(bulge))
            total += math.copysign(radius * radius * (abs(angle) - math.sin(abs(angle))) / 2, bulge)
    return abs(total)


def near(a, b, slack=1e-5):
    return abs(a - b) <= slack * max(1.0, abs(a), abs(b))


def figure(entity):
    """Middle along the member, and area."""
    if entity.dxftype() == "CIRCLE":
        return entity.dxf.center.x, math.pi * entity.dxf.radius**2
    assert entity.dxftype() == "LWPOLYLINE" and entity.closed, entity
    xs = [x for x, _, _ in corners(entity)]
    return (min(xs) + max(xs)) / 2, area(entity)


def wanted(feature):
    long, across = feature["long"], feature["across"]
    if feature["form"] == "circle":
        return math.pi * across**2 / 4
    if feature["form"] == "slot":
        small, large = min(long, across), max(long, across)
        return (large - small) * small + math.pi * small**2 / 4
    return long * across


def look(folder, expected):
    path = folder / (expected["name"] + ".dxf")
    auditor = ezdxf.readfile(path).audit()
    assert not auditor.errors and not auditor.fixes, (path, auditor.errors, auditor.fixes)
    document, auditor = recover.readfile(path)
    assert not auditor.errors and not auditor.fixes, (path, auditor.errors, auditor.fixes)
    assert document.units == units.MM and document.header["$MEASUREMENT"] == 1
    named = {layer.dxf.name for layer in document.layers}
    assert LAYERS <= named, named
    space = document.modelspace()
    assert {entity.dxf.layer for entity in space} <= LAYERS
    (contour,) = space.query('*[layer=="contour"]')
    assert contour.closed
    xs = [x for x, _, _ in corners(contour)]
    assert min(xs) == 0 and near(max(xs), expected["length"]), (path, min(xs), max(xs))
    low, high = (f(y for _, y, _ in corners(contour)) for f in (min, max))
    for bend in space.query('*[layer=="bends"]'):
        assert low < bend.dxf.start.y == bend.dxf.end.y < high
    for layer in ("joint", "service", "anchor", "end"):
        layer += "-features"
        drawn = sorted(figure(e) for e in space.query(f'*[layer=="{layer}"]'))
        told = sorted((f["middle"], wanted(f)) for f in expected["features"] if f["layer"] == layer)
        assert len(drawn) == len(told), (path, layer, len(drawn), len(told))
        for (at, size), (place, model) in zip(drawn, told):
            assert near(at, place) and near(size, model), (path, layer, at, place, size, model)
    texts = " ".join(text.plain_text() for text in space.query("TEXT"))
    assert expected["mark"] in texts, (path, expected["mark"])
    return len(expected["features"])


def main():
    folder = pathlib.Path(sys.argv[1])
    expected = json.loads((folder / "expected.json").read_text())
    features = sum(look(folder, one) for one in expected)
    assert expected and features
    print(f"{len(expected)} drawings with {features} figures of features: audited, as the model has them")


main()
