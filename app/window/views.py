"""Which way the corner is looked at: 3D, square from a side, or both side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from PySide6.QtCore import QObject, QTimer

from app.stage.camera import Camera
from app.stage.choose import painter
from app.stage.scene import Piece
from app.stage.view import Extra, Stage
from app.window.framing import framed, outline, squared, with_near

if TYPE_CHECKING:
    from app.window.window import Window

CHASSIS_KINDS = {"chassis", "scan"}
SLIM = 0.9  # of the height: a view less wide is slim


class Views(QObject):
    """The views of a window. While there are two, the square ones go into the second."""

    def __init__(self, window: Window) -> None:
        super().__init__(window)
        self.window, self.stages = window, window.show_it.stages
        self.side: Stage | None = None  # made when it is first asked for
        self.last_home = Camera()  # the view found last to show everything
        self._soon = QTimer(self, interval=0, singleShot=True)
        self._soon.timeout.connect(self._square_up)
        # Made after the presenter, and so told after the floor is where it belongs.
        window.document.opened.connect(self._go_home)
        window.document.reseated.connect(self._go_home)

    @property
    def split(self) -> bool:
        """Whether a square view stands beside the 3D one."""
        return self.side is not None and self.side in self.stages

    def go(self, name: str) -> None:
        """3D, or square from the front, the side or the top."""
        if name == "3d":
            self.window.stage.look(self.home(self.window.stage), glide=True)
        else:
            self.stages[-1].look(self.square(self.stages[-1], name), glide=True)

    def _go_home(self) -> None:
        """Another corner, or on the other side of the car: every eye goes where it shows all."""
        for stage in self.stages:
            stage.look(self.home(stage))

    def home(self, stage: Stage) -> Camera:
        """The view that shows the corner and most of its ring, from the front and above."""
        floor = stage.floor
        out = floor.out
        aspect = stage.width() / max(1, stage.height())
        tall = self._top() - floor.centre[2]
        ring = 2.55 if aspect > SLIM else 1.9  # diameters; of a slim view the ring runs out
        height = max(tall * 1.9, floor.radius * ring / max(0.5, aspect))
        camera = Camera(
            target=(floor.centre[0], floor.centre[1], floor.centre[2] + 0.44 * tall),
            azimuth=float(np.radians(-17) * out),
            elevation=float(np.radians(22)),
            height=height,
        )
        points = outline(self.window.scene.pieces.values(), self._rises())
        self.last_home = framed(camera, points, (stage.width(), stage.height()), stage.keep_clear)
        return self.last_home

    def square(self, stage: Stage, name: str) -> Camera:
        """The square view by name that shows the corner, and what is by it, as large as it goes."""
        camera = self.home(stage).squared(name, stage.floor.out)
        chassis = [p for p in self.window.scene.pieces.values() if p.kind in CHASSIS_KINDS]
        corner = outline(self._corner(), self._rises())
        points = with_near(camera, corner, [outline([piece]) for piece in chassis])
        return squared(camera, points, (stage.width(), stage.height()), stage.keep_clear)

    def _corner(self) -> list[Piece]:
        """All but the chassis."""
        pieces = self.window.scene.pieces.values()
        return [piece for piece in pieces if piece.kind not in CHASSIS_KINDS]

    def _top(self) -> float:
        """Height of the corner's highest point, mm; of everything where there is no corner."""
        pieces = self._corner()
        if not pieces:
            return float(self.window.scene.bounds()[1, 2])
        return max(float(piece.points()[:, 2].max()) for piece in pieces)

    def _rises(self) -> list[float]:
        """How far the wheel goes from where it is to either end of its travel, mm."""
        document = self.window.document
        return [end - document.travel for end in document.limits if end]

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
            stage = window.stage
            self.side.floor, self.side.extras = stage.floor, list(stage.extras)
            self.side.arrow, self.side.arrow_word = stage.arrow, stage.arrow_word
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
