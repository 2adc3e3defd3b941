"""Errors cross from one process to another with their words and their facts."""

from __future__ import annotations

import copy
import importlib
import pickle
import pkgutil
from concurrent.futures import ProcessPoolExecutor

import pytest

import sim
from sim.errors import DomainError, EngineError, GeometryError, Problem, SceneError, SimError

EXAMPLES = (
    SimError("something"),
    SceneError("x.toml", [Problem(3, "bearing.1.up is 51 in"), Problem(0, "no title")]),
    GeometryError("two-piece", "full droop", "the shackle cannot close"),
    DomainError("T must be above 0"),
    EngineError("closure 2 mm"),
)


def classes(root: type[BaseException]) -> set[type[BaseException]]:
    """Return every class below one that this package defines."""
    below = {child for child in root.__subclasses__() if child.__module__.startswith("sim")}
    return below.union(*(classes(child) for child in root.__subclasses__()))


def fail(number: int) -> None:
    raise EXAMPLES[number]


@pytest.mark.parametrize("error", EXAMPLES, ids=lambda error: type(error).__name__)
def test_an_error_survives_pickling_and_copying(error: SimError) -> None:
    for again in (pickle.loads(pickle.dumps(error)), copy.deepcopy(error)):
        assert type(again) is type(error)
        assert str(again) == str(error)
        assert vars(again) == vars(error)


def test_every_error_class_has_an_example_or_takes_its_words_alone() -> None:
    for module in pkgutil.walk_packages(sim.__path__, "sim."):
        if ".world" not in module.name and ".show" not in module.name:
            importlib.import_module(module.name)
    shown = {type(error) for error in EXAMPLES}
    for kind in classes(Exception) - shown:
        again = pickle.loads(pickle.dumps(kind("words")))
        assert (type(again), str(again)) == (kind, "words")


def test_an_error_reaches_whoever_waits_for_another_process() -> None:
    with ProcessPoolExecutor(1) as pool:
        for number, error in enumerate(EXAMPLES):
            with pytest.raises(type(error)) as caught:
                pool.submit(fail, number).result(timeout=60)
            assert str(caught.value) == str(error)
