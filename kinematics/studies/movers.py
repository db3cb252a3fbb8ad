"""What has a say in how a corner's bodies move, and whether two projects move alike."""

from __future__ import annotations

from kinematics.project.model import Project


def moving_points(project: Project) -> set[str]:
    """The points that have a say in how the bodies of an unfolded project move."""
    names = {project.wheel.centre}
    for link in project.links.values():
        names |= {link.inner.point, link.outer.point}
    for joint in project.joints.values():
        for field in ("at", "point"):
            if (name := getattr(joint, field, None)) is not None:
                names.add(name)
        names.update(getattr(joint, "along", ()), getattr(joint, "line", ()))
    return names


def moves_alike(a: Project, b: Project) -> bool:
    """Whether the bodies of two unfolded projects of one corner move alike over the same travel."""
    if (a.bodies, a.joints, a.rack, a.give, a.setup_wheel_z, a.side) != (
        b.bodies, b.joints, b.rack, b.give, b.setup_wheel_z, b.side,
    ):  # fmt: skip
        return False
    rods = [{n: (x.inner, x.outer, x.adjust) for n, x in p.links.items()} for p in (a, b)]
    if rods[0] != rods[1] or any(x.through for p in (a, b) for x in p.links.values()):
        return False
    if (a.wheel.centre, a.wheel.body) != (b.wheel.centre, b.wheel.body):
        return False
    return all(a.points[name] == b.points[name] for name in moving_points(a))
