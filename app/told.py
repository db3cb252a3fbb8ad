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
from typing import Any


def told(handler: Callable[[Any, Any], None]) -> Callable[[Any, Any], None]:
    """An event handler whose errors are told; what called it goes on."""

    @functools.wraps(handler)
    def safe(widget: Any, event: Any) -> None:
        try:
            handler(widget, event)
        except Exception as error:
            # Whatever it is: the alternative is the end of the program.
            sys.excepthook(type(error), error, error.__traceback__)

    return safe
