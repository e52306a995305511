"""Shared fixtures: the application, mounted in process."""

from __future__ import annotations

import pytest
from flask import Flask
from flask.testing import FlaskClient
from hypothesis import settings
from leaveline.web import create_app
from leaveline.web.settings import Settings

# The same examples on every run, and no time limit on a machine we do not know.
settings.register_profile("leaveline", derandomize=True, deadline=None)
settings.load_profile("leaveline")


@pytest.fixture(scope="session")
def app() -> Flask:
    return create_app(Settings())


@pytest.fixture
def client(app: Flask) -> FlaskClient:
    return app.test_client()
