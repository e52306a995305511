"""Traces: off unless asked for, a clear error without the packages, spans with them."""

from __future__ import annotations

import sys

import pytest
from leaveline.web import create_app, tracing
from leaveline.web.settings import Settings, SettingsError
from opentelemetry.sdk.trace import TracerProvider
from opentelemetry.sdk.trace.export import SimpleSpanProcessor
from opentelemetry.sdk.trace.export.in_memory_span_exporter import InMemorySpanExporter


@pytest.mark.parametrize(
    "package", ["opentelemetry.instrumentation.flask", "opentelemetry.exporter.otlp.proto.http"]
)
def test_without_its_packages_the_start_fails_clearly(
    monkeypatch: pytest.MonkeyPatch, package: str
) -> None:
    for name in (package, f"{package}.trace_exporter"):
        monkeypatch.setitem(sys.modules, name, None)
    with pytest.raises(SettingsError, match=r"pip install 'leaveline\[traces\]'"):
        create_app(Settings(traces=True))


def test_traces_are_off_unless_asked_for() -> None:
    app = create_app(Settings())
    assert tracing.TRACER not in app.extensions
    assert app.test_client().get("/v1/lines/10").status_code == 200


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_a_request_and_its_searches_are_spans() -> None:
    exporter, provider = InMemorySpanExporter(), TracerProvider()
    provider.add_span_processor(SimpleSpanProcessor(exporter))
    app = create_app(Settings())
    tracing.switch_on(app, provider=provider)
    client = app.test_client()
    client.post("/v1/lines", json={"leave": "10", "play": "both", "seed": 60_001})
    client.get("/healthz")
    spare, count, request = exporter.get_finished_spans()
    assert request.name == "POST /v1/lines"
    assert request.attributes is not None
    assert 200 in request.attributes.values()
    for span, play in ((spare, "spare"), (count, "count")):
        assert span.name == "search for a line"
        assert span.parent is not None
        assert span.parent.span_id == request.context.span_id
        assert dict(span.attributes or {}) == {"leaveline.leave": "10", "leaveline.play": play}
