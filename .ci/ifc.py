"""IFC, judged by ifcopenshell: what Coilwright writes is read by it, and what it writes is read by
Coilwright. Run as: python ifc.py PROGRAM FOLDER. Lengths in mm, areas in mm2."""
import json
import math
import pathlib
import subprocess
import sys

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.element
import ifcopenshell.util.placement
import ifcopenshell.validate

PROGRAM, FOLDER = sys.argv[1], pathlib.Path(sys.argv[2])
ROOT = pathlib.Path(__file__).resolve().parent.parent
LIBRARY = ROOT / "fixtures/boatshed/shop/library.toml"
CUT = ["hole", "pilot", "service-hole", "lip-notch", "lip-cut", "web-cut"]
FAULTS = []


def run(*args):
    done = subprocess.run([PROGRAM, *map(str, args)], capture_output=True, text=True)
    if done.returncode != 0:
        sys.exit(f"{args}: exit {done.returncode}\n{done.stderr}")
    return done.stdout


def near(what, got, wanted, by):
    if abs(got - wanted) > by:
        FAULTS.append(f"{what}: {got}, and {wanted} is wanted")


def same(what, got, wanted):
    if got != wanted:
        FAULTS.append(f"{what}: {got!r}, and {wanted!r} is wanted")


def place(item):
    """Where a member's own axes stand, as a matrix."""
    return ifcopenshell.util.placement.get_local_placement(item.ObjectPlacement)


def volume(shape):
    """Of a closed mesh, by the divergence theorem; metres to millimetres."""
    v, f = shape.geometry.verts, shape.geometry.faces
    total = 0.0
    for i in range(0, len(f), 3):
        a, b, c = (v[3 * f[i + k]:3 * f[i + k] + 3] for k in range(3))
        total += (a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                  + a[2] * (b[0] * c[1] - b[1] * c[0])) / 6
    return abs(total) * 1e9


def channel_area(web, flange, lip, t, r):
    """Of a channel from its centre line; closed form."""
    bends = 2 if lip == 0 else 4
    flat = web + 2 * flange + 2 * lip - 2 * bends * (t + r)
    return t * (flat + bends * math.pi / 2 * (r + t / 2))


def u_shape_area(web, flange, t, r):
    """Of an IfcUShapeProfileDef: rounded inside only."""
    return t * (web + 2 * (flange - t)) + 2 * (1 - math.pi / 4) * r ** 2


def written():
    """The whole boatshed, written by Coilwright."""
    job = json.loads((FOLDER / "job.json").read_text())
    model = ifcopenshell.open(str(FOLDER / "job.ifc"))
    logger = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(model, logger)
    for fault in logger.statements[:10]:
        FAULTS.append(f"not valid: {fault['message']}")
    wanted = {}
    for frame in job["frames"]:
        for member in frame["members"]:
            count = frame.get("quantity", 1) * member.get("quantity", 1)
            wanted[frame["name"], member["mark"]] = (count, member)
    seen, holes, rows = {}, 0, set()
    for item in model.by_type("IfcMember"):
        frame = ifcopenshell.util.element.get_aggregate(item).Name
        seen.setdefault((frame, item.Name), []).append(item)
        holes += len(item.HasOpenings)
        matrix = place(item)
        same(f"{item.Name} runs along x", [round(x, 9) for x in matrix[:3, 2]], [1, 0, 0])
        rows.add(round(float(matrix[1, 3]), 6))
    same("members", set(seen), set(wanted))
    same("members side by side", len(rows), sum(count for count, _ in wanted.values()))
    for name, (count, member) in wanted.items():
        items = seen.get(name, [])
        same(f"{name} pieces", len(items), count)
        for item in items[:1]:
            body = item.Representation.Representations[0].Items[0]
            near(f"{name} length", body.Depth, float(member["length"].removesuffix(" mm")), 1e-9)
            same(f"{name} profile", body.SweptArea.ProfileName, member["profile"])
    settings = ifcopenshell.geom.settings()
    plain = ifcopenshell.geom.settings()
    plain.set("disable-opening-subtractions", True)
    for name, count in (("C90x40-0.75", 0), ("U60x30-0.75", 0)):
        item = next(i for i in model.by_type("IfcMember")
                    if i.Representation.Representations[0].Items[0].SweptArea.ProfileName == name
                    and (i.HasOpenings or name[0] == "U"))
        body = item.Representation.Representations[0].Items[0]
        closed = {"C90x40-0.75": channel_area(90, 40, 12, .75, 1.5),
                  "U60x30-0.75": u_shape_area(60, 30, .75, 1.5)}[name]
        area = volume(ifcopenshell.geom.create_shape(plain, item)) / body.Depth
        # Meshes of arcs are a little smaller than the arcs.
        near(f"area of {name}", area, closed, closed * .005)
    # What openings take away is what the outlines say: each goes through one thickness.
    stud = next(i for i in model.by_type("IfcMember") if i.Name == "S1")
    whole, left = (volume(ifcopenshell.geom.create_shape(s, stud)) for s in (plain, settings))
    features = next(m for (f, n), (_, m) in wanted.items() if n == "S1" and f == "N1")["features"]
    services = sum(f["kind"] == "service-hole" for f in features)
    notches = sum(f["kind"] == "lip-notch" for f in features)
    slot = 28 * 32 + math.pi * 16 ** 2
    near("steel taken from a stud", whole - left, .75 * (services * slot + notches * 2 * 48 * (12 - .375)), 40)
    print(f"written: {sum(len(i) for i in seen.values())} members, {holes} openings read by ifcopenshell")


