"""Query parameters, as strict as bodies: numbers are read from text here and nowhere else."""

from __future__ import annotations

import re
from typing import Any

from flask import Request
from marshmallow import Schema, ValidationError

from leaveline.web.fields import Number, Whole
from leaveline.web.problems import Detail, invalid

NUMBER = re.compile(r"-?\d{1,15}(?:\.\d{1,15})?")


def read_query(schema: Schema, request: Request) -> Any:
    """Check the query parameters against a schema.

    Raises
    ------
    Problem
        422 naming each parameter that is unknown, given twice, or outside its range.
    """
    values: dict[str, Any] = {}
    faults: dict[str, Any] = {}
    for name, given in request.args.lists():
        if len(given) > 1:
            faults[name] = [Detail("must be given once", "duplicate")]
            continue
        field = schema.fields.get(name)
        text = given[0]
        is_number = isinstance(field, Number | Whole) and NUMBER.fullmatch(text)
        values[name] = float(text) if is_number else text
    try:
        if faults:
            raise ValidationError(faults)
        return schema.load(values)
    except ValidationError as error:
        raise invalid(error, base="query") from None
