"""The answer and its reasons in words, as a coach would say them."""

from __future__ import annotations

from .decision import Decision
from .reasons import Code, Goal, Reason
from .situation import Maximised, TieRule

# Numbers of a reason by name; `{..._text}` is a number of pins with its noun; {win}, {wins} and
# {won} are the goal's verb. Numbers in `COMPARED` come as texts with their unit.
SENTENCES: dict[Code, str] = {
    "same_line": "Both plays fell the pins alike: there is nothing to choose.",
    "equal_plays": "Both plays are worth the same here. The score comes to about "
    "{spare_expected_score:.1f} with the spare, {count_expected_score:.1f} with the count.",
    "margin_below_noise": "The margin of {margin} is less than two standard errors, "
    "{two_errors}: too close to call.",
    "already_won": "Nothing can go wrong any more: this {wins} even if every ball to come misses.",
    "out_of_reach": "Even the most that is left falls {short_text} short: this cannot be {won} any "
    "more.",
    "only_a_tie_left": "Even the most that is left only ties: a win is out of reach, a tie is not.",
    "needs_exactly_n": "This ball settles it: it takes at least {pins_text} to {win}.",
    "count_wins_outright": "A count of {pins:.0f} {wins} outright, whatever follows.",
    "spare_wins_outright": "Making it {wins} outright, whatever follows.",
    "only_a_mark_can_win": "Only a mark can still {win}: the count is out of it.",
    "needs_at_least_n": "Fewer than {pins_text} with this ball cannot {win} any more.",
    "opponent_finished": "The opponent has finished with {score:.0f}.",
    "opponent_heading_for": "The opponent is heading for about {score:.0f}, give or take "
    "{sd:.0f}, and can reach {highest_score:.0f}.",
    "ahead_before": "{pins_text} ahead before this game.",
    "behind_before": "{pins_text} behind before this game.",
    "behind_cut_by": "On course for about {expected_total:.0f}, {pins_text} behind the cut at "
    "{cut:.10g}.",
    "ahead_of_cut_by": "On course for about {expected_total:.0f}, {pins_text} ahead of the cut at "
    "{cut:.10g}.",
    "striking_out_reaches": "The spare and striking out reach {after_spare:.0f}, {short_of_it} "
    "and striking out {after_count:.0f}.",
    "tenth_frame_fill_ball": "This is a fill ball: a spare earns nothing further, only pins count.",
    "tenth_frame_mark_earns_ball": "A mark in the tenth earns another ball.",
    "foundation_frame": "In the foundation frame, the ninth, a mark makes the tenth frame's first "
    "ball count twice.",
    "ball_counts_times": "With a strike before, this ball counts {times:.0f} times.",
    "making_adds": "Against {short_of_it}, making it adds {difference}: {made} instead of "
    "{one_pin_short}.",
    "flips_at": "The answer turns where the spare is made {make_probability} of the time; "
    "here it is {spare_make_probability}.",
}
SCORE_SENTENCES: dict[Code, str] = {
    "margin_below_noise": "The margin of {margin} pins is less than two standard errors, "
    "{two_errors} pins: too close to call.",
    "making_adds": "Against {short_of_it}, making it adds {value:.1f} pins to the game.",
}
ONE_FEWER_TIES = " One pin fewer can still tie."
# What is said instead of the usual sentence where the flag of that name is up.
INSTEAD: dict[Code, tuple[str, str]] = {
    "only_a_tie_left": (
        "roll_off",
        "Even the most that is left only ties: the match can be won in a roll-off only.",
    ),
    "only_a_mark_can_win": (
        "count_can_tie",
        "Only a mark can still {win}: the best count can tie it at most.",
    ),
    "striking_out_reaches": (
        "count_ends_game",
        "The spare and striking out reach {after_spare:.0f}; {short_of_it} ends the game at "
        "{after_count:.0f}.",
    ),
}
# Two numbers shown side by side, with as many decimals as it takes to tell them apart, this many
# at least.
COMPARED: dict[Code, tuple[str, str, int]] = {
    "margin_below_noise": ("margin", "two_errors", 2),
    "making_adds": ("made", "one_pin_short", 1),
    "flips_at": ("make_probability", "spare_make_probability", 1),
}
MOST_DIGITS = 6

VERBS: dict[Goal, dict[str, str]] = {
    "match": {"win": "win the match", "wins": "wins the match", "won": "won"},
    "cut": {"win": "make the cut", "wins": "makes the cut", "won": "made"},
    "score": {"win": "score", "wins": "scores", "won": "scored"},
}
EITHER = "Either play will do; by the score, play for the {play}."
HEADLINES: dict[Maximised, str] = {
    "win_probability": "Play for the {play}: it wins the match with {value}, the {other} with "
    "{other_value}.",
    "cut_probability": "Play for the {play}: it makes the cut with {value}, the {other} with "
    "{other_value}.",
    "expected_score": "Play for the {play}: the game comes to about {value}, with the {other} to "
    "{other_value}.",
}
# Where ties are in the number: what it is, then win and tie apart.
HEADLINES_WITH_TIES: dict[TieRule, str] = {
    "roll_off": "Play for the {play}: it wins the match, in a roll-off if need be, with {value}, "
    "the {other} with {other_value}.",
    "half": "Play for the {play}: it is worth {value} of the match, the {other} {other_value}, a "
    "tie counted as half a win.",
    "win": "Play for the {play}: it wins or ties the match with {value}, the {other} with "
    "{other_value}; a tie counts as a win.",
}
WIN_AND_TIE = (
    "the {play} wins with {win} and ties with {tie}, the {other} with {other_win} and {other_tie}."
)


