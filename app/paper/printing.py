"""Sheets on the printer, through the system's own dialog."""

from __future__ import annotations

from PySide6.QtCore import QRectF
from PySide6.QtGui import QPageLayout, QPainter
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QWidget

from app.paper.media import Page


def ask_and_print(page: Page, parent: QWidget) -> bool:
    """Ask which printer, then print a sheet and those that follow it; whether they were sent."""
    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(page.title)
    dialog = QPrintDialog(printer, parent)
    taken = dialog.exec() == QPrintDialog.DialogCode.Accepted
    dialog.deleteLater()
    if not taken:
        return False
    return print_page(page, printer)


def print_page(page: Page, printer: QPrinter) -> bool:
    """Print a sheet and those that follow it, as large as the paper lets them be; whether sent."""
    turned = page.wide > page.high
    way = QPageLayout.Orientation.Landscape if turned else QPageLayout.Orientation.Portrait
    printer.setPageOrientation(way)
    painter = QPainter()
    if not painter.begin(printer):
        return False
    try:
        paper = QRectF(printer.pageLayout().paintRectPixels(printer.resolution()))
        for number, each in enumerate((page, *page.rest)):
            if number:
                printer.newPage()
            scale = min(paper.width() / each.wide, paper.height() / each.high)
            painter.save()
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.scale(scale, scale)
            each.draw(painter)
            painter.restore()
    finally:
        painter.end()
    return True
