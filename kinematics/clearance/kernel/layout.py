"""How a piece and what is remembered of it stand in flat arrays.

A piece at a pose is one flat buffer (`pack.py` writes the constant part, `load_pose` the rest):

    [KIND, COUNT, MARGIN, REACH, FACES or SWING, ...] then at HEAD
    rod, sheet, block   COUNT points; a block then has FACES planes (n, offset), then FACES
                        lists of corners, each preceded by its length
    ring                centre (3), axis (3), then COUNT arcs (r, y, radius, from, to); s[7] is
                        how far it is stretched

A hollow ring is stored twice: filled, and as a SECTOR with the arcs of its whole outline, of which
a part counts (`take_angles`, which writes eight numbers behind the arcs); s[6] of the filled one
is 1.

MARGIN is the radius of the ball that thickens the piece's core: everywhere in this package 'core'
is the piece without it.
"""

ROD, SHEET, BLOCK, RING, SECTOR = 0, 1, 2, 3, 4
HEAD = 8
ARCS = HEAD + 6
CUTS = 512
#: A sector looked at: angle and half angle about the axis, bound, direction (3), the other ring's
#: angle and half angle where that is open too; 2 while the bound is only the last position's less
#: the way gone since, 1 while it is that of its direction held.
SPAN = 9
#: As many of them as are remembered of a pair of pieces.
KEPT = 160
#: A piece is measured to the last digit while it is no more than this farther than the nearest, mm.
AHEAD = 1.0
#: Rounding allowance taken off every lower bound, mm (coordinates are local to the pair).
ROUNDING = 1e-9