def kept():
    """The boatshed as another program hands it on: read and written by ifcopenshell, every text cut
    at 255 letters and without blanks at its edges. All of it comes back, the waiver too."""
    model = ifcopenshell.open(str(FOLDER / "job.ifc"))
    texts = 0
    for item in model.by_type("IfcPropertySingleValue"):
        text = item.NominalValue.wrappedValue
        item.NominalValue = model.createIfcText(text[:255].strip())
        texts += 1
    path, out, back = (FOLDER / name for name in ("handed-on.ifc", "handed-on.members", "handed-on.json"))
    model.write(str(path))
    run("import", path, "--library", LIBRARY, "--out", out)
    run("export", out, "--library", LIBRARY, "--form", "json", "--out", back)
    job, again = (json.loads(p.read_text()) for p in (FOLDER / "job.json", back))
    same("members handed on", again, job)
    same("waivers handed on", len(again["waivers"]), 1)
    print(f"handed on: {texts} texts cut at 255 letters, nothing is lost")


def sloped():
    """The porch: its ends are cut by planes square to the web. A section that is the same about
    the middle of its web loses half the web's width times the slope at each sloped end."""
    job = json.loads((FOLDER / "porch.json").read_text())
    model = ifcopenshell.open(str(FOLDER / "porch.ifc"))
    ends = {}
    for frame in job["frames"]:
        for member in frame["members"]:
            slopes = [member[end]["rise"] / member[end]["run"] for end in ("start", "end") if end in member]
            ends[frame["name"], member["mark"]] = (float(member["length"].removesuffix(" mm")), slopes)
    plain = ifcopenshell.geom.settings()
    plain.set("disable-opening-subtractions", True)
    area, seen = channel_area(90, 40, 12, .75, 1.5), 0
    for item in model.by_type("IfcMember"):
        name = ifcopenshell.util.element.get_aggregate(item).Name, item.Name
        length, slopes = ends[name]
        wanted = area * (length - sum(45 * abs(slope) for slope in slopes))
        # Meshes of arcs are a little smaller than the arcs; a slope more or less is over 0.5 %.
        got = volume(ifcopenshell.geom.create_shape(plain, item))
        near(f"volume of {name}", got, wanted, wanted * .003)
        seen += bool(slopes)
    if seen < 20:
        FAULTS.append(f"only {seen} sloped members were seen")
    print(f"sloped: volumes of {seen} members as their planes cut them")


