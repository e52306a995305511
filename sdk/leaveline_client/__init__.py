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
    BatchItemAnswer,
    CautionAnswer,
    ContactAnswer,
    FaultAnswer,
    GapAnswer,
    HealthAnswer,
    HiddenPinAnswer,
    IfMissedAnswer,
    LeaveAnswer,
    LeavesAnswer,
    LineAnswer,
    LinesAnswer,
    LinesBatchAnswer,
    Meta,
    MissRoomAnswer,
    ModelAnswer,
    PinfallAnswer,
    ProblemAnswer,
    RemainderAnswer,
    SideMissAnswer,
)
from leaveline_client.asking import (
    Ball,
    Bowler,
    Lane,
    LinesRequest,
    Oil,
    OilZone,
    Release,
    Spread,
    Stance,
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
    "ApiError",
    "Ball",
    "BatchFailed",
    "BatchItemAnswer",
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
    "LineAnswer",
    "LinesAnswer",
    "LinesBatchAnswer",
    "LinesRequest",
    "LinesRow",
    "Meta",
    "MissRoomAnswer",
    "ModelAnswer",
    "NotFound",
    "Oil",
    "OilZone",
    "PinfallAnswer",
    "ProblemAnswer",
    "RateLimited",
    "Release",
    "RemainderAnswer",
    "RowFileError",
    "ServiceFault",
    "SideMissAnswer",
    "Spread",
    "Stance",
    "TimedOut",
    "TransportError",
    "Unauthorized",
    "UnexpectedReply",
    "__version__",
]
