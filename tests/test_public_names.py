"""``import sim`` is quick and small, and offers what a program needs."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest
import show_scene

import sim

HEAVY = ("numpy", "scipy", "matplotlib", "pybullet", "pydantic", "jinja2", "sim.scene.parts")


def typed_names() -> dict[str, str]:
    """Return the names that a type checker sees, with the modules that it takes them from."""
    tree = ast.parse(Path(sim.__file__).read_text(encoding="utf-8"))
    found = [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom)]
    return {
        alias.name: node.module
        for node in found
        for alias in node.names
        if node.module and node.module.startswith("sim.")
    }


def test_importing_it_loads_nothing_heavy() -> None:
    asked = f"import sys, sim; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run(
        [sys.executable, "-c", asked],
        capture_output=True, text=True, check=True, cwd=Path(sim.__file__).parents[1],
    )  # fmt: skip
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("flag", ["--all", "--json"])
def test_a_check_loads_neither_plots_nor_physics(flag: str) -> None:
    heavy = ("matplotlib", "pybullet", "jinja2", "PIL", "sim.show.report")
    asked = (
        "import sys; from sim.cli import main; "
        f"main(['check', 'scenes/orchard_service_truck.toml', '--as-read', {flag!r}]); "
        f"print([m for m in {heavy!r} if m in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", asked],
        capture_output=True, text=True, check=True, cwd=Path(sim.__file__).parents[1],
    )  # fmt: skip
    assert flag == "--json" or "shudder pulling away" in done.stdout  # a complaint is answered
    assert done.stderr.strip() == "[]"


def test_what_is_offered_is_what_a_type_checker_sees() -> None:
    assert set(sim.__all__) - {"__version__"} == set(typed_names())


@pytest.mark.parametrize("name", sorted(typed_names()))
def test_a_public_name_is_the_thing_itself(name: str) -> None:
    assert getattr(sim, name) is getattr(import_module(typed_names()[name]), name)
    assert name in dir(sim)


def test_a_name_that_is_not_there_is_refused() -> None:
    with pytest.raises(AttributeError, match="module 'sim' has no attribute 'solver'"):
        sim.solver  # noqa: B018


def test_what_holds_thousands_of_numbers_prints_in_one_short_line() -> None:
    two = show_scene.results()[1]
    things = (two.motion, two.measurements, two.measurements.numbers, two.findings)
    for thing, begins in zip(
        things, ("Motion('two-piece', solve,", "Measurements('two-piece',",
                 "Numbers('two-piece', 1 designs,", "Findings('two-piece', '"), strict=True,
    ):  # fmt: skip
        assert repr(thing).startswith(begins)
        assert len(repr(thing)) < 120