def model_in(unit, turned):
    """A frame written by ifcopenshell: a turned building, openings in other frames of reference,
    a mapped body, elements that are no members."""
    scale = {"mm": 1.0, "m": 1e-3, "in": 1 / 25.4}[unit]
    f = ifcopenshell.file(schema="IFC4" if not turned else "IFC4X3")
    guid = ifcopenshell.guid.new
    length = f.createIfcSIUnit(None, "LENGTHUNIT", "MILLI" if unit == "mm" else None, "METRE")
    if unit == "in":
        si = f.createIfcSIUnit(None, "LENGTHUNIT", None, "METRE")
        by = f.createIfcMeasureWithUnit(f.createIfcLengthMeasure(.0254), si)
        dim = f.createIfcDimensionalExponents(1, 0, 0, 0, 0, 0, 0)
        length = f.createIfcConversionBasedUnit(dim, "LENGTHUNIT", "INCH", by)

    def l(x):
        return float(x * scale)

    def point(*c):
        return f.createIfcCartesianPoint([l(x) for x in c])

    def way(*c):
        return f.createIfcDirection([float(x) for x in c])

    def axes(at=(0, 0, 0), z=(0, 0, 1), x=(1, 0, 0)):
        return f.createIfcAxis2Placement3D(point(*at), way(*z), way(*x))

    world = f.createIfcGeometricRepresentationContext(None, "Model", 3, 1e-5, axes())
    f.createIfcProject(guid(), None, "KP28", None, None, "Kestrel Point, größer", "C", [world],
                       f.createIfcUnitAssignment([length]))
    s = math.sqrt(.5)
    base = axes((12_345_678.9, -9_876_543.2, 1234.5), (0, 0, 1), (s, s, 0)) if turned else axes()
    building = f.createIfcLocalPlacement(None, base)
    frame = f.createIfcLocalPlacement(building, axes((100, 200, 0), (0, -1, 0), (1, 0, 0)))

    def body(solid, kind="SweptSolid"):
        shape = f.createIfcShapeRepresentation(world, "Body", kind, [solid])
        return f.createIfcProductDefinitionShape(None, None, [shape])

    def solid(area, depth, at=None):
        return f.createIfcExtrudedAreaSolid(area, at, way(0, 0, 1), l(depth))

    def opening(host, place, area, depth, at, z, x, name):
        where = f.createIfcLocalPlacement(place, axes(at, z, x))
        o = f.createIfcOpeningElement(guid(), None, name, None, None, where, body(solid(area, depth)), None, "OPENING")
        f.createIfcRelVoidsElement(guid(), None, None, None, host, o)

    c90 = f.createIfcCShapeProfileDef("AREA", "C ninety", None, l(90), l(40), l(.75), l(12), l(1.5))
    u60 = f.createIfcUShapeProfileDef("AREA", "U sixty", None, l(60), l(30), l(.75), l(.75), l(1.5))
    round14 = f.createIfcCircleProfileDef("AREA", None, None, l(7))
    slot = f.createIfcRoundedRectangleProfileDef("AREA", None, None, l(60), l(32), l(16))
    upright = f.createIfcRoundedRectangleProfileDef("AREA", None, None, l(32), l(60), l(16))
    parts, wanted = [], []
    for i in range(3):
        # Studs stand along the frame's y; their sections are turned about themselves.
        place = f.createIfcLocalPlacement(frame, axes((600 * i, 0, 0), (0, 1, 0), (0, 0, 1)))
        stud = f.createIfcMember(guid(), None, f"S{i + 1}", None, None, place, body(solid(c90, 2396)), f"t{i}", "STUD")
        # In the stud's own frame: the web is at x = -20, z runs along.
        opening(stud, place, slot, 10, (-25, 0, 450), (1, 0, 0), (0, 0, 1), "services")
        opening(stud, place, upright, 10, (-15, 5, 1080), (-1, 0, 0), (0, 1, 0), "services")
        opening(stud, place, round14, 100, (4, 50, 20), (0, -1, 0), (1, 0, 0), "")
        parts.append(stud)
        wanted.append((f"S{i + 1}", "stud", 2396.0))
    place = f.createIfcLocalPlacement(frame, axes((0, -2, 0), (1, 0, 0), (0, 0, 1)))
    mapped = f.createIfcRepresentationMap(axes(), f.createIfcShapeRepresentation(world, "Body", "SweptSolid", [solid(u60, 1234.5)]))
    item = f.createIfcMappedItem(mapped, f.createIfcCartesianTransformationOperator3D(None, None, point(0, 0, 0), None, None))
    plate = f.createIfcBeam(guid(), None, "B 1", None, None, place, body(item, "MappedRepresentation"), None, "BEAM")
    # Seen from the frame, not from the plate.
    opening(plate, frame, round14, 100, (310, -2, -50), (0, 0, 1), (1, 0, 0), "")
    parts.append(plate)
    assembly = f.createIfcElementAssembly(guid(), None, "N 9", "north wall", None, frame, None, None, "FACTORY", "USERDEFINED")
    f.createIfcRelAggregates(guid(), None, None, None, assembly, parts)
    f.createIfcWall(guid(), None, "cladding", None, None, None, None, None, None)
    path = FOLDER / f"in-{unit}-{turned}.ifc"
    f.write(str(path))
    return path


