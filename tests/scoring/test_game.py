"""Rules of the game: frame scores, what is refused, and the state a game is in."""

import pickle

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.scoring import GameState, SheetError, score_sheet, state_after

from tests.scoring.witness import final_score, finished, frames_of, sheets, standing

SCORINGS = ("traditional", "current_frame")
steady = settings(derandomize=True, deadline=None, max_examples=200)

# International Bowling Federation, Universal Playing Rules 2.1.2: the example game and its totals.
RULE_BOOK = ["X", "X", "X", "S7", 2, 8, "/", "F", 9, "X", 7, "/", 9, "-", "X", "X", 8]
RULE_BOOK_TOTALS = [30, 57, 76, 85, 95, 104, 124, 143, 152, 180]


def totals(game):
    return [frame.total for frame in game.frames]


def test_rule_book_example_frame_by_frame():
    assert totals(score_sheet(RULE_BOOK)) == RULE_BOOK_TOTALS


@pytest.mark.parametrize("balls", range(len(RULE_BOOK) + 1))
def test_rule_book_example_as_it_is_bowled(balls):
    """A total appears with the last ball it depends on, and never changes."""
    # Ball (of the list, from 1) that completes each frame's score, bonuses included: by the rule.
    known_with = [3, 4, 5, 5, 8, 9, 12, 13, 14, 17]
    game = score_sheet(RULE_BOOK[:balls])
    shown = [total for total in totals(game) if total is not None]
    expected = [
        total for total, ball in zip(RULE_BOOK_TOTALS, known_with, strict=True) if ball <= balls
    ]
    assert shown == expected
    assert game.final_score == (180 if balls == len(RULE_BOOK) else None)


def test_rule_book_example_is_written_back_as_it_was():
    symbols = [symbol for frame in score_sheet(RULE_BOOK).frames for symbol in frame.symbols]
    assert symbols == [str(ball) for ball in RULE_BOOK]


@pytest.mark.parametrize(
    ("rolls", "score"),
    [
        # Worked examples seen outside the project; where, was not written down.
        ([*RULE_BOOK[:-1], 7], 179),
        ([9, "/"] * 10 + [9], 190),
        ([9, "/"] * 10 + ["X"], 191),
        # Arithmetic: eight gutter-spares at ten, the ninth 10 + 10, the tenth frame 30; ten
        # gutter-spares and a strike; gutter-spares round one strike, 20 for each of two frames;
        # twelve strikes, no pins, and the most there is without a mark.
        (["-", "/"] * 9 + ["X", "X", "X"], 130),
        (["-", "/"] * 10 + ["X"], 110),
        (["-", "/"] * 4 + ["X"] + ["-", "/"] * 5 + ["-"], 120),
        (["X"] * 12, 300),
        (["-"] * 20, 0),
        ([9, "-"] * 10, 90),
    ],
)
def test_worked_examples(rolls, score):
    assert score_sheet(rolls).final_score == score


@pytest.mark.parametrize(
    ("rolls", "score"),
    [
        # By the definition: a strike 30, a spare ten and its frame's first ball, else the pins.
        (["X"] * 10, 300),
        ([9, "/"] * 10, 190),
        (["-", "/"] * 10, 100),
        (["X", 7, "/", 9, "-"] + [8, 1] * 7, 30 + 17 + 9 + 63),
    ],
)
def test_current_frame_examples(rolls, score):
    assert score_sheet(rolls, scoring="current_frame").final_score == score


def test_current_frame_scores_are_known_at_once():
    game = score_sheet(["X", 7, "/", 9], scoring="current_frame")
    assert totals(game) == [30, 47, None]
    assert [frame.complete for frame in game.frames] == [True, True, False]


@pytest.mark.parametrize(
    ("rolls", "frame", "index", "allowed"),
    [
        ([11], 1, 0, "0 to 10 pins"),
        ([-1], 1, 0, "0 to 10 pins"),
        (["/"], 1, 0, '"X"'),
        (["10"], 1, 0, "0 to 10 pins"),
        ([""], 1, 0, "0 to 10 pins"),
        ([True], 1, 0, "0 to 10 pins"),
        ([7.0], 1, 0, "0 to 10 pins"),
        ([None], 1, 0, "0 to 10 pins"),
        (["S9"], 1, 0, '"S1" to "S8"'),
        (["S0"], 1, 0, '"S1" to "S8"'),
        ([7, 4], 1, 1, "0 to 3 pins"),
        ([7, "X"], 1, 1, '"/"'),
        (["F", "X"], 1, 1, '"/"'),
        ([7, "S2"], 1, 1, '"/"'),
        (["X", "/"], 2, 1, '"X"'),
        (["X"] * 9 + ["X", 4, 7], 10, 11, "0 to 6 pins"),
        (["X"] * 9 + ["X", "X", "/"], 10, 11, '"X"'),
        (["X"] * 9 + ["X", 4, "X"], 10, 11, '"/"'),
        (["X"] * 9 + [4, "/", "/"], 10, 11, '"X"'),
        (["X"] * 9 + [4, 5, 1], 10, 11, "no further ball"),
        (["X"] * 13, 10, 12, "no further ball"),
        (["-"] * 21, 10, 20, "no further ball"),
        ([10**5000], 1, 0, "0 to 10 pins"),
        (["7" * 5000], 1, 0, "0 to 10 pins"),
    ],
)
def test_illegal_sheets_are_refused(rolls, frame, index, allowed):
    with pytest.raises(SheetError) as caught:
        score_sheet(rolls)
    error = caught.value
    assert isinstance(error, ValueError)
    assert (error.frame, error.index, error.value) == (frame, index, rolls[index])
    assert allowed in error.allowed
    assert error.allowed in str(error)
    assert f"frame {frame}" in str(error)
    assert len(str(error)) < 200


