"""What the service answers, field by field as it goes over the wire.

Every class has the name it has in the service's OpenAPI document. Boards count from the bowler's
ball-hand side and may be fractional, board 20 is the lane's centre; left and right are as the
bowler sees them; angles are positive to the right. A leave is its standing pins in ascending
order, joined by hyphens: `3-6-9-10`. Probabilities run from 0 to 1 and are no promise.

Words of a set that may grow (`category`, `side`, `code`, `play`) are typed as the ones known now
or any text: write an `else` for the others.
"""

from leaveline_client.answers.advice import (
    AdviceAnswer,
    BecauseAnswer,
    PlayAnswer,
    PlaysAnswer,
)
from leaveline_client.answers.base import Answer, Meta
from leaveline_client.answers.batch import BatchAnswer, BatchResultAnswer
from leaveline_client.answers.leaves import GapAnswer, HiddenPinAnswer, LeaveAnswer, LeavesAnswer
from leaveline_client.answers.lines import (
    CautionAnswer,
    ContactAnswer,
    IfMissedAnswer,
    LineAnswer,
    LinesAnswer,
    MissRoomAnswer,
    ModelAnswer,
    OptionAnswer,
    PinfallAnswer,
    RemainderAnswer,
    SensitivityAnswer,
    SideMissAnswer,
)
from leaveline_client.answers.moves import (
    KnownAnswer,
    MoveAnswer,
    ReachAnswer,
    ReachEndAnswer,
    ToldAnswer,
)
from leaveline_client.answers.practice import (
    AccuracyAnswer,
    AccuracyReasonAnswer,
    BoardsAnswer,
    ComparedLeaveAnswer,
    ComparedOptionAnswer,
    ComparisonAnswer,
    DrillAnswer,
    EstimateAnswer,
    FirstBallAnswer,
    FittedAccuracyAnswer,
    FittedLeaveAnswer,
    GroupReviewAnswer,
    LeanAnswer,
    LeaveReviewAnswer,
    MoreThrowsAnswer,
    NotWorthAnswer,
    PracticeItemAnswer,
    ReviewAnswer,
    RowReportAnswer,
    RowsAnswer,
    SpreadAnswer,
)
from leaveline_client.answers.service import FaultAnswer, HealthAnswer, LimitsAnswer, ProblemAnswer

__all__ = [
    "AccuracyAnswer",
    "AccuracyReasonAnswer",
    "AdviceAnswer",
    "Answer",
    "BatchAnswer",
    "BatchResultAnswer",
    "BecauseAnswer",
    "BoardsAnswer",
    "CautionAnswer",
    "ComparedLeaveAnswer",
    "ComparedOptionAnswer",
    "ComparisonAnswer",
    "ContactAnswer",
    "DrillAnswer",
    "EstimateAnswer",
    "FaultAnswer",
    "FirstBallAnswer",
    "FittedAccuracyAnswer",
    "FittedLeaveAnswer",
    "GapAnswer",
    "GroupReviewAnswer",
    "HealthAnswer",
    "HiddenPinAnswer",
    "IfMissedAnswer",
    "KnownAnswer",
    "LeanAnswer",
    "LeaveAnswer",
    "LeaveReviewAnswer",
    "LeavesAnswer",
    "LimitsAnswer",
    "LineAnswer",
    "LinesAnswer",
    "Meta",
    "MissRoomAnswer",
    "ModelAnswer",
    "MoreThrowsAnswer",
    "MoveAnswer",
    "NotWorthAnswer",
    "OptionAnswer",
    "PinfallAnswer",
    "PlayAnswer",
    "PlaysAnswer",
    "PracticeItemAnswer",
    "ProblemAnswer",
    "ReachAnswer",
    "ReachEndAnswer",
    "RemainderAnswer",
    "ReviewAnswer",
    "RowReportAnswer",
    "RowsAnswer",
    "SensitivityAnswer",
    "SideMissAnswer",
    "SpreadAnswer",
    "ToldAnswer",
]
