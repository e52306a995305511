"""The client against the real application, in process."""

from __future__ import annotations

import pickle
import threading
from collections.abc import Callable
from typing import Any

import pytest
import requests
from flask import Flask
from leaveline.web import create_app
from leaveline.web.settings import Settings
from leaveline_client import (
    Ball,
    Bowler,
    Client,
    InvalidRequest,
    Lane,
    NotFound,
    Oil,
    OilZone,
    Release,
    Spread,
    Stance,
    Unauthorized,
    __version__,
)
from leaveline_client.asking import LinesRequest, to_json

from tests.sdk.helpers import BASE_URL, AppAdapter, session_for

KEY = "a-key-of-sixteen-or-more"


def test_a_leave_may_be_text_or_pins_in_any_order(client: Client) -> None:
    asked: list[Any] = ["3-6-10", [10, 3, 6], (6, 3, 10), {3, 6, 10}, iter([10, 6, 3])]
    assert {client.leave(leave).leave for leave in asked} == {"3-6-10"}
    asked[-1] = iter([10, 6, 3])
    answers = [client.lines(leave=leave, limit=1) for leave in asked]
    assert {answer.leave for answer in answers} == {"3-6-10"}
    assert len({answer.input_digest for answer in answers}) == 1


def test_objects_and_mappings_ask_the_same(client: Client) -> None:
    objects = client.lines(
        leave="3-10",
        bowler=Bowler(
            hand="left",
            level="scratch",
            spread=Spread(target_boards=0.5),
            release=Release(speed_mph=17),
            ball=Ball(weight_lb=14),
            stance=Stance(drift_boards=1),
        ),
        limit=1,
    )
    mappings = client.lines(
        leave="3-10",
        bowler={
            "hand": "left",
            "level": "scratch",
            "spread": {"target_boards": 0.5, "speed_mph": None},
            "release": Release(speed_mph=17),
            "ball": {"weight_lb": 14},
            "stance": {"drift_boards": 1},
        },
        limit=1,
    )
    assert objects == mappings
    assert objects.input_digest == mappings.input_digest


def test_what_is_left_out_is_not_sent(app: Flask) -> None:
    with session_for(app) as session:
        Client(BASE_URL, session=session).lines(leave="3-10", bowler=Bowler(level="tour"))
        adapter = session.get_adapter(BASE_URL)
        assert isinstance(adapter, AppAdapter)
        assert adapter.sent[0].body == b'{"leave":"3-10","bowler":{"level":"tour"}}'


def test_request_objects_become_plain_json() -> None:
    lane = Lane(
        oil=Oil(zones=[OilZone(board_from=1, board_to=39, feet_from=0, feet_to=38, amount=1)]),
        surface="wood",
    )
    zone = {"board_from": 1, "board_to": 39, "feet_from": 0, "feet_to": 38, "amount": 1}
    assert lane.to_dict() == {"oil": {"zones": [zone]}, "surface": "wood"}
    assert LinesRequest(leave=(3, 10), lane=lane).to_dict() == {
        "leave": [3, 10],
        "lane": lane.to_dict(),
    }


@pytest.mark.parametrize(
    ("value", "says"),
    [
        (float("nan"), "limit = nan: must be a finite number"),
        (float("inf"), "limit = inf: must be a finite number"),
        (object, "limit = <class 'object'>: must be plain JSON data, not type"),
        (b"3", "limit = b'3': must be plain JSON data, not bytes"),
    ],
)
def test_a_value_that_json_has_no_form_for_is_named(client: Client, value: Any, says: str) -> None:
    with pytest.raises(ValueError, match="limit") as caught:
        client.lines(leave="3-10", limit=value)
    assert str(caught.value) == says


def test_a_value_deep_inside_is_named_by_its_place() -> None:
    bowler = {"spread": {"target_boards": float("nan")}}
    with pytest.raises(ValueError, match=r"^bowler\.spread\.target_boards = nan"):
        LinesRequest(leave="3", bowler=bowler).to_dict()
    with pytest.raises(ValueError, match=r"^items\[1\]\.leave\[0\] = nan"):
        to_json([{"leave": [1]}, {"leave": [float("nan")]}], "items")


@pytest.mark.parametrize("leave", ["", ".", "..", "-", "abc", "3/../../healthz", []])
def test_a_leave_that_would_ask_for_another_address_is_refused(client: Client, leave: Any) -> None:
    with pytest.raises(ValueError, match="must be pin numbers 1 to 10"):
        client.leave(leave)
    with pytest.raises(ValueError, match="must be pin numbers 1 to 10"):
        client.lines_for(leave)


