"""Lines a bowler already trusts: what they tell of the bowler, and how to move from them.

A line that works says where the ball really goes when the bowler stands and aims so. Set beside
where it ought to go, it shows the lean: how far to one side of the target the ball crosses. With
the board it was laid down on it also shows how far the ball is from the slide foot. Both go into
the bowler's other lines, which are then told as moves of the feet and of the target.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from leaveline.lines.bowler import Bowler
from leaveline.lines.line import Line
from leaveline.lines.solve import DEFAULT_SEED, evaluate, lay_down_range, make_probabilities
from leaveline.pins.leave import Leave

FloatArray = npt.NDArray[np.float64]

LOOKED_OVER_BOARDS = 7.0
"""A lean is looked for this far to either side; a line that would need more tells nothing."""
LOOK_STEP_BOARDS = 0.05
NEAR_BEST = 0.9
"""Where the make probability is at least this share of the best, the line may well be."""
TELLS_NOTHING_BELOW = 0.05
"""A leave that is made less often, even at its best, says nothing of where the ball goes."""
LEAST_DOUBT_BOARDS = 0.1
"""People name boards to the half; a line is not known better than this."""
AGREE_DOUBTS = 3.0
"""Lines farther from the common lean than this many of their doubts do not belong to it."""
AS_GOOD_WITHIN = 0.02
AS_GOOD_SHARE = 0.95
"""A simpler move is preferred while it makes the spare no more than this less often, and at least
this share as often: no one notices one throw in fifty, and a line's own make probability is hardly
surer."""
SAME_WITHIN = 0.005
"""Of simple moves that make it this nearly as often the smallest is given."""
FARTHEST_MOVE_BOARDS = 12
"""Simple moves are whole boards, up to this many to either side."""


@dataclass(frozen=True, slots=True)
class KnownLine:
    """A line the bowler trusts: where the slide foot starts and what board is aimed at.

    `lay_down_board` is where the ball then is at the foul line, where that is known. Boards count
    from the ball-hand side.
    """

    leave: Leave
    stand_board: float
    target_board: float
    lay_down_board: float | None = None

    def offset_boards(self, drift_boards: float) -> float | None:
        """From the ball to the slide foot, given the foot's drift; None without a lay-down."""
        if self.lay_down_board is None:
            return None
        return self.stand_board + drift_boards - self.lay_down_board


@dataclass(frozen=True, slots=True)
class Told:
    """What one known line says of the lean: `lean_boards`, give or take `doubt_boards`.

    The lean is positive to the right as the bowler sees it; both are None where the line says
    nothing.
    """

    known: KnownLine
    lean_boards: float | None
    doubt_boards: float | None


@dataclass(frozen=True, slots=True)
class Fitted:
    """A bowler as their known lines show them.

    Attributes
    ----------
    bowler : Bowler
        With the lean, and the offset from foot to ball, that the lines show.
    lean_error_boards : float or None
        Standard error of the lean [boards]; None where no line says anything of it.
    offset_shown : bool
        Whether a line gave its lay-down, so that the offset is the bowler's own.
    told : tuple of Told
        Line by line.
    """

    bowler: Bowler
    lean_error_boards: float | None
    offset_shown: bool
    told: tuple[Told, ...]

    @property
    def agree(self) -> bool:
        """Whether every line's lean is the fitted one within AGREE_DOUBTS of its own doubts."""
        lean = self.bowler.lean_boards
        return all(
            abs(one.lean_boards - lean) <= AGREE_DOUBTS * one.doubt_boards
            for one in self.told
            if one.lean_boards is not None and one.doubt_boards is not None
        )


@dataclass(frozen=True, slots=True)
class Move:
    """How to get to a line from a known one.

    Boards are positive away from the ball-hand side (to the left for a right-hander).
    """

    known: KnownLine
    stand_boards: float
    target_boards: float

    @property
    def is_parallel(self) -> bool:
        """Whether feet and target move alike."""
        return math.isclose(self.stand_boards, self.target_boards, abs_tol=1e-6)


def fit(bowler: Bowler, known: Sequence[KnownLine], *, seed: int = DEFAULT_SEED) -> Fitted:
    """Fit a bowler's lean, and offset from foot to ball, to the lines they trust.

    Lean and offset shift the ball's arrival alike (by four boards and by three for each board), so
    the offset is told only by lines that give their lay-down; the bowler's own stance holds where
    none does, and what is wrong with it goes into the lean, which makes up for it at the pins.

    Parameters
    ----------
    bowler : Bowler
        As told without the known lines; a lean given with it is put aside.
    known : sequence of KnownLine
        One or more.
    seed : int
        Seed of the fixed set of throws.
    """
    of_lines = (line.offset_boards(bowler.stance.drift_boards) for line in known)
    offsets = [offset for offset in of_lines if offset is not None]
    if offsets:
        stance = replace(bowler.stance, lay_down_offset_boards=math.fsum(offsets) / len(offsets))
        bowler = replace(bowler, stance=stance)
    bowler = replace(bowler, lean_boards=0.0)
    told = tuple(_told(bowler, line, seed) for line in known)
    lean, error = _weighted([(t.lean_boards, t.doubt_boards) for t in told])
    return Fitted(replace(bowler, lean_boards=lean), error, bool(offsets), told)


