"""schemathesis over the whole document against the running application: no 5xx, every answer
conforms to the document."""

from __future__ import annotations

from typing import Any

import schemathesis
from hypothesis import HealthCheck, Phase, settings
from leaveline.web import create_app
from leaveline.web.settings import Settings
from schemathesis.checks import (
    load_all_checks,
    not_a_server_error,
)
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    negative_data_rejection,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)

load_all_checks()
SCHEMA = schemathesis.openapi.from_wsgi("/openapi.json", create_app(Settings()))
CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
]
"""Not acceptance of whatever the schema allows: that a pin is not named twice, a zone ends after it
starts, or a game is possible is checked beyond what a schema can say."""
ANSWERS_BAD_ITEMS_ONE_BY_ONE = "/v1/lines/batch"


WORKS_FOR_SECONDS = ["/v1/accuracy", "/v1/reviews", "/v1/comparisons"]
"""One request of these fits, or solves dozens of lines, so they get fewer; their own examples are
checked in test_contract_examples."""
GENERATED = settings(
    max_examples=20,
    derandomize=True,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.generate],
)


@SCHEMA.exclude(path=WORKS_FOR_SECONDS).parametrize()
@GENERATED
def test_the_application_keeps_to_its_contract(case: Any) -> None:
    keeps_to_the_contract(case)


@SCHEMA.include(path=WORKS_FOR_SECONDS).parametrize()
@settings(GENERATED, max_examples=10, phases=[Phase.generate])
def test_the_application_keeps_to_its_contract_where_it_solves_much(case: Any) -> None:
    keeps_to_the_contract(case)


def keeps_to_the_contract(case: Any) -> None:
    strict = case.path != ANSWERS_BAD_ITEMS_ONE_BY_ONE
    case.call_and_validate(checks=[*CHECKS, negative_data_rejection] if strict else CHECKS)
