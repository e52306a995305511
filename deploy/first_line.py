"""Wait until the service answers, then solve a real line through the SDK and print it.

Where the service asks for a key (LEAVELINE_API_KEYS), the first of its keys is sent.
"""

from __future__ import annotations

import os
import sys
import time

from leaveline_client import Client, LeavelineError

PATIENCE_S = 180
"""The very first start compiles the kernels."""


def main() -> int:
    """Print one solved line; 1 when the service did not come up or gave none."""
    url, server = sys.argv[1], int(sys.argv[2])
    key = os.environ.get("LEAVELINE_API_KEYS", "").strip(" ,").partition(",")[0].strip()
    deadline = time.monotonic() + PATIENCE_S
    with Client(url, api_key=key or None) as client:
        while True:
            try:
                client.ready()
                break
            except LeavelineError as error:
                if not _alive(server):
                    print("the service ended; what it said is above", file=sys.stderr)
                    return 1
                if time.monotonic() > deadline:
                    print(f"the service did not come up: {error}", file=sys.stderr)
                    return 1
                time.sleep(0.3)
        try:
            answer = client.lines(leave="1-2-10", bowler={"level": "scratch"}, limit=1)
        except LeavelineError as error:
            print(f"the service gave no line: {error}", file=sys.stderr)
            return 1
    line = answer.lines[0]
    print(f"{answer.leave}: {line.words}")
    return 0


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except OSError:
        return False
    return True


if __name__ == "__main__":
    try:
        raise SystemExit(main())
    except KeyboardInterrupt:
        raise SystemExit(130) from None
