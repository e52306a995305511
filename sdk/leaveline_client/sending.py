"""Send a call until it is answered, retrying helps no more, or the total time is up."""

from __future__ import annotations

import logging
import uuid
from collections.abc import Mapping
from types import MappingProxyType

import requests

from leaveline_client import replies
from leaveline_client.errors import ApiError, LeavelineError, TimedOut, TransportError
from leaveline_client.options import Options
from leaveline_client.retry import is_retried, wait_s
from leaveline_client.wire import Call, Sessions, attempt

LOGGER = logging.getLogger("leaveline_client")
SHORTEST_TIMEOUT_S = 0.001  # [s] 0 would switch a socket's timeout off
NO_QUERY: Mapping[str, str] = MappingProxyType({})


class Sender:
    """Settings, and the connections calls go over.

    Parameters
    ----------
    options : Options
        The settings.
    session : requests.Session, optional
        Used instead of sessions of our own.
    """

    def __init__(self, options: Options, session: requests.Session | None) -> None:
        self.options = options
        self.sessions = Sessions(session)

    def with_options(self, options: Options) -> Sender:
        """A sender with other settings over the same connections."""
        other = Sender(options, None)
        other.sessions = self.sessions
        return other

    def send(
        self,
        method: str,
        path: str,
        *,
        query: Mapping[str, str] = NO_QUERY,
        body: bytes | None = None,
        accept: str = replies.JSON,
    ) -> replies.Reply:
        """Send a call, again where that may help, and give the reply of status 200.

        Raises
        ------
        LeavelineError
            As drawn in `leaveline_client.errors`.
        """
        options = self.options
        url = options.base_url.rstrip("/") + path
        call = Call(
            method=method, url=url, query=query, body=body, api_key=options.api_key, accept=accept
        )
        # One id for all attempts, made here: an answer that never came has one too.
        request_id = uuid.uuid4().hex
        start = options.clock()
        number = 1
        while True:
            try:
                return self._once(call, request_id, number, start)
            except (ApiError, TransportError) as error:
                pause_s = self._pause_s(error, number)
                passed_s = options.clock() - start
                if pause_s is None or passed_s + pause_s >= options.total_timeout_s:
                    raise
                LOGGER.info("%s; sent again in %.1f s", error, pause_s)
            options.sleep(pause_s)
            number += 1

    def _pause_s(self, error: LeavelineError, number: int) -> float | None:
        options = self.options
        if number > options.max_retries:
            return None
        if not is_retried(error, retry_read_timeouts=options.retry_read_timeouts):
            return None
        return wait_s(error, number, options.jitter)

    def _once(self, call: Call, request_id: str, number: int, start: float) -> replies.Reply:
        options = self.options
        deadline = start + options.total_timeout_s
        left_s = max(deadline - options.clock(), SHORTEST_TIMEOUT_S)
        timeout_s = (min(options.connect_timeout_s, left_s), min(options.read_timeout_s, left_s))
        try:
            status, headers, body = attempt(
                self.sessions.current(),
                call,
                request_id,
                number,
                timeout_s=timeout_s,
                deadline=deadline,
                clock=options.clock,
            )
        except TimedOut as error:
            if options.clock() < deadline:
                raise
            raise TimedOut(error.detail, request_id, number, "total") from error.__cause__
        LOGGER.debug("%s: %s %s answered %d", request_id, call.method, call.url, status)
        reply = replies.Reply(
            status=status,
            headers=headers,
            body=body,
            request_id=headers.get("x-request-id") or request_id,
            attempts=number,
            elapsed_s=options.clock() - start,
        )
        if status >= 400:
            raise replies.api_error(reply)
        if status != 200:
            raise replies.redirected(reply)
        return reply
