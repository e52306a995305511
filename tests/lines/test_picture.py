"""Pictures parse, carry the numbers of their line, and mirror for a left-hander."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations, pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from leaveline.delivery import LEVELS, Ball, Rolling, default_release
from leaveline.lane import x_from_board
from leaveline.lane.dimensions import FOUL_TO_HEAD_PIN_IN, TARGET_IN
from leaveline.lane.oil import OilPattern, oil_amount
from leaveline.lines import Bowler, Line, evaluate, solve
from leaveline.lines import picture_parts as parts
from leaveline.lines.picture import lane_picture, path_of, picture_of, straight_path
from leaveline.lines.picture_carry import STEPS, carry_picture, make_chance
from leaveline.lines.picture_deck import SCALE, drawn_throw
from leaveline.lines.picture_lane import COLUMN_WIDTH, MARGIN_X, runs, wrapped
from leaveline.lines.words import board, chance
from leaveline.pins import ALL_LEAVES, Leave
from leaveline.pins.carry import make_probabilities
from leaveline.pins.leave import format_mask, mirror_mask
from leaveline.pins.trace import BALL

SVG = "{http://www.w3.org/2000/svg}"
WASHOUT = Leave.parse("1-2-10")
HOOKING = Rolling(
    Ball(cover="reactive_solid"), default_release("strike", level="scratch"), OilPattern(40.0, 8.0)
)
MIRRORED_PARTS = ("oil", "lane", "path", "room", "target", "approach", "missed", "deck")
LEFT_RIGHT = {"left": "right", "right": "left"}


def solved(leave: Leave, bowler: Bowler) -> Line:
    return solve(leave, bowler, limit=1)[0]


def part(root: ET.Element, name: str) -> ET.Element:
    found = root.find(f".//{SVG}g[@data-part='{name}']")
    assert found is not None, name
    return found


def texts(element: ET.Element) -> list[str]:
    return [node.text or "" for node in element.iter(f"{SVG}text")]


def path_points(element: ET.Element) -> list[tuple[float, float]]:
    numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", element.get("d", ""))]
    return list(zip(numbers[::2], numbers[1::2], strict=True))


# ---- The numbers ----


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("text", ["10", "1-2-10", "2-4-5-8", "7-10", "1-2-3-4-5-6-7-8-9-10"])
@pytest.mark.parametrize("rolling", [None, HOOKING])
def test_the_picture_carries_its_line(text: str, hand: str, rolling: Rolling | None) -> None:
    leave = Leave.parse(text)
    bowler = Bowler(hand=hand, rolling=rolling)  # type: ignore[arg-type]
    line = solved(leave, bowler)
    root = ET.fromstring(picture_of(leave, line, bowler))
    told = {name.removeprefix("data-"): value for name, value in root.attrib.items()}
    assert (told["leave"], told["hand"], told["play"]) == (text, hand, line.play)
    for name, value in {
        "stand-board": line.stand_board,
        "lay-down-board": line.lay_down_board,
        "target-board": line.target_board,
        "board-at-pins": line.board_at_pins,
        "room-left-boards": line.miss_room.left_boards,
        "room-right-boards": line.miss_room.right_boards,
        "entry-angle-deg": np.degrees(line.entry_angle_rad),
    }.items():
        assert float(told[name]) == round(float(value), 3)
    assert float(told["make-probability"]) == round(line.make_probability, 6)
    assert {board(line.stand_board), board(line.target_board)} <= set(texts(part(root, "header")))
    for missed in root.iterfind(f".//{SVG}g[@data-part='missed']"):
        side = line.missed_left if missed.get("data-side") == "left" else line.missed_right
        assert float(missed.get("data-probability", "")) == round(side.probability, 6)
        drawn = {
            item.get("data-leave"): float(item.get("data-probability", ""))
            for item in missed.iterfind(f"{SVG}g")
        }
        assert drawn == {
            format_mask(r.mask): round(r.probability, 6)
            for r in side.remainders
            if r.probability >= 0.005
        }


def caption(item: ET.Element) -> str:
    """What is written under a small rack, its rows joined."""
    return "".join(f"{row} " if row.endswith(":") else row for row in texts(item))


@pytest.mark.parametrize(
    "text", ["10", "1-2-10", "4-6-7-9-10", "1-2-4-7-8-9-10", "1-2-3-4-5-6-7-8-9-10"]
)
def test_what_a_miss_leaves_is_named_however_long(text: str) -> None:
    leave = Leave.parse(text)
    bowler = Bowler(spread=LEVELS["casual"])
    root = ET.fromstring(picture_of(leave, solved(leave, bowler), bowler))
    items = root.findall(f".//{SVG}g[@data-part='remainder']")
    assert items
    for item in items:
        probability = float(item.get("data-probability", ""))
        worth = "" if probability > 0.995 else f": {chance(probability, decimals=0)}"
        assert caption(item) == f"{item.get('data-leave')}{worth}"
        dark = item.findall(f"{SVG}circle[@fill='{parts.INK}']")
        assert len(dark) == len(item.get("data-leave", "").split("-"))


@given(st.integers(1, 1023), st.floats(0, 1))
def test_a_long_leave_goes_on_in_the_next_row(mask: int, probability: float) -> None:
    name = format_mask(mask)
    rows = wrapped(f"{name}: ", chance(probability, decimals=0))
    assert "".join(rows).replace(" ", "") == f"{name}:{chance(probability, decimals=0)}".replace(
        " ", ""
    )
    assert all(parts.em_width(row) * parts.LEAST_SIZE <= COLUMN_WIDTH for row in rows)
    assert all(row[-1] in "-:%" for row in rows)


def test_beside_the_lane_nothing_is_written_over_another() -> None:
    """Down each side stand what a miss leaves, target or miss room, lay-down and stand."""
    for leave in ALL_LEAVES[::97]:
        bowler = Bowler(spread=LEVELS["casual"])
        root = ET.fromstring(picture_of(leave, solved(leave, bowler), bowler))
        for side in (-1, 1):
            written = sorted(
                (float(node.get("y", "")), float(node.get("font-size", "")))
                for node in root.iter(f"{SVG}text")
                if side * float(node.get("x", "")) == MARGIN_X
            )
            for (above, _), (below, size) in pairwise(written):
                assert below - above >= 0.85 * size, (str(leave), above, below)


@pytest.mark.parametrize("rolling", [None, HOOKING])
def test_marks_stand_where_the_line_says(rolling: Rolling | None) -> None:
    bowler = Bowler(rolling=rolling)
    line = solved(Leave.parse("3-6-9-10"), bowler)
    root = ET.fromstring(picture_of(Leave.parse("3-6-9-10"), line, bowler))
    ring = part(root, "target").find(f"{SVG}circle")
    assert ring is not None
    target_x, target_y = float(ring.get("cx", "")), float(ring.get("cy", ""))
    assert target_x == pytest.approx(x_from_board(line.target_board) * SCALE, abs=0.05)
    points = path_points(part(root, "path")[0])
    assert points[0][0] == pytest.approx(x_from_board(line.lay_down_board) * SCALE, abs=0.05)
    # The table the line was found in is interpolated; the path drawn is not.
    assert points[-1][0] == pytest.approx(x_from_board(line.board_at_pins) * SCALE, abs=2.0)
    ys, xs = [y for _, y in reversed(points)], [x for x, _ in reversed(points)]
    assert np.interp(target_y, ys, xs) == pytest.approx(target_x, abs=0.6)


def test_miss_room_is_drawn_as_wide_as_it_is() -> None:
    leave, bowler = Leave.parse("10"), Bowler()
    line = solved(leave, bowler)
    assert line.miss_room.left_boards > 0
    root = ET.fromstring(picture_of(leave, line, bowler))
    ring = part(root, "target").find(f"{SVG}circle")
    assert ring is not None
    target_y = float(ring.get("cy", ""))
    _, left, right = part(root, "room")
    board_width = SCALE * (x_from_board(1) - x_from_board(2))
    for edge, boards in ((left, -line.miss_room.left_boards), (right, line.miss_room.right_boards)):
        points = path_points(edge)[::-1]
        at = np.interp(target_y, [y for _, y in points], [x for x, _ in points])
        aside = (at - x_from_board(line.target_board) * SCALE) / board_width
        assert aside == pytest.approx(boards, abs=0.03)


def test_no_room_no_band() -> None:
    line = solved(WASHOUT, Bowler(spread=LEVELS["casual"]))
    line = replace(line, miss_room=replace(line.miss_room, left_boards=0.0, right_boards=0.0))
    root = ET.fromstring(picture_of(WASHOUT, line, Bowler()))
    assert root.find(f".//{SVG}g[@data-part='room']") is None
    assert "none" in texts(part(root, "target"))


def test_pins_that_stay_are_told() -> None:
    leave = Leave.parse("7-10")
    line = evaluate(leave, Bowler(), lay_down_board=20, target_board=15.5)
    drawn = drawn_throw(leave, line, hand="right", ball_weight_lb=15)
    root = ET.fromstring(picture_of(leave, line, Bowler()))
    deck = part(root, "deck")
    left = deck.get("data-drawn-leaves")
    assert left == "-".join(map(str, drawn.throw.left)) != ""
    dark = {
        number.text
        for disc, number in zip(deck, list(deck)[1:], strict=False)
        if number.tag == f"{SVG}text" and disc.get("fill") == parts.INK
    }
    assert dark == set(left.split("-"))


def test_what_fells_what_is_said() -> None:
    leave = Leave.parse("3-10")
    drawn = drawn_throw(leave, solved(leave, Bowler()), hand="right", ball_weight_lb=15)
    felled = {trail.pin: trail.felled_by for trail in drawn.throw.pins}
    assert felled[3] == BALL
    by = "ball" if felled[10] == BALL else "3"
    said = {
        "ball": "The ball takes the 3 and 10.",
        "3": "The ball takes the 3, the 3 takes the 10.",
    }
    assert drawn.falls() == said[by]
    root = ET.fromstring(picture_of(leave, solved(leave, Bowler()), Bowler()))
    assert said[by] in texts(part(root, "captions"))
    assert (root.findtext(f"{SVG}desc") or "").endswith(said[by])


def test_numbers_that_would_hide_each_other_stand_apart() -> None:
    lines = solve(WASHOUT, Bowler(), limit=3)
    near = [*lines, replace(lines[0], board_at_pins=lines[0].board_at_pins + 0.1)]
    root = ET.fromstring(carry_picture(WASHOUT, hand="right", lines=near))
    at = [
        (float(node.get("x", "")), float(node.get("y", "")))
        for mark in root.iterfind(f".//{SVG}g[@data-part='line']")
        for node in mark.iter(f"{SVG}text")
    ]
    assert len(at) == len(near) >= 3
    assert all(np.hypot(a[0] - b[0], a[1] - b[1]) >= 17 for a, b in combinations(at, 2))


def test_a_count_is_drawn_as_meant() -> None:
    leave = Leave.parse("4-6-7-10")
    line = solve(leave, Bowler(), play="count", limit=1)[0]
    drawn = drawn_throw(leave, line, hand="right", ball_weight_lb=15)
    assert drawn.aside_in == 0.0
    assert "counts" in " ".join(texts(ET.fromstring(picture_of(leave, line, Bowler()))))


# ---- Both hands ----


def seen_in_a_mirror(element: ET.Element) -> list[tuple[object, ...]]:
    """What a part draws, with left and right exchanged."""
    return sorted((_mirrored(node) for node in element.iter()), key=repr)


def as_it_is(element: ET.Element) -> list[tuple[object, ...]]:
    return sorted((_plain(node) for node in element.iter()), key=repr)


def _plain(node: ET.Element, side: float = 1.0) -> tuple[object, ...]:
    shape = None
    if node.get("d"):
        # A loop is the same loop from whichever corner and whichever way round.
        shape = tuple(sorted((side * x + 0.0, y) for x, y in path_points(node)))
    x = tuple(side * float(node.get(name, "0")) + 0.0 for name in ("x", "cx"))
    rest = {k: v for k, v in node.attrib.items() if k not in {"d", "x", "cx"}}
    return node.tag, shape, x, tuple(sorted(rest.items())), node.text


def _mirrored(node: ET.Element) -> tuple[object, ...]:
    tag, shape, x, rest, _ = _plain(node, -1.0)
    assert isinstance(rest, tuple)
    swapped = {name: _swap(name, value) for name, value in rest}
    if "data-left-boards" in swapped:
        left, right = swapped["data-left-boards"], swapped["data-right-boards"]
        swapped |= {"data-left-boards": right, "data-right-boards": left}
    return tag, shape, x, tuple(sorted(swapped.items())), _swap_text(node)


def _swap(name: str, value: str) -> str:
    if name in {"data-leave", "data-drawn-leaves"}:
        return _mirror_leave(value)
    if name == "data-drawn-aside-in":
        return repr(-float(value) + 0.0)
    return LEFT_RIGHT.get(value, value)


def _mirror_leave(text: str) -> str:
    return format_mask(mirror_mask(Leave.parse(text).mask)) if text else text


def _swap_text(node: ET.Element) -> str | None:
    text = node.text
    if text is None or node.tag != f"{SVG}text":
        return text
    if text.startswith(("left ", "right ")):  # the room's two rows change places
        return text
    text = re.sub(r"left|right", lambda found: LEFT_RIGHT[found[0]], text)
    if node.get("font-weight") == "700" and text.isdigit() and node.get("font-size") == "13":
        return _mirror_leave(text)
    return text


READ_ALIKE = re.compile(r"(left|right) \d.*|[\d-]+:.*|\d-.*|(over |under )?\d+ %")
A_LEAVE = re.compile(r"[\d-]+")


def without_alike(drawn: list[tuple[object, ...]]) -> list[tuple[object, ...]]:
    """Leave out words that read from left to right for both hands: the miss room's two rows, and
    the names of what a miss leaves, whose length depends on the pins."""
    return [item for item in drawn if not _reads_alike(*item)]


def _reads_alike(tag: object, _: object, x: object, rest: object, text: object) -> bool:
    if tag != f"{SVG}text":
        return False
    beside = isinstance(x, tuple) and abs(x[0]) == MARGIN_X
    bold = isinstance(rest, tuple) and ("font-weight", "700") in rest
    is_name = A_LEAVE.fullmatch(str(text)) is not None and beside and not bold
    return is_name or READ_ALIKE.fullmatch(str(text)) is not None


@pytest.mark.parametrize("rolling", [None, HOOKING])
@pytest.mark.parametrize("text", ["1-2-10", "10", "3-6-9-10", "4-9", "1-2-4-10"])
def test_a_left_handers_picture_is_the_mirror(text: str, rolling: Rolling | None) -> None:
    leave = Leave.parse(text)
    right = Bowler(hand="right", rolling=rolling)
    left = Bowler(hand="left", rolling=rolling)
    line = solved(leave, right)
    one = ET.fromstring(picture_of(leave, line, right))
    other = ET.fromstring(picture_of(leave.mirror, line.mirrored(), left))
    names = {g.get("data-part") for g in one.iter(f"{SVG}g")}
    assert names == {g.get("data-part") for g in other.iter(f"{SVG}g")}
    for name in set(MIRRORED_PARTS) & names:
        ones = [g for g in one.iter(f"{SVG}g") if g.get("data-part") == name]
        others = [g for g in other.iter(f"{SVG}g") if g.get("data-part") == name]
        drawn = sorted((seen_in_a_mirror(g) for g in ones), key=repr)
        expected = sorted((as_it_is(g) for g in others), key=repr)
        assert [without_alike(d) for d in drawn] == [without_alike(e) for e in expected]


def test_the_carry_of_a_left_hander_is_the_mirror() -> None:
    one = ET.fromstring(carry_picture(WASHOUT, hand="right"))
    other = ET.fromstring(carry_picture(WASHOUT.mirror, hand="left"))
    assert seen_in_a_mirror(part(one, "carry")) == as_it_is(part(other, "carry"))
    assert one.get("data-best-board") == other.get("data-best-board")
    assert float(one.get("data-best-angle-deg", "")) == -float(other.get("data-best-angle-deg", ""))


# ---- Paths ----


@given(st.floats(2, 38), st.floats(2, 38), st.floats(2, 38), st.sampled_from(["right", "left"]))
def test_a_straight_path_goes_through_its_three_boards(
    lay: float, target: float, pins: float, hand: str
) -> None:
    line = replace(
        solved(Leave.parse("5"), Bowler()),
        lay_down_board=lay, target_board=target, board_at_pins=pins,
    )  # fmt: skip
    path = straight_path(line, hand)  # type: ignore[arg-type]
    at = dict(zip((y for _, y in path), (x for x, _ in path), strict=True))
    for y, number in ((0.0, lay), (TARGET_IN, target), (FOUL_TO_HEAD_PIN_IN, pins)):
        assert at[y] == pytest.approx(x_from_board(number, hand), abs=1e-9)  # type: ignore[arg-type]


@pytest.mark.parametrize("hand", ["right", "left"])
@pytest.mark.parametrize("rolling", [None, HOOKING])
def test_off_the_target_by_so_much(hand: str, rolling: Rolling | None) -> None:
    bowler = Bowler(hand=hand, rolling=rolling)  # type: ignore[arg-type]
    line = solved(Leave.parse("5"), bowler)
    meant, off = (path_of(line, bowler, boards) for boards in (0.0, 1.5))
    ys = [y for _, y in meant]
    aside = np.interp(TARGET_IN, ys, [b[0] - a[0] for a, b in zip(meant, off, strict=True)])
    width = abs(x_from_board(2) - x_from_board(1))
    assert aside == pytest.approx(1.5 * width, abs=0.05)
    assert meant[0] == off[0]


@pytest.mark.parametrize(
    "path", [[(0.0, 0.0)], [(0.0, 0.0), (1.0, 0.0)], [(0.0, 720.0), (0.0, 0.0)]]
)
def test_no_such_path(path: list[tuple[float, float]]) -> None:
    line = solved(WASHOUT, Bowler())
    with pytest.raises(ValueError, match="path"):
        lane_picture(WASHOUT, line, hand="right", path=path)


def test_no_such_oil() -> None:
    line = solved(WASHOUT, Bowler())
    with pytest.raises(ValueError, match=r"oil: shape \(39, 61\)"):
        lane_picture(
            WASHOUT, line, hand="right", path=straight_path(line, "right"), oil=np.zeros((39, 61))
        )


# ---- Oil and carry are shaded as they are ----


@given(st.lists(st.lists(st.booleans(), min_size=5, max_size=5), min_size=1, max_size=6))
def test_runs_cover_the_true_cells_once(rows: list[list[bool]]) -> None:
    cells = np.array(rows)
    covered = np.zeros(cells.shape, int)
    for first, last, left, right in runs(cells):
        covered[first : last + 1, left : right + 1] += 1
    assert np.array_equal(covered, cells.astype(int))


def shaded(element: ET.Element, x: float, y: float) -> int:
    """How many rectangles of a step lie over a point."""
    paths = element.findall(f"{SVG}path")
    loops = [loop for path in paths for loop in path.get("d", "").split("Z") if loop]
    count = 0
    for loop in loops:
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", loop)]
        count += min(numbers[::2]) < x < max(numbers[::2]) and (
            min(numbers[1::2]) < y < max(numbers[1::2])
        )
    return count


@pytest.mark.parametrize("hand", ["right", "left"])
def test_oil_is_shaded_by_its_amount(hand: str) -> None:
    pattern = OilPattern(41.0, 6.0)
    rolling = replace(HOOKING, oil=pattern, games_worn=20.0)
    bowler = Bowler(hand=hand, rolling=rolling)  # type: ignore[arg-type]
    line = solved(Leave.parse("5"), bowler)
    root = ET.fromstring(picture_of(Leave.parse("5"), line, bowler))
    steps = list(part(root, "oil"))
    amount = oil_amount(pattern, games_worn=20.0)
    ring = part(root, "target").find(f"{SVG}circle")
    foul = part(root, "approach").find(f"{SVG}circle[@r='5.5']")
    assert ring is not None
    assert foul is not None
    foul_y, target_y = float(foul.get("cy", "")), float(ring.get("cy", ""))
    per_foot = (foul_y - target_y) / 15
    for feet in (3, 20, 33, 39, 44, 50):
        for number in (3, 9, 12, 20, 28, 37):
            # Oil is told for boards counted from the ball hand; the array for a right-hander's.
            oil = float(amount[feet, 39 - number])
            x, y = x_from_board(number, hand) * SCALE, foul_y - feet * per_foot  # type: ignore[arg-type]
            over = [float(s.get("data-most", "")) for s in steps if shaded(s, x, y)]
            expected = [] if oil < 0.01 else [max(np.ceil(oil * 4), 1) / 4]
            assert over == expected, (feet, number, oil)


@settings(max_examples=12)
@given(st.sampled_from(ALL_LEAVES), st.sampled_from(["right", "left"]))
def test_carry_is_shaded_by_the_carry_map(leave: Leave, hand: str) -> None:
    seen = leave if hand == "right" else leave.mirror
    chance = make_chance(seen, ball_weight_lb=15.0)
    root = ET.fromstring(carry_picture(leave, hand=hand))  # type: ignore[arg-type]
    steps = list(part(root, "carry"))
    edge = 144.0
    side = 1.0 if hand == "right" else -1.0
    for row in range(chance.shape[0]):
        for column in range(0, chance.shape[1], 7):
            x = side * ((column + 0.5) / chance.shape[1] * 2 - 1) * edge
            y = 253.0 + 18.0 * (row - 7)
            over = [s for s in steps if shaded(s, x, y)]
            value = chance[row, column]
            if value < STEPS[0]:
                assert over == []
                continue
            (step,) = over
            assert float(step.get("data-least", "")) <= value <= float(step.get("data-most", ""))


def test_make_chance_is_the_carry_maps() -> None:
    chance = make_chance(WASHOUT, ball_weight_lb=15.0)
    for row, degrees in ((7, 0.0), (3, -4.0)):
        for column in (20, 39, 44, 60):
            middle = ((column + 0.5) / 78 * 2 - 1) * 20.75
            x = middle + np.linspace(-0.5, 0.5, 201) * 41.5 / 39
            made = make_probabilities(
                WASHOUT,
                x,
                np.full(x.size, np.radians(degrees)),
                np.full(x.size, 16.5 * 17.6),
                ball_mass_lb=15.0,
            )
            assert chance[row, column] == pytest.approx(made.mean(), abs=0.03)


# ---- A document anyone can use ----


def test_same_line_same_bytes() -> None:
    bowler = Bowler(rolling=HOOKING)
    line = solved(WASHOUT, bowler)
    assert picture_of(WASHOUT, line, bowler) == picture_of(WASHOUT, line, bowler)
    assert carry_picture(WASHOUT, hand="left", lines=[line]) == carry_picture(
        WASHOUT, hand="left", lines=[line]
    )


@pytest.mark.parametrize("kind", ["lane", "carry"])
def test_it_is_named_and_described(kind: str) -> None:
    bowler = Bowler()
    line = solved(WASHOUT, bowler)
    text = (
        picture_of(WASHOUT, line, bowler)
        if kind == "lane"
        else carry_picture(WASHOUT, hand="right")
    )
    root = ET.fromstring(text)
    assert root.get("role") == "img"
    labels = root.get("aria-labelledby", "").split()
    named = {node.get("id"): node.text or "" for node in root if node.get("id")}
    assert all(len(named[label]) > 20 for label in labels)
    assert "1-2-10" in named["picture-title"]
    if kind == "lane":
        assert board(line.target_board) in named["picture-description"]


def test_nothing_in_it_runs_or_loads() -> None:
    line = solved(WASHOUT, Bowler())
    for text in (picture_of(WASHOUT, line, Bowler()), carry_picture(WASHOUT, hand="right")):
        root = ET.fromstring(text)
        tags = {node.tag.removeprefix(SVG) for node in root.iter()}
        assert tags <= {
            "svg", "title", "desc", "defs", "pattern", "g", "path", "circle", "text",
        }  # fmt: skip
        for node in root.iter():
            for name, value in node.attrib.items():
                assert not name.startswith("on")
                assert name not in {"style", "href"}
                assert "://" not in value


def test_text_is_escaped() -> None:
    root = parts.figure(
        height=10, title='<b> & "c"', description="</desc><script>", data={"a": '"<'}
    )
    parts.text(root, (0, 0), "<script>alert('x')</script> & more")
    again = ET.fromstring(parts.write(root))
    assert again.find(f"{SVG}title").text == '<b> & "c"'  # type: ignore[union-attr]
    assert again.get("data-a") == '"<'
    assert texts(again) == ["<script>alert('x')</script> & more"]
    assert again.find(f".//{SVG}script") is None


def test_letters_stay_legible_on_a_phone() -> None:
    """At 360 units to a phone of 360 pixels, no letter is below 10.5."""
    line = solved(WASHOUT, Bowler(rolling=HOOKING))
    for text in (
        picture_of(WASHOUT, line, Bowler(rolling=HOOKING)),
        carry_picture(WASHOUT, hand="right", lines=[line]),
    ):
        root = ET.fromstring(text)
        sizes = [float(node.get("font-size", "0")) for node in root.iter(f"{SVG}text")]
        assert min(sizes) >= 10.5
        for node in root.iter(f"{SVG}text"):
            assert abs(float(node.get("x", ""))) <= 180


def luminance(colour: str) -> float:
    """Relative luminance by WCAG 2.2."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return float(np.dot((0.2126, 0.7152, 0.0722), linear))


def contrast(one: str, other: str) -> float:
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("tones", [parts.TONES, parts.OIL_TONES])
def test_tones_differ_in_black_and_white(tones: tuple[str, ...]) -> None:
    light = [luminance(tone) for tone in tones]
    assert light == sorted(light, reverse=True)
    assert all(contrast(a, b) > 1.1 for a, b in pairwise(tones))


def test_ink_reads_on_everything_it_is_written_on() -> None:
    """WCAG 2.2, 1.4.3 and 1.4.11: letters 4.5 to 1, marks 3 to 1."""
    for ground in (parts.PAPER, parts.FLOOR, *parts.OIL_TONES):
        assert contrast(parts.INK, ground) > 7
    for ground in (parts.PAPER, parts.FLOOR):
        assert contrast(parts.SOFT_INK, ground) > 4.5
    for ground in (parts.PAPER, *parts.OIL_TONES):
        assert contrast(parts.ROOM, ground) > 3
