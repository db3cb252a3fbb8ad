"""The command: exit codes, files, sentences; each kind once in a process of its own."""

import csv
import json
import os
import subprocess
import sys
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from app.cli import main

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "assets" / "examples"
FILES = {
    "motion.csv", "clearance.csv", "statics.csv", "forces.csv", "findings.json", "report.pdf",
    "statics.pdf",
    *(f"{plot}.{kind}" for plot in ("camber", "toe", "clearance", "motion_ratio")
      for kind in ("png", "svg", "pdf")),
}  # fmt: skip
MOTION = [
    "travel_mm", "rack_mm", "reached", "camber_deg", "toe_deg", "steer_deg", "caster_deg",
    "kpi_deg", "scrub_mm", "wheel_x_mm", "wheel_y_mm", "wheel_z_mm", "contact_x_mm",
    "contact_y_mm", "contact_z_mm", "damper_mm", "motion_ratio",
]  # fmt: skip
CLEARANCE = [
    "travel_mm", "rack_mm", "part_a", "part_b", "clearance_mm", "bound_mm", "give_mm",
    "give_bound_mm", "a_x_mm", "a_y_mm", "a_z_mm", "b_x_mm", "b_y_mm", "b_z_mm",
]  # fmt: skip
CODES = {
    "front-strut": 0,
    "front-wishbones": 0,
    "published-wishbones": 0,
    "rear-five-links": 0,
    "rear-in-trouble": 1,
    "rear-misread": 1,
    "rear-put-right": 0,
    "rear-semi-trailing": 0,
}


