"""What the benchmarks of the book share: each measurement has a process of its own, whose peak memory is told too."""

import json
import os
import resource
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True, kw_only=True)
class Figure:
    """What ours took and what the plain way took, in seconds or per second; `goal` is the most that it may be times."""

    name: str
    ours: float
    plain: float | None
    goal: float | None
    unit: str = "s"
    peak_mb: float = 0

    def __str__(self) -> str:
        ratio = f"{self.ours / self.plain:8.1f}" if self.plain else "       –"
        plain = "          –" if self.plain is None else f"{self.plain:11.3f}"
        goal = "       –" if self.goal is None else f"{self.goal:8g}"
        return f"{self.name:<52} {self.ours:11.3f} {plain} {self.unit:<4} {ratio} {goal} {self.peak_mb:8.0f}"


HEADING = f"{'figure':<52} {'ours':>11} {'plain':>11} {'':4} {'ratio':>8} {'goal':>8} {'peak MB':>8}"


def share(values: Sequence[float], percent: float) -> float:
    """The value that so many per cent of all do not exceed."""
    return sorted(values)[min(len(values) - 1, int(len(values) * percent / 100))]


def measured(module: str, *arguments: object, data: Path, database: str = "") -> dict[str, float]:
    """Runs one measurement in a fresh process on the bank in `data`; what it found, with its peak memory."""
    settings = {"BUFFYCOAT_DATA": str(data), "BUFFYCOAT_DATABASE": database}
    done = subprocess.run(
        [sys.executable, "-m", module, *map(str, arguments)],
        env={**os.environ, **settings, "DJANGO_SETTINGS_MODULE": "buffycoat.settings"},
        cwd=ROOT,
        stdout=subprocess.PIPE,
        check=True,
        text=True,
    )
    found: dict[str, float] = json.loads(done.stdout.splitlines()[-1])
    return found


def tell(**found: float) -> None:
    """The last words of a measurement's own process."""
    kilobytes = max(
        resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    print(json.dumps({**found, "peak_mb": kilobytes / 1024}), flush=True)
