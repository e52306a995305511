"""From JSON objects to dataclasses and back: one reader for every kind of answer.

An answer's class lists its fields once, with their types; `read` fills it from a JSON object and
checks each value against its type. Fields the class does not know are left in `raw`, so a newer
service does not break an older client. Strings of an open set (`Literal[...] | str`) take any text.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping
from dataclasses import MISSING, dataclass, field, fields
from functools import cache, partial
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, cast, get_args, get_origin, get_type_hints

Reader = Callable[[Any, str], Any]
"""Takes a JSON value and the JSON pointer to it, gives the value to keep."""

NOT_ON_THE_WIRE = {"raw", "meta", "_drawing"}


class Mismatch(ValueError):
    """A JSON value is not what its field should hold; the message names the field."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """An object of an answer.

    Attributes
    ----------
    raw : dict
        The JSON object as it was sent, with fields this version of the client does not know.
    """

    raw: Mapping[str, Any] = field(default_factory=dict, repr=False, compare=False)

    def to_dict(self) -> dict[str, Any]:
        """The known fields as plain JSON; optional ones that were not sent are left out."""
        return {
            f.name: _plain(getattr(self, f.name))
            for f in fields(self)
            if f.name not in NOT_ON_THE_WIRE
            and (f.name in self.raw or getattr(self, f.name) != f.default)
        }


P = TypeVar("P", bound=Part)


def read(cls: type[P], value: Any, pointer: str = "#", **extra: Any) -> P:
    """Fill a class from a JSON object.

    Parameters
    ----------
    cls : type
        A dataclass derived from Part.
    value : object
        What `json.loads` gave.
    pointer : str
        Where the value stands in the whole answer, for the error message.
    **extra
        Values of fields that are not on the wire.

    Raises
    ------
    Mismatch
        Where the value is no object, a required field is missing, or a value has another type.
    """
    if not isinstance(value, dict):
        raise Mismatch(f"{pointer} should be an object, not {_shown(value)}")
    found: dict[str, Any] = {}
    for name, required, reader in _plan(cast(Hashable, cls)):
        if name in value:
            found[name] = reader(value[name], f"{pointer}/{name}")
        elif required:
            raise Mismatch(f"{pointer} should have the field {name}")
    return cls(**found, raw=value, **extra)


@cache
def _plan(cls: Any) -> tuple[tuple[str, bool, Reader], ...]:
    """What to read for a class: name, whether it must be there, how."""
    hints = get_type_hints(cls)
    return tuple(
        (f.name, f.default is MISSING and f.default_factory is MISSING, _reader(hints[f.name]))
        for f in fields(cls)
        if f.name not in NOT_ON_THE_WIRE
    )


def _reader(hint: Any) -> Reader:
    origin, args = get_origin(hint), get_args(hint)
    if origin in (Union, UnionType):
        kinds = [arg for arg in args if arg is not NoneType and get_origin(arg) is not Literal]
        return partial(_or_null, _reader(kinds[0])) if NoneType in args else _reader(kinds[0])
    if origin is tuple:
        return partial(_each, _reader(args[0]))
    if issubclass(hint, Part):
        return partial(read, hint)
    return {float: _number, int: _whole}.get(hint, partial(_exactly, hint))


def _or_null(reader: Reader, value: Any, pointer: str) -> Any:
    return None if value is None else reader(value, pointer)


def _each(reader: Reader, value: Any, pointer: str) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise Mismatch(f"{pointer} should be a list, not {_shown(value)}")
    return tuple(reader(item, f"{pointer}/{index}") for index, item in enumerate(value))


def _number(value: Any, pointer: str) -> float:
    if type(value) not in (int, float):
        raise Mismatch(f"{pointer} should be a number, not {_shown(value)}")
    return float(value)


def _whole(value: Any, pointer: str) -> int:
    if type(value) is not int:
        raise Mismatch(f"{pointer} should be a whole number, not {_shown(value)}")
    return value


def _exactly(kind: type, value: Any, pointer: str) -> Any:
    if not isinstance(value, kind):
        raise Mismatch(f"{pointer} should be a {kind.__name__}, not {_shown(value)}")
    return value


def _plain(value: Any) -> Any:
    if isinstance(value, Part):
        return value.to_dict()
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "..."
