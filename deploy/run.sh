#!/usr/bin/env bash
# Install what the service needs in this folder's .venv, solve a real line through the SDK, serve.
# PORT (default 8080) and HOST (default 127.0.0.1) are honoured. Ctrl-C stops it.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source deploy/venv.sh
venv_with requirements/service.txt
export PYTHONPATH=service:sdk
PORT=${PORT:-8080} HOST=${HOST:-127.0.0.1}

.venv/bin/gunicorn --config deploy/gunicorn.conf.py --bind "$HOST:$PORT" 'leaveline.web:create_app()' &
server=$!
trap 'kill "$server" 2>/dev/null; wait "$server" 2>/dev/null' EXIT INT TERM
.venv/bin/python deploy/first_line.py "http://$HOST:$PORT" "$server"
printf '\nServing at http://%s:%s (Ctrl-C stops it)\n' "$HOST" "$PORT"
wait "$server"
