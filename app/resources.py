"""Where the shipped files are: beside ``app`` in a clone, inside it in an installed wheel."""

from pathlib import Path


def assets() -> Path:
    """The folder of shipped examples, fonts and icons."""
    inside = Path(__file__).parent / "assets"
    return inside if inside.is_dir() else inside.parent.parent / "assets"
