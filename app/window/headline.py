"""The worst finding in one large sentence, the next ones below; each takes you there."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QEnterEvent, QFont, QPainter, QPaintEvent, QPen, QPixmap
from PySide6.QtWidgets import QAbstractButton, QVBoxLayout, QWidget

from app.document.sayings import Saying
from app.look.blank import blank
from app.look.halo import draw_words, unbroken
from app.look.signs import draw_sign
from app.look.theme import Theme
from app.look.type import font, metrics
from app.told import told

INDENT = 34
HALO = 2.4  # px at scale 1 about the words, in the colour of the stage
STALE = 0.45  # how much is let through of what was found before an edit


@lru_cache(maxsize=32)
def laid(
    text: str, detail: str, face: tuple[float, int, bool], width: float, s: float
) -> tuple[QRectF, QRectF]:
    """Where a sentence's text, in a ``face``, and its detail stand: asked three times of each."""
    size, weight, condensed = face
    x, flags = INDENT * s, int(Qt.TextFlag.TextWordWrap)
    room = QRectF(x, 0, max(40.0, width - x - 2), 1000)
    first = metrics(size * s, weight, condensed).boundingRect(room, flags, text)
    second = QRectF(x, first.bottom(), 0, 0)
    if detail:
        below = room.translated(0, first.bottom() + 3 * s)
        second = metrics(15 * s, 400, False).boundingRect(below, flags, detail)
    return first, second


@told
class Sentence(QAbstractButton):
    """One sentence that can be clicked or reached with Tab."""

    def __init__(self, theme: Theme, large: bool, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme, self.large = theme, large
        self.saying = Saying("", "", None)
        self.link = False
        self.current = False
        self.stale = False
        self._drawn: object = None
        self._picture = QPixmap()
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)

    def say(self, saying: Saying, link: bool = False) -> None:
        """Say something else."""
        self.saying, self.link = saying, link
        self.setAccessibleName(saying.text)
        self.setAccessibleDescription(saying.detail)
        self.updateGeometry()
        self.update()

    def _fonts(self) -> tuple[float, int, bool]:
        return (29.0, 600, True) if self.large else (15.0, 500, False)

    def _layout(self, width: float) -> tuple[QRectF, QRectF]:
        """Where text and detail stand for a width."""
        words = unbroken(self.saying.text), unbroken(self.saying.detail)
        text, detail = laid(*words, self._fonts(), width, self.theme.scale)
        return QRectF(text), QRectF(detail)

    def written(self) -> QRectF:
        """Where its sign and words stand."""
        text, detail = self._layout(self.width())
        return QRectF(0, 0, 1, 1).united(text).united(detail)

    def fit(self, width: int) -> None:
        """Take the height the words need at this width."""
        text, detail = self._layout(width)
        self.setFixedSize(max(0, width), round(max(text.bottom(), detail.bottom()) + 4))

    def enterEvent(self, event: QEnterEvent) -> None:
        self.update()

    def leaveEvent(self, event: object) -> None:
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        # The stage below is painted many times a second, and this with it.
        lit = self.underMouse() or self.hasFocus()
        key = (self.saying, self.link, self.current, lit, self.size(), self.theme.palette.dark,
               self.theme.scale, self.devicePixelRatioF())  # fmt: skip
        if key != self._drawn:
            self._drawn = key
            self._picture = self._draw(lit)
        painter = QPainter(self)
        painter.setOpacity(STALE if self.stale else 1.0)
        painter.drawPixmap(0, 0, self._picture)
        painter.end()

    def _draw(self, lit: bool) -> QPixmap:
        s, p = self.theme.scale, self.theme.palette
        picture = blank(self, Qt.GlobalColor.transparent)
        painter = QPainter(picture)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        text, detail = self._layout(self.width())
        size, weight, condensed = self._fonts()
        wrap, reach = int(Qt.TextFlag.TextWordWrap), HALO * s
        face = QFont(font(size * s, weight, condensed))
        face.setUnderline(self.link and lit)
        painter.setFont(face)
        room = max(40.0, self.width() - text.x() - 2)  # as measured, or it breaks elsewhere
        text.setWidth(room)
        detail.setWidth(room)
        text, detail = text.adjusted(0, 0, 0, 2), detail.adjusted(0, 0, 0, 2)
        ink = p.dye if lit or self.link else p.ink
        draw_words(painter, text, wrap, unbroken(self.saying.text), ink, p, reach)
        painter.setFont(font(15 * s, 400, False))
        draw_words(painter, detail, wrap, unbroken(self.saying.detail), p.ink2, p, reach)
        if self.saying.state is not None:
            radius = (11.5 if self.large else 7.0) * s
            line = painter.fontMetrics().height()
            y = (17 if self.large else line / 2) * s if self.large else line / 2 + 1
            draw_sign(painter, p, self.saying.state, QPointF(11 * s, y), radius)
        if self.current and not self.large:
            painter.setPen(QPen(QColor(p.dye), 2))
            painter.drawLine(QPointF(1, 2), QPointF(1, self.height() - 4))
        painter.end()
        return picture


