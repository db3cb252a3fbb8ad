"""The published format is what the code reads, no more and no less."""

import copy
import json
import re
from pathlib import Path

import jsonschema
import pytest

from kinematics.project.files import dumps, loads
from kinematics.project.schema import schema, schema_text, with_reference
from kinematics.studies.study import study
from tests.project.corners import WISHBONES

_ROOT = Path(__file__).parents[2]
_FORMAT = (_ROOT / "docs" / "file-format.md").read_text(encoding="utf-8")
_VALID = jsonschema.Draft202012Validator(schema())


def test_the_schema_file_is_up_to_date() -> None:
    assert (_ROOT / "docs" / "project.schema.json").read_text(encoding="utf-8") == schema_text()


def test_the_tables_of_the_format_page_are_up_to_date() -> None:
    assert with_reference(_FORMAT) == _FORMAT


def test_the_schema_is_a_valid_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())


def test_every_entry_says_what_it_means() -> None:
    silent = [
        f"{name}.{key}"
        for name, record in schema()["$defs"].items()
        for key, field in record["properties"].items()
        if not field.get("description")
    ]
    assert not silent


def test_the_pages_example_fits_the_schema_and_runs_as_it_stands() -> None:
    (text,) = re.findall(r"```json\n(.*?)```", _FORMAT, re.DOTALL)
    _VALID.validate(json.loads(text))
    checked = study(loads(text.encode()))
    assert checked.reached.all()
    assert not any(finding.is_problem for finding in checked.findings)


@pytest.mark.parametrize("path", sorted((_ROOT / "assets" / "examples").glob("*.corner.json")))
def test_every_example_fits_the_schema(path: Path) -> None:
    _VALID.validate(json.loads(path.read_text(encoding="utf-8")))


def test_what_is_written_fits_the_schema() -> None:
    _VALID.validate(json.loads(dumps(loads(json.dumps(WISHBONES).encode()))))


def test_the_schema_refuses_what_reading_refuses() -> None:
    for key, value in {"zzz": 1, "side": "up", "points": {"a": [1, 2]}, "wheel": {}}.items():
        spoiled = copy.deepcopy(WISHBONES)
        spoiled[key] = value
        assert not _VALID.is_valid(spoiled)
    for key in ("clearstroke", "title", "points", "wheel"):
        assert not _VALID.is_valid({k: v for k, v in WISHBONES.items() if k != key})