@pytest.mark.parametrize("leave", ["3-11", "3-3", "1?category=split", "1 2", "１", "0"])
def test_a_wrong_leave_is_the_services_to_refuse(client: Client, leave: str) -> None:
    with pytest.raises(InvalidRequest) as caught:
        client.leave(leave)
    assert caught.value.errors[0].pointer == "leave"
    assert caught.value.errors[0].code == "invalid_leave"


def test_leaves_of_one_kind(client: Client) -> None:
    # Recounted from the rules: 459 splits, 312 washouts, 10 single pins, of 1023 leaves.
    counts = {kind: client.leaves(category=kind).count for kind in ("split", "washout")}
    assert counts == {"split": 459, "washout": 312}
    assert {leave.category for leave in client.leaves(category="single_pin").items} == {
        "single_pin"
    }


def test_an_invalid_request_lists_every_fault(client: Client) -> None:
    with pytest.raises(InvalidRequest) as caught:
        client.lines(leave="3-11", limit=0, bowler={"hand": "both", "hat": "red"})
    error = caught.value
    assert (error.status, error.type) == (422, "/problems/invalid-request")
    assert {(fault.pointer, fault.code) for fault in error.errors} == {
        ("#/leave", "invalid_leave"),
        ("#/limit", "out_of_range"),
        ("#/bowler/hand", "not_one_of"),
        ("#/bowler/hat", "unknown_field"),
    }
    assert all(fault.detail for fault in error.errors)
    assert str(error).startswith(error.request_id)
    assert error.problem.to_dict() == error.raw
    assert error.attempts == 1


def test_an_unknown_address_is_not_found(app: Flask) -> None:
    with session_for(app) as session, pytest.raises(NotFound) as caught:
        Client(f"{BASE_URL}/elsewhere", session=session).leave("3-10")
    assert caught.value.status == 404


@pytest.mark.parametrize(("key", "status"), [(None, 401), ("another-key-of-sixteen", 401)])
def test_a_service_with_keys_refuses_others(key: str | None, status: int) -> None:
    with session_for(create_app(Settings(api_keys=(KEY,)))) as session:
        client = Client(BASE_URL, session=session, api_key=key)
        with pytest.raises(Unauthorized) as caught:
            client.leave("3-10")
        assert caught.value.status == status
        assert client.with_options(api_key=KEY).leave("3-10").leave == "3-10"


def test_no_other_credentials_are_sent(
    app: Flask, monkeypatch: pytest.MonkeyPatch, tmp_path: Any
) -> None:
    netrc = tmp_path / "netrc"
    netrc.write_text("machine leaveline.test login someone password secret\n")
    monkeypatch.setenv("NETRC", str(netrc))
    with session_for(app) as session:
        adapter = session.get_adapter(BASE_URL)
        assert isinstance(adapter, AppAdapter)
        session.get(f"{BASE_URL}/healthz")
        assert "Authorization" in adapter.sent[-1].headers  # what requests does by itself
        Client(BASE_URL, session=session).health()
        assert "Authorization" not in adapter.sent[-1].headers
        Client(BASE_URL, session=session, api_key=KEY).health()
        assert adapter.sent[-1].headers["Authorization"] == f"Bearer {KEY}"


def test_an_answer_says_how_it_came(client: Client) -> None:
    answer = client.lines(leave="3-10", limit=1)
    meta = answer.meta
    assert meta.model_version == answer.model.model_version
    assert (meta.status, meta.attempts) == (200, 1)
    assert meta.headers["x-request-id"] == meta.request_id
    assert len(meta.request_id) == 32
    assert meta.headers["cache-control"] == "no-store"
    assert meta.elapsed_s > 0
    assert client.health().meta.model_version == answer.model.model_version
    assert client.leave("3-10").meta.model_version is None


def test_the_user_agent_has_the_version(app: Flask) -> None:
    with session_for(app) as session:
        Client(BASE_URL, session=session).health()
        adapter = session.get_adapter(BASE_URL)
        assert isinstance(adapter, AppAdapter)
        agent = adapter.sent[0].headers["User-Agent"]
    assert str(agent).startswith(f"leaveline-client/{__version__} ")


def test_the_same_question_gives_the_same_bytes(client: Client) -> None:
    first, second = (client.lines(leave="3-6-10", play="both") for _ in range(2))
    assert first.meta.body == second.meta.body
    assert first == second
    assert hash(first) == hash(second)


