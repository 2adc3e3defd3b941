"""One physics engine at a time: connect, silence, set, read back, disconnect.

PyBullet writes warnings to the C library's standard output; here they go nowhere, so that a
table printed by this program stays a table.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from importlib.metadata import version
from types import ModuleType
from typing import Any

from sim.errors import EngineError


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """How the engine steps.

    Attributes:
        time_step: Length of one step [s].
        iterations: Solver sweeps over all constraints in one step.
        residual: Solver stops earlier when its residual is below this.
        erp: Share of a position error that is removed in one step [-].
    """

    time_step: float
    iterations: int = 50
    residual: float = 1e-7
    erp: float = 0.8


class Engine:
    """A connected engine: every call of PyBullet, with the right server filled in."""

    def __init__(self, api: ModuleType, client: int) -> None:
        self.api, self.client = api, client

    def __getattr__(self, name: str) -> Any:
        """Return PyBullet's constant or function of that name, the function for this server."""
        found = getattr(self.api, name)
        if callable(found):
            found = partial(found, physicsClientId=self.client)
        setattr(self, name, found)
        return found


@contextmanager
def engine(settings: Settings | None = None) -> Iterator[Engine]:
    """Open a physics engine without a window, and close it whatever happens.

    Args:
        settings: How it steps, set and read back; None where nothing is stepped.

    Yields:
        The connected engine.

    Raises:
        EngineError: If it cannot be opened or does not take its settings.
    """
    with quiet():
        api = import_module("pybullet")
        client = api.connect(api.DIRECT)
    if client < 0:
        raise EngineError("the physics engine PyBullet did not open (no DIRECT server)")
    try:
        world = Engine(api, client)
        if settings is not None:
            _apply(world, settings)
        yield world
    finally:
        with quiet(), suppress(api.error):
            api.disconnect(client)


def engine_version() -> str:
    """Return name and version of the engine, as printed beside its results."""
    return f"PyBullet {version('pybullet')}"


@contextmanager
def quiet() -> Iterator[None]:
    """Send what C code writes to standard output and error nowhere, for as long as it lasts."""
    saved = []
    for stream, number in ((sys.stdout, 1), (sys.stderr, 2)):
        with suppress(AttributeError, ValueError, OSError):  # none, closed, or not a file
            stream.flush()
        with suppress(OSError):
            saved.append((os.dup(number), number))
    _flush_c()
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        for _, number in saved:
            os.dup2(nowhere, number)
        yield
    finally:
        _flush_c()
        for copy, number in saved:
            os.dup2(copy, number)
            os.close(copy)
        os.close(nowhere)


def _flush_c() -> None:
    """Empty the C library's buffers, or the noise would come out after the silence."""
    with suppress(TypeError, AttributeError, OSError):  # other systems have no such handle
        ctypes.CDLL(None).fflush(None)


def _apply(world: Engine, settings: Settings) -> None:
    """Set the engine up and read back what it lets us read (not erp and residual)."""
    world.setTimeStep(settings.time_step)
    world.setGravity(0.0, 0.0, 0.0)
    world.setPhysicsEngineParameter(
        numSolverIterations=settings.iterations,
        solverResidualThreshold=settings.residual,
        erp=settings.erp,
        numSubSteps=0,
    )
    check_settings(world, settings)


def check_settings(world: Engine, settings: Settings) -> None:
    """Read the engine's settings back.

    Args:
        world: The connected engine.
        settings: What was asked of it.

    Raises:
        EngineError: If the engine holds another value.
    """
    held = world.getPhysicsEngineParameters()
    wanted = {
        "fixedTimeStep": settings.time_step,
        "numSolverIterations": settings.iterations,
        "numSubSteps": 0,
        "useRealTimeSimulation": 0,
        "gravityAccelerationX": 0.0,
        "gravityAccelerationY": 0.0,
        "gravityAccelerationZ": 0.0,
    }
    for key, value in wanted.items():
        if held[key] != value:
            raise EngineError(f"the engine holds {key} = {held[key]}, {value} was asked")