def sentence(reason: Reason) -> str:
    """One reason as an English sentence or two."""
    numbers = dict(reason.numbers)
    template = SENTENCES[reason.code]
    if reason.goal == "score":
        template = SCORE_SENTENCES.get(reason.code, template)
    flag, instead = INSTEAD.get(reason.code, ("", ""))
    if numbers.get(flag):
        template = instead
    pins = {f"{name.removesuffix('_pins')}_text": _pins(value) for name, value in numbers.items()}
    fields: dict[str, float | str] = {**numbers, **pins, **_compared(reason, numbers)}
    if "best_count_pins" in numbers:
        fields["short_of_it"] = _short_of_it(reason.code, int(numbers["best_count_pins"]))
    text = template.format(**fields, **VERBS[reason.goal])
    if numbers.get("one_fewer_ties"):
        text += ONE_FEWER_TIES
    return text[0].upper() + text[1:]


def headline(decision: Decision) -> str:
    """The answer in one sentence, and win and tie apart where ties are in its numbers."""
    play, other = decision.play, "count" if decision.play == "spare" else "spare"
    if any(reason.code == "equal_plays" for reason in decision.reasons):
        return EITHER.format(play=play)
    mine, theirs = decision.spare, decision.count
    if play == "count":
        mine, theirs = theirs, mine
    percent = decision.maximised != "expected_score"
    digits = _digits(mine.value, theirs.value, percent)

    def shown(value: float) -> str:
        return _shown(value, digits, percent)

    names = {"play": play, "other": other}
    values = {"value": shown(mine.value), "other_value": shown(theirs.value)}
    if mine.chances is None or theirs.chances is None or decision.tie_rule is None:
        return HEADLINES[decision.maximised].format(**names, **values)
    apart = {
        "win": shown(mine.chances.win),
        "tie": shown(mine.chances.tie),
        "other_win": shown(theirs.chances.win),
        "other_tie": shown(theirs.chances.tie),
    }
    if list(values.values()) == [apart["win"], apart["other_win"]]:  # no tie is in the number
        return HEADLINES[decision.maximised].format(**names, **values)
    text = HEADLINES_WITH_TIES[decision.tie_rule].format(**names, **values)
    both = WIN_AND_TIE.format(**names, **apart)
    if decision.tie_rule == "roll_off":
        return f"{text} Before any roll-off {both}"
    return f"{text} {both[0].upper()}{both[1:]}"


def words(decision: Decision) -> tuple[str, ...]:
    """The answer, then every reason, a sentence or two each."""
    return (headline(decision), *(sentence(reason) for reason in decision.reasons))


def _compared(reason: Reason, numbers: dict[str, float]) -> dict[str, str]:
    """The two numbers a reason sets side by side, and what the texts differ by."""
    if reason.code not in COMPARED:
        return {}
    one, other, least = COMPARED[reason.code]
    values = {**numbers, "two_errors": 2 * numbers.get("standard_error", 0.0)}
    percent = reason.goal != "score" or reason.code == "flips_at"
    digits = _digits(values[one], values[other], percent, least)
    decimals = digits + 2 if percent else digits
    # Of the rounded numbers, so that whoever subtracts them finds the same.
    difference = round(values[one], decimals) - round(values[other], decimals)
    return {
        one: _shown(values[one], digits, percent),
        other: _shown(values[other], digits, percent),
        "difference": _shown(difference, digits, percent),
    }


def _short_of_it(code: Code, pins: int) -> str:
    """What is set against the make: all but one of the pins standing, at a single pin a miss."""
    if pins == 0:
        return "a miss"
    if code == "striking_out_reaches":
        return "the best count"
    return f"the best count, {pins} of the {pins + 1} pins felled"


def _digits(value: float, other: float, percent: bool, least: int = 1) -> int:
    """Decimals it takes to tell two numbers apart, `least` to `MOST_DIGITS`."""
    for digits in range(least, MOST_DIGITS):
        if _shown(value, digits, percent) != _shown(other, digits, percent):
            return digits
    return MOST_DIGITS


def _shown(value: float, digits: int, percent: bool) -> str:
    return f"{100 * value:.{digits}f} %" if percent else f"{value:.{digits}f}"


def _pins(value: float) -> str:
    """A number of pins with its noun; whole above ten, where a tenth of a pin says nothing."""
    rounded = round(value) if value == round(value) or value >= 10 else round(value, 1)
    return f"{rounded:g} pin" if rounded == 1 else f"{rounded:g} pins"
