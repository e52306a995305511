"""What a coach would say of a leave, of several, and of the season as a whole."""

from __future__ import annotations

from leaveline.lines.words import percent
from leaveline.practice.findings import GroupReview, LeaveReview, Review
from leaveline.practice.season import Season
from leaveline.practice.tallies import SeasonTally

FEW_GAMES = 10
FEW_FRAMES = 30
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
            f"Only {_games(tally.complete_games)} complete; pins a game rest on few of them."
        )
    if len(season.frames) < FEW_FRAMES:
        said.append(
            f"Only {_frames(len(season.frames))} read: how often a leave comes up, and so what "
            "practice would bring, is hardly known."
        )
    incomplete = len(season.games) - tally.complete_games
    if incomplete:
        lack = "game lacks" if incomplete == 1 else "games lack"
        said.append(f"{incomplete} {lack} frames: their spares count, their pins lost do not.")
    if season.rows_not_used:
        rows = "row" if len(season.rows_not_used) == 1 else "rows"
        said.append(f"{len(season.rows_not_used)} {rows} could not be read: see the reports.")
    if season.encoding == "latin-1":
        said.append("The file was no UTF-8 and was read as Latin-1; some letters may be wrong.")
    if tally.unknown.attempts:
        said.append(f"{tally.unknown.attempts} spare balls name no leave: scored, not judged.")
    return (*said, *GENERAL)


def summary_words(found: Review) -> str:
    """The season in a few sentences, what to practise first among them."""
    frames, complete = len(found.season.frames), len(found.season.complete_games)
    said = [f"{_frames(frames)} read; {_games(complete)} complete."]
    if found.average is not None:
        said.append(
            f"They average {found.average:.1f}, and missed spares cost "
            f"{found.pins_lost_per_game:.1f} pins a game."
        )
    said += [group.words for group in found.groups if group.kind == "all"]
    if found.practice:
        said.append(f"To practise next: {found.practice[0].words}")
    elif frames:
        said.append("Nothing stands out to practise.")
    return " ".join(said)


def _frames(count: int) -> str:
    return "1 frame" if count == 1 else f"{count} frames"


def _games(count: int) -> str:
    return "1 game is" if count == 1 else f"{count} games are"
