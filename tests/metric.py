"""Which metric units a text has in it: none should be left where the builder chose inches.

Names of entries in the project file (``corner_kg``) are not units and are let pass.
"""

import re

_UNIT = re.compile(r"(?<![A-Za-z_])(?:mm²?|cm|kN|N|Nm|kg|MPa|GPa)(?![A-Za-z_])")
_IN_A_NAME = re.compile(r"_(?:mm2?|cm|n|kn|kg|m)(?![a-z0-9])")


def metric_words(text: str) -> list[str]:
    """What surrounds each metric unit, so that a failure shows where it stands."""
    return [text[max(0, m.start() - 30) : m.end() + 10] for m in _UNIT.finditer(text)]


def metric_columns(names: list[str]) -> list[str]:
    """Names of columns that end in a metric unit."""
    return [name for name in names if _IN_A_NAME.search(name) or metric_words(name)]
