#!/usr/bin/env bash
# Build the image from deploy/Dockerfile, start it as it should be run (read-only root, no
# capabilities, no new privileges, not as root, bounded memory), solve lines from inside and from
# outside, stop it and check how it stopped.
#
#   bash deploy/image.sh [--require] [--no-install]
#
# As root on Debian it installs podman, runc and mmdebstrap where they are missing (--no-install
# forbids that). Where no image registry can be reached, it makes the base image itself, under the
# name that the Dockerfile asks for, from the Debian sources this machine's apt uses. Where the
# machine cannot build or run containers it says "skipped: <reason>" and exits with 0, or with 3
# under --require. Anything wrong with the image itself exits with 1.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

IMAGE=leaveline:local
NAME=leaveline-check-$$
MEMORY=1g
# A worker is started for each.
CPUS=2
BASE=$(sed -n 's/^FROM \(python:[^ ]*\).*/\1/p' deploy/Dockerfile | head -n 1)
DEBIAN=${BASE##*-}
require=no install=yes
for argument in "$@"; do
    case $argument in
        --require) require=yes ;;
        --no-install) install=no ;;
        *) echo "unknown argument: $argument (allowed: --require, --no-install)" >&2; exit 2 ;;
    esac
done

say() { printf '%5ds  %s\n' "$SECONDS" "$*"; }
fail() { echo "failed: $*" >&2; exit 1; }
skip() {
    echo "skipped: $*"
    [ "$require" = no ] || exit 3
    exit 0
}
# Run quietly for at most so many seconds; what it said is in $WORK/log.
quietly() { timeout -k 10 "$@" >"$WORK/log" 2>&1 </dev/null; }
why() { grep -v '^ *$' "$WORK/log" | tail -n 1 | cut -c 1-300; }
cleanup() {
    [ -z "$engine" ] || timeout -k 5 60 "$engine" rm -f "$NAME" >/dev/null 2>&1 || true
    rm -rf "$WORK"
}
engine=''
WORK=$(mktemp -d)
trap cleanup EXIT
trap 'exit 130' INT TERM

main() {
    find_engine
    find_base
    build
    start
    check
    stop
    say "all is well"
}

find_engine() {
    if command -v docker >/dev/null && quietly 10 docker info; then
        engine=docker build_flags=() run_flags=()
        say "docker's engine is running"
        return
    fi
    if ! command -v podman >/dev/null || ! command -v runc >/dev/null; then
        install_tools podman runc mmdebstrap
    fi
    engine=podman
    quietly 60 podman info || skip "podman does not work on this machine: $(why)"
    # The runtime's health checks need systemd's timers. Limits are named because raising those of
    # a session is often forbidden.
    run_flags=(--runtime runc --no-healthcheck --ulimit nofile=1024:1024 --ulimit nproc=1024:1024)
    build_flags=(--isolation chroot --network host --pull=never --format docker)
    say "$(podman --version)"
}

install_tools() {
    [ "$install" = yes ] || skip "$1 is not installed, and --no-install was given"
    [ "$(id -u)" = 0 ] || skip "$1 is not installed, and only root can install it"
    command -v apt-get >/dev/null || skip "$1 is not installed, and this is no Debian"
    say "installing $*"
    quietly 180 apt-get update || skip "Debian's package lists cannot be fetched: $(why)"
    quietly 400 env DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$@" \
        || skip "$* cannot be installed: $(why)"
}

find_base() {
    if quietly 60 "$engine" image inspect "$BASE"; then
        say "the base $BASE is here"
    elif quietly 30 "$engine" pull "$BASE"; then
        say "pulled $BASE"
    else
        say "$BASE cannot be pulled; making it"
        make_base
    fi
}

