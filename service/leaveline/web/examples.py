"""The answers that the contract shows: asked of the application itself, and kept in a file.

`python -m leaveline.web.examples` asks for them anew, after a change of an example, of a schema or
of the model. A test asks again and compares.
"""

from __future__ import annotations

import json
import sys
from importlib.resources import files
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from flask.testing import FlaskClient
from werkzeug.test import TestResponse

from leaveline.web.app import create_app
from leaveline.web.contract_parts import EXAMPLES, SAME_EVERYWHERE
from leaveline.web.document import openapi_document
from leaveline.web.limiter import Limiter
from leaveline.web.readable import readable_json
from leaveline.web.settings import Settings

REQUEST_ID = "3f9c2a7e"
JSON = "application/json"

REFUSED: dict[str, Any] = {
    "listLeaves": "/v1/leaves?category=spare",
    "getLeave": "/v1/leaves/3-3",
    "getLines": "/v1/lines/1-2-10?hand=both&level=scratch",
    "getPicture": "/v1/pictures/1-2-10.svg?line=16",
    "solveLines": {"leave": "3-3", "bowler": {"release": {"speed_mph": 60}}, "limit": "2"},
    "solveLinesBatch": {"items": []},
    "giveAdvice": {"leave": "10", "situation": {"kind": "match", "own_rolls": [9]}},
    "fitAccuracy": {"results": [{"leave": "10", "attempts": 20, "made": 21}]},
    "giveReview": {"csv": "when,what\n2025-10-03,9/\n"},
    "compareBalls": {"leave_counts": [{"leave": "10", "count": 400}], "games": 30},
}
"""A request that is readable but not valid, by operation: an address, or a body to post.

An operation that is not listed is sent an empty object, or an unknown parameter.
"""


def answered_example(client: FlaskClient, path: str, method: str) -> tuple[str, TestResponse]:
    """Send the request that the contract's own examples make; gives its address too."""
    operation = openapi_document()["paths"][path][method]
    query = {}
    for parameter in operation.get("parameters", []):
        if parameter["in"] == "path":
            path = path.replace(f"{{{parameter['name']}}}", parameter["example"])
        elif "example" in parameter:
            query[parameter["name"]] = parameter["example"]
    if "requestBody" in operation:
        examples = operation["requestBody"]["content"][JSON]["examples"]
        return path, client.post(path, json=next(iter(examples.values()))["value"])
    address = f"{path}?{urlencode(query)}" if query else path
    return address, client.get(address)


def refused_example(client: FlaskClient, path: str, method: str) -> tuple[str, TestResponse]:
    """Send a request that is refused as invalid (422); gives it in short, too."""
    asked = REFUSED.get(openapi_document()["paths"][path][method]["operationId"], {})
    headers = {"X-Request-ID": REQUEST_ID}
    if method == "post":
        return f"POST {path} {json.dumps(asked)}", client.post(path, json=asked, headers=headers)
    address = asked or f"{path}?unknown=1"
    return f"GET {address}", client.get(address, headers=headers)


def shared_example(status: int) -> tuple[str, TestResponse]:
    """Provoke a problem that any operation may answer with."""
    keyed = status == 401
    client = create_app(
        Settings(api_keys=("a-key-of-sixteen-or-more",) if keyed else ())
    ).test_client()
    headers = {"X-Request-ID": REQUEST_ID}
    if keyed:
        return "GET /v1/limits", client.get("/v1/limits", headers=headers)
    if status == 503:
        return "any, while as many are computed as may be", busy().get(
            "/v1/leaves/10", headers=headers
        )
    bodies = {
        400: ('{"leave": "3-10",}', JSON),
        413: ('"' + "x" * 1_000_000 + '"', JSON),
        415: ("leave=3-10", "application/x-www-form-urlencoded"),
    }
    body, kind = bodies[status]
    shown = body if len(body) < 60 else f"{len(body)} bytes"
    sent = client.post("/v1/lines", data=body, content_type=kind, headers=headers)
    return f"POST /v1/lines {shown} ({kind})", sent


def busy() -> FlaskClient:
    """A client of an application that computes as many requests as it may already."""
    app = create_app(Settings())
    limiter: Limiter = app.extensions["leaveline_limiter"]
    while limiter.enter():
        pass
    return app.test_client()


def asked_anew() -> dict[str, Any]:
    """Every example, by operation (shared ones under "") and status."""
    client = create_app(Settings()).test_client()
    found: dict[str, Any] = {
        "": {str(status): _entry(*shared_example(status)) for status in SAME_EVERYWHERE}
    }
    for path, operations in openapi_document()["paths"].items():
        for method, operation in operations.items():
            name, answers = operation["operationId"], operation["responses"]
            found[name] = {}
            if JSON in answers["200"]["content"]:
                address, reply = answered_example(client, path, method)
                found[name]["200"] = _entry(f"{method.upper()} {address}", reply)
            if "422" in answers:
                found[name]["422"] = _entry(*refused_example(client, path, method))
    return found


def _entry(asked: str, reply: TestResponse) -> dict[str, Any]:
    return {"asked": asked, "answer": json.loads(reply.get_data())}


def main() -> None:
    """Ask, and write the file that the package carries."""
    path = Path(str(files("leaveline.web") / EXAMPLES))
    text = readable_json(asked_anew()) + "\n"
    path.write_text(text, encoding="utf-8")
    sys.stderr.write(f"wrote {path.name}: {len(text)} characters\n")


if __name__ == "__main__":
    main()
