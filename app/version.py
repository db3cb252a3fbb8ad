"""Which Clearstroke this is, as every file it writes says."""

from importlib.metadata import PackageNotFoundError
from importlib.metadata import version as installed


def version() -> str:
    """The installed version; ``unreleased`` when run from a clone that was never installed."""
    try:
        return installed("clearstroke")
    except PackageNotFoundError:
        return "unreleased"