# Debian's Python under the official image's name and at its address, /usr/local/bin/python3.
make_base() {
    local sources
    [ "$(id -u)" = 0 ] || skip "no registry can be reached, and only root can make a base image"
    command -v mmdebstrap >/dev/null || install_tools mmdebstrap
    # shellcheck disable=SC2016 # apt's own variables
    sources=$(apt-get indextargets --format 'deb $(REPO_URI) $(CODENAME) $(COMPONENT)' \
        'Created-By: Packages' 'Component: main' | grep " $DEBIAN" | sort -u) \
        || skip "no registry can be reached, and this machine's apt has no sources for $DEBIAN"
    echo "$sources" >"$WORK/sources.list"
    # In memory where there is room: unpacking Debian's packages waits for the disk otherwise.
    [ "$(df --output=avail -k /dev/shm 2>/dev/null | tail -n 1)" -gt 1000000 ] 2>/dev/null \
        && export TMPDIR=/dev/shm
    # shellcheck disable=SC2016 # mmdebstrap's own argument
    quietly 400 mmdebstrap --variant=minbase --include=python3,python3-venv,ca-certificates \
        --dpkgopt='path-exclude=/usr/share/man/*' --dpkgopt='path-exclude=/usr/share/doc/*' \
        --dpkgopt='path-exclude=/usr/share/locale/*' \
        --customize-hook='ln -s /usr/bin/python3 "$1/usr/local/bin/python3"' \
        "$DEBIAN" "$WORK/base.tar" "$WORK/sources.list" \
        || skip "no registry can be reached, and Debian cannot be unpacked: $(why)"
    unset TMPDIR
    quietly 120 "$engine" import "$WORK/base.tar" "$BASE" || skip "cannot import a base: $(why)"
    rm "$WORK/base.tar"
    say "made $BASE"
}

# pip inside trusts the certificates, and asks the index, that pip on this machine does. A build that
# fails twice is our fault where this machine can still build something else.
build() {
    local started=$SECONDS certificates index
    certificates=$(readlink -f "${PIP_CERT:-${SSL_CERT_FILE:-/etc/ssl/certs/ca-certificates.crt}}")
    index=${PIP_INDEX_URL:-$(python3 -m pip config get global.index-url 2>/dev/null || true)}
    if [ "$engine" = podman ] && [ -r "$certificates" ]; then
        printf '[global]\ncert = /run/certificates.pem\n' >"$WORK/pip.conf"
        [ -z "$index" ] || printf 'index-url = %s\n' "$index" >>"$WORK/pip.conf"
        build_flags+=(--volume "$certificates:/run/certificates.pem:ro"
            --volume "$WORK/pip.conf:/root/.config/pip/pip.conf:ro")
    fi
    if ! build_once && ! build_once; then
        cp "$WORK/log" "$WORK/build.log"
        machine_can_build || skip "containers cannot be built here, or reach no package index: $(why)"
        tail -n 40 "$WORK/build.log" >&2
        fail "deploy/Dockerfile does not build"
    fi
    say "built $IMAGE in $((SECONDS - started)) s, $(image_size)"
}

build_once() {
    quietly 400 "$engine" build "${build_flags[@]}" -f deploy/Dockerfile -t "$IMAGE" .
}

machine_can_build() {
    mkdir -p "$WORK/probe"
    cat >"$WORK/probe/Dockerfile" <<PROBE
FROM $BASE
RUN python3 -m venv /probe && /probe/bin/pip download --no-deps --dest /probe blinker
PROBE
    quietly 120 "$engine" build "${build_flags[@]}" --no-cache -t leaveline-probe "$WORK/probe" \
        || return 1
    timeout 60 "$engine" rmi -f leaveline-probe >/dev/null 2>&1 || true
}

image_size() {
    "$engine" image inspect --format '{{.Size}}' "$IMAGE" | awk '{printf "%.0f MB", $1 / 1e6}'
}

start() {
    # An engine refuses more than the machine has.
    [ "$(getconf _NPROCESSORS_ONLN)" -ge "$CPUS" ] || CPUS=1
    run_flags+=(--read-only --tmpfs "/tmp:rw,noexec,nosuid,nodev,size=64m,mode=1777"
        --cap-drop ALL --security-opt no-new-privileges --cpus "$CPUS"
        --memory "$MEMORY" --pids-limit 200
        -p 127.0.0.1::8080)
    if ! quietly 60 "$engine" run --rm --name "$NAME" --entrypoint /bin/true \
        "${run_flags[@]}" "$IMAGE"; then
        skip "the image is built, but containers cannot be run here: $(why)"
    fi
    local started
    started=$(date +%s%N)
    quietly 60 "$engine" run -d --name "$NAME" "${run_flags[@]}" "$IMAGE" \
        || fail "the container does not start: $(why)"
    address=http://$(timeout 20 "$engine" port "$NAME" 8080/tcp | head -n 1)
    until ask "$address/readyz" >/dev/null 2>&1; do
        if ! running || [ $(($(date +%s%N) - started)) -gt 60000000000 ]; then
            timeout 20 "$engine" logs "$NAME" >&2 || true
            fail "the container does not get ready"
        fi
        sleep 0.2
    done
    say "ready after $((($(date +%s%N) - started) / 1000000)) ms, as $run_as"
}

