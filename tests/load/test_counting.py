"""Metrics, logs and start, with real workers."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import requests

from tests.load.serving import ROOT, Served, own_environment, serving, wait_until

ROUTES = {
    "/v1/leaves/10": ("/v1/leaves/<leave>", "200"),
    "/v1/leaves/11": ("/v1/leaves/<leave>", "422"),
    "/v1/lines/3-10": ("/v1/lines/<leave>", "200"),
    "/nowhere": ("unmatched", "404"),
    "/healthz": ("/healthz", "200"),
}


def counted(served: Served) -> Counter[tuple[str, str]]:
    return Counter(
        {
            key: int(
                served.metric("leaveline_requests_total", route=key[0], status=key[1], method="GET")
            )
            for key in ROUTES.values()
        }
    )


def send(served: Served, paths: list[str]) -> None:
    def ask(path: str) -> None:
        requests.get(served.url + path, timeout=30)  # a connection each: any worker may answer

    with ThreadPoolExecutor(4) as pool:
        list(pool.map(ask, paths))


def test_the_workers_counts_add_up_exactly_and_survive_a_worker(tmp_path: Path) -> None:
    with serving(tmp_path / "out.jsonl") as served:
        before = counted(served)
        send(served, list(ROUTES) * 40)
        assert all(count == 40 for count in (counted(served) - before).values())
        assert served.metric("leaveline_requests_in_flight") == 1  # the one that asks
        answered_by_each = {
            line["request_id"] for line in served.log_lines() if line["message"] == "request"
        }
        assert len(answered_by_each) >= 200
        killed = served.workers()
        os.kill(killed[0], signal.SIGKILL)
        wait_until(
            lambda: killed[0] not in served.workers() and len(served.workers()) == 2,
            "another worker in the place of the one killed",
        )
        send(served, list(ROUTES) * 40)
        assert all(count == 80 for count in (counted(served) - before).values())
        folder = metrics_folder(served)
        assert len(list(folder.glob("counter_*.db"))) == 2  # one for each place, not each process
        first = Counter((x["route"], str(x["status"])) for x in served.log_lines() if "route" in x)
        assert all(first[key] >= 80 for key in ROUTES.values())
        assert served.stop() == 0
    assert not folder.exists()


def metrics_folder(served: Served) -> Path:
    environment = Path(f"/proc/{served.workers()[0]}/maps").read_text()
    line = next(line for line in environment.splitlines() if "leaveline-metrics-" in line)
    return Path(line.split()[-1]).parent


def test_settings_are_printed_once_and_hold_no_key(tmp_path: Path) -> None:
    key = "a-key-of-enough-length"
    folder = tmp_path / "metrics"
    folder.mkdir()
    (folder / "counter_9.db").write_bytes(b"left over by an earlier run")
    with serving(
        tmp_path / "out.jsonl", LEAVELINE_API_KEYS=key, PROMETHEUS_MULTIPROC_DIR=str(folder)
    ) as served:
        assert requests.get(f"{served.url}/v1/leaves/10", timeout=30).status_code == 401
        headers = {"Authorization": f"Bearer {key}"}
        assert requests.get(f"{served.url}/v1/leaves/10", headers=headers, timeout=30).ok
        assert served.metric("leaveline_refused_total", reason="unauthorized") == 1
        assert not (folder / "counter_9.db").exists()
        served.stop()
        printed = [line["settings"] for line in served.log_lines() if "settings" in line]
    assert [settings["api_keys"] for settings in printed] == [1]
    assert key not in served.log.read_text()
    assert folder.exists()  # one that was given is not ours to remove


def test_a_bad_setting_stops_the_start_in_one_line() -> None:
    ended = subprocess.run(
        [sys.executable, "-m", "gunicorn", "-c", "deploy/gunicorn.conf.py", "leaveline.web:none"],
        cwd=ROOT,
        env=own_environment() | {"PYTHONPATH": "service", "LEAVELINE_CONCURENCY": "4"},
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert ended.returncode == 1
    assert ended.stderr.strip().splitlines() == [
        "leaveline: LEAVELINE_CONCURENCY is not a setting of the service; "
        "did you mean LEAVELINE_CONCURRENCY?"
    ]
