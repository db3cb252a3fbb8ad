"""How the functions of this package are compiled, and where the result is kept.

The package is one unit: what is kept of an entry holds the machine code of all it calls, in
whichever file that stands, so it is good only while none of the files has changed.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from importlib.resources import files
from pathlib import Path
from threading import Lock
from typing import Any

import numba
from numba import types

F1 = types.Array(types.float64, 1, "C")
F2 = types.Array(types.float64, 2, "C")
F3 = types.Array(types.float64, 3, "C")
F4 = types.Array(types.float64, 4, "C")
I1 = types.Array(types.int64, 1, "C")
I2 = types.Array(types.int64, 2, "C")
I3 = types.Array(types.int64, 3, "C")


def _sources() -> str:
    """What all sources of the package come to, in a few letters (0.5 ms)."""
    found = sha256()
    for source in sorted(files(__package__).iterdir(), key=lambda path: path.name):
        if source.name.endswith(".py"):
            found.update(source.name.encode() + source.read_bytes())
    return found.hexdigest()[:16]


SOURCES = _sources()


class Entry:
    """A function compiled with one signature, from the cache where one can be written, when it is
    first called: to load each takes a tenth of a second."""

    def __init__(self, signature: Any, function: Any) -> None:
        self.signature, self.py_func = signature, function
        # numba names the file it keeps by the function's qualified name, and itself looks only at
        # the file the function stands in: with the sources in the name, no other's is ever found.
        function.__qualname__ += "_" + SOURCES
        self._compiled: Any = None
        self._lock = Lock()

    def load(self) -> Any:
        """The compiled function."""
        with self._lock:
            if self._compiled is None:
                how = {"nogil": True, "error_model": "numpy"}
                try:
                    made = numba.njit(self.signature, cache=True, **how)(self.py_func)
                except RuntimeError:  # no folder to keep the cache in: compile for this run only
                    made = numba.njit(self.signature, **how)(self.py_func)
                self._compiled = made
                self._drop_outdated()
        return self._compiled

    def _drop_outdated(self) -> None:
        """Once compiled anew, remove what was kept of earlier sources: a megabyte each."""
        stats = getattr(self._compiled, "stats", None)  # uncompiled it has none
        if stats and stats.cache_path and stats.cache_misses:
            for path in Path(stats.cache_path).glob(f"*.{self.py_func.__name__}_*.nb[ci]"):
                if SOURCES not in path.name:
                    with suppress(OSError):
                        path.unlink()

    def __call__(self, *args: Any) -> None:
        """Call it, compiling or loading it first."""
        (self._compiled or self.load())(*args)


def entry(signature: Any) -> Callable[[Any], Entry]:
    """Make a function an `Entry` of this signature: one that is called from outside."""
    return lambda function: Entry(signature, function)


#: Makes a function one that only compiled ones call.
inner = numba.njit(nogil=True, error_model="numpy", no_cpython_wrapper=True)

#: Makes it a step of the one that calls it, written out in its place: to hand many arrays over
#: takes longer than what is done with them.
step = numba.njit(nogil=True, error_model="numpy", no_cpython_wrapper=True, inline="always")