running() { [ "$("$engine" inspect --format '{{.State.Running}}' "$NAME")" = true ]; }

run_as="read-only, no capabilities, no new privileges, at most $MEMORY of memory"

# Ask an address, with a JSON body where one is given; the same words inside and outside.
ASK='
import sys, urllib.request
body = sys.argv[2].encode() if len(sys.argv) > 2 else None
request = urllib.request.Request(sys.argv[1], body, {"Content-Type": "application/json"})
print(urllib.request.urlopen(request, timeout=20).read().decode())
'
WORDS='import json, sys; print(json.load(sys.stdin)["lines"][0]["words"])'
OILED='{"leave": "10", "lane": {"oil": {"length_ft": 40, "ratio": 2}}, "sensitivity": true,
  "bowler": {"release": {"rev_rate_rpm": 325, "axis_rotation_deg": 50}}}'
ADVICE='{"leave": "3-10", "situation": {"kind": "score"}}'

ask() { timeout 30 env no_proxy='*' python3 -c "$ASK" "$@"; }
inside() { timeout 30 "$engine" exec "$NAME" "$@"; }

check() {
    local uid line first workers
    uid=$(inside id -u) || fail "nothing can be run in the container"
    [ "$uid" -gt 0 ] || fail "the service runs as root"
    say "runs as user $uid"
    for path in / /opt/leaveline /opt/leaveline/kernels /etc /usr/lib; do
        ! inside touch "$path/written" 2>/dev/null || fail "$path can be written to"
    done
    for tool in pip pip3 gcc cc; do
        ! inside sh -c "command -v $tool" >/dev/null || fail "$tool is in the image"
    done
    ! inside python -c 'import pip' 2>/dev/null || fail "pip is in the image"
    say "its root is read-only and holds neither pip nor a compiler"

    line=$(inside python -c "$ASK" http://127.0.0.1:8080/v1/lines/1-2-10) \
        || fail "no line from inside"
    first=$(ask "$address/v1/lines/1-2-10") || fail "no line from outside"
    [ "$line" = "$first" ] || fail "the same question has two answers"
    say "from inside:  $(python3 -c "$WORDS" <<<"$line" | cut -c 1-100)…"
    line=$(ask "$address/v1/lines" "$OILED") || fail "no line on oil"
    say "from outside: $(python3 -c "$WORDS" <<<"$line" | cut -c 1-100)…"
    ask "$address/v1/advice" "$ADVICE" >/dev/null || fail "no advice"
    ask "$address/v1/pictures/2-10.svg?hand=left" >/dev/null || fail "no picture"
    inside diff -r /opt/leaveline/kernels /tmp/kernels >"$WORK/log" 2>&1 \
        || fail "a kernel was compiled anew: $(why)"
    say "no kernel was compiled anew"
    workers=$(timeout 20 "$engine" logs "$NAME" 2>&1 | grep -c 'Booting worker') || true
    [ "$workers" = "$CPUS" ] || fail "$workers workers were started for $CPUS cores"
    say "workers started for its $CPUS cores: $workers"
}

stop() {
    local code started=$SECONDS
    quietly 40 "$engine" stop -t 20 "$NAME" || fail "the container does not stop: $(why)"
    code=$("$engine" inspect --format '{{.State.ExitCode}}' "$NAME")
    [ "$code" = 0 ] || fail "SIGTERM ended the container with $code, not 0"
    say "SIGTERM stopped it within $((SECONDS - started + 1)) s, exit status 0"
}

main
