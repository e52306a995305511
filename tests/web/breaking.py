"""What a new contract takes away from callers of an old one.

One thought carries it: what callers may send must never shrink, and what they may receive must
never grow, but for new fields and new statuses, which the contract tells them to bear.

By hand, against any two documents:
`PYTHONPATH=service python -m tests.web.breaking openapi/released/leaveline-0.1.0.yaml new.yaml`
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal

import yaml

from tests.web.contract_rules import kinds, map_responses, operations, resolved

Document = dict[str, Any]
Way = Literal["sent", "received"]

LOWER = ("minimum", "exclusiveMinimum", "minLength", "minItems")
UPPER = ("maximum", "exclusiveMaximum", "maxLength", "maxItems")


def breaking(old: Document, new: Document) -> list[str]:
    """Every change from an old contract to a new one that can break a caller, as sentences."""
    return list(_operations(old, new))


def _operations(old: Document, new: Document) -> Iterator[str]:
    now = dict(operations(new))
    compare = _Comparison(old, new)
    for place, before in operations(old):
        if place not in now:
            yield f"{place}: the operation is gone"
            continue
        after = now[place]
        if before["operationId"] != after["operationId"]:
            yield f"{place}: generated clients know it as {before['operationId']}"
        if {} in before.get("security", [{}]) and {} not in after.get("security", [{}]):
            yield f"{place}: now always asks for a key"
        yield from _parameters(place, before, after, compare)
        yield from _body(place, before, after, compare)
        yield from _responses(place, before, after, compare)


def _parameters(
    place: str, before: Document, after: Document, compare: _Comparison
) -> Iterator[str]:
    had = {(p["in"], p["name"]): p for p in before.get("parameters", [])}
    has = {(p["in"], p["name"]): p for p in after.get("parameters", [])}
    for key, parameter in has.items():
        was_required = key in had and had[key].get("required", False)
        if parameter.get("required", False) and not was_required:
            yield f"{place}: the parameter {key[1]} is newly required"
    for key, parameter in had.items():
        if key not in has:
            yield f"{place}: the parameter {key[1]} is gone"
            continue
        where = f"{place} parameter {key[1]}"
        yield from compare.schemas(where, parameter["schema"], has[key]["schema"], "sent")


def _body(place: str, before: Document, after: Document, compare: _Comparison) -> Iterator[str]:
    had, has = before.get("requestBody", {}), after.get("requestBody", {})
    if has.get("required", False) and not had.get("required", False):
        yield f"{place}: a body is newly required"
    yield from _contents(f"{place} request", had, has, compare, "sent")


def _responses(
    place: str, before: Document, after: Document, compare: _Comparison
) -> Iterator[str]:
    had, has = map_responses(compare.old, before), map_responses(compare.new, after)
    for status, response in had.items():
        if status not in has:
            yield f"{place}: the status {status} is gone"
            continue
        yield from _contents(f"{place} {status}", response, has[status], compare, "received")


def _contents(
    place: str, before: Document, after: Document, compare: _Comparison, way: Way
) -> Iterator[str]:
    for kind, content in before.get("content", {}).items():
        if kind not in after.get("content", {}):
            yield f"{place}: the form {kind} is gone"
            continue
        yield from compare.schemas(place, content["schema"], after["content"][kind]["schema"], way)


class _Comparison:
    """Two documents, and the pairs of schemas that were compared already."""

    def __init__(self, old: Document, new: Document) -> None:
        self.old, self.new = old, new
        self.seen: set[tuple[str, str, Way]] = set()

    def schemas(self, place: str, before: Any, after: Any, way: Way) -> Iterator[str]:
        """What a schema takes away; a pair of named ones is compared where it is met first."""
        pair = (str(before.get("$ref")), str(after.get("$ref")), way)
        if "$ref" in before and "$ref" in after:
            if pair in self.seen:
                return
            self.seen.add(pair)
        before, after = resolved(self.old, before), resolved(self.new, after)
        choices = _choices(before), _choices(after)
        if max(map(len, choices)) > 1:
            yield from self._alternatives(place, *choices, way)
            return
        before, after = choices[0][0], choices[1][0]
        for check in (_types, _words, _ends, _pattern, _default):
            yield from check(place, before, after, way)
        yield from self._properties(place, before, after, way)
        if "items" in before and "items" in after:
            yield from self.schemas(f"{place}[]", before["items"], after["items"], way)

    def _properties(self, place: str, before: Document, after: Document, way: Way) -> Iterator[str]:
        had, has = before.get("properties", {}), after.get("properties", {})
        needed, needs = set(before.get("required", [])), set(after.get("required", []))
        for name in had:
            if name not in has:
                yield f"{place}.{name}: the field is gone"
            else:
                yield from self.schemas(f"{place}.{name}", had[name], has[name], way)
        changed = needs - needed if way == "sent" else (needed - needs) & has.keys()
        says = "is newly required" if way == "sent" else "may now be missing"
        for name in sorted(changed):
            yield f"{place}.{name}: the field {says}"
        closed = after.get("additionalProperties") is False
        if way == "sent" and had and closed and before.get("additionalProperties") is not False:
            yield f"{place}: other fields are now refused"

    def _alternatives(
        self, place: str, before: list[Document], after: list[Document], way: Way
    ) -> Iterator[str]:
        """Each form that was taken is still taken; each form that comes is one that came."""
        must, among = (before, after) if way == "sent" else (after, before)
        for index, form in enumerate(must):
            pairs = [(form, other) if way == "sent" else (other, form) for other in among]
            fits = (
                not list(_Comparison(self.old, self.new).schemas(place, first, second, way))
                for first, second in pairs
            )
            if not any(fits):
                says = "is no longer taken" if way == "sent" else "is new, or has changed"
                yield f"{place}: the form {index + 1} ({_named(form)}) {says}"


def _choices(schema: Document) -> list[Document]:
    return list(schema.get("oneOf") or schema.get("anyOf") or [schema])


def _named(form: Document) -> str:
    return str(form.get("$ref") or form.get("type") or form)


def _types(place: str, before: Document, after: Document, way: Way) -> Iterator[str]:
    had, has = kinds(before), kinds(after)
    wide, narrow = (has, had) if way == "sent" else (had, has)
    # No type at all means any, and every integer is a number.
    if wide and not (narrow and all(_is_among(kind, wide) for kind in narrow)):
        yield f"{place}: the type was {sorted(had)}, is {sorted(has)}"


def _is_among(kind: str, wide: set[str]) -> bool:
    return kind in wide or (kind == "integer" and "number" in wide)


def _words(place: str, before: Document, after: Document, way: Way) -> Iterator[str]:
    had, has = before.get("enum"), after.get("enum")
    wide, narrow = (has, had) if way == "sent" else (had, has)
    if wide is None:
        return
    says = "is no longer taken" if way == "sent" else "was not among the words that come"
    if narrow is None:
        yield f"{place}: the words are " + ("now limited" if way == "sent" else "no longer limited")
        return
    for word in narrow:
        if word not in wide:
            yield f"{place}: {word!r} {says}"


def _ends(place: str, before: Document, after: Document, way: Way) -> Iterator[str]:
    """Ranges and lengths: `sent` may only widen, `received` may only narrow."""
    tighter: list[tuple[str, Callable[[float, float], bool]]] = [
        *((name, lambda inner, outer: inner >= outer) for name in LOWER),
        *((name, lambda inner, outer: inner <= outer) for name in UPPER),
    ]
    for name, is_inside in tighter:
        had, has = before.get(name), after.get(name)
        outer, inner = (has, had) if way == "sent" else (had, has)
        if outer is not None and (inner is None or not is_inside(inner, outer)):
            yield f"{place}: {name} was {had}, is {has}"
    if way == "sent" and after.get("uniqueItems") and not before.get("uniqueItems"):
        yield f"{place}: the same item twice is now refused"


def _pattern(place: str, before: Document, after: Document, way: Way) -> Iterator[str]:
    had, has = before.get("pattern"), after.get("pattern")
    outer = has if way == "sent" else had
    if had != has and outer is not None:
        yield f"{place}: the pattern was {had}, is {has}"


def _default(place: str, before: Document, after: Document, way: Way) -> Iterator[str]:
    if way == "sent" and before.get("default") != after.get("default"):
        yield f"{place}: the default was {before.get('default')!r}, is {after.get('default')!r}"


def main(old: str, new: str) -> int:
    """Compare two files; the number of changes that break is the exit code, at most 1."""
    documents = [yaml.safe_load(Path(path).read_text(encoding="utf-8")) for path in (old, new)]
    found = breaking(*documents)
    print("\n".join(found) or "nothing is taken away")
    return min(1, len(found))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
