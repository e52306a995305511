"""Between games: how accurate a bowler is, what it costs, what to practise.

`fit_accuracy` finds spread and lean from makes, attempts and recorded misses; `season_from_csv`
and `season_from_rows` read bowled games; `review` tells what they show and what to practise;
`compare_balls` sets ways of throwing spares side by side. `published` checks the model against
published rates.
"""

from leaveline.practice.accuracy import Accuracy, LeaveResult, fit_accuracy
from leaveline.practice.leave_mix import leaves_of, usual_leaves
from leaveline.practice.review import review
from leaveline.practice.season import Season, SeasonError, season_from_rows
from leaveline.practice.season_accuracy import accuracy_of_season
from leaveline.practice.season_file import season_from_csv
from leaveline.practice.spare_ball import BallOption, compare_balls

__all__ = [
    "Accuracy",
    "BallOption",
    "LeaveResult",
    "Season",
    "SeasonError",
    "accuracy_of_season",
    "compare_balls",
    "fit_accuracy",
    "leaves_of",
    "review",
    "season_from_csv",
    "season_from_rows",
    "usual_leaves",
]
