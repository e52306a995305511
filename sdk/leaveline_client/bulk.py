"""Lines for any number of items: in order, in batches that overlap, bad ones and all.

With an output file every row is on disk before it is handed on, one JSON object a line, so that a
run that was stopped, or killed in the middle of a line, goes on where it was: no row is lost and
none is there twice.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Sized
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, fields
from itertools import count, islice, takewhile
from numbers import Integral
from os import PathLike
from typing import TYPE_CHECKING, Any

from leaveline_client.answers import BatchResultAnswer, LinesAnswer, ProblemAnswer
from leaveline_client.asking import LeaveLike, LinesRequest, to_json
from leaveline_client.errors import (
    ApiError,
    InvalidRequest,
    TimedOut,
    UnexpectedReply,
    error_class,
)
from leaveline_client.progress import Progress, ProgressAsked, progress_for
from leaveline_client.reading import read
from leaveline_client.retry import FIRST_WAIT_S
from leaveline_client.row_file import RowFile, digest

if TYPE_CHECKING:
    from leaveline_client.client import Client

Item = LeaveLike | LinesRequest | Mapping[str, Any]
Record = dict[str, Any]

BATCH_SIZE = 20  # items: a second or two of solving, many times what a request itself costs
LARGEST_BATCH = 2000  # items: the service takes no more in one request
IN_FLIGHT = 8  # batches: enough for a service of a few workers
THREADS = 4  # where no executor is given


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesRow:
    """What became of one item.

    Attributes
    ----------
    id : str or int
        The item's own `id`; where it has none, its index.
    index : int
        Its place among the items, from 0.
    result : LinesAnswer or None
        The lines, where they could be solved.
    problem : ProblemAnswer or None
        Why not, where they could not.
    resumed : bool
        Whether it was in the output file already.
    """

    id: str | int
    index: int
    result: LinesAnswer | None = None
    problem: ProblemAnswer | None = None
    resumed: bool = False


def lines_many(
    client: Client,
    items: Iterable[Item],
    *,
    executor: Executor | None = None,
    batch_size: int = BATCH_SIZE,
    in_flight: int = IN_FLIGHT,
    output: str | PathLike[str] | None = None,
    progress: ProgressAsked = None,
) -> Iterator[LinesRow]:
    """Ask for the lines of many items.

    Items are taken as they are needed, so they may be more than fit into memory.

    Parameters
    ----------
    client : Client
        Whom to ask.
    items : iterable
        Each a leave (`"3-10"`), a LinesRequest, or a mapping with the names of one; a mapping
        may have an `id` (text or a whole number). A mapping without `leave`, or anything else the
        service refuses, becomes a row with a problem, and the rest goes on.
    executor : concurrent.futures.Executor, optional
        What runs the requests: threads, processes, or a cluster's (such as the one a Dask client
        hands out with `get_executor()`); four threads where left out. What is submitted pickles,
        unless the client was given a session that does not.
    batch_size : int
        Items in one request, 1 to 2000.
    in_flight : int
        Most batches out at a time; take about twice the number of workers.
    output : path, optional
        A file of JSON lines. A row is written to it before it is given out. Where the file is
        there already, its rows are given out first, as `resumed`, and work goes on behind them;
        a line that was only half written is dropped. One run at a time.
    progress : bool or callable, optional
        A line on stderr where that is a terminal; True or False to have it, or not, anyway; or
        called with rows done, rows in all (None where unknown) and rows that failed.

    Yields
    ------
    LinesRow
        One for each item, in their order.

    Raises
    ------
    LeavelineError
        Where a whole request fails for another reason than its items (no connection, no key), or
        the service fails at an item (5xx) or does not get to it, and asking again does not help.
        Rows given out before are safe; with `output`, call again to go on.
    RowFileError
        Where the output file belongs to other items, or is no such file.
    TypeError
        For an id that is neither text nor a whole number, or a single item instead of several.
    ValueError
        For a batch size or a number in flight out of range.
    """
    for name, value, most in (
        ("batch_size", batch_size, LARGEST_BATCH),
        ("in_flight", in_flight, 10**6),
    ):
        if not 1 <= value <= most:
            raise ValueError(f"{name} = {value!r}: must be from 1 to {most}")
    if isinstance(items, str | Mapping | LinesRequest):
        raise TypeError(f"items = {items!r}: must be several items, such as a list of them")
    shown = progress_for(progress, len(items) if isinstance(items, Sized) else None)
    return _rows(client, items, executor, batch_size, in_flight, output, shown)


def answer_batch(client: Client, bodies: list[Record]) -> list[Record]:
    """Ask for one batch: the piece of work an executor gets, so it pickles.

    A batch that is refused as a whole is halved until the item that spoils it is alone. Halved,
    too, is one that is not answered in time, and what a batch leaves over: items that the service
    did not get to in its own time, or failed at (5xx). Trying again where nothing was answered
    counts against `max_retries`.

    Parameters
    ----------
    client : Client
        Whom to ask.
    bodies : list of dict
        Requests as plain JSON.

    Returns
    -------
    list of dict
        For each, in order, `{"result": ...}` or `{"problem": ...}`; a problem of status 5xx is one
        that stayed.
    """
    return _answered(client, bodies, client._sender.options.max_retries)


def _answered(client: Client, bodies: list[Record], retries: int) -> list[Record]:
    try:
        outcomes = _asked_once(client, bodies)
    except InvalidRequest as error:
        if len(bodies) == 1:
            return [{"problem": dict(error.raw) or error.problem.to_dict()}]
        return _halved(client, bodies, retries)
    except TimedOut as error:
        if error.phase == "connect" or len(bodies) == 1 or not retries:
            raise
        return _halved(client, bodies, retries - 1)
    left = [number for number, outcome in enumerate(outcomes) if _is_fault(outcome)]
    if len(left) == len(bodies):
        if not retries:
            return outcomes
        retries -= 1
        options = client._sender.options
        options.sleep(options.jitter(FIRST_WAIT_S))
    again = _halved(client, [bodies[number] for number in left], retries)
    for number, outcome in zip(left, again, strict=True):
        outcomes[number] = outcome
    return outcomes


def _halved(client: Client, bodies: list[Record], retries: int) -> list[Record]:
    half = (len(bodies) + 1) // 2
    halves = [bodies[:half], bodies[half:]]
    return [outcome for part in halves if part for outcome in _answered(client, part, retries)]


def _asked_once(client: Client, bodies: list[Record]) -> list[Record]:
    items = [{"id": str(number), **body} for number, body in enumerate(bodies)]
    answer = client.lines_batch(items=items)
    if [item.id for item in answer.results] != [item["id"] for item in items]:
        raise UnexpectedReply(
            f"the batch of {len(items)} came back with other items, or in another order",
            answer.meta.request_id,
            answer.meta.status,
            answer.meta.body,
        )
    return [_outcome(item, answer.meta.request_id) for item in answer.results]


@dataclass(frozen=True, slots=True)
class _Row:
    """An item on its way: a body to send, or the reason why it cannot be sent."""

    id: str | int
    index: int
    body: Record
    unsendable: str = ""

    def record(self, outcome: Record) -> Record:
        """What the output file keeps of it."""
        return {"id": self.id, "index": self.index, "asked": self.digest} | outcome

    @property
    def digest(self) -> str:
        """Tells whether an item is still the one an output file answers."""
        return digest(self.unsendable or self.body)


@dataclass(frozen=True, slots=True)
class _Batch:
    """Rows, and the answers to come of those that could be sent."""

    rows: list[_Row]
    future: Future[list[Record]] | None

    def records(self) -> list[Record]:
        """The rows' records in order; waits for them."""
        answers = iter(self.future.result() if self.future else [])
        return [row.record(_unsent(row) if row.unsendable else next(answers)) for row in self.rows]