def clearstroke(*words, cwd=None, **env):
    """Run the command without a display, as on a bare machine."""
    bare = {k: v for k, v in os.environ.items()
            if k not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")}  # fmt: skip
    run = subprocess.run(
        [sys.executable, "-m", "app", *map(str, words)],
        cwd=cwd or ROOT, env={**bare, "PYTHONPATH": str(ROOT), **env},
        capture_output=True, text=True, encoding="utf-8", timeout=120,
    )  # fmt: skip
    assert "Traceback" not in run.stderr, run.stderr
    return run


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def column(table, name):
    return np.array([float(row[name]) if row[name] else np.nan for row in table])


def test_every_example_has_its_expected_code():
    assert set(CODES) == {p.name.removesuffix(".corner.json") for p in EXAMPLES.glob("*.json")}


@pytest.mark.parametrize("name", ["front-strut", "published-wishbones"])
def test_the_folder_of_a_check(name, tmp_path, app):
    out = tmp_path / "new" / "out"
    assert main(["check", name, "--out", str(out), "--travel=-20:20:5"]) == 0
    assert {p.name for p in out.iterdir()} == FILES
    of = json.loads((EXAMPLES / f"{name}.corner.json").read_text(encoding="utf-8"))["title"]
    for path in out.glob("*.csv"):
        title, about, heads, *_ = path.read_text(encoding="utf-8").splitlines()
        assert title.startswith("# ")
        assert about.startswith("# ")
        assert of in about
        assert date.today().isoformat() in about
        assert "lengths in mm" in about
        assert not heads.startswith("#")
    motion = rows(out / "motion.csv")
    assert list(motion[0])[: len(MOTION)] == MOTION
    assert len(motion) == 5 * 5
    clearance = rows(out / "clearance.csv")
    assert list(clearance[0]) == CLEARANCE
    pairs = {(row["part_a"], row["part_b"]) for row in clearance}
    assert len(clearance) == len(motion) * len(pairs)


@pytest.mark.parametrize(("name", "code"), sorted(CODES.items()))
def test_exit_code_and_json_over_the_whole_travel(name, code, capsys):
    assert main(["check", name, "--json"]) == code
    found = json.loads(capsys.readouterr().out)
    assert found["all_rules_kept"] == (code == 0)
    assert found["positions"] == found["travel_mm"]["count"] * found["rack_mm"]["count"]
    assert found["travel_mm"]["count"] == 161
    assert found["rack_mm"]["count"] == (5 if "front" in name or "published" in name else 1)
    assert found["findings"]


def test_trouble_is_told_with_place_and_millimetres(tmp_path):
    # Both figures: section 10 of the invented rear corner, solved twice by independent solvers;
    # its clearances were sampled to about 0.3 mm.
    run = clearstroke("check", "rear-in-trouble", "--out", "out", cwd=tmp_path)
    assert run.returncode == 1
    assert "Tyre digs" in run.stdout
    assert "Spring runs" in run.stdout
    found = json.loads((tmp_path / "out" / "findings.json").read_text(encoding="utf-8"))
    wrong = [f for f in found["findings"] if f["problem"]]
    assert [sorted(f["parts"]) for f in wrong] == [["tower lip", "tyre"], ["radius arm", "spring"]]
    tyre, spring = wrong
    assert tyre["kind"] == spring["kind"] == "contact"
    assert tyre["amount_mm"] == pytest.approx(-5.0, abs=0.4)
    assert tyre["first_touches_bump_mm"] == pytest.approx(48.8, abs=0.4)
    assert tyre["first_under_rule_bump_mm"] == pytest.approx(23.2, abs=0.4)
    assert tyre["place"] == "full bump"
    np.testing.assert_allclose(tyre["point_b_mm"], (-20, 627, 573), atol=4)
    assert spring["amount_mm"] == pytest.approx(-1.1, abs=0.4)
    assert spring["first_touches_droop_mm"] == pytest.approx(-69.3, abs=0.4)
    assert spring["first_under_rule_droop_mm"] == pytest.approx(-14.8, abs=0.5)
    assert spring["first_touches_bump_mm"] is None
    # The place is given on the arm's centreline, 19 mm below its surface.
    off = np.linalg.norm(np.array(spring["point_a_mm"]) - (144, 567, 294))
    assert off == pytest.approx(19 - 1.1, abs=1.5)


def test_both_forms_of_a_range_give_the_same(capsys):
    said = []
    for words in (["--travel=-30:30:3"], ["--travel", "-30:30:3"]):
        assert main(["check", "rear-put-right", "--json", *words]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1]
    assert json.loads(said[0])["travel_mm"] == {"from": -30, "to": 30, "count": 3}


def test_a_script_reads_json_through_a_pipe():
    run = clearstroke("check", "rear-put-right", "--json", "--travel=0")
    assert (run.returncode, run.stderr) == (0, "")
    assert json.loads(run.stdout)["travel_mm"] == {"from": 0, "to": 0, "count": 1}


def test_travel_that_cannot_be_reached_is_a_problem_with_a_reason(tmp_path, capsys, app):
    """Written over an older report: nothing is left behind, and other files stay."""
    (tmp_path / "mine.txt").write_text("keep")
    (tmp_path / "motion.csv").write_text("old")
    words = ["check", "rear-put-right", "--travel", "-140:0:29", "--out", str(tmp_path)]
    assert main(words) == 1
    assert "The wheel can't reach −140.0" in capsys.readouterr().out
    assert {p.name for p in tmp_path.iterdir()} == FILES | {"mine.txt"}
    table = rows(tmp_path / "motion.csv")
    gone = [row for row in table if row["reached"] == "no"]
    assert gone
    assert all(row["camber_deg"] == row["wheel_z_mm"] == "" for row in gone)
    assert all(row["camber_deg"] for row in table if row["reached"] == "yes")


def test_steering_a_corner_without_a_rack_is_bad_input():
    run = clearstroke("check", "rear-put-right", "--steer=-10:10:3")
    assert (run.returncode, run.stdout) == (2, "")
    assert run.stderr.count("\n") == 1
    assert "no steering rack" in run.stderr


def test_inches_in_sentences_and_tables(tmp_path, capsys, app):
    main(["check", "rear-in-trouble", "--units", "in", "--travel=0:79:3", "--out", str(tmp_path)])
    assert "Tyre digs 0.189 in into the tower lip" in capsys.readouterr().out
    assert 28 < column(rows(tmp_path / "motion.csv"), "wheel_y_in").max() < 30


def bad_files(folder):
    """Things that are not a project, and how each is called."""
    good = (EXAMPLES / "rear-in-trouble.corner.json").read_text(encoding="utf-8")
    (folder / "binary.corner.json").write_bytes(bytes(range(256)) * 40)
    (folder / "empty.corner.json").write_bytes(b"")
    (folder / "cut.corner.json").write_text(good[: len(good) // 2], encoding="utf-8")
    (folder / "nan.corner.json").write_text(good.replace("740", "NaN", 1), encoding="utf-8")
    (folder / "list.corner.json").write_text("[]", encoding="utf-8")
    (folder / "key.corner.json").write_text(
        good.replace('"wheel":', '"weel":', 1), encoding="utf-8"
    )
    (folder / "folder.corner.json").mkdir()
    return [folder / n for n in ("binary", "empty", "cut", "nan", "list", "key", "folder", "none")]


def test_bad_files_are_told_in_a_sentence(tmp_path, capsys):
    for path in bad_files(tmp_path):
        assert main(["check", str(path.with_suffix(".corner.json"))]) == 2, path
        said = capsys.readouterr()
        assert said.out == ""
        assert path.name in said.err
        assert len(said.err.splitlines()) <= 3


def test_a_folder_that_cannot_be_written_is_bad_input(tmp_path, capsys):
    (tmp_path / "file").write_text("")
    for out in (tmp_path / "file" / "out", tmp_path / "file"):
        assert main(["check", "rear-put-right", "--travel=0", "--out", str(out)]) == 2
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert "can't be written" in said.err


def test_an_interrupted_run_leaves_no_file(tmp_path, monkeypatch):
    from app.paper import folder

    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setitem(folder.TABLES, "clearance.csv", ("Clearance", stopped))
    out = tmp_path / "out"
    assert main(["check", "rear-put-right", "--travel=-5:5:3", "--out", str(out)]) == 130
    assert not out.exists()


def test_examples_are_listed_and_copied(tmp_path):
    run = clearstroke("examples")
    assert run.returncode == 0
    assert len(run.stdout.splitlines()) == len(CODES)
    assert all(name in run.stdout for name in CODES)
    assert "(invented data)" in run.stdout
    run = clearstroke("examples", "--copy", tmp_path / "new")
    assert run.returncode == 0
    assert len(list((tmp_path / "new").glob("*.corner.json"))) == len(CODES)
    again = clearstroke("examples", "--copy", tmp_path / "new")
    assert again.returncode == 2
    assert "already there" in again.stderr


def test_open_without_a_display_says_what_to_do_instead():
    run = clearstroke("open")
    assert run.returncode == 2
    assert run.stderr.count("\n") == 1
    assert "clearstroke check" in run.stderr
    assert clearstroke().returncode == 2
    stale = clearstroke("open", DISPLAY=":7654")
    assert stale.returncode == 2


def test_check_without_paper_never_imports_qt():
    code = (
        "import sys; from app.cli import main; main(['check', 'rear-put-right', '--travel=0']);"
        "print([m for m in sys.modules if m.startswith(('PySide6', 'pyqtgraph', 'OpenGL'))])"
    )
    run = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True)
    assert run.stdout.splitlines()[-1] == "[]"
