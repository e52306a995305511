"""The client's methods for what comes between games."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any, TypeVar

from leaveline_client.answers import AccuracyAnswer, Answer, ComparisonAnswer, ReviewAnswer
from leaveline_client.answers.practice import EstimateAnswer
from leaveline_client.asking import (
    AccuracyRequest,
    Bowler,
    ComparedOption,
    ComparisonRequest,
    Hand,
    Interval,
    Lane,
    LeaveCount,
    LeaveResult,
    Level,
    ReviewRequest,
    Scoring,
    SeasonRow,
)
from leaveline_client.season_text import CsvLike, csv_text

A = TypeVar("A", bound=Answer)


class PracticeCalls:
    """Accuracy, reviews and comparisons; a part of `Client`."""

    def accuracy(
        self,
        *,
        results: Sequence[LeaveResult | Mapping[str, Any]] | None = None,
        target_misses_boards: Sequence[float] | None = None,
        pins_misses_boards: Sequence[float] | None = None,
        bowler: Bowler | Mapping[str, Any] | None = None,
        lane: Lane | Mapping[str, Any] | None = None,
        look_for_lean: bool | None = None,
        confidence: float | None = None,
    ) -> AccuracyAnswer:
        """A bowler's spread, from makes and attempts, from recorded misses, or from both.

        The answer's `spread` goes straight into `Bowler(spread=...)`. A throw counts once: give
        it under its leave or under its recorded miss.

        Parameters
        ----------
        results : sequence of LeaveResult, optional
            Makes and attempts by leave; single pins say most.
        target_misses_boards, pins_misses_boards : sequence of float, optional
            Recorded misses at the target, or where the ball crossed the head-pin row [boards],
            0 for a hit, positive to the right as the bowler sees it.
        bowler, lane : optional
            Who threw, without a spread, and on what. A level is where the search starts.
        look_for_lean : bool, optional
            Whether the throws may go to one side on average.
        confidence : float, optional
            Of the intervals.
        """
        asked = AccuracyRequest(
            results=results,
            target_misses_boards=target_misses_boards,
            pins_misses_boards=pins_misses_boards,
            bowler=bowler,
            lane=lane,
            look_for_lean=look_for_lean,
            confidence=confidence,
        )
        return self._post(AccuracyAnswer, "/v1/accuracy", asked.to_dict())

    def review(
        self,
        *,
        rows: Iterable[SeasonRow | Mapping[str, Any]] | None = None,
        csv: CsvLike | None = None,
        bowler: Bowler | Mapping[str, Any] | None = None,
        lane: Lane | Mapping[str, Any] | None = None,
        hand: Hand | None = None,
        level: Level | None = None,
        oil_length_ft: float | None = None,
        scoring: Scoring | None = None,
        confidence: float | None = None,
        drill_confidence: float | None = None,
        limit: int | None = None,
    ) -> ReviewAnswer:
        """What bowled games show, and what to practise.

        Rows that cannot be read are in the answer's `rows.reports`, each with the reason.

        Parameters
        ----------
        rows : iterable of SeasonRow, optional
            Bowled frames; or `csv`.
        csv : str, bytes, path or open file, optional
            A CSV file whose columns have the names of a SeasonRow's fields: its text, its bytes,
            its `pathlib.Path`, or the file. Bytes are read as UTF-8 or UTF-16, failing that as
            Latin-1.
        bowler, lane : optional
            Who bowled, and on what. With a spread the accuracy is taken as known; else it is
            fitted to the games.
        hand, level, oil_length_ft : optional
            The bowler in a few words, instead.
        scoring : {"traditional", "current_frame"}, optional
            How the games are scored.
        confidence, drill_confidence : float, optional
            Of the intervals, and of the drills' scores.
        limit : int, optional
            Most things to practise.

        Raises
        ------
        OSError
            Where the file cannot be read.
        """
        asked = ReviewRequest(
            rows=rows,
            csv=None if csv is None else csv_text(csv),
            bowler=bowler,
            lane=lane,
            scoring=scoring,
            confidence=confidence,
            drill_confidence=drill_confidence,
            limit=limit,
        )
        few_words = {"hand": hand, "level": level, "oil_length_ft": oil_length_ft}
        return self._post(ReviewAnswer, "/v1/reviews", asked.to_dict(), **few_words)

    def compare(
        self,
        *,
        bowler: Bowler | Mapping[str, Any] | None = None,
        lane: Lane | Mapping[str, Any] | None = None,
        options: Sequence[ComparedOption | Mapping[str, Any]] | None = None,
        leave_counts: Sequence[LeaveCount | Mapping[str, Any]] | None = None,
        games: float | None = None,
        rows: Iterable[SeasonRow | Mapping[str, Any]] | None = None,
        csv: CsvLike | None = None,
        scoring: Scoring | None = None,
        target_boards: Interval | EstimateAnswer | Mapping[str, Any] | None = None,
        confidence: float | None = None,
    ) -> ComparisonAnswer:
        """What another ball, speed or axis control would bring at spares.

        Fit and weight of a ball are for qualified staff to choose.

        Parameters
        ----------
        bowler, lane : optional
            Who throws, as spares are thrown now, and on what.
        options : sequence of ComparedOption, optional
            Ways to throw, the present one first. Where left out: as now, a polyester ball, 2 mph
            slower, and half the spread in axis rotation.
        leave_counts, games : optional
            The bowler's own leaves, counted over so many games; or `rows` or `csv`; usual leaves
            where all are left out.
        rows, csv, scoring : optional
            Bowled games, as in `review`.
        target_boards : Interval, optional
            What is known of the spread at the target [boards], such as an AccuracyAnswer's
            `target_boards`; the intervals then cover it.
        confidence : float, optional
            Of the intervals.
        """
        asked = ComparisonRequest(
            bowler=bowler,
            lane=lane,
            options=options,
            leave_counts=leave_counts,
            games=games,
            rows=rows,
            csv=None if csv is None else csv_text(csv),
            scoring=scoring,
            target_boards=target_boards,
            confidence=confidence,
        )
        return self._post(ComparisonAnswer, "/v1/comparisons", asked.to_dict())

    def _post(self, cls: type[A], path: str, body: Mapping[str, Any], **query: Any) -> A:
        """Post a body and read the answer; the client does it."""
        raise NotImplementedError
