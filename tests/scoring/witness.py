"""Slow, plain second witness for the scoring tests: written from the rules, sharing no code.

A game is a flat list of pins. Nothing here looks at the package's states or tables.
"""

from collections.abc import Iterator

from hypothesis import strategies as st


def frames_of(pins: list[int], scoring: str) -> list[list[int]]:
    """The balls cut into frames."""
    frames: list[list[int]] = [[]]
    for ball in pins:
        if len(frames) < 10 or scoring == "current_frame":
            closed = frames[-1] == [10] or len(frames[-1]) == 2
        else:
            closed = False
        if closed:
            frames.append([])
        frames[-1].append(ball)
    return frames


def finished(pins: list[int], scoring: str) -> bool:
    """Whether these balls are a whole game."""
    frames = frames_of(pins, scoring)
    last = frames[-1]
    if len(frames) < 10:
        return False
    if scoring == "current_frame":
        return last == [10] or len(last) == 2
    return len(last) == 3 or (len(last) == 2 and sum(last) < 10)


def standing(pins: list[int], scoring: str) -> tuple[int, bool]:
    """Pins standing for the next ball of an unfinished game, and whether the rack is fresh."""
    frames = frames_of(pins, scoring)
    last = frames[-1]
    if last == [] or (len(frames) < 10 and (last == [10] or len(last) == 2)):
        return 10, True
    if scoring == "current_frame":
        return (10, True) if last == [10] or len(last) == 2 else (10 - last[0], False)
    if len(last) == 1:
        return (10, True) if last == [10] else (10 - last[0], False)
    if last[0] == 10:
        return (10, True) if last[1] == 10 else (10 - last[1], False)
    return 10, True


def final_score(pins: list[int], scoring: str) -> int:
    """Score of a whole game, frame by frame with its bonus balls looked up ahead."""
    if scoring == "current_frame":
        total = 0
        for frame in frames_of(pins, scoring):
            if frame == [10]:
                total += 30
            elif sum(frame) == 10:
                total += 10 + frame[0]
            else:
                total += sum(frame)
        return total
    total, ball = 0, 0
    for _ in range(10):
        if pins[ball] == 10:
            total += 10 + pins[ball + 1] + pins[ball + 2]
            ball += 1
        elif pins[ball] + pins[ball + 1] == 10:
            total += 10 + pins[ball + 2]
            ball += 2
        else:
            total += pins[ball] + pins[ball + 1]
            ball += 2
    return total


def whole_games(pins, scoring, first, second, chance=1.0) -> Iterator[tuple[list[int], float]]:
    """Every way the game can go on, with its probability; impossible balls are left out."""
    if finished(pins, scoring):
        yield pins, chance
        return
    count, fresh = standing(pins, scoring)
    chances = first if fresh else second[count]
    for ball in range(count + 1):
        if chances[ball]:
            yield from whole_games(
                [*pins, ball], scoring, first, second, chance * float(chances[ball])
            )


def final_scores(pins, scoring, first, second) -> list[float]:
    """Distribution of the final score, 301 values, by listing every game."""
    scores = [0.0] * 301
    for game, chance in whole_games(pins, scoring, first, second):
        scores[final_score(game, scoring)] += chance
    return scores


@st.composite
def sheets(draw, scoring="traditional", least=0, most=21):
    """Legal games so far, as pins, of `least` to `most` balls (fewer where the game ends)."""
    pins: list[int] = []
    for _ in range(draw(st.integers(least, most))):
        if finished(pins, scoring):
            break
        count, _ = standing(pins, scoring)
        pins.append(draw(st.one_of(st.just(count), st.integers(0, count))))
    return pins


@st.composite
def leaves_in_frame(draw, scoring="traditional", first_frame=1):
    """A game whose last ball left pins standing, in `first_frame` or later."""
    pins: list[int] = []
    while len(frames_of(pins, scoring)) < first_frame or frames_of(pins, scoring)[-1] == []:
        count, _ = standing(pins, scoring)
        pins.append(draw(st.one_of(st.just(count), st.integers(0, count))))
    for _ in range(draw(st.integers(0, 4))):
        if finished(pins, scoring):
            break
        count, _ = standing(pins, scoring)
        pins.append(draw(st.integers(0, count)))
    while finished(pins, scoring) or standing(pins, scoring)[1]:
        if finished(pins, scoring):
            pins = pins[:-1]
        else:
            pins.append(draw(st.integers(0, 9)))
    return pins


@st.composite
def pinfalls(draw, count):
    """A distribution over 0 to `count` pins in which nothing is certain or impossible."""
    weights = [draw(st.integers(1, 20)) for _ in range(count + 1)]
    return [weight / sum(weights) for weight in weights]