def test_current_frame_has_no_fill_balls():
    with pytest.raises(SheetError, match="no further ball"):
        score_sheet(["X"] * 11, scoring="current_frame")


def test_sheet_errors_pickle():
    error = SheetError(3, 4, "X", "anything else")
    again = pickle.loads(pickle.dumps(error))
    assert (str(again), again.frame, again.index) == (str(error), 3, 4)


def test_text_and_unknown_scoring_are_refused():
    with pytest.raises(TypeError, match="allowed: a list"):
        score_sheet("X7/")
    with pytest.raises(ValueError, match="scoring is 'duckpins'; allowed: traditional"):
        score_sheet([], scoring="duckpins")


@pytest.mark.parametrize(
    ("rolls", "same"),
    [
        (["x", "s7", "f"], ["X", "S7", "F"]),
        ([10, 7, 3], ["X", "7", "/"]),
        (["0", "/"], ["-", 10]),
        ([np.int64(7), "2"], [7, 2]),
        (("X", 7), ["X", 7]),
    ],
)
def test_ways_of_writing_the_same(rolls, same):
    assert state_after(rolls) == state_after(same)


@pytest.mark.parametrize(
    ("rolls", "state"),
    [
        # By the rule: how often the next two balls count on top of their own pins.
        ([], GameState()),
        ([7], GameState(frame=1, balls=(7,), score=7)),
        ([7, "/"], GameState(frame=2, pending=(1, 0), score=10)),
        (["X"], GameState(frame=2, pending=(1, 1), score=10)),
        (["X", "X"], GameState(frame=3, pending=(2, 1), score=30)),
        (["X", "X", 5], GameState(frame=3, balls=(5,), pending=(1, 0), score=45)),
        (["X"] * 9 + ["X"], GameState(frame=10, balls=(10,), pending=(1, 0), score=270)),
        (["X"] * 12, GameState(frame=11, score=300)),
    ],
)
def test_state(rolls, state):
    assert state_after(rolls) == state


@pytest.mark.parametrize("scoring", SCORINGS)
@given(data=st.data())
@steady
def test_agrees_with_the_plain_scorer(scoring, data):
    """Frame scores, the credited pins and a scorer that shares no code agree at every end."""
    pins = data.draw(sheets(scoring, least=15))
    while not finished(pins, scoring):
        pins.append(data.draw(st.integers(0, standing(pins, scoring)[0])))
    game = score_sheet(pins, scoring=scoring)
    assert [list(frame.balls) for frame in game.frames] == frames_of(pins, scoring)
    assert game.frames[-1].total == game.final_score == final_score(pins, scoring)


@pytest.mark.parametrize("scoring", SCORINGS)
@given(data=st.data())
@steady
def test_every_beginning_of_a_game_is_a_game(scoring, data):
    """Totals known once stay, scores add up, and lowest and highest final score close in."""
    pins = data.draw(sheets(scoring))
    before = score_sheet([], scoring=scoring)
    for balls in range(1, len(pins) + 1):
        game = score_sheet(pins[:balls], scoring=scoring)
        known = [total for total in totals(before) if total is not None]
        assert totals(game)[: len(known)] == known
        for earlier, frame in zip(game.frames, game.frames[1:], strict=False):
            assert frame.total is None or frame.total == earlier.total + frame.score
        assert game.state.lowest_final() >= before.state.lowest_final()
        assert game.state.highest_final() <= before.state.highest_final()
        before = game


@pytest.mark.parametrize("scoring", SCORINGS)
@given(data=st.data())
@steady
def test_lowest_and_highest_final_are_reached(scoring, data):
    pins = data.draw(sheets(scoring))
    state = state_after(pins, scoring=scoring)
    low, high = list(pins), list(pins)
    while not finished(low, scoring):
        low.append(0)
    while not finished(high, scoring):
        high.append(standing(high, scoring)[0])
    assert state.lowest_final() == final_score(low, scoring)
    assert state.highest_final() == final_score(high, scoring)


@given(data=st.data())
@steady
def test_written_symbols_read_back_to_the_same_game(data):
    game = score_sheet(data.draw(sheets()))
    again = score_sheet([symbol for frame in game.frames for symbol in frame.symbols])
    assert again == game


def test_a_ball_cannot_fell_more_than_stands():
    with pytest.raises(ValueError, match=r"pins is 4; allowed: 0 to 3 in frame 1"):
        state_after([7]).throw(4)
