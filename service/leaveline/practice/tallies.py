"""A season counted: attempts, makes, pins lost, recorded misses and lines, by leave and by ball."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field

from leaveline.pins import Leave
from leaveline.practice.pins_lost import average_first_ball, pins_lost
from leaveline.practice.row import BowledFrame
from leaveline.practice.season import Season
from leaveline.practice.season_accuracy import ThrownLine, line_of
from leaveline.scoring.game import FRAMES

ASSUMED_PINS_OF_A_MAKE = 10.5
"""What a make is worth over a miss where no complete game shows it: a pin or two left standing
and the ball after it, about nine (assumed)."""


@dataclass(slots=True)
class Tally:
    """What was counted at one leave, or with one ball."""

    attempts: int = 0
    made: int = 0
    pins_lost: float = 0.0
    misses_scored: int = 0
    target_misses: list[float] = field(default_factory=list)
    lines: Counter[ThrownLine] = field(default_factory=Counter)

    def add(self, frame: BowledFrame, lost: float | None) -> None:
        """Count one ball; `lost` are the pins its miss cost, None outside complete games."""
        self.attempts += 1
        self.made += bool(frame.made)
        if lost is not None and not frame.made:
            self.pins_lost += lost
            self.misses_scored += 1
        if frame.missed_target_by_boards is not None:
            self.target_misses.append(frame.missed_target_by_boards)
        if line := line_of(frame):
            self.lines[line] += 1


@dataclass(frozen=True, slots=True)
class SeasonTally:
    """A season counted.

    Attributes
    ----------
    by_leave : dict
    by_ball : dict
        From a ball's label to what was counted with it at each leave.
    unknown : Tally
        Spare balls whose leave was not given.
    games : float
        Frames used, in games of ten.
    complete_games : int
    """

    by_leave: dict[Leave, Tally]
    by_ball: dict[str, dict[Leave, Tally]]
    unknown: Tally
    games: float
    complete_games: int

    @property
    def pins_lost(self) -> float:
        """Pins all misses in complete games cost together."""
        return sum(t.pins_lost for t in self.by_leave.values()) + self.unknown.pins_lost

    def per_game(self, pins: float) -> float:
        """Pins counted in the complete games, for each of them."""
        return pins / self.complete_games if self.complete_games else 0.0

    def pins_of_a_make(self, tallies: Iterable[Tally]) -> float:
        """What a make at these leaves is worth over a miss, from the games bowled [pins].

        Where no miss shows it there, that of all misses; where there is none, it is assumed.
        """
        for some in (tuple(tallies), (*self.by_leave.values(), self.unknown)):
            misses = sum(tally.misses_scored for tally in some)
            if misses:
                return sum(tally.pins_lost for tally in some) / misses
        return ASSUMED_PINS_OF_A_MAKE


def count(season: Season) -> SeasonTally:
    """Count a season."""
    fill = average_first_ball(season)
    lost = {
        frame.row: pins_lost(game, frame, fill_ball_pins=fill, scoring=season.scoring)
        for game in season.complete_games
        for frame in game.frames
    }
    tally = SeasonTally({}, {}, Tally(), len(season.frames) / FRAMES, len(season.complete_games))
    for frame in season.frames:
        if frame.made is None:
            continue
        if frame.leave is None:
            tally.unknown.add(frame, lost.get(frame.row))
            continue
        tally.by_leave.setdefault(frame.leave, Tally()).add(frame, lost.get(frame.row))
        if frame.ball:
            own = tally.by_ball.setdefault(frame.ball, {})
            own.setdefault(frame.leave, Tally()).add(frame, lost.get(frame.row))
    return tally
