"""halfturn: 3D simulation and animation of driveline motion.

What a program needs is offered here, each thing loaded when it is first asked for.
"""

from __future__ import annotations

import sys
from importlib import import_module
from types import ModuleType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.errors import DomainError, EngineError, GeometryError, SceneError, SimError
    from sim.explore.evaluate import evaluate
    from sim.judge.findings import Finding, Findings
    from sim.judge.judge import judge
    from sim.judge.rules import load_rules
    from sim.measure.measure import measure
    from sim.measure.measurements import Measurements
    from sim.measure.numbers import Numbers
    from sim.motion.motion import Motion
    from sim.motion.solve import solve
    from sim.scene.design import Design
    from sim.scene.parts import Configuration, Scene
    from sim.scene.reader import load_scene
    from sim.world.agreement import compare_routes
    from sim.world.simulate import simulate

__version__ = "0.1.0"

_HOMES = {
    "Configuration": "sim.scene.parts",
    "Design": "sim.scene.design",
    "DomainError": "sim.errors",
    "EngineError": "sim.errors",
    "Finding": "sim.judge.findings",
    "Findings": "sim.judge.findings",
    "GeometryError": "sim.errors",
    "Measurements": "sim.measure.measurements",
    "Motion": "sim.motion.motion",
    "Numbers": "sim.measure.numbers",
    "Scene": "sim.scene.parts",
    "SceneError": "sim.errors",
    "SimError": "sim.errors",
    "compare_routes": "sim.world.agreement",
    "evaluate": "sim.explore.evaluate",
    "judge": "sim.judge.judge",
    "load_rules": "sim.judge.rules",
    "load_scene": "sim.scene.reader",
    "measure": "sim.measure.measure",
    "simulate": "sim.world.simulate",
    "solve": "sim.motion.solve",
}

__all__ = [
    "Configuration",
    "Design",
    "DomainError",
    "EngineError",
    "Finding",
    "Findings",
    "GeometryError",
    "Measurements",
    "Motion",
    "Numbers",
    "Scene",
    "SceneError",
    "SimError",
    "__version__",
    "compare_routes",
    "evaluate",
    "judge",
    "load_rules",
    "load_scene",
    "measure",
    "simulate",
    "solve",
]


class _Offering(ModuleType):
    """This package: ``judge`` and ``measure`` are what they do, not the folders of that name."""

    def __setattr__(self, name: str, value: object) -> None:
        if name not in _HOMES or not isinstance(value, ModuleType):
            super().__setattr__(name, value)


sys.modules[__name__].__class__ = _Offering


def __getattr__(name: str) -> Any:
    """Return a public name from the module that it lives in."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    found = getattr(import_module(_HOMES[name]), name)
    globals()[name] = found
    return found


def __dir__() -> list[str]:
    """Return the public names."""
    return sorted(__all__)
