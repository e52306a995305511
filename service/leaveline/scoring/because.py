"""The answer and its reasons in words, as a coach would say them."""

from __future__ import annotations

from .decision import Decision
from .reasons import Code, Goal, Reason
from .situation import Maximised

# Numbers of a reason by name; `{..._text}` is a number of pins with its noun; {win}, {wins} and
# {won} are the goal's verb.
SENTENCES: dict[Code, str] = {
    "same_line": "Both plays fell the pins alike: there is nothing to choose.",
    "equal_plays": "Both plays are worth the same here. The score comes to about "
    "{spare_expected_score:.1f} with the spare, {count_expected_score:.1f} with the count.",
    "margin_below_noise": "The margin of {margin:.2%} is less than two standard errors of "
    "{standard_error:.2%}: too close to call.",
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
    "{cut:.0f}.",
    "ahead_of_cut_by": "On course for about {expected_total:.0f}, {pins_text} ahead of the cut at "
    "{cut:.0f}.",
    "striking_out_reaches": "The spare and striking out reach {after_spare:.0f}, the best count "
    "and striking out {after_count:.0f}.",
    "tenth_frame_fill_ball": "This is a fill ball: a spare earns nothing further, only pins count.",
    "tenth_frame_mark_earns_ball": "A mark in the tenth earns another ball.",
    "foundation_frame": "In the foundation frame, the ninth, a mark makes the tenth frame's first "
    "ball count twice.",
    "ball_counts_times": "With a strike before, this ball counts {times:.0f} times.",
    "making_adds": "Against the best count, making it adds {value:.2%}: {made:.1%} instead of "
    "{one_pin_short:.1%}.",
    "flips_at": "The answer turns where the spare is made {make_probability:.1%} of the time; "
    "here it is {spare_make_probability:.1%}.",
}
SCORE_SENTENCES: dict[Code, str] = {
    "margin_below_noise": "The margin of {margin:.2f} pins is less than two standard errors of "
    "{standard_error:.2f}: too close to call.",
    "making_adds": "Against the best count, making it adds {value:.1f} pins to the game.",
}
ONE_FEWER_TIES = " One pin fewer can still tie."
COUNT_CAN_TIE = " The best count can still tie."

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


def sentence(reason: Reason) -> str:
    """One reason as an English sentence or two."""
    template = SENTENCES[reason.code]
    if reason.goal == "score":
        template = SCORE_SENTENCES.get(reason.code, template)
    numbers = dict(reason.numbers)
    pins = {f"{name.removesuffix('_pins')}_text": _pins(value) for name, value in numbers.items()}
    text = template.format(**numbers, **pins, **VERBS[reason.goal])
    if numbers.get("one_fewer_ties"):
        text += ONE_FEWER_TIES
    if numbers.get("count_can_tie"):
        text += COUNT_CAN_TIE
    return text[0].upper() + text[1:]


def headline(decision: Decision) -> str:
    """The answer in one sentence."""
    play, other = decision.play, "count" if decision.play == "spare" else "spare"
    if any(reason.code == "equal_plays" for reason in decision.reasons):
        return EITHER.format(play=play)
    values = {"spare": decision.spare.value, "count": decision.count.value}
    kind = "f" if decision.maximised == "expected_score" else "%"
    value, other_value = _told_apart(values[play], values[other], kind)
    return HEADLINES[decision.maximised].format(
        play=play, other=other, value=value, other_value=other_value
    )


def words(decision: Decision) -> tuple[str, ...]:
    """The answer, then every reason, a sentence or two each."""
    return (headline(decision), *(sentence(reason) for reason in decision.reasons))


def _told_apart(value: float, other: float, kind: str) -> tuple[str, str]:
    """Both numbers with one decimal, or as many more, up to six, as it takes to differ."""
    for digits in range(1, 7):
        texts = f"{value:.{digits}{kind}}", f"{other:.{digits}{kind}}"
        if texts[0] != texts[1]:
            break
    return texts


def _pins(value: float) -> str:
    """A number of pins with its noun; whole above ten, where a tenth of a pin says nothing."""
    rounded = round(value) if value == round(value) or value >= 10 else round(value, 1)
    return f"{rounded:g} pin" if rounded == 1 else f"{rounded:g} pins"
