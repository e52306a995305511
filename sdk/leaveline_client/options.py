"""What a client is set up with, checked once."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from numbers import Real
from typing import TypedDict
from urllib.parse import urlsplit

from leaveline_client.retry import full_jitter

CONNECT_TIMEOUT_S = 5.0  # [s]
READ_TIMEOUT_S = 30.0  # [s] the longest silence while waiting for the answer
TOTAL_TIMEOUT_S = 60.0  # [s] attempts and the waits between them together
MAX_RETRIES = 2

Timeout = float | tuple[float, float]


class Changes(TypedDict, total=False):
    """What `Client.with_options` takes."""

    api_key: str | None
    timeout: Timeout
    total_timeout_s: float
    max_retries: int
    retry_read_timeouts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Options:
    """A client's settings; see `Client` for what they mean.

    Raises
    ------
    ValueError
        Naming the setting, its value and what is allowed.
    """

    base_url: str
    api_key: str | None = field(default=None, repr=False)
    timeout: Timeout = (CONNECT_TIMEOUT_S, READ_TIMEOUT_S)
    total_timeout_s: float = TOTAL_TIMEOUT_S
    max_retries: int = MAX_RETRIES
    retry_read_timeouts: bool = False
    sleep: Callable[[float], None] = field(default=time.sleep, repr=False)
    jitter: Callable[[float], float] = field(default=full_jitter, repr=False)
    clock: Callable[[], float] = field(default=time.monotonic, repr=False)

    def __post_init__(self) -> None:
        _check_url(self.base_url)
        if self.api_key is not None and not (self.api_key and _is_token(self.api_key)):
            raise ValueError("api_key: must be printable ASCII characters without spaces")
        for name, seconds in (
            ("timeout", self.connect_timeout_s),
            ("timeout", self.read_timeout_s),
            ("total_timeout_s", self.total_timeout_s),
        ):
            if not _is_positive(seconds):
                raise ValueError(f"{name} = {seconds!r}: must be a number of seconds above 0")
        retries = self.max_retries
        if isinstance(retries, bool) or not isinstance(retries, int) or retries < 0:
            raise ValueError(f"max_retries = {retries!r}: must be a whole number, 0 or more")

    @property
    def connect_timeout_s(self) -> float:
        """How long connecting may take [s]."""
        return self.timeout[0] if isinstance(self.timeout, tuple) else self.timeout

    @property
    def read_timeout_s(self) -> float:
        """How long the service may say nothing [s]."""
        return self.timeout[1] if isinstance(self.timeout, tuple) else self.timeout


def _check_url(url: str) -> None:
    try:
        parts = urlsplit(url)
        usable = parts.scheme in {"http", "https"} and parts.hostname and parts.port != 0
    except ValueError:
        usable = False
    if not usable or parts.query or parts.fragment:
        raise ValueError(
            f"base_url = {url!r}: must be like http://host:port, or https, with a path where the "
            "service has one"
        )


def _is_token(text: str) -> bool:
    return text.isascii() and text.isprintable() and " " not in text


def _is_positive(seconds: object) -> bool:
    return (
        isinstance(seconds, Real)
        and not isinstance(seconds, bool)
        and 0 < float(seconds) < math.inf
    )
