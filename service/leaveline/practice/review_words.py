"""What a coach would say of a leave, of several, and of the season as a whole."""

from __future__ import annotations

from leaveline.lines.words import percent
from leaveline.practice.findings import GroupReview, LeaveReview
from leaveline.practice.season import Season
from leaveline.practice.tallies import SeasonTally

FEW_GAMES = 10
GENERAL = (
    "What a line makes is a probability, not a promise; the lane and the day have their say.",
    "Spread many balls over several days, and stop when wrist, hand or arm are sore.",
)


def leave_words(one: LeaveReview) -> str:
    """A leave: made, to be expected, lost, and why."""
    said = f"{one.leave}: {one.made} of {one.attempts} made ({percent(one.share.value)})"
    if one.expected is None:
        return f"{said}; too rare to be judged."
    said += f", {percent(one.expected.value)} to be expected"
    if one.pins_lost_per_game:
        said += f", {one.pins_lost_per_game:.2f} pins lost a game"
    if one.verdict == "luck":
        return f"{said}. Luck explains the difference."
    if one.verdict == "above":
        return f"{said}. Better than this accuracy: a strength."
    if one.verdict == "skill":
        return f"{said}. More than bad luck: a weakness here."
    why = []
    if one.lean and one.lean.side != "neither":
        why.append(f"the misses lean {abs(one.lean.mean_boards):.1f} boards to the {one.lean.side}")
    if one.cost_of_lines:
        why.append(
            f"of 100, the lines thrown make {100 * one.cost_of_lines:.0f} fewer than the best one"
        )
    return f"{said}. More than bad luck: {' and '.join(why)}."


def group_words(one: GroupReview) -> str:
    """Several leaves: made and to be expected."""
    name = {"all": "All spares", "corner_pins": "Corner pins", "ball": f"Ball {one.name}"}.get(
        one.kind, one.name.replace("_", " ").capitalize()
    )
    ends = {
        "luck": "luck explains the difference",
        "above": "better than this accuracy",
    }.get(one.verdict, "more than bad luck")
    made = f"{one.made} of {one.attempts} made, {one.expected_made:.1f} to be expected"
    return f"{name}: {made}; {ends}."


def caution_words(season: Season, tally: SeasonTally) -> tuple[str, ...]:
    """What the reader should know before taking the numbers at their word."""
    said = []
    if tally.complete_games < FEW_GAMES:
        said.append(
            f"Only {tally.complete_games} games are complete; pins a game rest on few of them."
        )
    incomplete = len(season.games) - tally.complete_games
    if incomplete:
        said.append(f"{incomplete} games lack frames: their spares count, their pins lost do not.")
    if season.rows_not_used:
        said.append(f"{len(season.rows_not_used)} rows could not be read and are listed.")
    if season.encoding == "latin-1":
        said.append("The file was no UTF-8 and was read as Latin-1; some letters may be wrong.")
    if tally.unknown.attempts:
        said.append(f"{tally.unknown.attempts} spare balls name no leave: scored, not judged.")
    return (*said, *GENERAL)
