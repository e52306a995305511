"""Compile every kernel by asking the service for what it answers; run while an image is built.

numba keeps what it compiles in `NUMBA_CACHE_DIR`. A kernel that none of the requests below reaches
would be compiled by the first caller who needs it, so one left over fails the build.
"""

from __future__ import annotations

import importlib
import pkgutil
import sys
from collections.abc import Iterator

import leaveline
from leaveline.pins.leave import ALL_LEAVES
from leaveline.web import create_app
from leaveline.web.settings import Settings
from numba.core.dispatcher import Dispatcher

OILED = {
    "leave": "10",
    "lane": {"oil": {"length_ft": 40, "ratio": 2}},
    "bowler": {"level": "scratch", "release": {"rev_rate_rpm": 325, "axis_rotation_deg": 50}},
    "play": "both",
    "sensitivity": True,
}
GETS = ("/readyz", "/v1/lines/1-2-10", "/v1/lines/7?hand=left",
        "/v1/pictures/10.svg?oil_length_ft=41", "/v1/pictures/3-10.svg?kind=carry")  # fmt: skip
POSTS: tuple[tuple[str, dict[str, object]], ...] = (
    ("/v1/lines", OILED),
    (
        "/v1/lines",
        {**OILED, "sensitivity": False, "balls": [{"cover": "reactive_solid"},
                                                  {"cover": "polyester"}]},
    ),
    ("/v1/lines", {"leave": "3-6-7-10", "play": "count"}),
    ("/v1/advice", {"leave": "4-6-7-10", "situation": {"kind": "score"}}),
)  # fmt: skip


def main() -> int:
    """Answer the requests; 1 where one is refused or a kernel was never called."""
    client = create_app(Settings()).test_client()
    answers = [client.get(address) for address in GETS]
    answers += [client.post(address, json=body) for address, body in POSTS]
    # A throw is drawn collision by collision; which leave's has one of every kind is the model's
    # business.
    for leave in ALL_LEAVES:
        if not uncalled():
            break
        answers.append(client.get(f"/v1/pictures/{leave}.svg"))
    refused = [answer.get_data(as_text=True) for answer in answers if answer.status_code != 200]
    for text in refused:
        print(f"refused: {text}", file=sys.stderr)
    for kernel in uncalled():
        print(f"never called: {kernel.py_func.__module__}.{kernel.__name__}", file=sys.stderr)
    print(f"{len(list(kernels()))} kernels, {len(answers)} requests")
    return 1 if refused or uncalled() else 0


def uncalled() -> list[Dispatcher]:
    """Kernels that nobody has called yet."""
    return [kernel for kernel in kernels() if not kernel.signatures and not in_callers(kernel)]


def kernels() -> Iterator[Dispatcher]:
    """Every compiled function of the service."""
    for found in pkgutil.walk_packages(leaveline.__path__, "leaveline."):
        module = importlib.import_module(found.name)
        for value in vars(module).values():
            if isinstance(value, Dispatcher) and value.py_func.__module__ == found.name:
                yield value


def in_callers(kernel: Dispatcher) -> bool:
    """Whether a kernel is only ever compiled as part of those that call it."""
    inlined: bool = kernel.targetoptions.get("inline") == "always"
    return inlined and kernel.__name__.startswith("_")


if __name__ == "__main__":
    raise SystemExit(main())
