"""Query parameters of the GET endpoints."""

from __future__ import annotations

from leaveline.delivery import LEVELS
from leaveline.lane.oil import LENGTH_RANGE_FT
from leaveline.pins.classify import CATEGORIES
from leaveline.web.fields import Number, OneOf, StrictSchema
from leaveline.web.line_schemas import HANDS


class LeavesQuerySchema(StrictSchema):
    """Which leaves are wanted."""

    category = OneOf(
        CATEGORIES,
        metadata={"description": "Only leaves of this kind.", "example": "single_pin"},
    )


class LineQuerySchema(StrictSchema):
    """A bowler in a few words."""

    hand = OneOf(
        HANDS, metadata={"description": "Ball hand; right where left out.", "example": "left"}
    )
    level = OneOf(
        LEVELS,
        metadata={"description": "Preset of spread; league where left out.", "example": "scratch"},
    )
    oil_length_ft = Number(
        *LENGTH_RANGE_FT,
        metadata={
            "description": "Where the oil of a walled house shot ends [ft]; where given, a "
            "polyester ball's motion on it is worked out.",
            "example": 41,
        },
    )