def as_moves(
    leave: Leave,
    bowler: Bowler,
    line: Line,
    known: Sequence[KnownLine],
    *,
    seed: int = DEFAULT_SEED,
) -> tuple[Line, tuple[Move, ...]]:
    """Tell a line as moves from each known one, the nearest first.

    Where moving feet and target alike, or the feet alone, from the nearest known line makes the
    spare practically as often, that line is given in the first one's place: it is easier to do.
    """
    nearest = min(known, key=lambda k: _size(_move(k, line)))
    if line.play == "spare":
        line = _simpler(leave, bowler, line, nearest, seed)
    return line, moves_to(line, known)


def moves_to(line: Line, known: Sequence[KnownLine]) -> tuple[Move, ...]:
    """Tell how to get to a line from each known one, the nearest first."""
    return tuple(sorted((_move(k, line) for k in known), key=_size))


def _told(bowler: Bowler, known: KnownLine, seed: int) -> Told:
    """Set where a known line aims beside where the ball ought to cross."""
    lay_down = known.lay_down_board
    if lay_down is None:
        lay_down = bowler.stance.lay_down_board(known.stand_board)
    count = round(LOOKED_OVER_BOARDS / LOOK_STEP_BOARDS)
    off: FloatArray = np.arange(-count, count + 1, dtype=np.float64) * LOOK_STEP_BOARDS
    made = make_probabilities(
        known.leave,
        bowler,
        lay_down_board=lay_down,
        target_boards=known.target_board + off,
        seed=seed,
    )
    best = int(np.argmax(made))
    if made[best] < TELLS_NOTHING_BELOW:
        return Told(known, None, None)
    # The stretch about the best that is nearly as good; the line is somewhere on it.
    good = made >= NEAR_BEST * made[best]
    first = best - int(np.argmin(np.append(good[best::-1], False))) + 1
    last = best + int(np.argmin(np.append(good[best:], False))) - 1
    if first == 0 or last == off.size - 1:
        return Told(known, None, None)
    crosses = float(off[first] + off[last]) / 2
    doubt = max(float(off[last] - off[first]) / math.sqrt(12), LEAST_DOUBT_BOARDS)
    # Boards grow to the left for a right-hander: crossing at a higher one is leaning left.
    return Told(known, -crosses if bowler.hand == "right" else crosses, doubt)


def _weighted(values: Sequence[tuple[float | None, float | None]]) -> tuple[float, float | None]:
    """Weighted mean of values with doubts, and its standard error (the larger of two ways)."""
    pairs = [(value, 1 / doubt**2) for value, doubt in values if value is not None and doubt]
    if not pairs:
        return 0.0, None
    total = math.fsum(weight for _, weight in pairs)
    mean = math.fsum(value * weight for value, weight in pairs) / total
    error = 1 / math.sqrt(total)
    if len(pairs) > 1:
        scatter = math.fsum(weight * (value - mean) ** 2 for value, weight in pairs)
        error = max(error, math.sqrt(scatter / (len(pairs) - 1) / total))
    return mean, error


def _move(known: KnownLine, line: Line) -> Move:
    return Move(known, line.stand_board - known.stand_board, line.target_board - known.target_board)


def _size(move: Move) -> float:
    return abs(move.stand_boards) + abs(move.target_boards)


def _simpler(leave: Leave, bowler: Bowler, line: Line, known: KnownLine, seed: int) -> Line:
    """Give the easiest line that is practically as good: parallel, then feet alone, then itself."""
    known_lay_down = bowler.stance.lay_down_board(known.stand_board)
    reach = lay_down_range(bowler)
    best_made = line.make_probability
    enough = max(best_made - AS_GOOD_WITHIN, AS_GOOD_SHARE * best_made)
    steps = np.arange(-FARTHEST_MOVE_BOARDS, FARTHEST_MOVE_BOARDS + 1.0)
    lay_downs = known_lay_down + steps
    inside = (lay_downs >= reach.lowest_board) & (lay_downs <= reach.highest_board)
    steps, lay_downs = steps[inside], lay_downs[inside]
    for follows in (1.0, 0.0):
        targets = known.target_board + follows * steps
        if not steps.size:
            break
        made = make_probabilities(
            leave, bowler, lay_down_board=lay_downs, target_boards=targets, seed=seed
        )
        if made.max() >= enough:
            as_good = np.flatnonzero(made >= max(enough, made.max() - SAME_WITHIN))
            chosen = as_good[int(np.argmin(np.abs(steps[as_good])))]
            return evaluate(
                leave,
                bowler,
                lay_down_board=float(lay_downs[chosen]),
                target_board=float(targets[chosen]),
                play=line.play,
                seed=seed,
            )
    return line
