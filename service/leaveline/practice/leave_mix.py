"""How often each leave comes up, where a bowler's own games do not tell.

What is published: in televised professional finals 2005-06 to 2009-10, of 7155 first balls 4374
struck, and the other 2781 left the 10 pin 710 times, the 7 pin 333, the 9 pin 88, the 3-10 35,
the 4-6-7-10 30 and the 7-10 53 times (a sports magazine's frame-by-frame study, as reported; the
10 pin's attempts are taken as its leaves). The other 1532 are not told apart there: how they are
shared among the leaves below is assumed, in the order the trade finds them common. So is that a
bowler who strikes less often leaves the same leaves in the same proportion; weaker bowlers leave
more pins than that. Told for a right-hander and mirrored for a left-hander.
"""

from __future__ import annotations

from collections.abc import Mapping

from leaveline.lane import Hand
from leaveline.pins import Leave
from leaveline.scoring.game import FRAMES

PUBLISHED = {"10": 710, "7": 333, "9": 88, "3-10": 35, "4-6-7-10": 30, "7-10": 53}
PUBLISHED_FIRST_BALLS, PUBLISHED_STRIKES = 7155, 4374
ASSUMED_SHARES = {
    "4": 17, "6": 10, "8": 8, "5": 4, "2": 5, "3": 3, "1": 1,
    "6-10": 12, "4-7": 7, "3-6-10": 9, "2-8": 5, "3-6": 3, "2-4": 2, "3-9": 2, "2-4-5": 4,
    "2-4-5-8": 4, "3-6-9-10": 2, "1-2-4": 3, "1-3-6": 2, "1-2-8": 2, "1-3": 1, "1-2-4-7": 2,
    "1-3-6-10": 2, "1-2-10": 2, "1-2-4-10": 2, "1-3-6-7": 1,
    "2-7": 3, "5-7": 3, "8-10": 2, "4-9": 2, "5-10": 2, "4-6-7": 1, "6-7-10": 2, "4-7-10": 3,
    "3-4-6-7-10": 1, "4-6-7-9-10": 1,
}  # fmt: skip
LEAGUE_STRIKES = 0.36
"""Share of first balls that strike, the service's `league` level (assumed there)."""


def usual_leaves(
    *, hand: Hand = "right", strike_probability: float = LEAGUE_STRIKES
) -> dict[Leave, float]:
    """Give leaves a game, part published and part assumed as told above.

    Parameters
    ----------
    hand : {"right", "left"}
    strike_probability : float
        Share of first balls that strike, 0 to 1 (1 leaves nothing).

    Returns
    -------
    dict
        From a leave to how often it comes up in ten frames.
    """
    if not 0 <= strike_probability <= 1:
        raise ValueError(f"strike_probability is {strike_probability!r}; allowed: 0 to 1")
    rest = PUBLISHED_FIRST_BALLS - PUBLISHED_STRIKES - sum(PUBLISHED.values())
    one_share = rest / sum(ASSUMED_SHARES.values())
    counts = PUBLISHED | {name: one_share * share for name, share in ASSUMED_SHARES.items()}
    leaves_a_game = FRAMES * (1 - strike_probability)
    total = sum(counts.values())
    return {
        _for_hand(Leave.parse(name), hand): leaves_a_game * count / total
        for name, count in counts.items()
    }


def _for_hand(leave: Leave, hand: Hand) -> Leave:
    return leave.mirror if hand == "left" else leave


def leaves_of(attempts: Mapping[Leave, int], games: float) -> dict[Leave, float]:
    """Give leaves a game from a bowler's own counts over so many games."""
    if not games > 0:
        raise ValueError(f"games is {games!r}; allowed: above 0")
    return {leave: count / games for leave, count in attempts.items() if count}


def commonest(
    leaves_per_game: Mapping[Leave, float], most: int
) -> tuple[dict[Leave, float], float]:
    """Give the commonest leaves of a mix, and how many a game the others come to."""
    ranked = sorted(leaves_per_game, key=lambda leave: (-leaves_per_game[leave], leave))
    kept = {leave: leaves_per_game[leave] for leave in ranked[:most]}
    return kept, sum(leaves_per_game[leave] for leave in ranked[most:])
