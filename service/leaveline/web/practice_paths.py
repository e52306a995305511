"""The contract's paths of accuracy, reviews and comparisons."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from leaveline.practice.season import MOST_ROWS
from leaveline.web import practice_answer_schemas as answers
from leaveline.web.accuracy_schemas import AccuracyRequestSchema
from leaveline.web.comparison_schemas import ComparisonRequestSchema
from leaveline.web.review_schemas import ReviewQuerySchema, ReviewRequestSchema
from leaveline.web.season_schemas import CHARSETS, CSV, OF_CSV

TAG = "practice"

ACCURACY_EXAMPLE = {
    "results": [
        {"leave": "10", "attempts": 60, "made": 41},
        {"leave": "7", "attempts": 40, "made": 29},
    ],
    "target_misses_boards": [0, -1, 0, 1, 0, 2, -1, 0, 1, -2, 0, 1],
    "bowler": {"hand": "right", "level": "league"},
}
REVIEW_EXAMPLE = {
    "csv": "date,game,frame,rolls,leave,ball,missed_target_by_boards\n"
    "2025-10-03,1,1,9/,10,plastic,hit\n"
    "2025-10-03,1,2,X,,,\n"
    "2025-10-03,1,3,9-,10,plastic,1.5 left\n"
    "2025-10-03,1,4,7 2,3-6-10,plastic,1 left\n"
    "2025-10-03,1,5,10 1,,,\n",
}
CSV_EXAMPLE = "date,game,frame,rolls,leave\n2025-10-03,1,1,9/,10\n2025-10-03,1,2,9-,10\n"
COMPARISON_EXAMPLE = {
    "bowler": {
        "level": "league",
        "ball": {"cover": "reactive_solid", "weight_lb": 15},
        "release": {"speed_mph": 17, "rev_rate_rpm": 250, "axis_rotation_deg": 45},
    },
    "lane": {"oil": {"length_ft": 41, "ratio": 8}},
    "options": [
        {"name": "strike ball"},
        {"name": "polyester", "ball": {"cover": "polyester"}},
        {"name": "2 mph slower", "release": {"speed_mph": 15}},
        {"name": "steadier axis", "spread": {"rotation_deg": 3}},
    ],
    "leave_counts": [
        {"leave": "10", "count": 48},
        {"leave": "7", "count": 21},
        {"leave": "3-6-10", "count": 9},
    ],
    "games": 30,
    "target_boards": {"value": 1.3, "low": 1.1, "high": 1.55},
}


def practice_paths(operation: Callable[..., dict[str, Any]], safe: str) -> dict[str, Any]:
    """Write the paths with the document's own way to write an operation.

    Parameters
    ----------
    operation : callable
        `leaveline.web.document._operation`.
    safe : str
        The sentence that a POST is safe to repeat.
    """
    reviews = operation(
        "giveReview", TAG, "What bowled games show, and what to practise.",
        answers.ReviewAnswer, body=ReviewRequestSchema, query=ReviewQuerySchema,
        example=REVIEW_EXAMPLE,
        description="Conversions by leave beside what this accuracy should make, whether luck, "
        "skill or the choice of line explains the difference, pins lost a game, and drills. "
        f"Rows as JSON, or a CSV file: its text in `csv`, or the file itself as `{CSV}`, with "
        "the bowler in the query. A row that cannot be read is reported with its number and the "
        f"reason, and the others are used. At most {MOST_ROWS} rows. " + safe,
    )  # fmt: skip
    reviews["requestBody"]["content"][CSV] = {
        "schema": {
            "type": "string",
            "minLength": 1,
            "description": f"{OF_CSV} Without a `charset` (one of {', '.join(CHARSETS)}) read as "
            "UTF-8 or, with its mark, UTF-16, and failing that as Latin-1.",
        },
        "examples": {"a season's first rows": {"value": CSV_EXAMPLE}},
    }
    return {
        "/v1/accuracy": {
            "post": operation(
                "fitAccuracy", TAG, "A bowler's spread, from makes and attempts or misses.",
                answers.AccuracyAnswer, body=AccuracyRequestSchema, example=ACCURACY_EXAMPLE,
                description="Its `spread` can be sent as `bowler.spread` of any other request. "
                "Says where the data cannot tell, and how many more throws would. Without any "
                "throw it is what the level says. " + safe,
            )
        },
        "/v1/reviews": {"post": reviews},
        "/v1/comparisons": {
            "post": operation(
                "compareBalls", TAG, "What another ball, speed or axis control would bring.",
                answers.ComparisonAnswer, body=ComparisonRequestSchema,
                example=COMPARISON_EXAMPLE,
                description="Conversions and pins a game of each way to throw spares, each on its "
                "own best line at every leave: the bowler's own leaves (counts, or bowled games "
                "as in reviews) or the usual ones. Fit and weight of a ball are for qualified "
                "staff to choose. " + safe,
            )
        },
    }  # fmt: skip
