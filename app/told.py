"""Errors in what the toolkit calls, told to the hook for them instead of raised into it.

Where our own call waits in the toolkit (a widget is shown, it calls ``showEvent``), an error raised
there is to be handed on to us through it. The binding doesn't survive that with errors the
interpreter itself makes, such as an index out of range: it takes them for objects they are not yet,
and the whole program ends.
"""

from __future__ import annotations

import functools
import sys
from collections.abc import Callable
from types import FunctionType, TracebackType
from typing import Any, TypeVar

from PySide6.QtGui import QPainter

Kind = TypeVar("Kind", bound=type)
PAINTS = "paintEvent"


def told(kind: Kind) -> Kind:
    """A class of the toolkit's kind, of which the methods that the toolkit calls tell their errors.

    These are the ones its base in the toolkit has too. Whoever called goes on: a handler has done
    nothing more, a question is answered as the base would.
    """
    for name, method in overrides(kind).items():
        setattr(kind, name, _safe(kind, name, method))
    return kind


def overrides(kind: type) -> dict[str, FunctionType]:
    """What a class puts in the place of its toolkit base's own."""
    base = next(b for b in kind.__mro__ if b.__module__.startswith("PySide6"))
    own = {name: m for name, m in vars(kind).items() if isinstance(m, FunctionType)}
    return {name: m for name, m in own.items() if name != "__init__" and hasattr(base, name)}


def _safe(kind: type, name: str, method: FunctionType) -> Callable[..., Any]:
    @functools.wraps(method)
    def safe(self: Any, *args: Any) -> Any:
        try:
            return method(self, *args)
        except Exception as error:
            # Whatever it is: the alternative is the end of the program.
            sys.excepthook(type(error), error, error.__traceback__)
            if name == PAINTS:
                _end_painters(error.__traceback__)
            return None if name.endswith("Event") else _plain(kind, name, self, args)

    return safe


def _plain(kind: type, name: str, self: Any, args: tuple[Any, ...]) -> Any:
    """The base's own answer; None where it leaves it to us."""
    try:
        return getattr(super(kind, self), name)(*args)
    except NotImplementedError:
        return None


def _end_painters(trace: TracebackType | None) -> None:
    """Let go of a widget that a failed handler still paints on, which would end the program."""
    while trace is not None:
        for held in list(trace.tb_frame.f_locals.values()):
            if isinstance(held, QPainter) and held.isActive():
                held.end()
        trace = trace.tb_next
