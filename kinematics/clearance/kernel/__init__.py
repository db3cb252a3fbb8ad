"""The compiled kernels of clearance: the only compiled code of the project.

A file uses only files of the lines above its own, or left of it:

    layout, compiled                                 arrays; how the code is compiled and kept
    vectors, poses, supports, fields                 one piece at a pose
    simplex, certificates, separate, cuts, overlap,
    pair                                             two convex pieces at a pose
    turning, between                                 from one pose to another
    bore_points, spans, sectors, shadow, stretches,
    bore, bore_between                               hollow rings
    nearest                                          two parts at a pose
    column, pairs                                    `run_pairs`: parts over travel and rack
    place_rows, place_pairs, places                  `run_places`: parts over places of the mount
    tree, mesh                                       `run_mesh`: a scan and a piece that moves

Every function also runs uncompiled (NUMBA_DISABLE_JIT=1, or `.py_func`), which is the oracle of its
compiled form. numba works out types from what it is given: pieces are buffers (`layout`), x, y, z
and the like are floats, `out` arrays are written to. Loading this package loads numba: import it
only when clearance is first used.
"""

from kinematics.clearance.kernel.layout import KEPT, SPAN
from kinematics.clearance.kernel.mesh import run_mesh
from kinematics.clearance.kernel.pairs import run_pairs
from kinematics.clearance.kernel.places import run_places

__all__ = ["KEPT", "SPAN", "compile_all", "run_mesh", "run_pairs", "run_places"]


def compile_all() -> None:
    """Compile all that is compiled, once for a machine, or load it."""
    for entry in (run_pairs, run_places, run_mesh):
        entry.load()
