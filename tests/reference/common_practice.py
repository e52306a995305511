"""Write ``docs/common_practice.md``: the trade's common practice, and a 3D rack, beside the model.

Run from the project root; a test holds the page against what this writes::

    PYTHONPATH=service python -m tests.reference.common_practice docs/common_practice.md
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterable
from pathlib import Path

import numpy as np
from leaveline.delivery import LEVELS, Ball, Rolling, default_release
from leaveline.lane.oil import OilPattern, OilZone
from leaveline.lines import Bowler, Line, evaluate, make_probabilities, solve
from leaveline.lines.known import KnownLine, as_moves
from leaveline.lines.line import Play
from leaveline.lines.reach import Reach, reach_of
from leaveline.pins import Leave

from tests.reference.compare_rack3d import RECORDED, Compared, by_speed, compare, means

SCRATCH = Bowler(spread=LEVELS["scratch"])
DRY_EDGES = OilPattern(zones=(OilZone(9, 31, 0, 36, 1.0), OilZone(1, 39, 0, 20, 0.05)))
TO_THE_EDGES = OilPattern(42.0, 2.0)


def best(text: str, play: Play = "spare", bowler: Bowler = SCRATCH) -> Line:
    """The best line for a leave."""
    return solve(Leave.parse(text), bowler, play=play, limit=1)[0]


def from_board(text: str, lay_down_board: float) -> float:
    """Make probability of the best target from a lay-down board."""
    made = make_probabilities(
        Leave.parse(text),
        SCRATCH,
        lay_down_board=lay_down_board,
        target_boards=np.arange(0.0, 40.05, 0.1),
    )
    return float(made.max())


def chop_of_the_5(lay_down_board: float) -> float:
    """Share of the bucket's misses to the left that leave the 5, from a lay-down board."""
    leave, targets = Leave.parse("2-4-5-8"), np.round(np.arange(0.0, 40.05, 0.1), 1)
    made = make_probabilities(leave, SCRATCH, lay_down_board=lay_down_board, target_boards=targets)
    line = evaluate(
        leave,
        SCRATCH,
        lay_down_board=lay_down_board,
        target_board=float(targets[int(np.argmax(made))]),
    )
    five = Leave.parse("5").mask
    return sum(r.probability for r in line.missed_left.remainders if r.mask == five)


def one_and_one(lay_down_board: float) -> str:
    """The 3-6-9-10's move from the middle of the 3-6-10's targets at a lay-down board."""
    first, second = Leave.parse("3-6-10"), Leave.parse("3-6-9-10")
    targets = np.arange(10.0, 39.0, 0.05)
    made = make_probabilities(first, SCRATCH, lay_down_board=lay_down_board, target_boards=targets)
    middle = round(float(targets[made >= 0.97 * made.max()].mean()), 1)
    known = KnownLine(first, SCRATCH.stance.stand_board(lay_down_board), middle)
    _, (move,) = as_moves(second, SCRATCH, best("3-6-9-10"), [known])
    return f"{move.stand_boards:+.0f} and {move.target_boards:+.0f}"


def rolled(cover: str, kind: str, oil: OilPattern) -> Bowler:
    """The scratch bowler with a ball that rolls on oil."""
    release = default_release(kind, level="scratch")  # type: ignore[arg-type]
    rolling = Rolling(Ball(cover=cover), release, oil)  # type: ignore[arg-type]
    return Bowler(spread=LEVELS["scratch"], rolling=rolling)


def left_end(oil: OilPattern) -> str:
    """Where a spare ball's reach at the 4-9 ends to the left."""
    leave, who = Leave.parse("4-9"), rolled("polyester", "spare", oil)
    reach: Reach | None = reach_of(leave, who, solve(leave, who, limit=1)[0])
    assert reach is not None
    by = {"lane": "the lane's end", "dry_boards": "dry boards", "gutter": "the gutter"}
    end = reach.left
    return f"board {end.line.lay_down_board:g} ({by.get(end.limited_by, 'the pins')})"


def spare_ball_gain(ratio: float) -> float:
    """What polyester adds to a hooking strike ball at the 10 pin on a 40 ft pattern."""
    oil = OilPattern(40.0, ratio)
    polyester = best("10", bowler=rolled("polyester", "spare", oil)).make_probability
    hooking = best("10", bowler=rolled("reactive_solid", "strike", oil)).make_probability
    return polyester - hooking


