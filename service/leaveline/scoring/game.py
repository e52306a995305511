"""The rules of a game of tenpins: from the balls thrown so far to frame scores and a state.

Two ways of scoring are known:

``traditional``
    Ten frames. A strike counts ten and the pins of the next two balls, a spare ten and the pins of
    the next ball. A mark in the tenth frame earns fill balls, which count once.
    Source: International Bowling Federation, Universal Playing Rules, 2.1.
``current_frame``
    Ten frames, no fill balls. A strike counts 30, a spare ten and the pins of the first ball of
    its own frame, an open frame its pins.
    Source: International Bowling Federation alternative scoring, as reported from its tour finals.

One function, `next_ball`, holds the rules ball by ball. The exact outlook walks the same function,
so what is forecast and what is scored cannot drift apart. How balls are written is in `sheet`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias, get_args

from .sheet import Ball, SheetError, read_ball, symbol_of

Scoring: TypeAlias = Literal["traditional", "current_frame"]
Node: TypeAlias = tuple[int, tuple[int, ...], tuple[int, int]]

SCORINGS: tuple[Scoring, ...] = get_args(Scoring)
FRAMES = 10
PINS = 10
PERFECT = 300  # twelve strikes, and ten strikes at 30 in current-frame scoring
OPENING: Node = (1, (), (0, 0))


def next_ball(scoring: Scoring, node: Node, pins: int) -> tuple[Node, int]:
    """Throw one ball: the rules of the game in one place.

    Parameters
    ----------
    scoring
        ``traditional`` or ``current_frame``.
    node
        ``(frame, balls, pending)``: frame number 1 to 10, pins of the balls already thrown in it,
        and how often the next ball and the one after it count on top of their own pins.
    pins
        Pins felled by this ball, 0 to the number standing (not checked here).

    Returns
    -------
    tuple
        The node after the ball (frame 11 once the game is over) and the pins it is credited with,
        bonuses for earlier marks included.
    """
    frame, balls, pending = node
    balls = (*balls, pins)
    strike, spare = balls == (PINS,), len(balls) == 2 and sum(balls) == PINS
    if scoring == "current_frame":
        credited = 3 * PINS if strike else pins + (balls[0] if spare else 0)
        done = strike or len(balls) == 2
        return ((frame + 1, (), (0, 0)) if done else (frame, balls, (0, 0))), credited

    credited = pins * (1 + pending[0])
    pending = (pending[1], 0)
    if frame == FRAMES:  # fill balls count once: a mark here leaves nothing pending
        done = len(balls) == 3 or (len(balls) == 2 and sum(balls) < PINS)
    else:
        done = strike or len(balls) == 2
        if strike:
            pending = (pending[0] + 1, pending[1] + 1)
        elif spare:
            pending = (pending[0] + 1, pending[1])
    return ((frame + 1, (), pending) if done else (frame, balls, pending)), credited


def rack(balls: tuple[int, ...]) -> tuple[int, bool]:
    """Pins standing after the balls of one frame, and whether the rack is a fresh one."""
    standing, fresh = PINS, True
    for pins in balls:
        standing, fresh = standing - pins, False
        if standing == 0:
            standing, fresh = PINS, True
    return standing, fresh


@dataclass(frozen=True, slots=True)
class GameState:
    """Where a game stands, as far as the rest of it is concerned.

    Attributes
    ----------
    scoring
        ``traditional`` or ``current_frame``.
    frame
        Number of the frame the next ball belongs to, 1 to 10; 11 when the game is over.
    balls
        Pins of the balls already thrown in that frame.
    pending
        How often the next ball, and the one after it, count on top of their own pins for strikes
        and spares before: (0, 0), (1, 0), (1, 1) or (2, 1) at the start of a frame.
    score
        Pins credited so far, the part of a bonus already thrown included. It is also the lowest
        final score still possible.
    """

    scoring: Scoring = "traditional"
    frame: int = 1
    balls: tuple[int, ...] = ()
    pending: tuple[int, int] = (0, 0)
    score: int = 0

    def __post_init__(self) -> None:
        if self.scoring not in SCORINGS:
            raise ValueError(f"scoring is {self.scoring!r}; allowed: {', '.join(SCORINGS)}")

    @property
    def over(self) -> bool:
        """Whether the last ball of the game has been thrown."""
        return self.frame > FRAMES

    @property
    def standing(self) -> int:
        """Pins the next ball is thrown at, 1 to 10; 0 when the game is over."""
        return 0 if self.over else rack(self.balls)[0]

    @property
    def fresh_rack(self) -> bool:
        """Whether the next ball is thrown at a full rack not yet thrown at."""
        return not self.over and rack(self.balls)[1]

    @property
    def fill_ball(self) -> bool:
        """Whether the next ball is one a mark in the tenth frame has earned."""
        return self.frame == FRAMES and sum(self.balls) >= PINS

    @property
    def node(self) -> Node:
        """The state without its score: what the pins still to come depend on."""
        return self.frame, self.balls, self.pending

    def throw(self, pins: int) -> GameState:
        """State after one more ball; ValueError if it fells more pins than stand."""
        if not 0 <= pins <= self.standing or self.over:
            raise ValueError(f"pins is {pins}; allowed: 0 to {self.standing} in frame {self.frame}")
        (frame, balls, pending), credited = next_ball(self.scoring, self.node, pins)
        return GameState(self.scoring, frame, balls, pending, self.score + credited)

    def lowest_final(self) -> int:
        """Final score if every ball to come misses everything."""
        return self.score

    def highest_final(self) -> int:
        """Final score if every ball to come fells everything standing: spare, then striking out."""
        state = self
        while not state.over:
            state = state.throw(state.standing)
        return state.score


@dataclass(frozen=True, slots=True)
class Frame:
    """One frame as the sheet shows it.

    ``score`` is the frame's own score and ``total`` the running one; both are None until every ball
    they depend on has been thrown.
    """

    number: int
    balls: tuple[int, ...]
    symbols: tuple[str, ...]
    complete: bool
    score: int | None
    total: int | None


@dataclass(frozen=True, slots=True)
class Game:
    """The frames started so far and the state they lead to."""

    frames: tuple[Frame, ...]
    state: GameState

    @property
    def final_score(self) -> int | None:
        """The score of a finished game, None before."""
        return self.state.score if self.state.over else None


def score_sheet(rolls: Sequence[Ball], *, scoring: Scoring = "traditional") -> Game:
    """Score a game, finished or not, from its balls in order.

    Parameters
    ----------
    rolls
        The balls so far, each a number of pins or a sheet symbol (see `sheet`), at most 21.
    scoring
        ``traditional`` or ``current_frame``.

    Raises
    ------
    SheetError
        At the first ball that cannot have happened.
    ValueError
        For an unknown way of scoring.
    TypeError
        If `rolls` is text instead of a list of balls.
    """
    if isinstance(rolls, str | bytes):
        raise TypeError("rolls is text; allowed: a list with one entry for each ball")
    state = GameState(scoring)
    balls: list[list[int]] = [[] for _ in range(FRAMES)]
    symbols: list[list[str]] = [[] for _ in range(FRAMES)]
    for index, value in enumerate(rolls):
        if state.over:
            raise SheetError(FRAMES, index, value, "no further ball, the game is over")
        standing, fresh = state.standing, state.fresh_rack
        pins = read_ball(value, standing=standing, fresh=fresh, frame=state.frame, index=index)
        balls[state.frame - 1].append(pins)
        symbols[state.frame - 1].append(symbol_of(value, pins, standing=standing, fresh=fresh))
        state = state.throw(pins)
    return Game(_frames(balls, symbols, state), state)


def state_after(rolls: Sequence[Ball], *, scoring: Scoring = "traditional") -> GameState:
    """State of a game after these balls; arguments and errors as in `score_sheet`."""
    return score_sheet(rolls, scoring=scoring).state


def _frames(
    balls: list[list[int]], symbols: list[list[str]], state: GameState
) -> tuple[Frame, ...]:
    thrown = [pins for frame in balls for pins in frame]
    frames: list[Frame] = []
    start, total = 0, 0
    for number, (own, marks) in enumerate(zip(balls, symbols, strict=True), start=1):
        if not own:
            break
        complete = number < state.frame
        score = _frame_score(own, thrown[start : start + 3], state.scoring) if complete else None
        total += score or 0
        frames.append(
            Frame(
                number, tuple(own), tuple(marks), complete, score, None if score is None else total
            )
        )
        start += len(own)
    return tuple(frames)


def _frame_score(own: list[int], three: list[int], scoring: Scoring) -> int | None:
    """Score of a complete frame; `three` are its first ball and up to two balls after that."""
    strike, spare = own[0] == PINS, own[0] < PINS and sum(own[:2]) == PINS
    if scoring == "current_frame":
        return 3 * PINS if strike else sum(own) + (own[0] if spare else 0)
    if strike or spare:
        return sum(three) if len(three) == 3 else None
    return sum(own)
