"""Ask a Leaveline service where to stand and what board to hit for a tenpin leave.

    from leaveline_client import Bowler, Client

    with Client("http://127.0.0.1:8000") as client:
        answer = client.lines(leave="3-6-10", bowler=Bowler(hand="right", level="league"))
        print(answer.lines[0].words)

`Client` has one method for each operation of the service and takes the objects of `asking`;
answers are the objects of `answers`, errors the tree drawn in `errors`. Boards count from the
bowler's ball-hand side, and every field's name ends in its unit. A probability is not a promise.
"""

from leaveline_client.answers import (
    AdviceAnswer,
    BatchAnswer,
    BatchResultAnswer,
    BecauseAnswer,
    CautionAnswer,
    ContactAnswer,
    FaultAnswer,
    GapAnswer,
    HealthAnswer,
    HiddenPinAnswer,
    IfMissedAnswer,
    LeaveAnswer,
    LeavesAnswer,
    LimitsAnswer,
    LineAnswer,
    LinesAnswer,
    Meta,
    MissRoomAnswer,
    ModelAnswer,
    OptionAnswer,
    PinfallAnswer,
    PlayAnswer,
    PlaysAnswer,
    ProblemAnswer,
    RemainderAnswer,
    SensitivityAnswer,
    SideMissAnswer,
)
from leaveline_client.asking import (
    AdviceRequest,
    Ball,
    BatchItem,
    Bowler,
    Lane,
    LinesRequest,
    Oil,
    OilZone,
    Release,
    Situation,
    Spread,
    Stance,
    Strength,
)
from leaveline_client.bulk import LinesRow
from leaveline_client.client import Client
from leaveline_client.errors import (
    ApiError,
    BatchFailed,
    ConnectFailed,
    InvalidRequest,
    LeavelineError,
    NotFound,
    RateLimited,
    ServiceFault,
    TimedOut,
    TransportError,
    Unauthorized,
    UnexpectedReply,
)
from leaveline_client.row_file import RowFileError
from leaveline_client.version import __version__

__all__ = [
    "AdviceAnswer",
    "AdviceRequest",
    "ApiError",
    "Ball",
    "BatchAnswer",
    "BatchFailed",
    "BatchItem",
    "BatchResultAnswer",
    "BecauseAnswer",
    "Bowler",
    "CautionAnswer",
    "Client",
    "ConnectFailed",
    "ContactAnswer",
    "FaultAnswer",
    "GapAnswer",
    "HealthAnswer",
    "HiddenPinAnswer",
    "IfMissedAnswer",
    "InvalidRequest",
    "Lane",
    "LeaveAnswer",
    "LeavelineError",
    "LeavesAnswer",
    "LimitsAnswer",
    "LineAnswer",
    "LinesAnswer",
    "LinesRequest",
    "LinesRow",
    "Meta",
    "MissRoomAnswer",
    "ModelAnswer",
    "NotFound",
    "Oil",
    "OilZone",
    "OptionAnswer",
    "PinfallAnswer",
    "PlayAnswer",
    "PlaysAnswer",
    "ProblemAnswer",
    "RateLimited",
    "Release",
    "RemainderAnswer",
    "RowFileError",
    "SensitivityAnswer",
    "ServiceFault",
    "SideMissAnswer",
    "Situation",
    "Spread",
    "Stance",
    "Strength",
    "TimedOut",
    "TransportError",
    "Unauthorized",
    "UnexpectedReply",
    "__version__",
]
