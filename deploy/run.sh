#!/usr/bin/env bash
# Install what the service needs in this folder's .venv, solve a real line through the SDK, serve.
# PORT (default 8080) and HOST (default 127.0.0.1) are honoured. Ctrl-C stops it.
# The service's log goes to standard error, so that 2>leaveline.log leaves only what is said here.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source deploy/venv.sh
echo 'Setting up and starting. The lines of JSON are the log of the service.'
venv_with requirements/service.txt
export PYTHONPATH=service:sdk
PORT=${PORT:-8080} HOST=${HOST:-127.0.0.1}

.venv/bin/gunicorn --config deploy/gunicorn.conf.py --bind "$HOST:$PORT" 'leaveline.web:create_app()' >&2 &
server=$!
trap 'kill "$server" 2>/dev/null; wait "$server" 2>/dev/null' EXIT INT TERM
# Not by way of a proxy that the environment names.
first=$(no_proxy='*' .venv/bin/python deploy/first_line.py "http://$HOST:$PORT" "$server")
printf '\nA first line, solved by the service:\n\n%s\n\n' "$first"
printf 'Serving at http://%s:%s (Ctrl-C stops it)\n' "$HOST" "$PORT"
printf '  /docs   what can be asked\n  /kiosk  the page for a counter\n\n'
wait "$server"
