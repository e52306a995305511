"""The service's settings, read from the environment and checked at start.

| variable | meaning | default |
| --- | --- | --- |
| LEAVELINE_API_KEYS | keys separated by commas; where set, `/v1` asks for one of them | none |
| LEAVELINE_MAX_BODY_BYTES | largest request body | 1000000 |
| LEAVELINE_CACHE_SECONDS | how long GET answers may be cached | 3600 |
| LEAVELINE_KEPT_ANSWERS_MB | a worker's memory for answers to GET, to give again | 32 |
| LEAVELINE_CONCURRENCY | requests a worker computes at once; more are refused with 503 | 8 |
| LEAVELINE_TIME_BUDGET_SECONDS | how long one request may compute | 60 |
| LEAVELINE_CORS_ORIGINS | origins whose pages may ask, separated by commas, or `*` for any | none |
| LEAVELINE_LOG_LEVEL | `debug`, `info`, `warning` or `error` | info |
| LEAVELINE_METRICS | `on` or `off`: Prometheus metrics at `/metrics` | on |
| LEAVELINE_TRACES | `on` or `off`: OpenTelemetry; needs `leaveline[traces]` installed | off |
| LEAVELINE_WARM_MAPS | `on` or `off`: work out all carry maps before the first answer | off |
| WEB_CONCURRENCY | workers; 0: one for each core the container may use | 0 |

Any other variable that starts with `LEAVELINE_` stops the start, so that a slip of the pen is seen;
but for those that belong to the client, and those that Kubernetes sets for a service's address.
The client's LEAVELINE_API_KEY without LEAVELINE_API_KEYS stops it too: whoever sets it for the
service means it to ask for a key.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

PREFIX = "LEAVELINE_"
OF_THE_CLIENT = frozenset({"LEAVELINE_URL", "LEAVELINE_API_KEY"})
OF_KUBERNETES = re.compile(
    r"LEAVELINE(_\w+)?_(SERVICE_HOST|SERVICE_PORT(_\w+)?|PORT(_\d+_(TCP|UDP|SCTP)(_\w+)?)?)"
)
"""What Kubernetes sets in every container beside a Service whose name starts with `leaveline`."""
LOG_LEVELS = ("debug", "info", "warning", "error")
ORIGIN = re.compile(r"https?://[a-z0-9.-]+(:\d{1,5})?|https?://\[[0-9a-f:.]+\](:\d{1,5})?")


class SettingsError(ValueError):
    """A setting in the environment is not usable."""


@dataclass(frozen=True, slots=True)
class Settings:
    """The service's settings; the module's table says what each is."""

    api_keys: tuple[str, ...] = ()
    max_body_bytes: int = 1_000_000
    cache_seconds: int = 3600
    kept_answers_mb: int = 32
    concurrency: int = 8
    time_budget_s: int = 60
    cors_origins: tuple[str, ...] = ()
    log_level: str = "info"
    metrics: bool = True
    traces: bool = False
    warm_maps: bool = False
    workers: int = 0

    @classmethod
    def from_environment(cls, environment: Mapping[str, str]) -> Settings:
        """Read and check the settings.

        Raises
        ------
        SettingsError
            Naming the variable, its value (never a key) and what is allowed.
        """
        _refuse_unknown(environment)
        keys = _keys(environment.get("LEAVELINE_API_KEYS", ""))
        if environment.get("LEAVELINE_API_KEY") and not keys:
            raise SettingsError(
                "LEAVELINE_API_KEY is the client's; the service asks for the keys in "
                "LEAVELINE_API_KEYS: set that, or unset this to run without keys"
            )
        read, usual = _Reader(environment), cls()
        return cls(
            api_keys=keys,
            max_body_bytes=read.whole(
                "LEAVELINE_MAX_BODY_BYTES", usual.max_body_bytes, 1_000, 10**8
            ),
            cache_seconds=read.whole("LEAVELINE_CACHE_SECONDS", usual.cache_seconds, 0, 10**7),
            kept_answers_mb=read.whole(
                "LEAVELINE_KEPT_ANSWERS_MB", usual.kept_answers_mb, 0, 10_000
            ),
            concurrency=read.whole("LEAVELINE_CONCURRENCY", usual.concurrency, 1, 256),
            time_budget_s=read.whole("LEAVELINE_TIME_BUDGET_SECONDS", usual.time_budget_s, 1, 3600),
            cors_origins=_origins(environment.get("LEAVELINE_CORS_ORIGINS", "")),
            log_level=read.word("LEAVELINE_LOG_LEVEL", usual.log_level, LOG_LEVELS),
            metrics=read.flag("LEAVELINE_METRICS", usual.metrics),
            traces=read.flag("LEAVELINE_TRACES", usual.traces),
            warm_maps=read.flag("LEAVELINE_WARM_MAPS", usual.warm_maps),
            workers=read.whole("WEB_CONCURRENCY", usual.workers, 0, 1024),
        )

    def public(self) -> dict[str, Any]:
        """Give the settings as they may be printed: the keys as their count."""
        shown = {field.name: getattr(self, field.name) for field in fields(self)}
        shown["api_keys"] = len(self.api_keys)
        shown["cors_origins"] = list(self.cors_origins)
        return shown


VARIABLES = frozenset(re.findall(r"^\| (LEAVELINE_\w+) \|", __doc__ or "", re.MULTILINE))
"""Every variable of ours, from the table above."""


def _refuse_unknown(environment: Mapping[str, str]) -> None:
    for name in sorted(environment):
        known = name in VARIABLES or name in OF_THE_CLIENT or OF_KUBERNETES.fullmatch(name)
        if name.startswith(PREFIX) and not known:
            close = difflib.get_close_matches(name, sorted(VARIABLES), n=1, cutoff=0.8)
            hint = (
                f"did you mean {close[0]}?" if close else f"known: {', '.join(sorted(VARIABLES))}"
            )
            raise SettingsError(f"{name[:60]} is not a setting of the service; {hint}")


def _keys(text: str) -> tuple[str, ...]:
    keys = tuple(part.strip() for part in text.split(",") if part.strip())
    if text.strip() and not keys:
        raise SettingsError("LEAVELINE_API_KEYS: holds no key; leave it unset to ask for none")
    for key in keys:
        if len(key) < 16 or not key.isascii() or not key.isprintable() or " " in key:
            raise SettingsError(
                "LEAVELINE_API_KEYS: every key needs 16 or more printable ASCII characters, "
                "none of them a space"
            )
    return keys


def _origins(text: str) -> tuple[str, ...]:
    origins = tuple(part.strip() for part in text.split(",") if part.strip())
    for origin in origins:
        if origin != "*" and not ORIGIN.fullmatch(origin):
            raise SettingsError(
                f"LEAVELINE_CORS_ORIGINS: {origin[:60]!r} must be `*` or an origin as browsers "
                "send it, such as https://pages.example:8443 (lower case, no path)"
            )
    if "*" in origins and len(origins) > 1:
        raise SettingsError("LEAVELINE_CORS_ORIGINS: `*` must stand alone")
    return origins


@dataclass(frozen=True, slots=True)
class _Reader:
    """Reads one variable at a time; an empty one counts as unset."""

    environment: Mapping[str, str]

    def whole(self, name: str, default: int, low: int, high: int) -> int:
        text = self.environment.get(name, "")
        if not text:
            return default
        usable = text.isascii() and text.isdigit() and len(text) <= 12
        if not usable or not low <= int(text) <= high:
            raise SettingsError(
                f"{name}={text[:40]!r}: must be a whole number from {low} to {high}"
            )
        return int(text)

    def word(self, name: str, default: str, choices: tuple[str, ...]) -> str:
        text = self.environment.get(name, "") or default
        if text not in choices:
            raise SettingsError(f"{name}={text[:40]!r}: must be one of {', '.join(choices)}")
        return text

    def flag(self, name: str, default: bool) -> bool:
        return self.word(name, "on" if default else "off", ("on", "off")) == "on"
