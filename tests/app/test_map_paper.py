"""The map on paper: read back what was written, and look at the picture's pixels."""

from __future__ import annotations

import csv
import math
from datetime import date
from pathlib import Path

import msgspec
import numpy as np
import pytest
import trimesh
from PySide6.QtGui import QColor, QImage

from app.cli import main
from app.look.palette import LIGHT
from app.paper.map_dxf import write_map_dxf
from app.paper.map_lie import lie_of
from app.paper.map_page import FIELD, map_page
from app.paper.media import write
from app.resources import assets
from kinematics.project.files import read
from kinematics.project.files import write as save
from kinematics.project.mirror import mirror
from kinematics.project.model import Bearing, MountPlate, TopMount
from kinematics.studies.places import middle_of, thinned
from kinematics.studies.study import set_up
from kinematics.studies.top_map import top_map
from kinematics.studies.upright import upright_map


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    folder = tmp_path_factory.mktemp("map")
    names = {kind: str(folder / f"map.{kind}") for kind in ("csv", "dxf", "png", "svg", "pdf")}
    words = ["map", "rear-in-trouble", "--step", "8"]
    assert main([*words, "--csv", names["csv"], "--dxf", names["dxf"], "--out", names["png"]]) == 0
    setting = set_up(read(assets() / "examples" / "rear-in-trouble.corner.json"))
    steps = np.arange(-40.0, 41.0, 2.0)
    plan = thinned(top_map(setting, steps, steps), 4)
    for kind in ("svg", "pdf"):
        write(map_page(setting, plan, "in"), Path(names[kind]))
    return names, setting, plan


def under(file):
    """The rows of a map's table; above them stand what it is of, and project, date and units."""
    title, about = next(file), next(file)
    assert title.startswith("# Top mount places: ")
    assert all(words in about for words in (date.today().isoformat(), "lengths in mm"))
    return csv.DictReader(file)


def entities(path):
    """The drawing's entities: dicts of group code to values, vertices with their polyline."""
    lines = path.read_text(encoding="ascii").splitlines()
    pairs = [(int(a), b) for a, b in zip(lines[::2], lines[1::2], strict=True)]
    assert pairs[-1] == (0, "EOF")
    found, here = [], False
    for code, value in pairs:
        if (code, value) == (2, "ENTITIES"):
            here = True
        elif here and code == 0:
            found.append({"kind": value})
        elif here and found:
            found[-1].setdefault(code, value)
    return found


def test_the_drawing_reads_back_as_the_map_has_it(written, tmp_path):
    names, _, plan = written
    found = entities(Path(names["dxf"]))
    assert {e[8] for e in found if 8 in e} == {"TOUCHES", "RULE", "MOUNT", "BEST", "MIDDLE"}
    circles = {e[8]: (float(e[10]), float(e[20])) for e in found if e["kind"] == "CIRCLE"}
    i, j = plan.best
    assert circles["MOUNT"] == (0.0, 0.0)
    assert circles["BEST"] == (-plan.across[j], plan.along[i])
    i, j = middle_of(plan.margin >= 0.0)
    assert circles["MIDDLE"] == (-plan.across[j], plan.along[i])
    # Every vertex of the outline lies where the margin, straight between places, is nought.
    for vertex in (e for e in found if e["kind"] == "VERTEX" and e[8] == "RULE"):
        x, y = float(vertex[20]), -float(vertex[10])
        assert _between(plan, x, y) == pytest.approx(0.0, abs=1e-3)


def _between(plan, x, y):
    i = min(int(np.searchsorted(plan.along, x, "right")) - 1, len(plan.along) - 2)
    j = min(int(np.searchsorted(plan.across, y, "right")) - 1, len(plan.across) - 2)
    a, b = (x - plan.along[i]) / 8.0, (y - plan.across[j]) / 8.0
    cell = plan.margin[i : i + 2, j : j + 2]
    return np.array([1 - a, a]) @ cell @ np.array([1 - b, b])


