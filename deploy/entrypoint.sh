#!/bin/sh
# Start the container's command with the compiled kernels where numba will use them: it takes a
# cache only from a folder it may write to, and the image's root may be read-only.
set -eu
if ! { mkdir -p "$NUMBA_CACHE_DIR" && cp -R /opt/leaveline/kernels/. "$NUMBA_CACHE_DIR"; }; then
    echo "leaveline: /tmp must be writable; mount a tmpfs (or an emptyDir) there" >&2
    exit 1
fi
exec "$@"
