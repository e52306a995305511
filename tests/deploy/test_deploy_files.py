"""What is shipped beside the code passes the usual linters and stays in step with the code."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
import yaml
from leaveline.web.docs_page import PROBLEM_TYPES_OF_THE_FRONT
from leaveline.web.problems import PROBLEM_TYPES
from leaveline.web.settings import Settings

ROOT = Path(__file__).parents[2]
DEPLOY = ROOT / "deploy"
BIN = Path(sys.executable).parent
DOCKERFILE = (DEPLOY / "Dockerfile").read_text(encoding="utf-8")
CODE = ("service", "sdk", "deploy")
SCRIPTS = [ROOT / "tests" / "run.sh", ROOT / ".ci" / "run"]
SCRIPTS += sorted(DEPLOY.glob("*.sh"))

FINAL_STAGE = DOCKERFILE[DOCKERFILE.rindex("\nFROM ") :]


def passes(*command: str | Path) -> None:
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr


def compose() -> Any:
    return yaml.safe_load((DEPLOY / "compose.yaml").read_text(encoding="utf-8"))


def usual(value: Any) -> str:
    """What a value of the compose file is where the variable it names is not set."""
    return re.sub(r"\$\{\w+:-(.*)\}", r"\1", str(value))


def test_dockerfile_passes_hadolint() -> None:
    passes(BIN / "hadolint", "deploy/Dockerfile")


def test_compose_file_fits_its_specification() -> None:
    passes(
        BIN / "check-jsonschema", "--builtin-schema", "vendor.compose-spec", "deploy/compose.yaml"
    )


def test_code_passes_bandit() -> None:
    passes(BIN / "bandit", "--quiet", "--recursive", *CODE)


def test_shell_scripts_pass_shellcheck() -> None:
    if not shutil.which("shellcheck"):
        pytest.skip("Debian's shellcheck is not installed")
    passes("shellcheck", "--external-sources", *SCRIPTS)


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.name)
def test_shell_scripts_can_be_read(script: Path) -> None:
    first = script.read_text(encoding="utf-8").splitlines()[0]
    passes("sh" if first.endswith("/sh") else "bash", "-n", script)


def test_final_stage_runs_nothing_and_not_as_root() -> None:
    assert not re.search(r"^RUN\b", FINAL_STAGE, re.M)
    assert re.search(r"^USER [1-9]\d*:[1-9]\d*$", FINAL_STAGE, re.M)
    assert "\nHEALTHCHECK " in FINAL_STAGE


def test_what_only_the_sdk_needs_is_what_the_image_leaves_out() -> None:
    """The lock says who asked for a package; those that only requests asks for are dropped."""
    lock = (ROOT / "requirements" / "service.txt").read_text(encoding="utf-8")
    asked_by = {}
    for block in re.split(r"\n(?=[a-z])", lock):
        name, askers = block.partition("==")[0], re.findall(r"^    #(?: via)? +(\S+)$", block, re.M)
        asked_by[name] = set(askers) - {"via"}
    only_sdk = {"requests"} | {name for name, askers in asked_by.items() if askers == {"requests"}}
    assert len(only_sdk) > 1
    removed = re.search(r"uninstall --yes --quiet \\\n([^&]+)\\\n", DOCKERFILE)
    assert removed
    assert set(removed[1].split()) == only_sdk


def test_nothing_unneeded_goes_to_the_builder() -> None:
    lines = (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines()
    wanted = [line[1:] for line in lines if line.startswith("!")]
    assert "*" in lines
    for path in wanted:
        assert (ROOT / path).exists(), path
        assert path.split("/")[0] in DOCKERFILE
    copied = re.findall(r"^COPY (?!--from)(.+) \S+$", DOCKERFILE, re.M)
    assert {path for line in copied for path in line.split()} == set(wanted)


def test_front_allows_what_the_service_allows() -> None:
    text = (DEPLOY / "nginx.conf").read_text(encoding="utf-8")
    (size,) = re.findall(r"client_max_body_size (\d+);", text)
    (wait,) = re.findall(r"proxy_read_timeout (\d+)s;", text)
    (idle,) = re.findall(r"keepalive_timeout (\d+)s;\n    }", text)
    (service_idle,) = re.findall(
        r"^keepalive = (\d+)$", (DEPLOY / "gunicorn.conf.py").read_text("utf-8"), re.M
    )
    settings = Settings()
    assert int(size) == settings.max_body_bytes
    assert int(wait) > settings.time_budget_s + 5
    assert int(idle) < int(service_idle)


def test_limits_are_told_as_they_are() -> None:
    front = (DEPLOY / "nginx.conf").read_text(encoding="utf-8")
    told = (ROOT / "docs" / "running.md").read_text(encoding="utf-8")
    (rate,) = re.findall(r"rate=(\d+)r/s", front)
    (burst,) = re.findall(r"limit_req zone=rate burst=(\d+) nodelay", front)
    (at_once,) = re.findall(r"limit_conn open (\d+);", front)
    (size,) = re.findall(r"client_max_body_size (\d+);", front)
    assert f"at most {rate} requests a second ({burst} at once)" in front
    assert f"more than {rate} requests a second beyond {burst} at once, or {at_once} at a" in told
    assert f"at most {size} bytes" in front
    assert f"{int(size):,} bytes" in told
    for kind in PROBLEM_TYPES_OF_THE_FRONT:
        assert f"`/problems/{kind}`" in told


def test_problems_of_the_front_are_listed_kinds() -> None:
    front = (DEPLOY / "nginx.conf").read_text(encoding="utf-8")
    bodies = re.findall(r"return (\d+) '(\{\"type\".*\})';", front)
    made = [(int(status), json.loads(body)) for status, body in bodies]
    kinds = PROBLEM_TYPES | PROBLEM_TYPES_OF_THE_FRONT
    for status, body in made:
        kind = body["type"].removeprefix("/problems/")
        assert body["status"] == status
        assert body["title"] == kinds[kind].title
        assert kind == "http-error" or status == kinds[kind].status
    assert set(PROBLEM_TYPES_OF_THE_FRONT) <= {
        body["type"].removeprefix("/problems/") for _, body in made
    }
    assert not set(PROBLEM_TYPES_OF_THE_FRONT) & set(PROBLEM_TYPES)


def test_compose_runs_both_without_root_on_read_only_roots() -> None:
    services = compose()["services"]
    for name, service in services.items():
        assert service["read_only"] is True, name
        assert service["cap_drop"] == ["ALL"], name
        assert service["security_opt"] == ["no-new-privileges:true"], name
        assert "mem_limit" in service, name
    assert "ports" not in services["service"]
    assert compose()["networks"]["inside"] == {"internal": True}


def test_compose_sets_only_what_the_service_takes() -> None:
    environment = compose()["services"]["service"]["environment"]
    Settings.from_environment({name: usual(value) for name, value in environment.items()})


def test_limits_hold_the_workers_that_they_start() -> None:
    """A worker for each core: its threads, its own memory as docs/running.md has measured it."""
    service = compose()["services"]["service"]
    workers = int(usual(service["cpus"]))
    configuration = (DEPLOY / "gunicorn.conf.py").read_text(encoding="utf-8")
    (spare,) = re.findall(r"^SPARE_THREADS = (\d+)$", configuration, re.M)
    threads = 1 + Settings().concurrency + int(spare)
    told = (ROOT / "docs" / "running.md").read_text(encoding="utf-8")
    (own,) = re.findall(r"every leave asked for\nsome (\d+) MB of its own", told)
    (parents,) = re.findall(r"its parent (\d+) MB", told)
    assert f"of up to {threads} threads each" in told
    assert 1 + workers * threads < service["pids_limit"]
    assert service["mem_limit"] == "1g"
    assert int(parents) + workers * int(own) < 1024


def test_documented_command_has_the_limits_of_the_compose_file() -> None:
    told = (ROOT / "docs" / "running.md").read_text(encoding="utf-8")
    (command,) = re.findall(r"^docker run (.*?)^```$", told, re.M | re.S)
    service = compose()["services"]["service"]
    for option, value in (
        ("--cpus", usual(service["cpus"])),
        ("--memory", service["mem_limit"]),
        ("--pids-limit", service["pids_limit"]),
        ("--stop-timeout", service["stop_grace_period"].removesuffix("s")),
    ):
        assert f"{option} {value} " in command


def test_nothing_sets_the_clients_key_for_the_service() -> None:
    for path in (path for path in DEPLOY.rglob("*") if path.is_file() and path.suffix != ".pyc"):
        assert not re.search(r"LEAVELINE_API_KEY(?!S)", path.read_text(encoding="utf-8")), path