def test_answers_pickle_whole(client: Client) -> None:
    answer = client.lines(leave="3-10")
    copy = pickle.loads(pickle.dumps(answer))
    assert copy == answer
    assert copy.raw == answer.raw
    assert copy.meta == answer.meta


def test_answers_do_not_change(client: Client) -> None:
    answer = client.leave("3-10")
    with pytest.raises(AttributeError):
        answer.leave = "7-10"  # type: ignore[misc]
    with pytest.raises((AttributeError, TypeError)):
        answer.note = "mine"  # type: ignore[attr-defined]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        ({"base_url": "127.0.0.1:8080"}, "base_url = '127.0.0.1:8080': must be like http"),
        ({"base_url": "ftp://host"}, "must be like http"),
        ({"base_url": "http://"}, "must be like http"),
        ({"base_url": "http://host:99999"}, "must be like http"),
        ({"base_url": "http://host/?key=1"}, "must be like http"),
        ({"timeout": 0}, "timeout = 0: must be a number of seconds above 0"),
        ({"timeout": None}, "timeout = None: must be"),
        ({"timeout": (5, float("inf"))}, "timeout = inf: must be"),
        ({"total_timeout_s": -1}, "total_timeout_s = -1: must be"),
        ({"total_timeout_s": float("nan")}, "total_timeout_s = nan: must be"),
        ({"max_retries": -1}, "max_retries = -1: must be a whole number"),
        ({"max_retries": 1.5}, "max_retries = 1.5: must be a whole number"),
        ({"api_key": "two words"}, "api_key: must be printable ASCII"),
        ({"api_key": "line\nbreak"}, "api_key: must be printable ASCII"),
        ({"api_key": ""}, "api_key: must be printable ASCII"),
    ],
)
def test_settings_that_cannot_be_used_are_named(options: dict[str, Any], says: str) -> None:
    with pytest.raises(ValueError, match="must be") as caught:
        Client(**{"base_url": BASE_URL, **options})
    assert says in str(caught.value)


def test_a_bad_key_is_not_told() -> None:
    with pytest.raises(ValueError, match="api_key") as caught:
        Client(BASE_URL, api_key="two words")
    assert "two words" not in str(caught.value)
    client = Client(BASE_URL, api_key=KEY)
    assert KEY not in repr(client)
    assert KEY not in repr(client._sender.options)


def test_options_are_checked_in_copies_too() -> None:
    client = Client(BASE_URL)
    with pytest.raises(ValueError, match="timeout = 0"):
        client.with_options(timeout=0)
    with pytest.raises(TypeError):
        client.with_options(tiemout=3)  # type: ignore[call-arg]


def test_each_thread_has_its_own_session_and_close_ends_all() -> None:
    client = Client(BASE_URL)
    sessions = client._sender.sessions
    found: list[requests.Session] = []
    both = threading.Barrier(2)

    def look() -> None:
        found.append(sessions.current())
        found.append(sessions.current())
        both.wait()

    threads = [threading.Thread(target=look) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len({id(session) for session in found}) == 2
    copy = client.with_options(max_retries=0)
    assert copy._sender.sessions.current() is client._sender.sessions.current()
    copy.close()
    with pytest.raises(RuntimeError, match="closed"):
        client.health()


def test_a_forked_process_does_not_use_its_parents_connection(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sessions = Client(BASE_URL)._sender.sessions
    parents = sessions.current()
    monkeypatch.setattr("os.getpid", lambda: -1)
    assert sessions.current() is not parents
    assert sessions.current() is sessions.current()


def test_a_session_that_was_given_stays_open(app: Flask) -> None:
    closed: list[bool] = []
    with session_for(app) as session:
        adapter = session.get_adapter(BASE_URL)
        adapter.close = lambda: closed.append(True)  # type: ignore[method-assign]
        with Client(BASE_URL, session=session) as client:
            client.health()
        assert not closed
    assert closed


def test_a_client_pickles_with_its_settings() -> None:
    client = Client(BASE_URL, api_key=KEY, timeout=3, max_retries=5)
    copy: Client = pickle.loads(pickle.dumps(client))
    assert copy._sender.options == client._sender.options
    assert copy._sender.sessions is not client._sender.sessions


def test_every_operation_takes_keywords_only_after_the_leave(client: Client) -> None:
    calls: list[Callable[..., Any]] = [client.lines, client.leaves, client.lines_for]
    for call in calls:
        with pytest.raises(TypeError):
            call("3-10", "right")
