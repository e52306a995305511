"""The README's examples, asked of the application itself.

    PYTHONPATH=service python -m tests.web.readme

writes what the examples show anew; a test asks that nothing would change.
"""

from __future__ import annotations

import json
import re
import textwrap
from pathlib import Path
from typing import Any

from flask.testing import FlaskClient
from leaveline.web import create_app

ROOT = Path(__file__).parents[2]
README = ROOT / "README.md"
WIDTH = 100
EXAMPLE = re.compile(r"```\n(?P<command>curl [^`]*?)\n```\n\n(?P<quote>(?:> .*\n)+)")
"""A command line and, right below it, what the answer says."""
FIRST_LINE = re.compile(
    r"(?P<before>`deploy/run\.sh` ends with a line for a washout.*\n\n)(?P<quote>(?:> .*\n)+)"
)
PRINTED = re.compile(r"(?P<before>as SVG\)\n\n```\n)(?P<printed>[^`]*)(?P<after>```)")


def renewed(text: str) -> str:
    """The README with every quoted answer as the application gives it now."""
    client = create_app().test_client()

    def quoted(match: re.Match[str]) -> str:
        said = _said(_answer(client, match["command"]))
        return f"```\n{match['command']}\n```\n\n{_quote(said)}"

    def first_line(match: re.Match[str]) -> str:
        body = {"leave": "1-2-10", "bowler": {"level": "scratch"}, "limit": 1}
        line = client.post("/v1/lines", json=body).get_json()["lines"][0]
        return match["before"] + _quote(f"1-2-10: {line['words']}")

    def printed(match: re.Match[str]) -> str:
        body = {"leave": "2-4-5-8", "bowler": {"hand": "left", "level": "scratch"}}
        line = client.post("/v1/lines", json=body).get_json()["lines"][0]
        room = line["miss_room"]
        numbers = (
            f"{line['stand_board']} {line['target_board']} {line['make_probability']} "
            f"MissRoomAnswer(left_boards={room['left_boards']}, "
            f"right_boards={room['right_boards']})"
        )
        return f"{match['before']}{numbers}\n{line['words']}\n{match['after']}"

    text = EXAMPLE.sub(quoted, text)
    text = FIRST_LINE.sub(first_line, text)
    return PRINTED.sub(printed, text)


def _answer(client: FlaskClient, command: str) -> dict[str, Any]:
    """Post what a curl command posts."""
    address = re.search(r"localhost:8080(/\S+?)['\s]", command)
    assert address is not None, command
    file = re.search(r"--data-binary @(\S+)", command)
    if file:
        body = (ROOT / file[1]).read_bytes()
        response = client.post(address[1], data=body, content_type="text/csv")
    else:
        told = re.search(r"-d '(.*)'", command, re.DOTALL)
        assert told is not None, command
        response = client.post(address[1], json=json.loads(told[1]))
    assert response.status_code == 200, response.text
    answer: dict[str, Any] = response.get_json()
    return answer


def _said(answer: dict[str, Any]) -> str:
    """What an answer says in words: a move where lines are told as moves."""
    if answer.get("known"):
        return str(answer["lines"][0]["moves"][0]["words"])
    return str(answer["lines"][0]["words"] if "lines" in answer else answer["words"])


def _quote(text: str) -> str:
    lines = textwrap.wrap(text, WIDTH - 2, break_on_hyphens=False, break_long_words=False)
    return "".join(f"> {line}\n" for line in lines)


if __name__ == "__main__":
    README.write_text(renewed(README.read_text(encoding="utf-8")), encoding="utf-8")
