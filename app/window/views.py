"""Which way the corner is looked at: 3D, square from a side, or both side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer

from app.stage.choose import painter
from app.stage.view import Extra, Stage

if TYPE_CHECKING:
    from app.window.window import Window


class Views(QObject):
    """The views of a window. While there are two, the square ones go into the second."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window, self.stages = window, window.show_it.stages
        self.side: Stage | None = None  # made when it is first asked for
        self._soon = QTimer(self, interval=0, singleShot=True)
        self._soon.timeout.connect(self._square_up)

    @property
    def split(self) -> bool:
        """Whether a square view stands beside the 3D one."""
        return self.side is not None and self.side in self.stages

    def go(self, name: str) -> None:
        """3D, or square from the front, the side or the top."""
        show = self.window.show_it
        if name == "3d":
            self.window.stage.look(show.home(self.window.stage), glide=True)
        else:
            self.stages[-1].look(show.square(self.stages[-1], name), glide=True)

    def beside(self) -> None:
        """A square view beside the 3D one, or none. On a small window the strips make way."""
        window = self.window
        if self.side is None:
            self.side = Stage(window.theme, window.scene, painter()[0])
            self.side.setAccessibleName("The corner seen square")
            self.side.hands = window.hands
            self.side.looked.connect(window.show_it.retag)
            self.side.resized.connect(window.show_it.retag)
            window.row.insertWidget(1, self.side, 1)
        if self.side in self.stages:
            self.stages.remove(self.side)
        else:
            self.side.floor, self.side.extras = window.stage.floor, list(window.stage.extras)
            self.stages.append(self.side)
        self.side.setVisible(self.split)
        window.fit()
        self._soon.start()

    def _square_up(self) -> None:
        """The views fitted to the places they were given."""
        self.go("3d")
        if self.split:
            self.go("front")

    def write_over(self, what: Extra, on: bool) -> None:
        """Write something more over the views, or no longer."""
        for stage in self.stages:
            extras = [e for e in stage.extras if e is not what]
            stage.extras = [*extras, what] if on else extras

    def set_visible(self, seen: bool) -> None:
        """Show the second view, if there is one, or hide it for a while."""
        if self.side is not None:
            self.side.setVisible(seen and self.split)

    def release(self) -> None:
        """Give back what the second view holds of the driver."""
        if self.side is not None:
            self.side.picture.release()