def practice_rows() -> Iterable[tuple[str, str, bool]]:
    """Practice, model, whether it comes out."""
    bucket, count = best("2-4-5-8"), best("1-2-4-6-10", "count")
    cut, washout, wide = best("1-2-4-6-10"), best("1-2-10"), best("3-6-7-10")
    assert bucket.contact is not None
    assert cut.contact is not None
    assert count.contact is not None
    assert washout.contact is not None
    assert wide.contact is not None
    room = bucket.miss_room
    moves = [one_and_one(board) for board in (25, 28, 30)]
    near, far = from_board("1-2-10", 4), from_board("1-2-10", 32)
    drawn_back = cut.lay_down_board + 4 * (cut.target_board - cut.lay_down_board)
    yield (
        "2-4-5-8: straight at the 2, a board either way still makes it; crossing from the right "
        "brings in the chop that leaves the 5",
        f"the 2 within {abs(bucket.contact.offset_in):.1f} in of full, {room.left_boards:.1f} and "
        f"{room.right_boards:.1f} boards of room at the arrows (four times as much at the pins); "
        f"of the misses to the left {chop_of_the_5(2):.0%} leave the 5 from lay-down board 2, "
        f"{chop_of_the_5(26):.0%} from board 26".replace("%", " %"),
        abs(bucket.contact.offset_in) < 1.5
        and 4 * min(room.left_boards, room.right_boards) >= 1
        and chop_of_the_5(2) > 2 * chop_of_the_5(26),
    )
    yield (
        "3-6-9-10: parallel to the 3-6-10 line, about a board left",
        "known the 3-6-10 line from lay-down board 25, 28 or 30, the move is, in boards to the "
        f"left, {'; '.join(moves)}",
        set(moves) == {"+1 and +1"},
    )
    yield (
        "1-2-4-6-10: for the spare, head pin and 6 like the 3-10 shifted over",
        f"head pin on its {cut.contact.side} side, {abs(cut.contact.offset_in):.1f} in off centre",
        (cut.contact.pin, cut.contact.side) == (1, "right"),
    )
    yield (
        "1-2-4-6-10: for count, take the 1-2-4",
        f"the line with the most pins takes the head pin on its {count.contact.side} side too, "
        f"{abs(count.contact.offset_in):.1f} in off: {count.expected_pins:.1f} pins on average",
        (count.contact.pin, count.contact.side) == (1, "left"),
    )
    yield (
        "1-2-10, 1-2-4-10: head pin on its left side, sent into the 10; wider from the left",
        f"head pin on its {washout.contact.side}, {abs(washout.contact.offset_in):.1f} in off "
        f"centre; 1-2-10 made {near:.2f} from lay-down board 4, {far:.2f} from board 32",
        (washout.contact.pin, washout.contact.side) == (1, "left") and far > near,
    )
    yield (
        "2-10: more of the 2 pin from farther left and straighter",
        f"made {from_board('2-10', 10):.3f} from board 10, {from_board('2-10', 30):.3f} from "
        "board 30",
        from_board("2-10", 30) > from_board("2-10", 10),
    )
    yield (
        "4-9: from as far left as the lane lets you",
        f"made {from_board('4-9', 8):.3f} from board 8, {from_board('4-9', 32):.3f} from board 32",
        from_board("4-9", 32) > from_board("4-9", 8),
    )
    yield (
        "4-9 on a short pattern (36 ft): the dry outside boards set a limit to the left",
        f"a polyester ball can be laid down as far left as {left_end(DRY_EDGES)} on 36 ft with dry "
        f"edges, {left_end(TO_THE_EDGES)} on 42 ft oiled to the edges",
        "lane" not in left_end(DRY_EDGES) and "lane" in left_end(TO_THE_EDGES),
    )
    yield (
        "3-6-7-10: the 3 sent left into the 7",
        f"the 3 on its {wide.contact.side} side, {abs(wide.contact.offset_in):.1f} in off centre, "
        f"sent in {wide.sent_probability / wide.make_probability:.0%} of makes".replace("%", " %"),
        (wide.contact.pin, wide.contact.side) == (3, "right"),
    )
    yield (
        "3-6-7-10: feet around board 32",
        f"made {from_board('3-6-7-10', 5):.2f} from lay-down board 5, "
        f"{from_board('3-6-7-10', 25):.2f} from board 25 (feet on 32)",
        from_board("3-6-7-10", 25) > from_board("3-6-7-10", 5),
    )
    yield (
        "the harder the pattern, the less a hooking ball can be trusted at spares",
        f"at the 10 pin polyester makes {spare_ball_gain(10):.2f} more than a hooking strike ball "
        f"on 10:1, {spare_ball_gain(1.5):.2f} more on 1.5:1",
        spare_ball_gain(1.5) > spare_ball_gain(10) > 0,
    )
    yield (
        "the line drawn back from the pin; three boards at the pins for one at the feet",
        "exact, by similar triangles",
        math.isclose(drawn_back, cut.board_at_pins),
    )