class Headline(QWidget):
    """The stack of sentences over the stage."""

    chosen = Signal(int)
    more = Signal()

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.first = Sentence(theme, True, self)
        self.others = [Sentence(theme, False, self) for _ in range(4)]
        self.rest = Sentence(theme, False, self)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        for sentence in (self.first, *self.others):
            sentence.clicked.connect(lambda _=False, s=sentence: self.chosen.emit(s.saying.target))
        self.rest.clicked.connect(self.more.emit)
        self._shown = 0  # sentences there are to say after the first
        self._width = 340
        self._height = 10_000
        theme.changed.connect(self.refit)

    def show_sayings(self, sayings: list[Saying], rest: str, current: int = -1) -> None:
        """The worst first; ``rest`` tells of what is not said one by one."""
        first = sayings[0] if sayings else Saying("", "", None)
        self.first.say(replace(first, detail=f"{first.was} {first.detail}".strip()))
        self._shown = len(sayings) - 1
        for i, sentence in enumerate(self.others):
            if i < self._shown:
                saying = sayings[i + 1]
                # One line each, and how it was: where and when is a click away.
                sentence.say(replace(saying, detail=saying.was))
                sentence.setToolTip(saying.detail)
                sentence.current = saying.target == current
        self.rest.setVisible(bool(rest))
        self.rest.say(Saying(rest, "", None), link=True)
        self.refit()

    def show_stale(self, stale: bool) -> None:
        """Step back while what is said is of before an edit; the notice tells how long."""
        for sentence in (self.first, *self.others, self.rest):
            if sentence.stale != stale:
                sentence.stale = stale
                told = "Being checked again." if stale else sentence.saying.detail
                sentence.setAccessibleDescription(told)
                sentence.update()

    def fit(self, width: int, height: int) -> None:
        """Use this width, so that sentences stop wrapping, and no more than this height."""
        if (width, height) != (self._width, self._height):
            self._width, self._height = width, height
            self.refit()

    def boxes(self) -> list[QRectF]:
        """What is written, sentence by sentence, in the parent's px."""
        here = QPointF(self.pos())
        shown = [s for s in (self.first, *self.others, self.rest) if not s.isHidden()]
        return [s.written().translated(QPointF(s.pos()) + here) for s in shown]

    def refit(self) -> None:
        """Lay the sentences below each other."""
        s = self.theme.scale
        y = 0
        for i, sentence in enumerate((self.first, *self.others, self.rest)):
            if 0 < i < 5:
                sentence.setVisible(i <= self._shown)
            if sentence.isHidden():
                continue
            sentence.fit(self._width)
            if 0 < i < 5 and y + sentence.height() > self._height:
                sentence.hide()
                continue
            sentence.move(0, y)
            y += sentence.height() + round((12 if i == 0 else 7) * s)
        self.resize(self._width, y)
