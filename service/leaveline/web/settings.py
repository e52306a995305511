"""The service's settings, read from the environment and checked at start.

| variable | meaning | default |
| --- | --- | --- |
| LEAVELINE_API_KEYS | keys separated by commas; where set, `/v1` asks for one | none |
| LEAVELINE_MAX_BODY_BYTES | largest request body | 1000000 |
| LEAVELINE_CACHE_SECONDS | how long GET answers may be cached | 3600 |
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


class SettingsError(ValueError):
    """A setting in the environment is not usable."""


@dataclass(frozen=True, slots=True)
class Settings:
    """The service's settings."""

    api_keys: tuple[str, ...] = ()
    max_body_bytes: int = 1_000_000
    cache_seconds: int = 3600

    @classmethod
    def from_environment(cls, environment: Mapping[str, str]) -> Settings:
        """Read and check the settings.

        Raises
        ------
        SettingsError
            Naming the variable, its value and what is allowed.
        """
        return cls(
            api_keys=_keys(environment.get("LEAVELINE_API_KEYS", "")),
            max_body_bytes=_whole(environment, "LEAVELINE_MAX_BODY_BYTES", 1_000_000, 1_000, 10**8),
            cache_seconds=_whole(environment, "LEAVELINE_CACHE_SECONDS", 3600, 0, 10**7),
        )


def _keys(text: str) -> tuple[str, ...]:
    keys = tuple(part.strip() for part in text.split(",") if part.strip())
    for key in keys:
        if len(key) < 16 or not key.isascii():
            raise SettingsError("LEAVELINE_API_KEYS: every key needs 16 or more ASCII characters")
    return keys


def _whole(environment: Mapping[str, str], name: str, default: int, low: int, high: int) -> int:
    text = environment.get(name, "")
    if not text:
        return default
    if not text.isascii() or not text.isdigit() or not low <= int(text) <= high:
        raise SettingsError(f"{name}={text[:40]!r}: must be a whole number from {low} to {high}")
    return int(text)
