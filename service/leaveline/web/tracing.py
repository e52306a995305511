"""Traces by OpenTelemetry: an extra, off unless asked for.

`LEAVELINE_TRACES=on` gives one span for each request and one for each search in it. Where spans go
is told by OpenTelemetry's own variables (`OTEL_EXPORTER_OTLP_ENDPOINT`, `OTEL_RESOURCE_ATTRIBUTES`,
`OTEL_TRACES_SAMPLER`, …).
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager, nullcontext
from typing import Any

from flask import Flask, current_app, has_app_context

from leaveline import __version__
from leaveline.web.settings import SettingsError

TRACER = "leaveline_tracer"
NOT_TRACED = "healthz,readyz,metrics"


def switch_on(app: Flask, *, provider: Any = None) -> None:
    """Trace an application's requests.

    Parameters
    ----------
    app : Flask
    provider : opentelemetry.sdk.trace.TracerProvider, optional
        Where spans go; one that exports by OTLP over HTTP where left out.

    Raises
    ------
    SettingsError
        Without the packages of the extra `traces`.
    """
    try:
        from opentelemetry.instrumentation.flask import FlaskInstrumentor

        provider = provider or _exporting_provider()
    except ImportError as error:
        raise SettingsError(
            "LEAVELINE_TRACES=on needs more packages: pip install 'leaveline[traces]' "
            f"({error.name} is missing)"
        ) from None
    app.extensions[TRACER] = provider.get_tracer("leaveline", __version__)
    instrumentor: Any = FlaskInstrumentor()
    instrumentor.instrument_app(app, tracer_provider=provider, excluded_urls=NOT_TRACED)


def step(name: str, **attributes: str) -> AbstractContextManager[Any]:
    """A span within the request's; nothing where traces are off."""
    tracer = current_app.extensions.get(TRACER) if has_app_context() else None
    if tracer is None:
        return nullcontext()
    start: Callable[..., AbstractContextManager[Any]] = tracer.start_as_current_span
    return start(name, attributes={f"leaveline.{key}": value for key, value in attributes.items()})


def _exporting_provider() -> Any:
    from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
    from opentelemetry.sdk.resources import Resource
    from opentelemetry.sdk.trace import TracerProvider
    from opentelemetry.sdk.trace.export import BatchSpanProcessor

    named = Resource.create({"service.name": "leaveline", "service.version": __version__})
    provider = TracerProvider(resource=named)
    provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
    return provider
