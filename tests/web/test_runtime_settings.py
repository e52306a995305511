"""Settings: every bad value stops the start and names itself; none is printed that is secret."""

from __future__ import annotations

from dataclasses import fields
from pathlib import Path

import pytest
from leaveline.web.cores import usable_cores
from leaveline.web.settings import VARIABLES, Settings, SettingsError

KEY = "a-key-of-enough-length"

BAD = [
    ("LEAVELINE_MAX_BODY_BYTES", "many", "from 1000 to"),
    ("LEAVELINE_MAX_BODY_BYTES", "999", "from 1000 to"),
    ("LEAVELINE_MAX_BODY_BYTES", "1e6", "whole number"),
    ("LEAVELINE_MAX_BODY_BYTES", " 5000", "whole number"),
    ("LEAVELINE_CACHE_SECONDS", "-1", "from 0 to"),
    ("LEAVELINE_CACHE_SECONDS", "٣", "whole number"),
    ("LEAVELINE_KEPT_ANSWERS_MB", "1.5", "whole number"),
    ("LEAVELINE_CONCURRENCY", "0", "from 1 to 256"),
    ("LEAVELINE_CONCURRENCY", "9" * 5000, "from 1 to 256"),
    ("LEAVELINE_TIME_BUDGET_SECONDS", "0", "from 1 to 3600"),
    ("LEAVELINE_LOG_LEVEL", "INFO", "debug, info, warning, error"),
    ("LEAVELINE_METRICS", "yes", "on, off"),
    ("LEAVELINE_TRACES", "1", "on, off"),
    ("LEAVELINE_WARM_MAPS", "true", "on, off"),
    ("WEB_CONCURRENCY", "two", "from 0 to 1024"),
    ("LEAVELINE_API_KEYS", "short", "16 or more"),
    ("LEAVELINE_API_KEYS", f"{KEY},short", "16 or more"),
    ("LEAVELINE_API_KEYS", "sixteen letters are here", "16 or more"),
    ("LEAVELINE_API_KEYS", "schlüssel-mit-genug-länge", "16 or more"),
    ("LEAVELINE_API_KEYS", " , ,", "holds no key"),
    ("LEAVELINE_CORS_ORIGINS", "pages.example", "an origin"),
    ("LEAVELINE_CORS_ORIGINS", "https://pages.example/", "an origin"),
    ("LEAVELINE_CORS_ORIGINS", "https://Pages.example", "an origin"),
    ("LEAVELINE_CORS_ORIGINS", "null", "an origin"),
    ("LEAVELINE_CORS_ORIGINS", "*,https://pages.example", "alone"),
]


@pytest.mark.parametrize(("name", "value", "says"), BAD)
def test_a_bad_value_stops_the_start(name: str, value: str, says: str) -> None:
    with pytest.raises(SettingsError, match=name) as caught:
        Settings.from_environment({name: value})
    assert says in str(caught.value)
    assert len(str(caught.value)) < 250


def test_a_bad_key_is_not_shown() -> None:
    with pytest.raises(SettingsError) as caught:
        Settings.from_environment({"LEAVELINE_API_KEYS": "secret"})
    assert "secret" not in str(caught.value)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("LEAVELINE_API_KEYZ", "LEAVELINE_API_KEYS"),
        ("LEAVELINE_CORS_ORIGIN", "LEAVELINE_CORS_ORIGINS"),
        ("LEAVELINE_COLOUR_SCHEME_OF_THE_KIOSK", "known: "),
    ],
)
def test_an_unknown_variable_is_refused(name: str, says: str) -> None:
    with pytest.raises(SettingsError, match=name) as caught:
        Settings.from_environment({name: "x"})
    assert says in str(caught.value)


