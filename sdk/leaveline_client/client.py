"""The client: one method for each operation of the service."""

from __future__ import annotations

import json
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import replace
from functools import partial
from os import PathLike
from typing import TYPE_CHECKING, Any, Self, TypedDict, TypeVar, Unpack
from urllib.parse import quote

from leaveline_client import bulk, replies
from leaveline_client.answers import (
    AdviceAnswer,
    Answer,
    BatchAnswer,
    HealthAnswer,
    LeaveAnswer,
    LeavesAnswer,
    LimitsAnswer,
    LinesAnswer,
)
from leaveline_client.answers.drawing import Draw, PictureKind
from leaveline_client.answers.lines import drawable, drawable_lines
from leaveline_client.asking import (
    AdviceRequest,
    Ball,
    BatchItem,
    Bowler,
    CategoryAsked,
    Hand,
    Lane,
    LeaveLike,
    Level,
    LinesRequest,
    PlayAsked,
    Release,
    Scoring,
    Situation,
    leave_in_path,
    to_json,
)
from leaveline_client.errors import UnexpectedReply
from leaveline_client.options import (
    CONNECT_TIMEOUT_S,
    MAX_RETRIES,
    READ_TIMEOUT_S,
    TOTAL_TIMEOUT_S,
    Changes,
    Options,
    Timeout,
)
from leaveline_client.practice_calls import PracticeCalls
from leaveline_client.progress import ProgressAsked
from leaveline_client.retry import full_jitter

if TYPE_CHECKING:
    import requests

    from leaveline_client.sending import Sender

A = TypeVar("A", bound=Answer)


