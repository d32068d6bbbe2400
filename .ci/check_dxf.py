"""Reads a frame's DXF with ezdxf, an independent reader, and measures it against the plan's JSON.

    python check_dxf.py FRAME.dxf PLAN.json
"""

import json
import math
import sys

import ezdxf
from ezdxf.audit import Auditor

APPLICATION = "HULLTENT"
# Half of it is the rounding of the JSON (1e-6 m), the rest the rounding of the drawing.
TOLERANCE_MM = 1e-3
MILLIMETERS = 4


def pieces(document):
    """Entities that carry a piece's id: id -> [(entity, millimeters beyond its drawn ends)]."""
    found = {}
    for entity in document.modelspace():
        if entity.has_xdata(APPLICATION):
            tags = {tag.code: tag.value for tag in entity.get_xdata(APPLICATION)}
            found.setdefault(tags[1000], []).append((entity, tags[1040]))
    return found


def corners(entity):
    if entity.dxftype() == "LINE":
        return [entity.dxf.start, entity.dxf.end]
    points = [vertex.dxf.location for vertex in entity.vertices]
    return points + points[:1] if entity.is_closed else points


def length(entity):
    points = corners(entity)
    return sum(a.distance(b) for a, b in zip(points, points[1:]))


def faults(document, plan):
    """All that is wrong with the drawing, in words."""
    wrong = []

    def compare(what, drawn, meters):
        if not math.isclose(drawn, 1000.0 * meters, rel_tol=0.0, abs_tol=TOLERANCE_MM):
            wrong.append(f"{what}: drawn {drawn} mm, planned {meters} m")

    audit: Auditor = document.audit()
    wrong += [f"audit: {entry.message}" for entry in audit.errors + audit.fixes]
    if document.units != MILLIMETERS:
        wrong.append(f"units are {document.units}, not millimeters")
    found = pieces(document)
    wanted = [piece["id"] for piece in plan["posts"] + plan["straps"]]
    for name in sorted(set(found) ^ set(wanted)):
        wrong.append(f"{name} is in one of drawing and plan only")
    labels = [text.dxf.text for text in document.modelspace().query("TEXT[layer=='LABELS']")]
    for name in wanted:
        if len(found.get(name, [])) != 1:
            wrong.append(f"{name} is drawn {len(found.get(name, []))} times")
        if not any(label.startswith(f"{name} cut ") for label in labels):
            wrong.append(f"{name} has no label")
    for post in plan["posts"]:
        for entity, _ in found.get(post["id"], []):
            foot, cap = corners(entity)
            for what, drawn, meters in [
                ("station", foot.x, post["station_m"]),
                ("station of the cap", cap.x, post["station_m"]),
                ("offset", foot.y, post["offset_m"]),
                ("footing", foot.z, post["base_z_m"]),
                ("cap", cap.z, post["cap_z_m"]),
            ]:
                compare(f"{post['id']} {what}", drawn, meters)
            if entity.dxf.layer != "POSTS":
                wrong.append(f"{post['id']} is on layer {entity.dxf.layer}")
    for strap in plan["straps"]:
        for entity, beyond in found.get(strap["id"], []):
            compare(f"{strap['id']} length", length(entity) + beyond, strap["length_m"])
            if entity.dxf.layer != "STRAPS":
                wrong.append(f"{strap['id']} is on layer {entity.dxf.layer}")
    for entity in document.modelspace().query("POLYLINE[layer=='BAND']"):
        compare("band", length(entity), plan["band"]["length_m"])
    for layer in document.layers:
        if layer.dxf.name.isupper() and layer.dxf.lineweight <= 0:
            wrong.append(f"layer {layer.dxf.name} has no line width")
    return wrong


def main(drawing, record):
    with open(record, encoding="utf-8") as file:
        plan = json.load(file)
    document = ezdxf.readfile(drawing)
    wrong = faults(document, plan)
    # The check itself: a piece drawn a hundredth of a millimeter longer must be told.
    told = bool(wrong)
    for entries in pieces(document).values():
        entity, _ = entries[0]
        start, after = corners(entity)[:2]
        point, name = (
            (entity.dxf, "start")
            if entity.dxftype() == "LINE"
            else (entity.vertices[0].dxf, "location")
        )
        point.set(name, start + (start - after).normalize(0.01))
        if not told and not faults(document, plan):
            wrong.append("a piece that was drawn too long was not told")
        point.set(name, start)
    for fault in wrong:
        print(f"{drawing}: {fault}")
    if not wrong:
        print(f"{drawing}: {len(pieces(document))} pieces measured")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
