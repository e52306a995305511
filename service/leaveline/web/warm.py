"""Work done once before the workers part ways, so that none of them has to do it again.

The kernels are loaded (and compiled, on the very first start), and the contract is made; with
LEAVELINE_WARM_MAPS every leave is also solved once, for its carry map: some ten seconds of a core,
and about 100 MB that all workers share instead of filling them each.
"""

from __future__ import annotations

import gc

from leaveline.delivery import Ball, Rolling, default_release
from leaveline.lines.bowler import Bowler
from leaveline.lines.picture import picture_of
from leaveline.lines.solve import solve
from leaveline.pins.leave import ALL_LEAVES, Leave
from leaveline.web.document import openapi_document

FIRST = Leave.parse("1-2-10")


def warm(*, maps: bool) -> None:
    """Load what every worker needs; then keep the collector off it, so that pages stay shared."""
    rolling = Rolling(Ball(cover="polyester"), default_release("spare", level="league"))
    for bowler in (Bowler(), Bowler(rolling=rolling)):
        for play in ("spare", "count"):
            lines = solve(FIRST, bowler, play=play, limit=1)
        picture_of(FIRST, lines[0], bowler)
    openapi_document()
    if maps:
        for leave in ALL_LEAVES:
            if leave.mask <= leave.mirror.mask:
                solve(leave, Bowler(), limit=1)
    gc.collect()
    gc.freeze()
