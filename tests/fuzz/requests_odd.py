"""Odd requests by the thousand, the same ones for the same seed.

Bodies start from the contract's own examples and are bent: values swapped for odd ones, keys lost,
renamed and doubled, parts nested and repeated, text cut and bytes flipped. Paths, queries, methods,
headers and content types are bent too.
"""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import quote

from leaveline.web.document import openapi_document

ODD_NUMBERS: list[Any] = [
    0, -0.0, -1, 1, 2, 3, 7, 10, 11, 39, 40, 60, 61, 300, 0.5, 1e-320, 1e308, -1e308, 2**53, 2**63,
    10**19, 10**400, 5e-324, 0.1 + 0.2, 38.999999999,
]  # fmt: skip
ODD_TEXTS: list[Any] = [
    "", " ", "10", "3-10", "3-3", "0", "11", "10-3", "3--10", "-", "X", "x", "/", "-/", "S6", "s8",
    "F", "９", "١", "3–10", "a" * 5000, "\x00", "\u202e", "\ud800", "😀", "null", "NaN", "1e5",
    "%00", "../..", "<script>", "' OR 1=1", "{{7*7}}", "right", "league", "both", "traditional",
]  # fmt: skip
ODD_OTHERS: list[Any] = [None, True, False, [], {}, [[]], [None], {"": None}, [1, "2", None]]
ODD_RAW = [
    "NaN", "Infinity", "-Infinity", "1e999", "-1e999", "0x10", "01", "1.", ".5", "+1", "--1", "'a'",
    "nul", "tru", "\\u0000", '"\\ud800"', '"\\x"', "[1,]", '{"a":1,}', '{"a":1,"a":2}', "//",
    "/**/", "9" * 5000, "[" * 40, '{"a":' * 40, "\ufeff{}", "",
]  # fmt: skip
TYPES = [
    "application/json", "application/json", "application/json", "application/json; charset=utf-8",
    "text/csv", "text/csv; charset=utf-16", "text/plain", "", "application/x-ndjson",
    "multipart/form-data; boundary=x", "application/json;;;=", "*/*",
]  # fmt: skip
ACCEPTS = ["*/*", "application/json", "image/svg+xml", "application/x-ndjson", "text/html;q=x", ";"]
METHODS = ["GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "ODD"]
LEAVES = ["10", "7", "3-10", "1-2-10", "2-4-5-8", "1-2-3-4-5-6-7-8-9-10"]


@dataclass(frozen=True, slots=True)
class OddRequest:
    """A request as it is sent."""

    method: str
    path: str
    query: str = ""
    body: bytes = b""
    headers: dict[str, str] = field(default_factory=dict)


class Maker:
    """Makes odd requests from a seed."""

    def __init__(self, seed: int) -> None:
        self.chance = random.Random(seed)
        self.posts: list[tuple[str, str, Any]] = []
        self.gets: list[str] = []
        self.names: list[str] = []
        for path, operations in openapi_document()["paths"].items():
            for method, operation in operations.items():
                if method == "get":
                    self.gets.append(path)
                for parameter in operation.get("parameters", []):
                    self.names.append(parameter.get("name", "x"))
                content = operation.get("requestBody", {}).get("content", {})
                for kind, described in content.items():
                    for example in described.get("examples", {}).values():
                        self.posts.append((path, kind, example["value"]))

    def __iter__(self) -> Iterator[OddRequest]:
        while True:
            yield self.make()

    def make(self) -> OddRequest:
        """Make one request."""
        die = self.chance.random()
        if die < 0.62:
            return self._post()
        if die < 0.95:
            return self._get()
        return OddRequest(
            self.chance.choice(METHODS), self._path(self.chance.choice(self.gets)), self._query()
        )

    def _post(self) -> OddRequest:
        path, kind, example = self.chance.choice(self.posts)
        text = example if isinstance(example, str) else json.dumps(self._bent(example))
        if self.chance.random() < 0.3:
            text = self._cut(text)
        body = text.encode("utf-8", "surrogatepass")
        if self.chance.random() < 0.15:
            body = self._flipped(body)
        if self.chance.random() < 0.03:
            body = text.encode(self.chance.choice(["utf-16", "utf-32", "utf-7"]), "replace")
        headers = {"Content-Type": kind}
        if self.chance.random() < 0.06:
            headers["Content-Type"] = self.chance.choice(TYPES)
        if self.chance.random() < 0.1:
            headers["Accept"] = self.chance.choice(ACCEPTS)
        query = self._query() if self.chance.random() < 0.1 else ""
        return OddRequest("POST", path, query, body, headers)

    def _get(self) -> OddRequest:
        headers = {}
        if self.chance.random() < 0.1:
            headers["If-None-Match"] = self.chance.choice(["*", '"x"', "W/", '"' * 9, "x" * 500])
        if self.chance.random() < 0.1:
            headers["Accept"] = self.chance.choice(ACCEPTS)
        if self.chance.random() < 0.05:
            headers["X-Request-ID"] = self.chance.choice(["a" * 64, "a" * 65, "é", "a b", ""])
        if self.chance.random() < 0.05:
            headers["Range"] = self.chance.choice(["bytes=0-1", "bytes=9-1", "x=1", "bytes=-"])
        path = self._path(self.chance.choice(self.gets))
        return OddRequest(
            self.chance.choice(["GET", "GET", "HEAD"]), path, self._query(), b"", headers
        )

    def _path(self, template: str) -> str:
        leave = self.chance.choice(LEAVES)
        if self.chance.random() < 0.5:
            leave = self._odd_text(leave)
        path = template.replace("{leave}", quote(leave.encode("utf-8", "replace"), safe=""))
        if self.chance.random() < 0.05:
            path += self.chance.choice(["/", "//", "/..", "/%2e%2e", ".svg", "%00", ";a=b"])
        return path

    def _query(self) -> str:
        pairs = []
        for _ in range(self.chance.choice([0, 0, 1, 1, 2, 3, 30])):
            name = self.chance.choice([*self.names, "odd", ""])
            value = self.chance.choice(
                ["left", "league", "40", "39.99", "1e3", "-1", "nan", "carry", "", "0", "1", "15"]
            )
            if self.chance.random() < 0.4:
                value = self._odd_text(value)
            pairs.append(f"{name}={quote(value.encode('utf-8', 'replace'), safe='')}")
        query = "&".join(pairs)
        return self._cut(query) if self.chance.random() < 0.1 else query

    def _bent(self, example: Any) -> Any:
        """A copy of an example with one to five things changed."""
        body = copy.deepcopy(example)
        for _ in range(self.chance.randint(1, 5)):
            places = list(_places(body))
            if not places:
                return self._odd()
            holder, key = self.chance.choice(places)
            act = self.chance.randrange(6)
            if act == 0:
                del holder[key]
            elif act == 1 and isinstance(holder, dict):
                holder[self._odd_text(str(key))] = copy.deepcopy(holder[key])
            elif act == 2:
                holder[key] = [
                    copy.deepcopy(holder[key]) for _ in range(self.chance.choice([1, 2, 3, 50]))
                ]
            elif act == 3:
                deep: Any = holder[key]
                for _ in range(self.chance.choice([1, 2, 20])):
                    deep = {"a": deep} if self.chance.random() < 0.5 else [deep]
                holder[key] = deep
            elif act == 4 and isinstance(holder[key], int | float) and abs(holder[key]) < 1e300:
                holder[key] = holder[key] * self.chance.choice([0.5, 0.99, 1.01, 2, -1, 1e6])
            else:
                holder[key] = self._odd()
        return body

    def _odd(self) -> Any:
        odd = self.chance.choice(self.chance.choice([ODD_NUMBERS, ODD_TEXTS, ODD_OTHERS]))
        return copy.deepcopy(odd)

    def _odd_text(self, text: str) -> str:
        die = self.chance.randrange(4)
        if die == 0:
            return str(self.chance.choice(ODD_TEXTS))
        if die == 1:
            return text + chr(self.chance.choice([0x2D, 0x20, 0x0A, 0x31, 0xE9, 0x2013, 0x1F600]))
        if die == 2:
            return text[: len(text) // 2]
        return text * self.chance.choice([2, 3, 100])

    def _cut(self, text: str) -> str:
        start, end = sorted(self.chance.randrange(len(text) + 1) for _ in range(2))
        die = self.chance.randrange(3)
        if die == 0:
            return text[:start]
        if die == 1:
            return text[:start] + self.chance.choice(ODD_RAW) + text[end:]
        return text[:start] + text[start:end] * self.chance.choice([0, 2, 30]) + text[end:]

    def _flipped(self, body: bytes) -> bytes:
        changed = bytearray(body)
        for _ in range(self.chance.randint(1, 5)):
            if changed:
                changed[self.chance.randrange(len(changed))] = self.chance.randrange(256)
        return bytes(changed)


def _places(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in a value where something else could stand, with what holds it."""
    keys: Any = ()
    if isinstance(value, dict):
        keys = list(value)
    elif isinstance(value, list):
        keys = range(len(value))
    for key in keys:
        yield value, key
        yield from _places(value[key])
