"""One drawing, three kinds of file: PNG at twice the size, SVG and PDF at 96 dots to the inch."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QMarginsF, QRect, QSize, QSizeF
from PySide6.QtGui import (
    QGuiApplication,
    QImage,
    QImageWriter,
    QPageLayout,
    QPageSize,
    QPainter,
    QPdfWriter,
)
from PySide6.QtSvg import QSvgGenerator

from app.paper.ink import PAPER
from kinematics.errors import ClearstrokeError
from kinematics.project.files import reason

DOTS = 96
KINDS = ("png", "svg", "pdf")
_own_application: list[QGuiApplication] = []


class PaperError(ClearstrokeError):
    """A file that could not be written, in one sentence."""


@dataclass(frozen=True)
class Page:
    """A drawing: its size in px at 96 dots to the inch, what it is, and how to draw it.

    rest : the sheets that follow it where a file or a printer takes more than one.
    """

    wide: int
    high: int
    title: str
    about: str
    draw: Callable[[QPainter], None]
    rest: tuple[Page, ...] = ()


def application() -> QGuiApplication:
    """The running Qt application, or one of our own that needs no display."""
    running = QGuiApplication.instance()
    if isinstance(running, QGuiApplication):
        return running
    # The platform by argument, not by environment: a child may still want the real display.
    _own_application.append(QGuiApplication(["clearstroke", "-platform", "offscreen"]))
    return _own_application[0]


def write(page: Page, path: Path) -> None:
    """Draw the page into a file of the kind its suffix says, whole or not at all.

    Raises PaperError for an unknown suffix or a file that can't be written.
    """
    application()
    kind = path.suffix.lower().lstrip(".")
    if kind not in KINDS:
        raise PaperError(f'"{path.name}" should end in .png, .svg or .pdf.')
    _put(path, {"png": lambda p: _png(image(p)), "svg": _svg, "pdf": _pdf}[kind](page))


def write_pdf(page: Page, path: Path) -> None:
    """Write a page and those that follow it as PDF, whatever the file is called; as `write`."""
    application()
    _put(path, _pdf(page))


def write_picture(picture: QImage, path: Path) -> None:
    """Write a picture as PNG, whole or not at all. Raises PaperError if it can't be written."""
    _put(path, _png(picture))


def _put(path: Path, data: bytes) -> None:
    """The toolkit's own writers pass over a disk that is full: a file is made in memory first."""
    with whole(path) as part:
        part.write_bytes(data)


def write_text(path: Path, fill: Callable[[TextIO], object]) -> None:
    """Fill a text file, whole or not at all. Raises PaperError if it can't be written."""
    with whole(path) as part, part.open("w", encoding="utf-8", newline="\n") as out:
        fill(out)


@contextmanager
def whole(path: Path) -> Iterator[Path]:
    """A path to write to that takes the place of ``path`` once it is complete."""
    part = path.with_name(f".{path.name}.part")
    try:
        yield part
        os.replace(part, path)
    except OSError as error:
        raise PaperError(f'"{path}" can\'t be written: {reason(error)}.') from None
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def image(page: Page, scale: float = 2.0) -> QImage:
    """The page as a picture, for the clipboard and the PNG file."""
    application()
    picture = QImage(round(page.wide * scale), round(page.high * scale), QImage.Format.Format_RGB32)
    picture.setDevicePixelRatio(scale)
    picture.setDotsPerMeterX(round(DOTS * scale / 0.0254))
    picture.setDotsPerMeterY(round(DOTS * scale / 0.0254))
    picture.fill(PAPER)
    painter = QPainter(picture)
    _draw(page, painter)
    picture.setText("Title", page.title)
    picture.setText("Description", page.about)
    return picture


def _png(picture: QImage) -> bytes:
    held = QBuffer()
    held.open(QIODevice.OpenModeFlag.WriteOnly)
    QImageWriter(held, QByteArray(b"png")).write(picture)
    return bytes(held.data().data())


def _svg(page: Page) -> bytes:
    held, generator = QBuffer(), QSvgGenerator()
    generator.setOutputDevice(held)
    generator.setResolution(DOTS)
    generator.setSize(QSize(page.wide, page.high))
    generator.setViewBox(QRect(0, 0, page.wide, page.high))
    generator.setTitle(page.title)
    generator.setDescription(page.about)
    _draw(page, QPainter(generator))
    return bytes(held.data().data())


def _pdf(page: Page) -> bytes:
    held = QBuffer()
    held.open(QIODevice.OpenModeFlag.WriteOnly)
    writer = QPdfWriter(held)
    writer.setResolution(DOTS)
    writer.setPageMargins(QMarginsF(0, 0, 0, 0), QPageLayout.Unit.Point)
    writer.setTitle(page.title)
    writer.setCreator(page.about)
    _sized(writer, page)
    painter = QPainter(writer)
    try:
        for number, each in enumerate((page, *page.rest)):
            if number:
                _sized(writer, each)
                writer.newPage()
            _fill(each, painter)
    finally:
        painter.end()  # an open painter would take the process down with the exception
    return bytes(held.data().data())


def _sized(writer: QPdfWriter, page: Page) -> None:
    size = QSizeF(page.wide * 72 / DOTS, page.high * 72 / DOTS)
    writer.setPageSize(
        QPageSize(size, QPageSize.Unit.Point, "", QPageSize.SizeMatchPolicy.ExactMatch)
    )


def _draw(page: Page, painter: QPainter) -> None:
    try:
        _fill(page, painter)
    finally:
        painter.end()  # an open painter would take the process down with the exception


def _fill(page: Page, painter: QPainter) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    painter.fillRect(0, 0, page.wide, page.high, PAPER)
    page.draw(painter)
