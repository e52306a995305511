"""What a kustomization comes to, for the few fields that ours use; any other field is refused.

The checks need no kubectl this way. Lists whose entries have a `name` are merged by it, other lists
are replaced, as strategic merge patches do for containers and their variables. For the overlay as
it stands `kubectl kustomize` (1.20.2, Debian's) gives the same eight objects.
"""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import yaml

Object = dict[str, Any]
KNOWN = {"apiVersion", "kind", "resources", "patches", "images", "namespace"}


def build(folder: Path) -> list[Object]:
    """Give the objects that `kubectl apply -k` would send."""
    kustomization = _read(folder / "kustomization.yaml")[0]
    unknown = set(kustomization) - KNOWN
    assert not unknown, f"teach this helper {unknown}"
    objects: list[Object] = []
    for name in kustomization["resources"]:
        path = folder / name
        objects += build(path) if path.is_dir() else _read(path)
    for patch in kustomization.get("patches", []):
        assert set(patch) == {"path"}, "teach this helper other patches"
        for change in _read(folder / patch["path"]):
            (target,) = [found for found in objects if identity(found) == identity(change)]
            target.update(_merged(target, change))
    for found in objects:
        if "namespace" in kustomization and found["kind"] != "Namespace":
            found["metadata"]["namespace"] = kustomization["namespace"]
        for image in kustomization.get("images", []):
            _rename(found, image)
    return objects


def files_named(folder: Path) -> set[Path]:
    """Every file a kustomization names, and those that its bases name."""
    kustomization = _read(folder / "kustomization.yaml")[0]
    named = {folder / "kustomization.yaml"}
    names = kustomization["resources"] + [p["path"] for p in kustomization.get("patches", [])]
    for name in names:
        path = (folder / name).resolve()
        named |= files_named(path) if path.is_dir() else {path}
    return named


def identity(found: Object) -> tuple[str, str, str]:
    """What an object is known by."""
    return found["apiVersion"], found["kind"], found["metadata"]["name"]


def _read(path: Path) -> list[Object]:
    return [found for found in yaml.safe_load_all(path.read_text(encoding="utf-8")) if found]


def _merged(old: Any, new: Any) -> Any:
    if isinstance(old, dict) and isinstance(new, dict):
        merged = copy.deepcopy(old)
        for key, value in new.items():
            merged[key] = _merged(old[key], value) if key in old else value
        return merged
    if isinstance(old, list) and isinstance(new, list) and all("name" in entry for entry in new):
        added = {entry["name"]: entry for entry in new}
        kept = [_merged(entry, added.pop(entry["name"], {})) for entry in old]
        return kept + list(added.values())
    return new


def _rename(found: Any, image: Object) -> None:
    if isinstance(found, list):
        for entry in found:
            _rename(entry, image)
    elif isinstance(found, dict):
        for key, value in found.items():
            if key == "image" and value.partition(":")[0] == image["name"]:
                tag = image.get("newTag", value.partition(":")[2])
                found[key] = f"{image.get('newName', image['name'])}:{tag}"
            else:
                _rename(value, image)
