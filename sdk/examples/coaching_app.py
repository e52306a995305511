"""A coaching app's one call: a bowler left something standing; what should they do about it?

Run: LEAVELINE_URL=http://127.0.0.1:8080 python coaching_app.py 3-6-10
"""

from __future__ import annotations

import os
import sys

from leaveline_client import Bowler, Client, InvalidRequest, LeavelineError, Release, Spread

URL = os.environ.get("LEAVELINE_URL", "http://127.0.0.1:8080")
KEY = os.environ.get("LEAVELINE_API_KEY") or None


def card(client: Client, leave: str, bowler: Bowler) -> str:
    """The text of the app's card for one leave."""
    answer = client.lines(leave=leave, bowler=bowler, limit=1)
    line = answer.lines[0]
    room = line.miss_room
    return "\n".join(
        [
            f"{answer.leave}: stand {line.stand_board:g}, lay down {line.lay_down_board:g}, "
            f"hit {line.target_board:g}",
            f"made {line.make_probability:.0%} of the time (± {line.standard_error:.1%})",
            f"room to miss: {room.left_boards:g} boards left, {room.right_boards:g} right",
            line.words,
        ]
    )


def main() -> int:
    """Show the card of the leave on the command line."""
    # Somebody who repeats better than the league's preset, but only at the target.
    bowler = Bowler(
        hand="right",
        level="league",
        spread=Spread(target_boards=0.9),
        release=Release(speed_mph=17.5),
    )
    leave = sys.argv[1] if len(sys.argv) > 1 else "3-6-10"
    with Client(URL, api_key=KEY) as client:
        try:
            print(card(client, leave, bowler))
        except InvalidRequest as error:
            for fault in error.errors:
                print(f"{fault.pointer}: {fault.detail}", file=sys.stderr)
            return 2
        except LeavelineError as error:
            print(f"no advice just now: {error}", file=sys.stderr)
            return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
