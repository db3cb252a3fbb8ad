"""A small complete project that the tests of reading and writing change at will."""

import json
from typing import Any

WISHBONES: dict[str, Any] = {
    "clearstroke": 1,
    "title": "test corner",
    "data": "invented",
    "units": "mm",
    "side": "left",
    "points": {
        "wheel centre": [0, 720, 280],
        "lower front": [150, 330, 195],
        "lower rear": [-170, 330, 190],
        "lower ball joint": [5, 680, 165],
        "upper front": [130, 400, 400],
        "upper rear": [-160, 400, 390],
        "upper ball joint": [-20, 655, 405],
        "rack end": [-140, 370, 235],
        "steering arm": [-130, 665, 230],
        "foot": [0, 560, 195],
        "top": [-10, 430, 580],
    },
    "arrangement": {
        "kind": "wishbones",
        "lower": {"front": "lower front", "rear": "lower rear", "outer": "lower ball joint"},
        "upper": {"front": "upper front", "rear": "upper rear", "outer": "upper ball joint"},
        "tie_inner": "rack end",
        "tie_outer": "steering arm",
    },
    "rack": {"least": -50, "most": 45},
    "wheel": {
        "centre": "wheel centre",
        "tyre": {"size": "185/60R14"},
        "rim": {"size": "6Jx14 ET30"},
        "axis": [0.01, 1, 0.02],
    },
    "coilover": {
        "foot": {"point": "foot", "body": "lower arm"},
        "top": {"point": "top"},
        "open": 470,
        "closed": 340,
        "spring": {
            "outside": 76,
            "wire": 11,
            "seat_from_foot": 120,
            "end_from_top": 35,
            "rate_n_per_mm": 60,
        },
    },
    "tower": {"front": 80, "rear": -100, "inner": 380, "outer": 500, "top": 600},
    "parts": {
        "rail": {
            "kind": "box",
            "body": "chassis",
            "least": [-400, 280, 430],
            "most": [400, 360, 500],
        },
        "panel": {
            "kind": "plate",
            "body": "chassis",
            "outline": [[300, 400, 300], [300, 700, 300], [300, 700, 600]],
            "thickness": 2,
        },
        "scan": {
            "kind": "scan",
            "body": "chassis",
            "file": "arch.stl",
            "file_unit": "mm",
            "turn_deg": [10, 20, 30],
            "move": [1, 2, 3],
        },
    },
}


def changed(path: str, value: object) -> bytes:
    """The corner as a file, with the entry at ``a/b/c`` replaced, or removed if ``...``."""
    tree = json.loads(json.dumps(WISHBONES))
    *way, last = path.split("/")
    place: Any = tree
    for key in way:
        place = place[int(key) if isinstance(place, list) else key]
    if value is ...:
        del place[last]
    elif isinstance(place, list):
        place[int(last)] = value
    else:
        place[last] = value
    return json.dumps(tree).encode()
