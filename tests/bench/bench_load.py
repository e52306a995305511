"""Requests a second and waiting times over real sockets, beside a bare Flask endpoint.

PYTHONPATH=service:sdk:. python tests/bench/bench_load.py [seconds for each measurement]

gunicorn with the settings that are shipped and two workers, twice: the service, and an application
with one bare JSON endpoint. Each kind of traffic is measured for some seconds right after the bare
endpoint at the same number of connections, so that what else the machine does weighs on both; the
ratios are what counts. Then 100,000 requests of mixed traffic, with the memory of the workers on
the way. Needs Debian's `wrk`, which shares the machine's cores with what it measures.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
from contextlib import ExitStack
from dataclasses import dataclass
from pathlib import Path

import requests

from tests.load.serving import Served, serving

SECONDS = 5
MEMORY_REQUESTS = 100_000
BARE = "tests.bench.bare_app:create_bare_app()"

# What wrk sends: each request of uncached and batch traffic is another bowler on another lane.
OTHER_BOWLER = """
local function bowler(n)
  return string.format('{"leave":"%s","limit":1,"seed":1,"bowler":{"spread":{"target_boards":%.5f},'
    .. '"release":{"speed_mph":%.4f}},"lane":{"oil":{"length_ft":%.4f,"ratio":%.3f}}}',
    LEAVES[n % #LEAVES + 1], 0.5 + (n % 9973) / 20000, 15 + (n % 7919) / 2000,
    36 + (n % 6007) / 800, 1 + (n % 5003) / 600)
end
"""
STRAIGHT = """
local function bowler(n)
  return string.format('{"leave":"%s","limit":1,"bowler":{"spread":{"target_boards":%.6f}}}',
    LEAVES[n % #LEAVES + 1], 0.5 + (n % 99991) / 200000)
end
"""
HEAD = """
LEAVES = {"10", "7", "3-10", "2-7", "1-2-10", "3-6-7-10", "2-4-5-8", "6-7-10", "1-2-4-10", "5"}
math.randomseed(SEED)
local n = math.random(1, 1000000)
wrk.headers["Content-Type"] = "application/json"
"""
POST = """
function request()
  n = n + 1
  return wrk.format("POST", "/v1/lines", nil, bowler(n))
end
"""
BATCH = """
function request()
  local items = {}
  for i = 1, 10 do
    n = n + 1
    items[i] = bowler(n)
  end
  local body = '{"items":[' .. table.concat(items, ",") .. "]}"
  return wrk.format("POST", "/v1/lines/batch", nil, body)
end
"""
GET = 'function request() return wrk.format("GET", PATHS[math.random(#PATHS)]) end'
PATHS = """
PATHS = {}
for _, leave in ipairs(LEAVES) do
  for _, hand in ipairs({"right", "left"}) do
    PATHS[#PATHS + 1] = "/v1/lines/" .. leave .. "?hand=" .. hand .. "&level=league"
  end
end
"""
MIXED = """
function request()
  local die = math.random(100)
  if die <= 80 then return wrk.format("GET", PATHS[math.random(#PATHS)]) end
  if die <= 90 then return wrk.format("GET", "/v1/leaves/" .. LEAVES[math.random(#LEAVES)]) end
  if die <= 93 then return wrk.format("GET", "/v1/leaves/11") end
  if die <= 95 then return wrk.format("GET", "/metrics") end
  n = n + 1
  return wrk.format("POST", "/v1/lines", nil, bowler(n))
end
"""
REPORT = """
function done(summary, latency, requests)
  io.write(string.format('{"requests":%d,"us":%d,"status":%d,"socket":%d,"p50":%d,"p95":%d,'
    .. '"p99":%d}', summary.requests, summary.duration, summary.errors.status,
    summary.errors.connect + summary.errors.read + summary.errors.write + summary.errors.timeout,
    latency:percentile(50), latency:percentile(95), latency:percentile(99)))
end
"""


@dataclass(frozen=True, slots=True)
class Measured:
    """What wrk saw: requests a second, waiting times [ms], answers that were errors; and the
    processor time the workers took for one request [ms], which other load hardly changes."""

    rate: float
    p50_ms: float
    p95_ms: float
    p99_ms: float
    errors: int
    requests: int
    cpu_ms: float


def measure(
    served: Served, script: str, *, connections: int, seconds: float, seed: int = 1
) -> Measured:
    """Run wrk with one thread for some seconds."""
    before_s = cpu_s(served)
    with tempfile.NamedTemporaryFile("w", suffix=".lua") as file:
        file.write(f"SEED = {seed}\n{HEAD}{script}{REPORT}")
        file.flush()
        out = subprocess.run(
            ["wrk", "-t1", f"-c{connections}", f"-d{round(seconds)}s", "--timeout", "60s",
             "-s", file.name, served.url],
            capture_output=True, text=True, check=True,
        ).stdout  # fmt: skip
    found = re.search(r"\{.*\}", out)
    assert found, out
    seen = json.loads(found.group())
    return Measured(
        seen["requests"] / seen["us"] * 1e6,
        seen["p50"] / 1e3,
        seen["p95"] / 1e3,
        seen["p99"] / 1e3,
        seen["status"] + seen["socket"],
        seen["requests"],
        (cpu_s(served) - before_s) / max(1, seen["requests"]) * 1e3,
    )


def cpu_s(served: Served) -> float:
    """Processor time the workers have taken so far, those that were renewed included [s]."""
    ticks = 0
    for process in (served.process.pid, *served.workers()):
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
        own, ended_children = fields[11:13], fields[13:15]
        ticks += sum(map(int, own + ended_children))
    return ticks / os.sysconf("SC_CLK_TCK")


def memory_mb(served: Served) -> list[tuple[float, float]]:
    """Resident and proportional memory of each worker [MB]; shared pages count in part in the
    second."""
    found = []
    for worker in sorted(served.workers()):
        text = Path(f"/proc/{worker}/smaps_rollup").read_text()
        kilobytes = {
            name: int(re.search(rf"^{name}:\s+(\d+)", text, re.MULTILINE).group(1))  # type: ignore[union-attr]
            for name in ("Rss", "Pss")
        }
        found.append((kilobytes["Rss"] / 1024, kilobytes["Pss"] / 1024))
    return found


def compare_traffic(bare: Served, ours: Served, seconds: float) -> None:
    """Print each kind of traffic beside the bare endpoint."""
    bare_get = 'function request() return wrk.format("GET", "/bare") end'
    kinds = [
        ("cached GET line", PATHS + GET, 16, 1),
        ("cached GET line", PATHS + GET, 4, 1),
        ("uncached line, straight", STRAIGHT + POST, 4, 1),
        ("uncached line on oil", OTHER_BOWLER + POST, 4, 1),
        ("uncached line on oil", OTHER_BOWLER + POST, 1, 1),
        ("batch of 10 on oil", OTHER_BOWLER + BATCH, 2, 10),
    ]
    print(
        f"{'traffic':26s}{'conns':>6s}{'req/s':>9s}{'lines/s':>9s}{'p50':>9s}{'p95':>9s}{'p99':>9s}"
        f"{'cpu':>9s}{'errors':>8s}  beside bare"
    )
    for seed, (name, script, connections, lines) in enumerate(kinds, start=1):
        # A batch takes long: what is left half done at the end must weigh little.
        length = seconds * 4 if lines > 1 else seconds
        bare_seen, seen = (
            measure(where, text, connections=connections, seconds=length, seed=seed)
            for where, text in ((bare, bare_get), (ours, script))
        )
        rate, p50 = seen.rate / bare_seen.rate, seen.p50_ms / bare_seen.p50_ms
        cpu = seen.cpu_ms / bare_seen.cpu_ms
        ratios = f"rate × {rate:.2f}, p50 × {p50:.1f}, processor × {cpu:.1f}"
        _print_row("bare", connections, 0, bare_seen, "")
        _print_row(name, connections, lines, seen, ratios)


def _print_row(title: str, connections: int, lines: int, seen: Measured, beside: str) -> None:
    print(
        f"{title:26s}{connections:6d}{seen.rate:9.0f}{seen.rate * lines:9.0f}{seen.p50_ms:7.2f}ms"
        f"{seen.p95_ms:7.2f}ms{seen.p99_ms:7.2f}ms"
        f"{seen.cpu_ms:7.2f}ms{seen.errors:8d}  {beside}",
        flush=True,
    )


def watch_memory(ours: Served) -> None:
    """Print the workers' memory while mixed traffic comes in."""
    print(f"\nmixed traffic, {MEMORY_REQUESTS} requests; resident (proportional) MB of each worker")
    sent, seed = 0, 100
    while True:
        shown = "  ".join(f"{rss:.0f} ({pss:.0f})" for rss, pss in memory_mb(ours))
        print(f"{sent:8d} requests: {shown}", flush=True)
        if sent >= MEMORY_REQUESTS:
            return
        seed += 1
        script = PATHS + OTHER_BOWLER + MIXED
        sent += measure(ours, script, connections=8, seconds=5, seed=seed).requests


def main(seconds: float) -> None:
    """Measure and print."""
    if shutil.which("wrk") is None:
        sys.exit("wrk is not installed (Debian: apt-get install wrk)")
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        bare = stack.enter_context(serving(folder / "bare.jsonl", app=BARE, wait_for="/bare"))
        ours = stack.enter_context(serving(folder / "ours.jsonl"))
        for path in ("10", "7", "3-10", "2-7", "1-2-10", "3-6-7-10", "2-4-5-8", "6-7-10"):
            requests.get(f"{ours.url}/v1/lines/{path}?hand=right&level=league", timeout=30)
        measure(ours, PATHS + GET, connections=8, seconds=2)  # both workers keep every answer
        compare_traffic(bare, ours, seconds)
        watch_memory(ours)


if __name__ == "__main__":
    main(float(sys.argv[1]) if len(sys.argv) > 1 else SECONDS)
