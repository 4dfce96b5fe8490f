"""Layout of the solver's work arrays: sixteen worlds side by side.

A *lane* is one world of the group in work. Every number of the inner loops is a run of ``LANES``
floats, one per world, and the runs of one cell lie next to each other in one flat array. The
compiler then sees fixed distances and makes vector instructions of the loops over lanes; with an
array per quantity it cannot know that they do not overlap.

A slab has ``cells + 2`` rows: the first and the last stand for the vat at either face.

``kinds`` is a tuple with one entry per kind of tannin. Its length s is part of its type: the code
is compiled, and kept on disk, once for each number of kinds, with every offset a constant.
"""

from __future__ import annotations

Kinds = tuple[int, ...]

LANES = 16
"""Worlds side by side: two or four vector registers of float64."""

# A row: runs per kind, in this order ...
FREE_NEW = 0  # free tannin that is solved for [g per L pore liquid]
TOTAL_BASE = 1  # free and bound tannin the stage begins with [g per L pelt]
BOUND_BASE = 2  # bound tannin the stage begins with [g per g]
GATE = 3  # h * conductance / cell width of the face towards the flesh [-]
STEP = 4  # right side, then change of FREE_NEW in a Newton step
FREE = 5  # free tannin at the beginning of the time step
TOTAL = 6  # free and bound tannin at the beginning of the time step
FREE_TRY = 7  # both at its end, until accepted
TOTAL_TRY = 8
ROW_RUNS = 9
# ... then two runs per pair of kinds: how a cell follows the vat, and its neighbour towards grain.
ROW_PAIRS = 2

# Parameters of a slab: runs per kind ...
AFFINITY = 0  # [L/g]
GRIP = 1  # hide * share newly bound within the stage * capacity [g per L pelt]
SLAB_RUNS = 2
# ... then single runs.
PORE = 0  # [-]
KEEP = 1  # hide * share of the old bound tannin that stays [g per L pelt]
HIDE = 2  # [g per L pelt]
SCALE = 3  # strongest liquor of the whole run [g/L]
CELL_L = 4  # volume of one cell [L]
SLAB_SINGLES = 5

# The vat: runs per kind ...
VAT = 0  # being solved for [g/L]
CHANGE = 1  # right side of its equation, then its change in a Newton step
VAT_BASE = 2  # what the stage begins with
VAT_START = 3  # at the beginning of the time step
VAT_TRY = 4  # at its end
VAT_RUNS = 5
# ... runs per pair of kinds ...
BORDER = 0  # what is left of the vat's equation
REACH = 1  # how it depends on the present cell
BLOCK = 2  # scratch
VAT_PAIRS = 3
# ... then single runs.
DECAY = 0  # 1 + h * spoilage
ACTIVE = 1  # 1 while Newton goes on in a lane
LARGEST = 2  # largest change of this Newton step
BAD = 3  # 1 where the step must be redone by implicit Euler
LOST = 4  # g spoiled in this time step
VAT_SINGLES = 5
