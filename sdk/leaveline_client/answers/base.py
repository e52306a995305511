"""What every answer has: how it came."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from leaveline_client.reading import Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Meta:
    """How an answer came.

    Attributes
    ----------
    request_id : str
        Quote it when asking for help; the service's log has it.
    model_version : str or None
        Raised by the service whenever a number in any answer changes; None where the answer
        carries none.
    status : int
        HTTP status.
    attempts : int
        How often the request was sent, the first time included.
    elapsed_s : float
        From the call to the answer, waits between attempts included [s].
    headers : dict
        The answer's headers, names in lower case.
    body : bytes
        The answer as it was sent, decompressed.
    """

    request_id: str = ""
    model_version: str | None = None
    status: int = 0
    attempts: int = 0
    elapsed_s: float = 0.0
    headers: Mapping[str, str] = field(default_factory=dict, repr=False, compare=False)
    body: bytes = field(default=b"", repr=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer(Part):
    """A whole answer.

    Attributes
    ----------
    meta : Meta
        How it came. Empty for an answer that did not come alone: one of a batch, or one read
        back from a file.
    """

    meta: Meta = field(default=Meta(), repr=False, compare=False)