class Client(PracticeCalls):
    """A Leaveline service.

    Threads may share a client; each gets its own connection. It pickles (with its key), so it can
    go to other processes. In asyncio, call its methods through `asyncio.to_thread`.

    Parameters
    ----------
    base_url : str
        Where the service is, such as `http://127.0.0.1:8080`.
    api_key : str, optional
        Sent as `Authorization: Bearer ...`.
    timeout : float or (float, float)
        For connecting, and for each silence while waiting for the answer [s].
    total_timeout_s : float
        For a whole call, attempts and the waits between them [s]. An answer that trickles in is
        cut off there, at the latest one read timeout after it.
    max_retries : int
        How often a call that failed is sent again: after connection failures, 429, 502, 503 and
        504, after a random wait of up to 0.5 s, 1 s, 2 s ... 8 s, and no sooner than the service
        asked for; where it asks for more than 30 s, or than is left, the error is raised at once.
    retry_read_timeouts : bool
        Whether a call that got no answer in time is sent again too.
    session : requests.Session, optional
        Used instead of sessions of our own: for proxies, certificates, or tests. All threads
        share it and its owner closes it.
    sleep, jitter, clock : callable
        What waits [s], what picks a wait up to its argument [s], and what tells the time [s]; for
        tests.

    Raises
    ------
    ValueError
        For settings that cannot be used.

    Examples
    --------
    >>> with Client("http://127.0.0.1:8080") as client:  # doctest: +SKIP
    ...     answer = client.lines(leave="3-6-10", bowler=Bowler(hand="right", level="league"))
    ...     print(answer.lines[0].words)
    """

    def __init__(
        self,
        base_url: str,
        *,
        api_key: str | None = None,
        timeout: Timeout = (CONNECT_TIMEOUT_S, READ_TIMEOUT_S),
        total_timeout_s: float = TOTAL_TIMEOUT_S,
        max_retries: int = MAX_RETRIES,
        retry_read_timeouts: bool = False,
        session: requests.Session | None = None,
        sleep: Callable[[float], None] = time.sleep,
        jitter: Callable[[float], float] = full_jitter,
        clock: Callable[[], float] = time.monotonic,
    ) -> None:
        from leaveline_client.sending import Sender  # here: it imports requests, which is slow

        options = Options(
            base_url=base_url,
            api_key=api_key,
            timeout=timeout,
            total_timeout_s=total_timeout_s,
            max_retries=max_retries,
            retry_read_timeouts=retry_read_timeouts,
            sleep=sleep,
            jitter=jitter,
            clock=clock,
        )
        self._sender: Sender = Sender(options, session)

    @property
    def base_url(self) -> str:
        """Where the service is."""
        return self._sender.options.base_url

    def with_options(self, **changes: Unpack[Changes]) -> Client:
        """A copy with other settings, over the same connections; closing one closes both.

        Parameters
        ----------
        api_key, timeout, total_timeout_s, max_retries, retry_read_timeouts
            As for the client.
        """
        return _made(self._sender.with_options(replace(self._sender.options, **changes)))

    def close(self) -> None:
        """Close all connections; a session that was given stays open."""
        self._sender.sessions.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def __repr__(self) -> str:
        return f"Client({self.base_url!r})"

    def __reduce__(self) -> tuple[Callable[..., Client], tuple[Any, ...]]:
        return _unpickled, (self._sender.options, self._sender.sessions.given)

    # Operations, in the order of the service's document.

    def leaves(self, *, category: CategoryAsked | None = None) -> LeavesAnswer:
        """All 1023 leaves, or those of one kind.

        Parameters
        ----------
        category : {"single_pin", "multi_pin", "split", "washout"}, optional
            Only leaves of this kind.

        Raises
        ------
        LeavelineError
            As drawn in `leaveline_client.errors`; so do all operations.
        """
        return self._get(LeavesAnswer, "/v1/leaves", category=category)

    def leave(self, leave: LeaveLike) -> LeaveAnswer:
        """What kind of leave it is.

        Parameters
        ----------
        leave : str or iterable of int
            The standing pins: `"3-10"` or `[3, 10]`.
        """
        return self._get(LeaveAnswer, f"/v1/leaves/{_quoted(leave)}")

    def lines(
        self,
        *,
        leave: LeaveLike,
        bowler: Bowler | Mapping[str, Any] | None = None,
        lane: Lane | Mapping[str, Any] | None = None,
        play: PlayAsked | None = None,
        limit: int | None = None,
        seed: int | None = None,
        balls: Sequence[Ball | Mapping[str, Any]] | None = None,
        releases: Sequence[Release | Mapping[str, Any]] | None = None,
        sensitivity: bool | None = None,
        reach: bool | None = None,
    ) -> LinesAnswer:
        """The best lines for one leave, bowler and lane.

        What is left out, the service fills in. No line that makes the leave is an answer, not an
        error: the line with the most pins is given.

        Parameters
        ----------
        leave : str or iterable of int
            The standing pins.
        bowler, lane : optional
            Who throws, and on what; a mapping with the same names does as well.
        play : {"spare", "count", "both"}, optional
            What the lines are for.
        limit : int, optional
            Most lines for each play.
        seed : int, optional
            Seed of the fixed set of throws; the same seed gives the same answer.
        balls, releases : sequence, optional
            Balls, or releases, to compare, each in the place of the bowler's own.
        sensitivity : bool, optional
            Also say what one board, mph, rpm or degree more does to the best line.
        reach : bool, optional
            Also say how far to either side the leave can be played, and what ends it there.
        """
        asked = LinesRequest(
            leave=leave,
            bowler=bowler,
            lane=lane,
            play=play,
            limit=limit,
            seed=seed,
            balls=balls,
            releases=releases,
            sensitivity=sensitivity,
            reach=reach,
        )
        body = asked.to_dict()
        return self._drawable(self._post(LinesAnswer, "/v1/lines", body), body)

    def lines_for(
        self,
        leave: LeaveLike,
        *,
        hand: Hand | None = None,
        level: Level | None = None,
        oil_length_ft: float | None = None,
    ) -> LinesAnswer:
        """The best lines for a bowler in a few words: the form that caches can keep.

        Parameters
        ----------
        leave : str or iterable of int
            The standing pins.
        hand : {"right", "left"}, optional
            Ball hand.
        level : {"tour", "scratch", "league", "casual"}, optional
            Preset of spread.
        oil_length_ft : float, optional
            Where the oil ends [ft from the foul line].
        """
        pins = leave_in_path(leave)
        few: _FewWords = {"hand": hand, "level": level, "oil_length_ft": oil_length_ft}
        answer = self._get(LinesAnswer, f"/v1/lines/{_quoted(pins)}", **few)
        draw = partial(self.picture, pins, **few)
        return drawable_lines(answer, draw, lambda _: draw)

    def picture(
        self,
        leave: LeaveLike,
        *,
        kind: PictureKind | None = None,
        line: int | None = None,
        hand: Hand | None = None,
        level: Level | None = None,
        oil_length_ft: float | None = None,
    ) -> str:
        """Draw one of the lines that `lines_for` answers to the same arguments, as SVG.

        Parameters
        ----------
        leave : str or iterable of int
            The standing pins.
        kind : {"lane", "carry"}, optional
            A line on the lane and the deck, or how likely the leave is made over board and angle.
        line : int, optional
            Which of the answer's lines, from 0.
        hand, level, oil_length_ft
            As in `lines_for`.
        """
        query = {
            "kind": kind,
            "line": line,
            "hand": hand,
            "level": level,
            "oil_length_ft": oil_length_ft,
        }
        texts = {name: str(to_json(v, name)) for name, v in query.items() if v is not None}
        path = f"/v1/pictures/{_quoted(leave)}.svg"
        return replies.picture(self._sender.send("GET", path, query=texts))

    def advice(
        self,
        *,
        leave: LeaveLike,
        situation: Situation | Mapping[str, Any],
        bowler: Bowler | Mapping[str, Any] | None = None,
        lane: Lane | Mapping[str, Any] | None = None,
        scoring: Scoring | None = None,
        seed: int | None = None,
    ) -> AdviceAnswer:
        """Count or spare: in a match, against a cut, or for score.

        Parameters
        ----------
        leave : str or iterable of int
            The standing pins.
        situation : Situation
            What is at stake; a mapping with the same names does as well.
        bowler, lane : optional
            Who throws, and on what.
        scoring : {"traditional", "current_frame"}, optional
            How the game is scored.
        seed : int, optional
            Seed of the fixed set of throws; the same seed gives the same answer.
        """
        asked = AdviceRequest(
            leave=leave, situation=situation, bowler=bowler, lane=lane, scoring=scoring, seed=seed
        )
        body = asked.to_dict()
        answer = self._post(AdviceAnswer, "/v1/advice", body)
        common = {name: value for name, value in body.items() if name not in _OF_ADVICE_ALONE}
        spare, count = (
            replace(worth, line=drawable(worth.line, self._drawer(common | {"play": play})))
            for play, worth in (("spare", answer.plays.spare), ("count", answer.plays.count))
        )
        return replace(answer, plays=replace(answer.plays, spare=spare, count=count))

    def lines_batch(self, *, items: Iterable[BatchItem | Mapping[str, Any]]) -> BatchAnswer:
        """Lines for many items in one request; `lines_many` is the comfortable way.

        Answers come as they are worked out, so no silence is longer than an item takes; all of
        them have to be there within the total time.

        Parameters
        ----------
        items : iterable
            Each a BatchItem, or a mapping with its names. How many is bounded, see `limits`.
        """
        bodies = to_json(items, "items")
        answer = self._post(
            BatchAnswer, "/v1/lines/batch", {"items": bodies}, accept=_JSON_BY_THE_LINE
        )
        if len(answer.results) != len(bodies):
            raise UnexpectedReply(
                f"the answer to a batch of {len(bodies)} holds {len(answer.results)} items",
                answer.meta.request_id,
                answer.meta.status,
                answer.meta.body,
            )
        results = tuple(
            item
            if item.result is None
            else replace(item, result=self._drawable(item.result, bodies[item.index]))
            for item in answer.results
        )
        return replace(answer, results=results)

    def lines_many(
        self,
        items: Iterable[bulk.Item],
        *,
        executor: Executor | None = None,
        batch_size: int = bulk.BATCH_SIZE,
        in_flight: int = bulk.IN_FLIGHT,
        output: str | PathLike[str] | None = None,
        progress: ProgressAsked = None,
    ) -> Iterator[bulk.LinesRow]:
        """Lines for any number of items, in order, requests overlapping, bad items and all.

        In short; `leaveline_client.bulk.lines_many` tells it in full.

        Parameters
        ----------
        items : iterable
            Leaves, LinesRequests, or mappings with the names of one and an optional `id`.
        executor : concurrent.futures.Executor, optional
            What runs the requests; four threads where left out.
        batch_size, in_flight : int
            Items in one request, and most requests out at a time.
        output : path, optional
            A file of JSON lines that keeps every row; where it is there already, work goes on
            behind its rows.
        progress : bool or callable, optional
            A line on stderr where that is a terminal; or called with done, total, failed.

        Yields
        ------
        LinesRow
            With `id`, `index`, and `result` or `problem`.
        """
        return bulk.lines_many(
            self,
            items,
            executor=executor,
            batch_size=batch_size,
            in_flight=in_flight,
            output=output,
            progress=progress,
        )

    def limits(self) -> LimitsAnswer:
        """What one request may ask for."""
        return self._get(LimitsAnswer, "/v1/limits")

    def health(self) -> HealthAnswer:
        """Is the service's process up?"""
        return self._get(HealthAnswer, "/healthz")

    def ready(self) -> HealthAnswer:
        """Can it solve a line?"""
        return self._get(HealthAnswer, "/readyz")

    def _get(self, cls: type[A], path: str, **query: Any) -> A:
        return replies.answer(cls, self._sender.send("GET", path, query=_texts(query)))

    def _post(
        self,
        cls: type[A],
        path: str,
        body: Mapping[str, Any],
        *,
        accept: str = replies.JSON,
        **query: Any,
    ) -> A:
        reply = self._sender.send(
            "POST", path, query=_texts(query), body=_dumped(body), accept=accept
        )
        return replies.answer(cls, reply)

    def _drawable(self, answer: LinesAnswer, body: Mapping[str, Any]) -> LinesAnswer:
        """The answer to a body, its lines knowing how to have themselves drawn."""
        alone = {name: value for name, value in body.items() if name not in _OF_COMPARISONS}
        part, options = next(
            ((part, body[named]) for named, part in _COMPARED.items() if named in body), ("", [])
        )

        def draw_option(index: int) -> Draw:
            bowler = alone.get("bowler", {}) | {part: options[index]}
            return self._drawer(alone | {"bowler": bowler, "play": "spare"})

        return drawable_lines(answer, self._drawer(alone), draw_option)

    def _drawer(self, body: Mapping[str, Any]) -> Draw:
        """What draws the lines that answer a body."""

        def draw(*, kind: PictureKind | None, line: int) -> str:
            query = {"line": str(line)} | ({} if kind is None else {"kind": str(kind)})
            return replies.picture(
                self._sender.send(
                    "POST", "/v1/lines", query=query, body=_dumped(body), accept="image/svg+xml"
                )
            )

        return draw