def _rows(
    client: Client,
    items: Iterable[Item],
    executor: Executor | None,
    batch_size: int,
    in_flight: int,
    output: str | PathLike[str] | None,
    progress: Progress,
) -> Iterator[LinesRow]:
    rows = map(_row, count(), items)
    waiting: deque[_Batch] = deque()
    with ExitStack() as stack:
        stack.enter_context(progress)
        file = None if output is None else stack.enter_context(RowFile(output))
        for record in file.kept(_digests(rows)) if file else ():
            yield progress.passing(_lines_row(record, resumed=True))
        if executor is None:
            executor = ThreadPoolExecutor(THREADS, thread_name_prefix="leaveline")
            stack.callback(executor.shutdown, wait=False, cancel_futures=True)
        stack.callback(_cancel, waiting)
        while batch := list(islice(rows, batch_size)):
            waiting.append(_started(client, batch, executor))
            if len(waiting) >= in_flight:
                yield from _finished(waiting.popleft(), file, progress)
        while waiting:
            yield from _finished(waiting.popleft(), file, progress)


def _row(index: int, item: Item) -> _Row:
    """Make an item ready to send, or say why it cannot be sent."""
    given: Any = {"leave": item}
    if isinstance(item, Mapping):
        given = dict(item)
    elif isinstance(item, LinesRequest):
        given = {f.name: getattr(item, f.name) for f in fields(item)}
    own_id = given.pop("id", None)
    row_id = _row_id(index if own_id is None else own_id, index)
    try:
        return _Row(row_id, index, to_json(given, "item"))
    except ValueError as error:
        return _Row(row_id, index, {}, str(error))


