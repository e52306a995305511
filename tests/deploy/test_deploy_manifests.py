"""deploy/kubernetes: sound, complete, closed, and in step with the service and the image."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import kubernetes_validate
import pytest
from leaveline import __version__
from leaveline.web.settings import Settings

from tests.deploy import kustomized
from tests.deploy.kustomized import Object

ROOT = Path(__file__).parents[2]
FOLDER = ROOT / "deploy" / "kubernetes"
BASE, PRODUCTION = FOLDER / "base", FOLDER / "overlays" / "production"
DOCKERFILE = (ROOT / "deploy" / "Dockerfile").read_text(encoding="utf-8")
LABELS = {"app.kubernetes.io/name": "leaveline"}


@pytest.fixture(params=[BASE, PRODUCTION], ids=["base", "production"])
def objects(request: pytest.FixtureRequest) -> list[Object]:
    return kustomized.build(request.param)


def of_kind(objects: list[Object], kind: str) -> Object:
    (found,) = [found for found in objects if found["kind"] == kind]
    return found


def pod(objects: list[Object]) -> Any:
    return of_kind(objects, "Deployment")["spec"]["template"]["spec"]


def service_container(objects: list[Object]) -> Any:
    (container,) = pod(objects)["containers"]
    return container


def test_every_object_fits_the_published_schemas(objects: list[Object]) -> None:
    for found in objects:
        kubernetes_validate.validate(found, kubernetes_validate.latest_version(), strict=True)


def test_schemas_refuse_what_they_should(objects: list[Object]) -> None:
    deployment = of_kind(objects, "Deployment")
    deployment["spec"]["template"]["spec"]["containers"][0]["imagePolicy"] = "Always"
    with pytest.raises(kubernetes_validate.ValidationError):
        kubernetes_validate.validate(deployment, kubernetes_validate.latest_version(), strict=True)


def test_every_file_is_named_by_a_kustomization() -> None:
    assert kustomized.files_named(PRODUCTION) == set(FOLDER.rglob("*.yaml"))


def test_nothing_but_a_reference_to_the_secret_is_there(objects: list[Object]) -> None:
    assert all(found["kind"] != "Secret" for found in objects)
    (key,) = service_container(objects)["env"]
    assert key["name"] == "LEAVELINE_API_KEYS"
    assert key["valueFrom"]["secretKeyRef"]["name"] == "leaveline-keys"


def test_production_does_not_start_without_keys() -> None:
    (key,) = service_container(kustomized.build(PRODUCTION))["env"]
    assert key["valueFrom"]["secretKeyRef"]["optional"] is False


def test_pod_may_do_as_little_as_it_needs(objects: list[Object]) -> None:
    spec, container = pod(objects), service_container(objects)
    assert spec["automountServiceAccountToken"] is False
    assert spec["securityContext"]["runAsNonRoot"] is True
    assert spec["securityContext"]["seccompProfile"] == {"type": "RuntimeDefault"}
    assert container["securityContext"] == {
        "allowPrivilegeEscalation": False,
        "readOnlyRootFilesystem": True,
        "capabilities": {"drop": ["ALL"]},
    }
    assert of_kind(objects, "ServiceAccount")["automountServiceAccountToken"] is False
    assert of_kind(objects, "NetworkPolicy")["spec"]["egress"] == []


def test_user_and_port_are_those_of_the_image(objects: list[Object]) -> None:
    user, group = re.findall(r"^USER (\d+):(\d+)$", DOCKERFILE, re.MULTILINE)[0]
    context = pod(objects)["securityContext"]
    assert (context["runAsUser"], context["runAsGroup"]) == (int(user), int(group))
    (port,) = service_container(objects)["ports"]
    assert [str(port["containerPort"])] == re.findall(r"^EXPOSE (\d+)$", DOCKERFILE, re.MULTILINE)


def test_what_the_service_writes_to_is_mounted(objects: list[Object]) -> None:
    mounts = {
        mount["mountPath"]: mount["name"] for mount in service_container(objects)["volumeMounts"]
    }
    assert set(mounts) == {"/tmp"}
    assert set(mounts.values()) == {volume["name"] for volume in pod(objects)["volumes"]}


def test_labels_and_names_meet(objects: list[Object]) -> None:
    deployment = of_kind(objects, "Deployment")
    assert deployment["spec"]["template"]["metadata"]["labels"] == LABELS
    assert deployment["spec"]["selector"]["matchLabels"] == LABELS
    assert of_kind(objects, "Service")["spec"]["selector"] == LABELS
    assert of_kind(objects, "NetworkPolicy")["spec"]["podSelector"]["matchLabels"] == LABELS
    assert of_kind(objects, "PodDisruptionBudget")["spec"]["selector"]["matchLabels"] == LABELS
    target = of_kind(objects, "HorizontalPodAutoscaler")["spec"]["scaleTargetRef"]
    assert (target["apiVersion"], target["kind"], target["name"]) == kustomized.identity(deployment)
    assert (
        pod(objects)["serviceAccountName"] == of_kind(objects, "ServiceAccount")["metadata"]["name"]
    )


def test_settings_are_ones_the_service_takes(objects: list[Object]) -> None:
    settings = of_kind(objects, "ConfigMap")["data"]
    assert all(isinstance(value, str) for value in settings.values())
    Settings.from_environment(settings)


def test_requests_under_way_are_finished_before_the_end(objects: list[Object]) -> None:
    spec, container = pod(objects), service_container(objects)
    told = int(container["lifecycle"]["preStop"]["exec"]["command"][1])
    budget = Settings.from_environment(of_kind(objects, "ConfigMap")["data"]).time_budget_s
    # gunicorn gives requests the budget and five seconds.
    assert spec["terminationGracePeriodSeconds"] > told + budget + 5


def test_probes_ask_what_the_service_answers(objects: list[Object]) -> None:
    container = service_container(objects)
    asked = {
        kind: container[f"{kind}Probe"]["httpGet"]["path"] for kind in ("startup", "readiness")
    }
    assert asked == {"startup": "/readyz", "readiness": "/readyz"}
    assert container["livenessProbe"]["httpGet"]["path"] == "/healthz"


def test_production_runs_this_version_on_several_machines() -> None:
    objects = kustomized.build(PRODUCTION)
    assert service_container(objects)["image"] == f"leaveline:{__version__}"
    assert of_kind(objects, "HorizontalPodAutoscaler")["spec"]["minReplicas"] == 3
    assert {found["metadata"].get("namespace", "leaveline") for found in objects} == {"leaveline"}
    spread = {rule["topologyKey"] for rule in pod(objects)["topologySpreadConstraints"]}
    assert spread == {"kubernetes.io/hostname", "topology.kubernetes.io/zone"}
