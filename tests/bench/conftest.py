"""Benchmarks: run with ``pytest tests/bench``; not part of the default run.

Rates depend on the machine, so none of them passes or fails a test: they are printed beside their
target and beside another engine doing comparable work in the same run.  Only ratios are asserted,
and generously.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import pytest


@dataclass(frozen=True)
class Row:
    """One line of the table: what, measured, its unit, target, and what it stands beside."""

    what: str
    measured: float
    unit: str
    target: str
    beside: str


LEDGER = pytest.StashKey[list[Row]]()
Note = Callable[..., None]


def pytest_configure(config: pytest.Config) -> None:
    config.stash[LEDGER] = []


@pytest.fixture
def note(request: pytest.FixtureRequest) -> Note:
    """Return a function that adds a line to the table."""

    def add(what: str, measured: float, unit: str, target: str = "", beside: str = "") -> None:
        request.config.stash[LEDGER].append(Row(what, measured, unit, target, beside))

    return add


@pytest.fixture
def one_core() -> Iterator[None]:
    """Keep this process, with all its threads, on one processor."""
    if not hasattr(os, "sched_setaffinity"):  # only Linux lets a process choose
        yield
        return
    before = os.sched_getaffinity(0)
    os.sched_setaffinity(0, {max(before)})
    yield
    os.sched_setaffinity(0, before)


def pytest_terminal_summary(
    terminalreporter: pytest.TerminalReporter, config: pytest.Config
) -> None:
    rows = config.stash[LEDGER]
    if not rows:
        return
    terminalreporter.section("measured here")
    wide = max(len(row.what) for row in rows)
    for row in rows:
        value = f"{row.measured:,.3g}" if row.measured < 1000 else f"{row.measured:,.0f}"
        target = f"target {row.target}" if row.target else ""
        terminalreporter.write_line(
            f"{row.what:<{wide}}  {value:>12} {row.unit:<9}  {target:<18}  {row.beside}".rstrip()
        )