def _row_id(given: Any, index: int) -> str | int:
    if isinstance(given, str):
        return given
    if isinstance(given, Integral) and not isinstance(given, bool):
        return int(given)
    raise TypeError(f"item {index}: id = {given!r}: must be text or a whole number")


def _digests(rows: Iterable[_Row]) -> Iterator[tuple[str | int, str]]:
    return ((row.id, row.digest) for row in rows)


def _started(client: Client, rows: list[_Row], executor: Executor) -> _Batch:
    bodies = [row.body for row in rows if not row.unsendable]
    return _Batch(rows, executor.submit(answer_batch, client, bodies) if bodies else None)


def _finished(batch: _Batch, file: RowFile | None, progress: Progress) -> Iterator[LinesRow]:
    """Wait for a batch; keep its rows on disk, then give them out, up to the service's fault."""
    records = batch.records()
    answered = list(takewhile(lambda record: not _is_fault(record), records))
    if file is not None:
        file.add(answered)
    for record in answered:
        yield progress.passing(_lines_row(record))
    if len(answered) < len(records):
        raise _fault(records[len(answered)])


def _is_fault(record: Record) -> bool:
    """Whether the service failed at an item: nothing is known of the item itself then."""
    status = record.get("problem", {}).get("status")
    return isinstance(status, int) and status >= 500


def _fault(record: Record) -> ApiError:
    found = read(ProblemAnswer, record["problem"], "#/problem")
    return error_class(found.status)(
        found.status,
        found.type,
        found.title,
        f"item {record['id']!r}: {found.detail}",
        found.errors,
        found.request_id,
        raw=found.raw,
    )


def _cancel(waiting: Iterable[_Batch]) -> None:
    for batch in waiting:
        if batch.future is not None:
            batch.future.cancel()


def _unsent(row: _Row) -> Record:
    problem = {
        "type": "urn:leaveline-client:not-sent",
        "title": "The item could not be sent",
        "status": 422,
        "detail": row.unsendable,
    }
    return {"problem": problem}


def _outcome(item: BatchResultAnswer, request_id: str) -> Record:
    if item.problem is None:
        return {"result": item.raw["result"]}
    return {"problem": {"request_id": request_id} | _as_alone(item.raw["problem"], item.index)}


def _as_alone(problem: Record, index: int) -> Record:
    """A problem whose pointers lead into the item: where it stood in its batch tells nobody."""
    place = f"#/items/{index}"
    faults = [
        fault | {"pointer": fault["pointer"].replace(place, "#", 1)}
        for fault in problem.get("errors", [])
    ]
    alone = problem | {"detail": problem["detail"].replace(place, "#", 1)}
    return alone | {"errors": faults} if faults else alone


def _lines_row(record: Record, *, resumed: bool = False) -> LinesRow:
    result, problem = record.get("result"), record.get("problem")
    return LinesRow(
        id=record["id"],
        index=record["index"],
        result=None if result is None else read(LinesAnswer, result, "#/result"),
        problem=None if problem is None else read(ProblemAnswer, problem, "#/problem"),
        resumed=resumed,
    )
