"""Side by side with a general-purpose multibody library.

exudyn (J. Gerstmayr, 'Exudyn: a C++ based Python package for flexible multibody systems',
Multibody System Dynamics, 2023; identification from memory) is given the same corners as rigid
bodies with Euler parameters, generic joints and distance constraints, and solves them statically in
load steps. Its Newton tolerance is 1e-13 relative; agreement is asked to 1e-9 mm and 1e-11.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from kinematics.motion import corner, move
from kinematics.project.model import Ball, Hinge, PointOnLine, Project
from kinematics.project.unfold import unfold
from tests.motion.corners import ALL

exu = pytest.importorskip("exudyn")
items = pytest.importorskip("exudyn.itemInterface")

pytestmark = [
    # The library is renaming its parameters; both names work until 2031.
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
]


class Model:
    """A corner in the library's terms, driven by load steps to a travel and a rack position."""

    def __init__(self, project: Project, travel: float, rack: float) -> None:
        self.project = project
        self.points = {name: np.array(xyz) for name, xyz in project.points.items()}
        self.system = exu.SystemContainer().AddSystem()
        self.ground = self.system.AddObject(items.ObjectGround())
        self.body = {name: self._rigid(np.zeros(3)) for name in project.bodies}
        self.rack = rack
        for link in project.links.values():
            self._rod(link)
        for joint in project.joints.values():
            self._joint(joint)
        hub = self.points[project.wheel.centre]
        self._generic(
            self._marker("chassis", hub),
            self._marker(project.wheel.body, hub),
            [0, 0, 1, 0, 0, 0],
            drive=[0.0, 0.0, travel],
        )
        self.system.Assemble()

    def _rigid(self, at: np.ndarray) -> Any:
        node = self.system.AddNode(
            items.NodeRigidBodyEP(
                referenceCoordinates=[*at, 1, 0, 0, 0], initialVelocities=[0.0] * 7
            )
        )
        return self.system.AddObject(
            items.ObjectRigidBody(
                physicsMass=1.0, physicsInertia=[1e4, 1e4, 1e4, 0, 0, 0], nodeNumber=node
            )
        )

    def _marker(self, body: str, at: np.ndarray) -> Any:
        number = self.ground if body == "chassis" else self.body[body]
        return self.system.AddMarker(
            items.MarkerBodyRigid(bodyNumber=number, localPosition=list(at))
        )

    def _generic(
        self,
        one: Any,
        two: Any,
        axes: list[int],
        frame: Any = None,
        drive: list[float] | None = None,
    ) -> None:
        more: dict[str, Any] = {}
        if frame is not None:
            more = {"rotationMarker0": frame, "rotationMarker1": frame}
        if drive is not None:
            goal = [*drive, 0.0, 0.0, 0.0]
            more["offsetUserFunction"] = lambda mbs, t, number, given: [t * x for x in goal]
            more["offsetUserFunctionParameters"] = [0.0] * 6
        self.system.AddObject(
            items.ObjectJointGeneric(markerNumbers=[one, two], constrainedAxes=axes, **more)
        )

    def _rod(self, link: Any) -> None:
        a, b = (self.points[end.point] for end in (link.inner, link.outer))
        if link.inner.body == "rack":
            slider = self._rigid(a)
            origin = self.system.AddMarker(
                items.MarkerBodyRigid(bodyNumber=slider, localPosition=[0, 0, 0])
            )
            self._generic(self._marker("chassis", a), origin, [1] * 6, drive=[0.0, self.rack, 0.0])
        else:
            origin = self._marker(link.inner.body, a)
        self.system.AddObject(
            items.ObjectConnectorDistance(
                markerNumbers=[origin, self._marker(link.outer.body, b)],
                distance=float(np.linalg.norm(a - b)),
            )
        )

    def _joint(self, joint: Any) -> None:
        one, two = joint.bodies
        if isinstance(joint, Ball):
            at = self.points[joint.at]
            self._generic(self._marker(one, at), self._marker(two, at), [1, 1, 1, 0, 0, 0])
        elif isinstance(joint, Hinge):
            at, frame = self.points[joint.along[0]], self._frame(joint.along)
            self._generic(self._marker(one, at), self._marker(two, at), [1, 1, 1, 1, 1, 0], frame)
        else:
            assert isinstance(joint, PointOnLine)
            at, frame = self.points[joint.point], self._frame(joint.line)
            self._generic(self._marker(one, at), self._marker(two, at), [1, 1, 0, 0, 0, 0], frame)

    def _frame(self, line: tuple[str, str]) -> np.ndarray:
        start, end = (self.points[name] for name in line)
        along = (end - start) / np.linalg.norm(end - start)
        across = np.cross(np.eye(3)[np.argmin(np.abs(along))], along)
        across /= np.linalg.norm(across)
        return np.column_stack([across, np.cross(along, across), along])

    def solve(self) -> tuple[np.ndarray, np.ndarray]:
        """Position of the wheel centre and rotation of its carrier."""
        settings = exu.SimulationSettings()
        static = settings.staticSolver
        static.numberOfLoadSteps = 20
        static.newton.relativeTolerance = 1e-13
        static.newton.absoluteTolerance = 1e-11
        static.verboseMode = 0
        settings.solutionSettings.writeSolutionToFile = False
        self.system.SolveStatic(settings)
        body, hub = self.body[self.project.wheel.body], self.points[self.project.wheel.centre]
        kind = exu.OutputVariableType
        at = self.system.GetObjectOutputBody(body, kind.Position, localPosition=list(hub))
        turn = self.system.GetObjectOutputBody(
            body, kind.RotationMatrix, localPosition=[0.0, 0.0, 0.0]
        )
        return np.array(at), np.array(turn).reshape(3, 3)


@pytest.mark.parametrize("name", list(ALL))
def test_same_poses(name):
    project = unfold(ALL[name]())
    linkage = corner(project)
    rack = 20.0 if "rack" in linkage.bodies else 0.0
    for travel in (60.0, -60.0):
        at, turn = Model(project, travel, rack).solve()
        motion = move(linkage, [travel], [rack])
        there = motion.point(project.wheel.centre)[0, 0]
        k = motion.number(project.wheel.body)
        np.testing.assert_allclose(there, at, atol=1e-9)
        np.testing.assert_allclose(motion.rotation[k, 0, 0], turn, atol=1e-11)
