#!/usr/bin/env bash
# Set up everything the checks need in this folder's .venv, then lint, type-check and test.
# Works from any folder, on a fresh machine with Python 3.11, and again and again.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
source deploy/venv.sh
venv_with requirements/dev.txt

step() { printf '\n== %s\n' "$*"; }
export PYTHONPATH=service:sdk
# The kiosk is tested in a real browser. Where Debian's can be had it is installed; where not, those
# tests skip and say so.
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null && ! command -v chromium >/dev/null; then
    step "browser"
    DEBIAN_FRONTEND=noninteractive timeout 240 sh -c 'apt-get -qq update &&
        apt-get -qq -y --no-install-recommends install chromium fonts-dejavu-core' >/dev/null 2>&1 ||
        echo "none could be installed"
fi

step "ruff"
.venv/bin/ruff check .
.venv/bin/ruff format --check .
step "mypy"
.venv/bin/mypy
step "imports run one way"
.venv/bin/lint-imports --no-cache
step "tests"
.venv/bin/python -m pytest --cov --cov-report=term --cov-fail-under=85 "$@"
