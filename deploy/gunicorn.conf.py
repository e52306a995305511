"""How gunicorn runs the service: a worker a core, a few threads each, a graceful stop."""

from __future__ import annotations

import os

workers = int(os.environ.get("WEB_CONCURRENCY") or os.cpu_count() or 1)
worker_class = "gthread"
threads = 4
timeout = 60
graceful_timeout = 30
keepalive = 15
max_requests = 100_000
max_requests_jitter = 10_000
