"""How many cores this process may use: what the machine has, less what its container is held to."""

from __future__ import annotations

import math
import os
from pathlib import Path

CGROUPS = Path("/sys/fs/cgroup")


def usable_cores(cgroups: Path = CGROUPS) -> int:
    """Give the cores to plan for, at least one; a part of a core counts as one.

    Parameters
    ----------
    cgroups : Path
        Where the kernel shows control groups: `cpu.max` (version 2), or `cpu/cpu.cfs_quota_us` and
        `cpu/cpu.cfs_period_us` (version 1), both in microseconds.
    """
    allowed = _allowed_cores()
    quota = _quota(cgroups)
    return allowed if quota is None else max(1, min(allowed, math.ceil(quota)))


def _allowed_cores() -> int:
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1  # only Linux tells which of them this process may use


def _quota(cgroups: Path) -> float | None:
    """Cores' worth of time the control group grants; None without a limit."""
    try:
        quota, period = (cgroups / "cpu.max").read_text(encoding="ascii").split()
    except (OSError, ValueError):
        try:
            group = cgroups / "cpu"
            quota = (group / "cpu.cfs_quota_us").read_text(encoding="ascii").strip()
            period = (group / "cpu.cfs_period_us").read_text(encoding="ascii").strip()
        except OSError:
            return None
    if not quota.isdigit() or not period.isdigit() or int(period) == 0:
        return None
    return int(quota) / int(period)
