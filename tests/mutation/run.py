"""Put one fault after another into a module, in memory, and see whether its own tests notice.

Everything is imported and collected once; each fault is tried in a forked child, so nothing on disk is changed.
"""

import ast
import math
import os
import resource
import signal
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType, ModuleType
from typing import NoReturn

import hypothesis
import pytest
from _pytest.doctest import DoctestItem
from _pytest.runner import runtestprotocol

from tests.mutation.changes import Mutant, mutants
from tests.mutation.swap import replace

EXAMPLES = 25
WALL_S = 300
MEMORY_BYTES = 6 * 2**30
NOTHING_NOTICED, CRASHED = 0, 255
CALM = hypothesis.settings(
    max_examples=EXAMPLES,
    derandomize=True,
    database=None,
    deadline=None,
    phases=[hypothesis.Phase.explicit, hypothesis.Phase.generate],
    suppress_health_check=list(hypothesis.HealthCheck),
)


@dataclass(eq=False)
class Judge:
    """A test, and what the sound module showed of it: how long it takes and which functions it enters."""

    item: pytest.Item
    cpu_s: float = 0.0
    entered: set[str] = field(default_factory=set)
    noticed: int = 0

    def passes(self) -> bool:
        names = dict(self.item.dtest.globs) if isinstance(self.item, DoctestItem) else {}
        passed = all(report.passed for report in runtestprotocol(self.item, log=False, nextitem=None))
        if isinstance(self.item, DoctestItem):
            self.item.dtest.globs.update(names)  # doctest empties them
        return passed

    def watched(self, file: str) -> bool:
        def watch(frame: FrameType, event: str, _: object) -> None:
            if event == "call" and frame.f_code.co_filename == file:
                self.entered.add(frame.f_code.co_qualname.split(".<locals>")[0])

        sys.setprofile(watch)  # the first time, before anything is kept in a cache
        passed = self.passes()
        sys.setprofile(None)
        began = time.process_time()
        passed = self.passes() and passed
        self.cpu_s = time.process_time() - began
        return passed


class Trial:
    """A pytest plugin that runs the collected tests against every fault of one module instead of once."""

    def __init__(self, module: ModuleType) -> None:
        self.module, self.file = module, str(module.__file__)
        self.survivors: list[Mutant] = []
        self.tried = 0
        self.already_failing: list[str] = []

    @pytest.hookimpl(tryfirst=True)
    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        hypothesis.settings.register_profile("calm", CALM)
        hypothesis.settings.load_profile("calm")
        time.perf_counter = (
            time.process_time
        )  # a test that takes the time must not suffer from a busy machine
        for item in session.items:
            test = getattr(item, "obj", None)
            if getattr(test, "_hypothesis_internal_use_settings", None) is not None:
                test._hypothesis_internal_use_settings = CALM
        judges = [Judge(item) for item in session.items]
        self.already_failing = [each.item.nodeid for each in judges if not each.watched(self.file)]
        if not self.already_failing:
            self._try_all(judges)
        return True

    def _try_all(self, judges: list[Judge]) -> None:
        tree = ast.parse(Path(self.file).read_text(encoding="utf-8"))
        for mutant in mutants(tree):
            self.tried += 1
            asked = [each for each in judges if mutant.at_import or mutant.scope in each.entered]
            asked.sort(key=lambda each: (-each.noticed / (each.cpu_s + 0.01), each.cpu_s))
            code = _in_a_child(asked, tree, self.module, mutant)
            if code == NOTHING_NOTICED:
                self.survivors.append(mutant)
                print(f"  survives in line {mutant.line}: {mutant.name}", flush=True)
            elif code <= len(asked):
                asked[code - 1].noticed += 1


def _in_a_child(asked: Sequence[Judge], tree: ast.Module, module: ModuleType, mutant: Mutant) -> int:
    """Give the place, from 1, of the test that noticed; CRASHED too for a run without end."""
    child = os.fork()
    if child == 0:
        _judge(asked, tree, module, mutant)
    _, status = os.waitpid(child, 0)
    return os.WEXITSTATUS(status) if os.WIFEXITED(status) else CRASHED


def _judge(asked: Sequence[Judge], tree: ast.Module, module: ModuleType, mutant: Mutant) -> NoReturn:
    cpu_s = math.ceil(2 + 2 * sum(each.cpu_s for each in asked))
    resource.setrlimit(resource.RLIMIT_CPU, (cpu_s, cpu_s + 1))
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    signal.signal(signal.SIGALRM, signal.SIG_DFL)
    signal.alarm(WALL_S)
    nothing = os.open(os.devnull, os.O_RDWR)
    os.dup2(nothing, 1)
    os.dup2(nothing, 2)
    code = CRASHED
    try:
        mutant.put_in()
        replace(tree, module, [each.item for each in asked])
        code = next((place for place, each in enumerate(asked, 1) if not each.passes()), NOTHING_NOTICED)
    finally:
        os._exit(min(code, CRASHED))


def trial(module: ModuleType, tests: Sequence[str]) -> Trial:
    """Try all the faults of a module with its own tests and its doctests."""
    done = Trial(module)
    present = [f"tests/science/{name}" for name in tests if Path("tests/science", name).exists()]
    pytest.main(["-q", "-p", "no:cacheprovider", "-W", "ignore", *present, done.file], plugins=[done])
    return done