def test_every_place_is_in_the_table(written):
    names, setting, plan = written
    with open(names["csv"], encoding="utf-8") as file:
        rows = list(under(file))
    assert len(rows) == plan.margin.size
    row = next(r for r in rows if (r["forward_mm"], r["inboard_mm"]) == ("-16.000", "24.000"))
    i, j = np.flatnonzero(plan.along == -16.0)[0], np.flatnonzero(plan.across == -24.0)[0]
    assert float(row["over_rule_mm"]) == pytest.approx(plan.margin[i, j], abs=1e-4)
    pair = setting.names[plan.margin_pair[i, j]]
    assert (row["rule_part_a"], row["rule_part_b"]) == pair
    assert float(row["camber_change_deg"]) == 0.0


def test_the_picture_shows_the_safe_area_where_it_is(written):
    names, _, _ = written
    image = QImage(names["png"])
    assert not image.isNull()

    def colour(inboard, forward):
        x = FIELD.center().x() + inboard * FIELD.width() / 80
        y = FIELD.center().y() - forward * FIELD.height() / 80
        return image.pixelColor(round(2 * x), round(2 * y))

    assert colour(37.0, -20.0) == QColor(LIGHT.clear_fill)
    assert colour(-20.0, 20.0) != QColor(LIGHT.clear_fill)
    for kind, start in (("svg", b"<?xml"), ("pdf", b"%PDF")):
        with open(names[kind], "rb") as file:
            assert file.read(5).startswith(start[:4])


def test_a_steered_corner_is_mapped_lock_to_lock(capsys, tmp_path):
    path = tmp_path / "map.csv"
    words = ["map", "front-strut", "--reach", "20", "--step", "20", "--steer", "3"]
    words += ["--csv", str(path)]
    assert main(words) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "Middle of the safe area" in said
    with path.open(encoding="utf-8") as file:
        rows = list(under(file))
    assert {row["rule_at_rack_mm"] for row in rows} != {"0.0000"}
    assert any(abs(float(row["camber_change_deg"])) > 1.0 for row in rows)
    assert main(["map", "front-strut", "--steer", "0"]) == 2


def test_slots_and_limits_are_in_picture_drawing_and_words(tmp_path, capsys):
    """A mount with a slotted plate and a top bearing that binds at some places."""
    project = read(assets() / "examples" / "rear-in-trouble.corner.json")
    plate = MountPlate(length=110.0, width=110.0, thickness=5.0, slot_forward=30.0,
                       slot_inboard=40.0)  # fmt: skip
    bearings = {**project.bearings, "top bearing": Bearing(limit_deg=9.0)}
    project = msgspec.structs.replace(project, top_mount=TopMount(plate=plate), bearings=bearings)
    file = tmp_path / "slotted.corner.json"
    save(project, file)
    words = ["map", str(file), "--tower", "stays", "--step", "10", "--reach", "30"]
    names = [tmp_path / f"map.{kind}" for kind in ("csv", "dxf", "png")]
    args = [str(name) for name in names]
    main([*words, "--csv", args[0], "--dxf", args[1], "--out", args[2]])
    said = " ".join(capsys.readouterr().out.split())
    assert "places that the plate's slots reach" in said
    assert (
        "joints, spring and damper" in said or "past its angle" in said or "of angle left" in said
    )
    with names[0].open(encoding="utf-8") as table:
        rows = list(under(table))
    assert {row["in_slots"] for row in rows} == {"yes", "no"}
    assert sum(row["in_slots"] == "yes" for row in rows) == 15  # 3 forward by 5 inboard
    left = [float(row["joint_left_deg"]) for row in rows]
    assert min(left) < 0.0 < max(left)
    assert {row["spring"] for row in rows} == {"captive"}
    assert all(row["good"] == "no" for row in rows if float(row["joint_left_deg"]) < 0.0)
    found = entities(names[1])
    assert {"SLOTS", "LIMITS"} <= {e[8] for e in found if 8 in e}
    assert not QImage(args[2]).isNull()
    assert main(["map", str(file), "--slots"]) in (0, 1)
    assert "441 places" in " ".join(capsys.readouterr().out.split())  # 21 by 21
    assert main(["map", "rear-in-trouble", "--slots"]) == 2