def page() -> str:
    """The whole page."""
    all_rows, first = compare(), compare(RECORDED[:1])
    fitted = [row for row in all_rows if not row.held_out]
    held_out = [row for row in all_rows if row.held_out]
    hardest = sorted(all_rows, key=lambda row: row.agree_second)[:12]
    beyond = [row for row in all_rows if abs(row.share_map - row.share_3d) >= 0.02]
    slowest, *_, fastest = by_speed()
    table = "\n".join(
        f"| {practice} | {model} | {'yes' if comes_out else '**no**'} |"
        for practice, model, comes_out in practice_rows()
    )
    return f"""\
# Common practice and a 3D rack beside the model

Written by `python -m tests.reference.common_practice docs/common_practice.md`; do not edit.

## Common practice
Rows of the trade's common practice (they have no published source), told for a right-hander, and
what the solved lines of the `scratch` preset say (a straight ball, unless said).
`tests/lines/test_solve.py`, `test_known.py`, `test_reach.py` and `test_rolling.py` hold the rows
that come out, for a right-hander and mirrored.

| practice | model | comes out |
| --- | --- | --- |
{table}

Why two do not come out: at 1-2-4-6-10 the average counts pins that are sent, and the line for the
spare, which makes all five four times in ten, also fells about as many as any other. At 3-6-7-10
the model leans towards the right side of the lane by two throws in a hundred, where the 3D rack
makes it equally often at every angle; so the side hardly matters there, and board 32 is as good as
any. A pattern's length alone does not bring in the 4-9's limit: with the same 10:1 wall at 36 and
at 42 ft the lane's end comes first; it takes dry boards at the edge.

## Collisions beside a 3D rigid-body rack
`PYTHONPATH=service python -m tests.reference.compare_rack3d`: {len(all_rows)} leaves, 600 or 1,000
recorded throws each, some of them played out twice with re-spotted pins. The second 3D run is a
prediction of the first; that is what the carry map stands beside. Held-out leaves were thrown after
the model was set.

| leaves | Brier: map | second run | same verdict: map | second run | share made: gap | largest |
| --- | --- | --- | --- | --- | --- | --- |
{_row(f"first campaign, {len(first)}", first)}
{_row(f"fitted, {len(fitted)}", fitted)}
{_row(f"held out, {len(held_out)}", held_out)}
{_row(f"hardest {len(hardest)}", hardest)}

The share of made throws differs by less than 0.02 at {len(all_rows) - len(beyond)} leaves, all of
the first campaign's (1,000 throws) among them. Differences at the others, with the standard error
that their throws leave: {_list(beyond)}.

Speed: from {slowest.from_mph:g}-{slowest.to_mph:g} to {fastest.from_mph:g}-{fastest.to_mph:.0f} mph
the 3D rack makes {slowest.share_3d:.3f} and {fastest.share_3d:.3f} of the throws, the map
{slowest.share_map:.3f} and {fastest.share_map:.3f}; read at one speed it would be
{slowest.share_one_speed:.3f} and {fastest.share_one_speed:.3f}.
"""


def _row(name: str, rows: list[Compared]) -> str:
    figures = means(rows)
    return (
        f"| {name} | {figures['Brier map']:.3f} | {figures['Brier 2nd 3D']:.3f} | "
        f"{100 * figures['agree map']:.1f} % | {100 * figures['agree 2nd 3D']:.1f} % | "
        f"{figures['mean |diff|']:.3f} | {figures['worst |diff|']:.3f} |"
    )


def _list(rows: list[Compared]) -> str:
    return "; ".join(
        f"{row.leave} {row.share_map - row.share_3d:+.3f} ± {row.share_noise:.3f}" for row in rows
    )


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(page(), encoding="utf-8")