class _FewWords(TypedDict):
    """A bowler in a few words."""

    hand: Hand | None
    level: Level | None
    oil_length_ft: float | None


_JSON_BY_THE_LINE = f"{replies.NDJSON}, {replies.JSON};q=0.9"
_COMPARED = {"balls": "ball", "releases": "release"}
_OF_COMPARISONS = {"id", "sensitivity", "reach", *_COMPARED}
"""What a batch's item and a comparison ask beyond a line; a picture needs none of it."""
_OF_ADVICE_ALONE = {"situation", "scoring"}


def _texts(query: Mapping[str, Any]) -> dict[str, str]:
    """Query parameters as text, without those that were left out."""
    given = {name: value for name, value in query.items() if value is not None}
    return {name: str(to_json(value, name)) for name, value in given.items()}


def _dumped(body: Mapping[str, Any]) -> bytes:
    return json.dumps(body, allow_nan=False, separators=(",", ":")).encode()


def _quoted(leave: LeaveLike) -> str:
    return quote(leave_in_path(leave), safe="")


def _made(sender: Sender) -> Client:
    """A client over a sender that is there already."""
    client = Client.__new__(Client)
    client._sender = sender
    return client


def _unpickled(options: Options, session: requests.Session | None) -> Client:
    from leaveline_client.sending import Sender

    return _made(Sender(options, session))
