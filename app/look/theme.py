"""Which theme is on: the system's, or the one chosen; told to every widget that asks."""

from __future__ import annotations

from PySide6.QtCore import QObject, QSettings, Qt, Signal
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication

from app.look import type as typeface
from app.look.palette import DARK, LIGHT, Palette


class Theme(QObject):
    """The palette in force and the scale of type. One for the window."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.choice = str(QSettings().value("theme", "system"))
        self.window_scale = 1.0
        self.palette = self._wanted()
        hints = QGuiApplication.styleHints()
        hints.colorSchemeChanged.connect(self._follow)
        self._dress()

    @property
    def scale(self) -> float:
        """What every size in the design is multiplied by."""
        return self.window_scale * typeface.user_scale()

    def choose(self, choice: str) -> None:
        """'system', 'light' or 'dark'; remembered."""
        self.choice = choice
        QSettings().setValue("theme", choice)
        self._follow()

    def switch(self) -> None:
        """To the other theme than the one shown."""
        self.choose("light" if self.palette.dark else "dark")

    def fit(self, width: int) -> None:
        """Grow with a large window: 1 up to 1600 wide, 1.3 from 2400."""
        wanted = 1.0 + 0.3 * min(1.0, max(0.0, (width - 1600) / 800))
        wanted = round(wanted * 20) / 20
        if wanted != self.window_scale:
            self.window_scale = wanted
            self._dress()
            self.changed.emit()

    def _wanted(self) -> Palette:
        if self.choice in ("light", "dark"):
            return DARK if self.choice == "dark" else LIGHT
        dark = QGuiApplication.styleHints().colorScheme() == Qt.ColorScheme.Dark
        return DARK if dark else LIGHT

    def _follow(self) -> None:
        self.palette = self._wanted()
        self._dress()
        self.changed.emit()

    def _dress(self) -> None:
        """Give the toolkit's own widgets (menus, dialogs, fields) the same colours."""
        if isinstance(app := QApplication.instance(), QApplication):
            app.setPalette(qt_palette(self.palette))


def qt_palette(p: Palette) -> QPalette:
    """The toolkit's palette in our colours."""
    made = QPalette()
    role = QPalette.ColorRole
    colours = {
        role.Window: p.sheet,
        role.Base: p.sheet,
        role.AlternateBase: p.ground,
        role.Button: p.sheet,
        role.WindowText: p.ink,
        role.Text: p.ink,
        role.ButtonText: p.ink,
        role.ToolTipBase: p.sheet,
        role.ToolTipText: p.ink,
        role.PlaceholderText: p.ink3,
        role.Highlight: p.dye,
        role.HighlightedText: p.on_dye,
        role.Link: p.dye,
        role.Mid: p.hair,
        role.Light: p.sheet,
        role.Dark: p.hair,
        role.Accent: p.dye,
    }
    for which, colour in colours.items():
        made.setColor(which, QColor(colour))
    off = QPalette.ColorGroup.Disabled
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(off, which, QColor(p.ink3))
    return made
