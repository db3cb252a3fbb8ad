"""What branch and bound of a bore divides (`SPAN`): sectors of a ring, or stretches of a rod."""

from kinematics.clearance.kernel.compiled import inner
from kinematics.clearance.kernel.vectors import copy_into


@inner
def resume(spans, kept, n, way):
    """Take up those of an earlier position, since which points were moved by no more than way."""
    for i in range(n):
        copy_into(spans[i], kept[i])
        spans[i, 2] = kept[i, 2] - way
        spans[i, 8] = 2.0


@inner
def lowest_span(spans, n):
    """Which of the first n has the lowest bound."""
    least = 0
    for i in range(n):
        if spans[i, 2] < spans[least, 2]:
            least = i
    return least