@pytest.mark.parametrize(
    "name",
    [
        "LEAVELINE_URL",
        "LEAVELINE_PORT",
        "LEAVELINE_SERVICE_HOST",
        "LEAVELINE_SERVICE_PORT_HTTP",
        "LEAVELINE_PORT_8080_TCP_ADDR",
        "LEAVELINE_CACHE_PORT_80_TCP",
        "PATH",
    ],
)
def test_variables_of_the_client_and_of_kubernetes_are_left_alone(name: str) -> None:
    assert Settings.from_environment({name: "tcp://10.0.0.1:80"}) == Settings()


def test_the_clients_key_alone_does_not_start_an_open_service() -> None:
    with pytest.raises(SettingsError, match="LEAVELINE_API_KEYS: set that") as caught:
        Settings.from_environment({"LEAVELINE_API_KEY": KEY})
    assert KEY not in str(caught.value)
    both = {"LEAVELINE_API_KEY": KEY, "LEAVELINE_API_KEYS": KEY}
    assert Settings.from_environment(both).api_keys == (KEY,)
    assert Settings.from_environment({"LEAVELINE_API_KEY": ""}) == Settings()


def test_every_setting_can_be_set_and_is_in_the_table() -> None:
    environment = {
        "LEAVELINE_API_KEYS": f"{KEY}, {KEY}-next",
        "LEAVELINE_MAX_BODY_BYTES": "5000",
        "LEAVELINE_CACHE_SECONDS": "60",
        "LEAVELINE_KEPT_ANSWERS_MB": "0",
        "LEAVELINE_CONCURRENCY": "3",
        "LEAVELINE_TIME_BUDGET_SECONDS": "20",
        "LEAVELINE_CORS_ORIGINS": "https://pages.example, http://[::1]:8000",
        "LEAVELINE_LOG_LEVEL": "warning",
        "LEAVELINE_METRICS": "off",
        "LEAVELINE_TRACES": "on",
        "LEAVELINE_WARM_MAPS": "on",
        "WEB_CONCURRENCY": "3",
    }
    assert {*VARIABLES, "WEB_CONCURRENCY"} == set(environment)
    found, usual = Settings.from_environment(environment), Settings()
    for field in fields(Settings):
        assert getattr(found, field.name) != getattr(usual, field.name), field.name
    assert found.cors_origins == ("https://pages.example", "http://[::1]:8000")
    assert Settings.from_environment(dict.fromkeys(environment, "")) == usual


def test_what_is_printed_holds_no_key() -> None:
    shown = Settings(api_keys=(KEY, KEY + "-next")).public()
    assert shown["api_keys"] == 2
    assert KEY not in repr(shown)


@pytest.mark.parametrize(
    ("files", "cores"),
    [
        ({}, 64),
        ({"cpu.max": "max 100000\n"}, 64),
        ({"cpu.max": "200000 100000\n"}, 2),
        ({"cpu.max": "50000 100000\n"}, 1),
        ({"cpu.max": "150000 100000\n"}, 2),
        ({"cpu.max": "garbled"}, 64),
        ({"cpu/cpu.cfs_quota_us": "-1\n", "cpu/cpu.cfs_period_us": "100000\n"}, 64),
        ({"cpu/cpu.cfs_quota_us": "300000\n", "cpu/cpu.cfs_period_us": "100000\n"}, 3),
        ({"cpu.max": "99900000 100000"}, 64),
    ],
)
def test_cores_heed_the_containers_quota(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, files: dict[str, str], cores: int
) -> None:
    monkeypatch.setattr("os.sched_getaffinity", lambda _: range(64))
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text)
    assert usable_cores(tmp_path) == cores


def test_cores_are_counted_where_none_are_set_aside(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on systems that do not tell which cores a process may use."""
    monkeypatch.delattr("os.sched_getaffinity")
    monkeypatch.setattr("os.cpu_count", lambda: 6)
    assert usable_cores(tmp_path) == 6
    monkeypatch.setattr("os.cpu_count", lambda: None)
    assert usable_cores(tmp_path) == 1
