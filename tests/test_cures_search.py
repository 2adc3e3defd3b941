"""The search on rooms that are known in closed form, so that the least change is known too."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from sim.explore.cures_lever import Lever
from sim.explore.cures_search import Search

COUNT = 81


def lever(path: str, work: int, reach: int = 40, apart: int = 1) -> Lever:
    """Return a lever of steps to both sides of 0, single ones or holes so far apart."""
    steps = np.array(
        sorted(
            {*range(-reach, 1, apart), *range(0, reach + 1, apart)} - {0},
            key=lambda k: (abs(k), -k),
        )
    )
    return Lever(
        tried=path,
        work=work,
        steps=steps,
        size=np.abs(steps).astype(float),
        values={path: steps.astype(float)},
        says=tuple(f"{path} {step}" for step in steps.tolist()),
    )


class Looked:
    """Rooms of two findings: |x + y − 20| at most 1.5, and |x − y + shift| at most 1.5."""

    def __init__(self, shift: float = 0.0, far: float = 0.0) -> None:
        self.shift, self.far, self.rows, self.calls = shift, far, 0, 0

    def __call__(self, values: Mapping[str, np.ndarray], rows: int) -> np.ndarray:
        self.rows += rows
        self.calls += 1
        x, y, z = (np.broadcast_to(values.get(name, 0.0), rows) for name in "xyz")
        return np.stack(
            [
                1.5 - np.abs(x + y - 20),
                1.5 - np.abs(x - y + self.shift),
                1.5 - np.abs(z - self.far),
            ],
            axis=-1,
        )


def search(look: Looked) -> Search:
    levers = (lever("x", 1), lever("y", 1), lever("z", 2))
    base = dict.fromkeys("xyz", 0.0)
    start = look({path: np.zeros(1) for path in base}, 1)[0]
    return Search(levers=levers, base=base, look=look, start=start)


def found(tried: Search, need: list[float]) -> list[dict[str, float]]:
    for rows in tried.holding(np.array(need), np.array(need)):
        if rows:
            return [tried.values(tried.plans[row]) for row in rows]
    return []


def test_one_lever_is_enough_where_one_is() -> None:
    look = Looked()
    best = found(search(look), [0.0, -np.inf, 0.0])[0]
    assert best in ({"x": 19.0}, {"y": 19.0})  # the least that comes within 1.5 of 20


def test_two_levers_meet_where_one_cannot() -> None:
    # x + y within 1.5 of 20 and x − y within 1.5 of 0: the least work is 19 in all.
    best = found(search(Looked()), [0.0, 0.0, 0.0])[0]
    assert best.keys() == {"x", "y"}
    assert sum(best.values()) == pytest.approx(19)
    assert abs(best["x"] - best["y"]) <= 1.5


def test_a_place_between_the_thin_steps_is_found() -> None:
    # x − y = 9 within 1.5, x + y = 20 within 1.5: around (14.5, 5.5), off the thin grid.
    best = found(search(Looked(shift=-9.0)), [0.0, 0.0, 0.0])[0]
    assert abs(best["x"] + best["y"] - 20) <= 1.5
    assert abs(best["x"] - best["y"] - 9) <= 1.5


def with_holes(look: Looked, *levers: Lever) -> Search:
    base = dict.fromkeys((path for one in levers for path in one.values), 0.0)
    start = look({path: np.zeros(1) for path in base}, 1)[0]
    return Search(levers=levers, base=base, look=look, start=start)


def test_holes_that_lie_apart_are_among_what_is_tried_first() -> None:
    tried = with_holes(Looked(far=48.0), lever("z", 1, reach=48, apart=3))
    assert found(tried, [-np.inf, -np.inf, 0.0]) == [{"z": 48.0}]


def test_the_next_holes_are_looked_at_however_far_they_are() -> None:
    # |4 − y| within 1.5 and |60 − z| within 5.5: one hole beyond the last that is tried first
    look = Looked(shift=4.0, far=60.0)
    tried = with_holes(look, lever("y", 1), lever("z", 1, reach=80, apart=10))
    assert found(tried, [-np.inf, 0.0, -4.0])[0] == {"y": 3.0, "z": 60.0}


def test_a_third_lever_is_put_on_top() -> None:
    best = found(search(Looked(far=5.0)), [0.0, 0.0, 0.0])[0]
    assert best.keys() == {"x", "y", "z"}
    assert best["z"] == 4.0


def test_a_promise_adds_up_what_the_two_best_levers_gain() -> None:
    """One step each: x and y gain 1 on the first two findings, z alone gains 1 on the third."""
    look = Looked(shift=-9.0, far=5.0)
    levers = tuple(lever(path, 1, reach=1) for path in "xyz")
    start = look({path: np.zeros(1) for path in "xyz"}, 1)[0]
    tried = Search(levers=levers, base=dict.fromkeys("xyz", 0.0), look=look, start=start)
    assert tried.promise(start + np.array([4, 8, 10])) == pytest.approx([2 / 4, 2 / 8, 1 / 10])


def test_a_lever_changes_what_any_of_its_steps_moves() -> None:
    """One step of z up leaves 0.5 as it is, one down does not."""
    x, y, z = search(Looked(far=0.5)).changing().tolist()
    assert x == y == [True, True, False]
    assert z == [False, False, True]


def test_nothing_is_found_where_nothing_holds() -> None:
    assert found(search(Looked(far=60.0)), [0.0, 0.0, 0.0]) == []


def test_no_row_is_looked_at_twice() -> None:
    look = Looked(far=5.0)
    tried = search(look)
    for need in ([0.0, 0.0, 0.0], [0.0, -np.inf, 0.0], [0.0, 0.0, 0.0]):
        list(tried.holding(np.array(need), np.array(need)))
    assert look.rows == 1 + len(tried.plans)
    assert len(set(tried.plans)) == len(tried.plans)
