"""The file format's JSON Schema and reference tables, written from the records themselves.

``python -m kinematics.project.schema`` writes ``docs/project.schema.json`` and the tables in
``docs/file-format.md``; a test holds them to what the code says.
"""

from __future__ import annotations

import inspect
import json
from pathlib import Path
from typing import Any

import msgspec

from kinematics.project.model import Project
from kinematics.project.unfinished import ENTRY, FILES_OWN

Schema = dict[str, Any]

_DOCS = Path(__file__).parents[2] / "docs"
_MARK = "<!-- written by python -m kinematics.project.schema -->"


def schema() -> Schema:
    """Build the JSON Schema (2020-12) of a project file."""
    built: Schema = _without_key_lists(msgspec.json.schema(Project))
    for record in built["$defs"].values():
        record["description"] = inspect.cleandoc(record.get("description", "")).replace("``", "")
        for key, field in record["properties"].items():
            if words := _words(key, field):
                field["description"] = words
    built["$defs"]["Project"]["required"].insert(0, "clearstroke")
    built["$defs"]["Unfinished"] = _unfinished(built["$defs"]["Project"]["properties"])
    built["$defs"]["Project"]["properties"][ENTRY] = {
        "$ref": "#/$defs/Unfinished",
        "description": "a corner that is being described and can't stand yet",
    }
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Clearstroke project, NAME.corner.json",
    } | built


def _unfinished(entries: Schema) -> Schema:
    """What an unfinished corner may have otherwise than its project: any entry, or none of it."""
    return {
        "title": "Unfinished",
        "description": "What the corner being described has otherwise than the project it stands "
        "in, which is the last one that could stand. Each entry is whole, in the place of the "
        "project's own; `null` where it has none. The window goes on from it; every other command "
        "takes the project as it stands.",
        "type": "object",
        "properties": {
            key: {
                "description": field["description"],
                "anyOf": [{"$ref": f"#/$defs/Project/properties/{key}"}, {"type": "null"}],
            }
            for key, field in entries.items()
            if key not in FILES_OWN
        },
        "required": [],
        "additionalProperties": False,
    }


def _words(key: str, field: Schema) -> str:
    """What an entry means, by itself or by what it may hold; a tag says which record it is in."""
    if key == "kind" and len(field.get("enum", ())) == 1:
        return "says which of the records this is"
    inside = (each.get("description", "") for each in field.get("anyOf", ()))
    return field.get("description") or next(filter(None, inside), "")


def _without_key_lists(part: Any) -> Any:
    """Leave out lists of a table's allowed keys, which only some releases of msgspec write."""
    if isinstance(part, list):
        return [_without_key_lists(v) for v in part]
    if not isinstance(part, dict):
        return part
    kept = {k: v for k, v in part.items() if k != "propertyNames" or "enum" not in v}
    return {k: _without_key_lists(v) for k, v in kept.items()}


def schema_text() -> str:
    """Write the schema as the text of ``docs/project.schema.json``."""
    return json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"


def reference() -> str:
    """Write every record's fields as Markdown tables, the project's own first."""
    records = schema()["$defs"]
    names = ["Project", *sorted(name for name in records if name != "Project")]
    return "\n\n".join(_table(name, records[name]) for name in names) + "\n"


def with_reference(document: str) -> str:
    """Put the present tables into the document, below the mark that says they are written."""
    head, _, _ = document.partition(_MARK)
    return f"{head}{_MARK}\n\n{reference()}"


def _table(name: str, record: Schema) -> str:
    required = record.get("required", [])
    if name == "Unfinished":
        return f"### {name}\n\n{record['description']}"
    lines = [
        f"### {name}",
        "",
        record["description"].replace("\n", " "),
        "",
        "| entry | holds | if left out | meaning |",
        "| --- | --- | --- | --- |",
    ]
    for key, field in record["properties"].items():
        default = "must be given" if key in required else _default(field)
        lines.append(f"| `{key}` | {_holds(field)} | {default} | {_meaning(field)} |")
    return "\n".join(lines)


def _meaning(field: Schema) -> str:
    meaning: str = field.get("description", "")
    return meaning.replace("|", "\\|")


def _default(field: Schema) -> str:
    default = field.get("default")
    if default is None:
        return "none"
    if isinstance(default, dict | list | tuple) and not default:
        return "empty"
    if isinstance(default, float):
        unit = " mm" if "$comment" in field and default else ""
        return f"{default:g}{unit}"
    return f"`{json.dumps(default)}`"


def _holds(field: Schema) -> str:
    """Say in a few words what an entry's value is."""
    if "$ref" in field:
        name = field["$ref"].rsplit("/", 1)[1]
        return f"[{name}](#{name.lower()})"
    if "anyOf" in field:
        kinds = [_holds(each) for each in field["anyOf"] if each.get("type") != "null"]
        return " or ".join(kinds)
    if "enum" in field:
        return " or ".join(f"`{json.dumps(each)}`" for each in field["enum"])
    return _plain(field)


def _plain(field: Schema) -> str:
    kind = field["type"]
    if kind == "array" and "prefixItems" in field:
        items = [_holds(each) for each in field["prefixItems"]]
        same = len(set(items)) == 1
        return f"list of {len(items)}: {items[0] if same else ', '.join(items)}"
    if kind == "array":
        return f"list of {_holds(field['items'])}"
    if kind == "object":
        whose = field.get("propertyNames", {}).get("$comment", "by name")
        return f"{whose}: {_holds(field['additionalProperties'])}"
    if kind == "integer":
        return _bounded("whole number", field)
    if kind == "number":
        return _bounded("length" if "$comment" in field else "number", field)
    if kind == "boolean":
        return "true or false"
    return str(field.get("$comment", "text"))


def _bounded(word: str, field: Schema) -> str:
    if "exclusiveMinimum" in field:
        return f"{word} above {field['exclusiveMinimum']:g}"
    if "minimum" in field and "maximum" in field:
        return f"{word} from {field['minimum']:g} to {field['maximum']:g}"
    if "minimum" in field:
        return f"{word}, {field['minimum']:g} or more"
    return word


def main() -> None:
    """Write the schema and the tables into ``docs/``."""
    (_DOCS / "project.schema.json").write_text(schema_text(), encoding="utf-8")
    document = _DOCS / "file-format.md"
    text = document.read_text(encoding="utf-8")
    document.write_text(with_reference(text), encoding="utf-8")


if __name__ == "__main__":
    main()
