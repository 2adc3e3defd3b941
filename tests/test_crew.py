"""What goes wrong in a process of the crew comes back as itself, and the rest is done."""

from __future__ import annotations

import functools
import os
import pickle
import signal
import time
from multiprocessing import active_children
from pathlib import Path

import pytest

from sim.crew import each
from sim.errors import (
    DomainError,
    EngineError,
    GeometryError,
    Problem,
    SceneError,
    SimError,
)


def squared(number: int) -> int:
    """Return the square of a number; refuse 3."""
    if number == 3:
        raise GeometryError("two-piece", "full bump, at rest", "the shaft cannot reach")
    return number**2


def killed(number: int, times: int, folder: Path) -> int:
    """End the process of number 1 from outside, so many times."""
    if number == 1:
        before = len(list(folder.iterdir()))
        if before < times:
            (folder / f"{before}").touch()
            os.kill(os.getpid(), signal.SIGKILL)
    return number**2


@pytest.mark.parametrize("numbers", [(1, 3, 5), (3,)])
def test_an_error_takes_the_place_of_what_it_spoiled_and_the_rest_is_done(numbers) -> None:
    made = list(each(squared, numbers, "fork"))
    assert [one for one in made if not isinstance(one, SimError)] == [
        n * n for n in numbers if n != 3
    ]
    error = made[numbers.index(3)]
    assert isinstance(error, GeometryError)
    assert (error.configuration, error.state) == ("two-piece", "full bump, at rest")


def test_what_a_killed_process_left_is_done_again(tmp_path: Path) -> None:
    work = functools.partial(killed, times=1, folder=tmp_path)
    assert list(each(work, (1, 2), "fork")) == [1, 4]


def nested(number: int, folder: Path) -> int:
    """Hand work on to a crew of its own; of number 1, end in the midst of it, once."""
    if number == 2 or (folder / "ended").exists():
        return number**2
    return sum(each(functools.partial(waits, folder=folder, above=os.getpid()), (3, 4), "fork"))


def waits(number: int, folder: Path, above: int) -> int:
    """Say which process waits; the last of them ends the one that handed it on."""
    (folder / f"pid {os.getpid()}").touch()
    while len(list(folder.glob("pid *"))) < 2:
        time.sleep(0.01)
    if number == 4:
        (folder / "ended").touch()
        os.kill(above, signal.SIGKILL)
    time.sleep(60.0)
    return number


def test_a_crew_ends_with_the_process_that_it_works_for(tmp_path: Path) -> None:
    """One left over would hold the output open, and whoever reads it would wait for ever."""
    assert list(each(functools.partial(nested, folder=tmp_path), (1, 2), "fork")) == [1, 4]
    pids = [int(found.name[4:]) for found in tmp_path.glob("pid *")]
    assert len(pids) == 2
    for _ in range(500):
        if not any(Path(f"/proc/{pid}").exists() for pid in pids):
            return
        time.sleep(0.01)
    pytest.fail("processes are left over")


def slow(number: int, folder: Path) -> int:
    """Return a number; all but 0 only after a while, which leaves a file behind."""
    if number:
        (folder / f"begun {number}").touch()
        time.sleep(4.0)
        (folder / f"done {number}").touch()
    return number


@pytest.mark.parametrize("interrupt", [False, True])
def test_nobody_waits_for_what_is_no_longer_wanted(interrupt: bool, tmp_path: Path) -> None:
    crew = each(functools.partial(slow, folder=tmp_path), (0, 1, 2, 3, 4), "fork", most=2)
    assert next(crew) == 0
    while not any(tmp_path.iterdir()):
        time.sleep(0.01)
    if interrupt:
        with pytest.raises(KeyboardInterrupt):
            crew.throw(KeyboardInterrupt)
    else:
        crew.close()
    assert not list(tmp_path.glob("done *"))
    assert not active_children()


class SlowlyHandedIn(tuple):
    """Things of which the next one comes only when the process of the first is long dead."""

    def __iter__(self):
        for thing in tuple.__iter__(self):
            yield thing
            time.sleep(1.0)


def test_a_process_killed_while_things_are_still_handed_in_costs_nothing(tmp_path: Path) -> None:
    work = functools.partial(killed, times=1, folder=tmp_path)
    assert list(each(work, SlowlyHandedIn((1, 2)), "fork")) == [1, 4]


def test_a_process_that_is_killed_twice_is_said_and_the_rest_is_done(tmp_path: Path) -> None:
    work = functools.partial(killed, times=9, folder=tmp_path)
    first, second = each(work, (1, 2), "fork")
    assert isinstance(first, EngineError)
    assert "ended twice from outside" in str(first)
    assert second == 4


@pytest.mark.parametrize(
    "error",
    [
        SimError("plain"),
        DomainError("no such thing"),
        EngineError("it lags"),
        GeometryError("two-piece", "full bump, at rest", "the shaft cannot reach"),
        SceneError("van.toml", [Problem(3, "is missing"), Problem(0, "is odd")]),
    ],
    ids=lambda error: type(error).__name__,
)
def test_every_error_crosses_a_process_with_all_that_it_carries(error: SimError) -> None:
    back = pickle.loads(pickle.dumps(error))
    assert type(back) is type(error)
    assert str(back) == str(error)
    assert vars(back) == vars(error)
