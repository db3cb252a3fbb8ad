"""What is set up before the first window: names, fonts, the log, and what is told of errors."""

from __future__ import annotations

import contextlib
import logging
import sys
from collections.abc import Callable
from logging.handlers import RotatingFileHandler
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QStandardPaths
from PySide6.QtWidgets import QApplication

from app.look.type import font, heed_system_size, load_fonts
from app.window import heap

if TYPE_CHECKING:
    from app.window.window import Window

log = logging.getLogger(__name__)
GIVE_WAY = 0.001  # s until a worker lets the screen go on; at the usual 5 ms hands stutter


def dress(app: QApplication) -> None:
    """Names and fonts the application goes by."""
    heap.keep_whole()
    sys.setswitchinterval(GIVE_WAY)
    app.setOrganizationName("Clearstroke")
    app.setApplicationName("Clearstroke")
    app.setApplicationDisplayName("Clearstroke")
    app.setStyle("Fusion")
    heed_system_size()
    load_fonts()
    app.setFont(font(14, 500, False))


def log_to_file() -> None:
    """What goes wrong is written down, out of the builder's way; the last 200 kB are kept."""
    place = QStandardPaths.StandardLocation.AppDataLocation
    folder = Path(QStandardPaths.writableLocation(place))
    handler: logging.Handler = logging.NullHandler()
    with contextlib.suppress(OSError):
        folder.mkdir(parents=True, exist_ok=True)
        handler = RotatingFileHandler(
            folder / "clearstroke.log", maxBytes=200_000, backupCount=1, encoding="utf-8"
        )
    handler.setFormatter(logging.Formatter("%(asctime)s %(name)s %(levelname)s %(message)s"))
    logging.getLogger().addHandler(handler)


def teller(window: Window) -> Callable[[type[BaseException], BaseException, Any], None]:
    """An excepthook that tells in a sentence and writes the rest to the log."""

    def tell(kind: type[BaseException], error: BaseException, trace: TracebackType | None) -> None:
        log.error("Unexpected.", exc_info=(kind, error, trace))
        window.notice.say("Something went wrong here; your work is as it was. The log says more.")

    return tell