MAP = """
[default]
usage = "plate"
[ifc]
leave-out = ["IfcWall"]
[[opening]]
diameter = "14 mm"
feature = "hole"
say-size = true
[[opening]]
length = "60 mm"
width = "32 mm"
feature = "service-hole"
"""

WANTED = """job KP28 "Kestrel Point, größer" revision C
units mm

frame "N 9" wall "north wall" {
  member S1 stud profile "C90x40-0.75" length 2396 {
    service-hole at 450
    service-hole across 5 at 1080
    hole 14 on flanges across 4 at 20
  }
  member S2 stud profile "C90x40-0.75" length 2396 {
    service-hole at 450
    service-hole across 5 at 1080
    hole 14 on flanges across 4 at 20
  }
  member S3 stud profile "C90x40-0.75" length 2396 {
    service-hole at 450
    service-hole across 5 at 1080
    hole 14 on flanges across 4 at 20
  }
  member "B 1" plate profile "U60x30-0.75" length 1234.5 {
    hole 14 at 310
  }
}
"""


def read():
    (FOLDER / "map.toml").write_text(MAP)
    for unit, turned in (("mm", False), ("m", True), ("in", True), ("mm", True)):
        path = model_in(unit, turned)
        out = path.with_suffix(".members")
        run("import", path, "--map", FOLDER / "map.toml", "--library", LIBRARY, "--out", out)
        lines = [line.split("  #@ ")[0] for line in out.read_text().splitlines()[2:]]
        got = "\n".join(lines).replace('frame "N 9" wall "north wall" profile "C90x40-0.75" {',
                                       'frame "N 9" wall "north wall" {')
        wanted = WANTED
        if 'profile "C90x40-0.75" {' in "\n".join(lines):
            for mark in ("S1", "S2", "S3"):
                wanted = wanted.replace(f'member {mark} stud profile "C90x40-0.75"', f"member {mark} stud")
        same(f"{path.name}", got.strip(), wanted.strip())
    print("read: models in mm, m and inches, in place and turned, as ifcopenshell writes them")


FOLDER.mkdir(parents=True, exist_ok=True)
for old in FOLDER.iterdir():
    old.unlink()
members = ROOT / "fixtures/boatshed/members/job.members"
run("export", members, "--library", LIBRARY, "--form", "json", "--out", FOLDER / "job.json")
run("export", members, "--library", LIBRARY, "--form", "ifc", "--cut", ",".join(CUT),
    "--pressed", "dimple,swage,joggle", "--out", FOLDER / "job.ifc")
porch = ROOT / "fixtures/porch/roof.members"
for form, more in (("json", []), ("ifc", ["--cut", "hole,service-hole"])):
    run("export", porch, "--library", ROOT / "fixtures/porch/shop/library.toml", "--form", form, *more,
        "--out", FOLDER / f"porch.{form}")
written()
kept()
sloped()
read()
for fault in FAULTS[:40]:
    print(fault)
sys.exit(f"{len(FAULTS)} differences" if FAULTS else 0)
