"""What is asked: the bowler, the ball, the lane, the match, as plain typed objects.

Every field is optional and None means "left out": the service then uses its preset. A plain
mapping with the same names does as well wherever one of these is taken. Nothing is checked here
but that numbers are finite; the service knows its ranges and names them when one is left.

Ball weight and fit are for qualified staff to choose, not for a number here.
"""

from leaveline_client.asking.lane import Lane, Oil, OilZone, Surface
from leaveline_client.asking.plain import Asked, LeaveLike, leave_in_path, to_json
from leaveline_client.asking.practice import (
    AccuracyRequest,
    ComparedOption,
    ComparisonRequest,
    Interval,
    LeaveCount,
    LeaveResult,
    ReviewRequest,
    SeasonRow,
)
from leaveline_client.asking.questions import (
    AdviceRequest,
    BatchItem,
    CategoryAsked,
    LinesRequest,
    PlayAsked,
)
from leaveline_client.asking.situation import Scoring, Situation, SituationKind, Strength, TieRule
from leaveline_client.asking.throwing import (
    Ball,
    Bowler,
    Cover,
    Hand,
    KnownLine,
    Level,
    Release,
    Spread,
    Stance,
)

__all__ = [
    "AccuracyRequest",
    "AdviceRequest",
    "Asked",
    "Ball",
    "BatchItem",
    "Bowler",
    "CategoryAsked",
    "ComparedOption",
    "ComparisonRequest",
    "Cover",
    "Hand",
    "Interval",
    "KnownLine",
    "Lane",
    "LeaveCount",
    "LeaveLike",
    "LeaveResult",
    "Level",
    "LinesRequest",
    "Oil",
    "OilZone",
    "PlayAsked",
    "Release",
    "ReviewRequest",
    "Scoring",
    "SeasonRow",
    "Situation",
    "SituationKind",
    "Spread",
    "Stance",
    "Strength",
    "Surface",
    "TieRule",
    "leave_in_path",
    "to_json",
]
