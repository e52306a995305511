# shellcheck shell=bash
# Sourced by deploy/run.sh and tests/run.sh, from the project's root.

# Make .venv and install a locked list of packages into it, unless that has been done already.
venv_with() {
    local lock=$1 stamp
    stamp=.venv/.installed-$(basename "$lock" .txt)
    if [ ! -x .venv/bin/python ]; then
        "${PYTHON:-python3.11}" -m venv .venv || "${PYTHON:-python3}" -m venv .venv
    fi
    if ! cmp -s "$lock" "$stamp"; then
        .venv/bin/python -m pip install --quiet --disable-pip-version-check --require-hashes -r "$lock"
        cp "$lock" "$stamp"
    fi
}