@pytest.mark.parametrize("plane", ["along", "across"])
def test_an_upright_plane_is_written_in_every_kind(tmp_path, plane):
    """Table, picture and outlines of a plane aside of the mount; a general library reads these."""
    names = {kind: tmp_path / f"map.{kind}" for kind in ("csv", "dxf", "png")}
    words = ["map", "rear-in-trouble", "--plane", plane, "--reach", "40", "--step", "10"]
    words += ["--aside", "-20" if plane == "across" else "20"]
    words += [f"--csv={names['csv']}", f"--dxf={names['dxf']}", f"--out={names['png']}"]
    main(words)
    third, column = ("inboard", "forward") if plane == "along" else ("forward", "inboard")
    with names["csv"].open(encoding="utf-8") as file:
        rows = {(float(r[f"{column}_mm"]), float(r["up_mm"])): r for r in under(file)}
    assert len(rows) == 81
    assert {float(r[f"{third}_mm"]) for r in rows.values()} == {
        -20.0 if plane == "across" else 20.0
    }
    setting = set_up(read(assets() / "examples" / "rear-in-trouble.corner.json"))
    x, y = (-10.0, -20.0) if plane == "along" else (-20.0, -10.0)
    there = top_map(setting, [y], [x], height=10.0)
    row = rows[-10.0 if plane == "along" else 10.0, 10.0]
    assert float(row["over_rule_mm"]) == pytest.approx(there.margin[0, 0], abs=0.02)
    assert not QImage(str(names["png"])).isNull()
    # The outline of where nothing touches parts the places of the table as their figures do.
    drawing = trimesh.load(names["dxf"])
    assert {"MOUNT"} <= {str(each.layer) for each in drawing.entities}
    outline = entities(names["dxf"])
    points = [(float(e[10]), float(e[20])) for e in outline
              if e["kind"] == "VERTEX" and e[8] == "TOUCHES"]  # fmt: skip
    assert np.abs(drawing.bounds[:, 0]).max() <= 42.0  # the mark of a place at the edge is 2 about
    # From the side the front of a left corner lies to the left; from behind its middle to the right
    way = -1.0 if plane == "along" else 1.0
    clear = {at: float(r["clearance_mm"]) for at, r in rows.items() if r["clearance_mm"]}
    for x, up in points:
        at, high = way * x, 10.0 * math.floor(up / 10.0)
        near = [
            v
            for (c, u), v in clear.items()
            if abs(c - at) <= 10.0 and high - 1e-6 <= u <= high + 10.01
        ]
        assert min(near) < 0.0 <= max(near)


def test_a_right_hand_corner_is_drawn_from_its_own_side(written, tmp_path):
    """Mirrored, the view from outside the car shows the front at the other hand."""
    _, setting, _ = written
    steps = np.arange(-30.0, 31.0, 10.0)
    drawn = {}
    for project in (setting.project, mirror(setting.project)):
        other = set_up(project)
        plan = upright_map(other, "along", steps, steps)
        path = tmp_path / f"{project.side}.dxf"
        write_map_dxf(project, plan, path, "")
        drawn[project.side] = trimesh.load(path).bounds
        assert lie_of(plan, project).words("in") == "seen from the side"
    left, right = drawn["left"], drawn["right"]
    assert right[:, 0] == pytest.approx(-left[::-1, 0], abs=0.01)
    assert right[:, 1] == pytest.approx(left[:, 1], abs=0.01)


def test_what_does_not_go_with_the_plane_is_refused(capsys):
    assert main(["map", "rear-in-trouble", "--plane", "along", "--slots"]) == 2
    assert main(["map", "rear-in-trouble", "--aside", "5"]) == 2
    assert "--height" in capsys.readouterr().err
