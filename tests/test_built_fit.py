"""Readings of a truck as built: planted errors are found, and the bad reading is named.

Trucks are solved, not predicted (``trucks_as_built``); least squares is done once more in the test,
by ``numpy.linalg.lstsq`` on rows that differences of ``solve`` give.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from statistics import NormalDist

import numpy as np
import pytest
from random_vehicles import random_scene
from trucks_as_built import (
    BAND,
    DEG,
    DROOP,
    RIDE,
    Truth,
    drawn_truth,
    exact_readings,
    read_with_error,
    readback_of,
    reading,
)

from sim.errors import GeometryError
from sim.explore import built, built_model
from sim.explore.built_fit import MOST_RESIDUAL, Fit, fit
from sim.explore.built_unknowns import moved
from sim.motion.solve import solve
from sim.motion.sweep import sweep_states
from sim.scene.parts import Configuration, Design
from sim.scene.reader import load_scene, read_scene

TRUCK = "scenes/orchard_service_truck.toml"
SET = ("bearing.1.aft", "bearing.1.right", "bearing.1.up", "pinion.nose_up")
RAISED = reading("bump", 0.03, 0.003)


@dataclass(frozen=True)
class Case:
    """One truck as built, and what was read on it."""

    plan: Configuration
    truth: Truth
    read: dict[tuple[str, str], float]


@functools.cache
def random_plan(seed: int) -> Configuration:
    """Return the plan of a random vehicle."""
    return read_scene(random_scene(seed).encode()).configurations[0]


@functools.cache
def truck(plan: Configuration, seed: int) -> tuple[Truth, dict[tuple[str, str], float]]:
    """Return a truck off its plan by its ±, whose parts landed off it too, and what it reads."""
    random = np.random.default_rng(seed)
    uncertain = [
        path
        for path, read in plan.readings.items()
        if path.startswith(("output.", "pinion.")) and read.spread and "nose" not in path
        and read.status == "measured"
    ]  # fmt: skip
    values = drawn_truth(plan, random, uncertain)
    for path, read in plan.readings.items():
        if path.startswith("bearing.") and path.endswith(("aft", "up", "right", "left")):
            values[path] = read.value + 0.006 * float(random.standard_normal())
        if path.startswith("pinion.nose"):
            values[path] = read.value + 0.5 * DEG * float(random.standard_normal())
    raised = 0.03 + 0.003 / BAND * float(random.standard_normal())
    short = 0.003 * float(random.standard_normal())
    truth = Truth(values=values, cut_short=short, raised=raised)
    return truth, exact_readings(plan, truth)


def drawn(plan: Configuration, seed: int, reader: int = 0) -> Case:
    """Return a truck, and what one of several readers read on it."""
    truth, exact = truck(plan, seed)
    return Case(plan, truth, read_with_error(exact, np.random.default_rng([seed, reader])))


def found_on(case: Case) -> Fit:
    """Return the best values for a case."""
    return fit(case.plan, readback_of(case.plan, case.read, RAISED))


def two_piece(name: str = "two-piece-wedged") -> Configuration:
    """Return the plan of the demo truck."""
    return load_scene(TRUCK).configuration(name)


# --- the algebra, done once more ---------------------------------------------------------------


def rows_by_solve(case: Case, found: Fit) -> tuple[np.ndarray, np.ndarray]:
    """Return right side and rows of the linear problem, by differences of solve.

    It is laid at what was found: only the best values solve it there.
    """
    plan, keys = case.plan, [(one.height, one.reading.path) for one in found.seen]

    def exact(off: np.ndarray) -> np.ndarray:
        values = {u.key: u.value + u.sigma * x for u, x in zip(found.unknowns, off, strict=True)}
        raised = values.pop("height.raised.bump", 0.03)
        read = exact_readings(plan, Truth(values=values, raised=raised))
        return np.array([read[key] for key in keys])

    count = len(found.unknowns)
    step = 0.05
    slopes = np.stack(
        [
            (exact(found.off + step * e) - exact(found.off - step * e)) / (2 * step)
            for e in np.eye(count)
        ],
        axis=1,
    )
    sigma = np.array([one.reading.spread for one in found.seen]) / BAND
    read = np.array([case.read[key] for key in keys])
    rows = np.concatenate([slopes / sigma[:, None], np.eye(count)])
    at_found = (read - exact(found.off)) / sigma + slopes / sigma[:, None] @ found.off
    return np.append(at_found, np.zeros(count)), rows


def test_least_squares_and_every_reading_left_out_are_those_of_plain_algebra() -> None:
    case = drawn(two_piece(), 3)
    found = found_on(case)
    right, rows = rows_by_solve(case, found)
    best = np.linalg.lstsq(rows, right, rcond=None)[0]
    np.testing.assert_allclose(found.off, best, atol=2e-3)
    assert found.misfit == pytest.approx(float(((right - rows @ best) ** 2).sum()), rel=1e-3)
    spread = np.linalg.inv(rows.T @ rows)
    np.testing.assert_allclose(found.spread, spread, atol=1e-3)
    checked = 0
    for k, one in enumerate(found.compared):
        if not one.checked:
            continue
        others = np.delete(rows, k, axis=0)
        without = np.linalg.lstsq(others, np.delete(right, k), rcond=None)[0]
        wide = rows[k] @ np.linalg.inv(others.T @ others) @ rows[k]
        off = right[k] - rows[k] @ without  # in deviations of the reading
        deviation = one.spread / BAND
        assert (one.value - one.others) / deviation == pytest.approx(off, abs=0.02), one.label
        assert one.others_spread / one.spread == pytest.approx(np.sqrt(wide), rel=5e-3)
        assert one.residual == pytest.approx(abs(off) / np.sqrt(1 + wide), abs=0.01), one.label
        assert one.times == pytest.approx(abs(off) / BAND, abs=0.01)
        checked += 1
    assert checked > 20


def test_sound_readings_fit_within_what_chance_allows() -> None:
    # 99.9 % of a chi squared with as many degrees of freedom as readings: by the cube-root rule of
    # Wilson and Hilferty (Proc. Nat. Acad. Sci. 17, 1931), good to a percent here
    found = found_on(drawn(two_piece(), 3))
    count, z = len(found.seen), NormalDist().inv_cdf(0.999)
    wanted = count * (1 - 2 / (9 * count) + z * np.sqrt(2 / (9 * count))) ** 3
    assert found.limit == pytest.approx(wanted, rel=0.01)
    assert NormalDist().inv_cdf(0.9995) == pytest.approx(MOST_RESIDUAL, abs=1e-3)
    assert found.misfit < found.limit
    assert not found.suspects


@pytest.mark.parametrize(
    "file", ["long_three_piece_chassis", "trail_ambulance", "lowered_street_van"]
)
def test_every_reading_is_predicted_where_solve_has_it(file: str) -> None:
    for plan in load_scene(f"scenes/{file}.toml").configurations:
        there = {
            path: read.value + 0.004
            for path, read in plan.readings.items()
            if path.startswith("bearing.") and path.endswith(("aft", "up"))
        } | {"pinion.aft": plan.readings["pinion.aft"].value + 0.002}
        exact = exact_readings(plan, Truth(values=there, raised=0.03))
        readback = readback_of(plan, exact, RAISED)
        design = built_model.hung_to(plan, readback.postures).vary(there)
        model = built_model.Model(design, built_model.seen_in(readback.postures))
        keys = [(one.height, one.reading.path) for one in model.seen]
        wanted = [exact[key] for key in keys]
        np.testing.assert_allclose(model.as_it_stands(), wanted, atol=1e-7)


# --- planted errors ------------------------------------------------------------------------------


def test_planted_places_are_recovered_within_what_is_said_of_them() -> None:
    plan = two_piece()
    within, total = 0, 0
    for seed in range(20):
        case = drawn(plan, seed)
        found = found_on(case)
        deviation = np.sqrt(np.diag(found.spread))
        for unknown, off, wide in zip(found.unknowns, found.off, deviation, strict=True):
            if unknown.key in SET:
                value = case.truth.values.get(unknown.key, unknown.value)
                real = (value - unknown.value) / unknown.sigma
                assert abs(real - off) < 4 * wide, f"{unknown.key}, truck {seed}"
                within, total = within + (abs(real - off) < BAND * wide), total + 1
    # 95 % of 80, give or take three times sqrt(0.95 · 0.05/80)
    assert total == 80
    assert within / total > 0.95 - 3 * np.sqrt(0.95 * 0.05 / total)


def test_the_planted_bad_reading_is_named_in_200_random_cases() -> None:
    first = cases = 0
    for plan in buildable(40):
        for reader in range(5):
            case = drawn(plan, 1, reader)
            random = np.random.default_rng([cases, 7])
            # a slope, or a gap where it is read at several heights: all of these others check
            several = len({height for height, _ in case.read}) > 1
            keys = [k for k in case.read if k[1].endswith("slope") or (k[1] == "gap" and several)]
            bad = keys[int(random.integers(len(keys)))]
            sign = 1 if random.random() < 0.5 else -1
            case.read[bad] += sign * (0.03 if bad[1] == "gap" else 2.5 * DEG)
            found = found_on(case)
            suspects = [one.label for one in found.suspects]
            wanted = bad[1] if bad[0] == RIDE else f"{bad[1]} at {bad[0]}"
            assert found.contradicts, (plan.about, wanted)
            assert wanted in suspects, (plan.about, wanted, suspects)
            first, cases = first + (suspects[0] == wanted), cases + 1
    assert cases == 200
    assert first >= 190  # the others explain as much, and cannot be told apart


def buildable(count: int) -> Iterator[Configuration]:
    """Yield so many random plans whose trucks go together."""
    seed = 0
    while count:
        plan, seed = random_plan(seed), seed + 1
        try:
            truck(plan, 1)
        except GeometryError:  # not so far off its plan
            continue
        yield plan
        count -= 1


def test_one_reading_off_by_its_double_sign_is_named_with_how_many_times_its_error() -> None:
    plan = two_piece()
    case = Case(plan, Truth(values={}), dict(exact_readings(plan, Truth(values={}, raised=0.03))))
    case.read[RIDE, "output.slope"] *= -1
    found = found_on(case)
    first = found.suspects[0]
    assert first.label == "output.slope"
    assert found.agrees_without
    # 3 deg read as −3: six degrees, of a ± of 0.1
    assert first.times == pytest.approx(60, rel=0.02)
    assert first.others == pytest.approx(3 * DEG, abs=0.05 * DEG)


# --- what plays a part ---------------------------------------------------------------------------


def test_what_nobody_read_is_taken_as_planned_and_said() -> None:
    plan = two_piece()
    exact = exact_readings(plan, Truth(values={}))
    slopes = {key: value for key, value in exact.items() if key[0] == RIDE and "slope" in key[1]}
    found = fit(plan, readback_of(plan, slopes))
    assert set(found.not_read) == {"bearing.1.aft", "bearing.1.right", "spline.gap"}
    places = {one.key: one.spread for one in found.unknowns if one.kind == "set"}
    assert places["bearing.1.aft"] == pytest.approx(0.003)  # ± of the scene
    assert "bearing.1.up" in places
    assert places["bearing.1.up"] > 0.03


def test_readings_at_other_heights_calibrate_the_path_of_the_axle() -> None:
    """A leaf whose halves are not as written: at full bump the plan is wrong, the fit less so."""
    plan = two_piece()
    read = plan.readings
    real = {
        "suspension.front_half": read["suspension.front_half"].value + 0.005,
        "suspension.front_eye.up": read["suspension.front_eye.up"].value - 0.004,
        "axle.up": read["axle.up"].value + 0.003,
    }
    exact = exact_readings(plan, Truth(values=real, raised=0.07))
    found = fit(plan, readback_of(plan, exact, reading("bump", 0.07, 0.001)))
    assert not found.contradicts
    assert "suspension.front_half" in [one.key for one in found.unknowns]
    assert plan.design is not None
    there = replace(plan.design.vary(real), cut_as=plan.design)
    wrong = np.abs(at_full_bump(plan.design) - at_full_bump(there))
    left = np.abs(at_full_bump(built.fused(plan, found)) - at_full_bump(there))
    assert wrong[0] > 0.05 * DEG
    assert left[0] < 0.7 * wrong[0]
    low = {key: value for key, value in exact.items() if key[0] == RIDE}
    alone = fit(plan, readback_of(plan, low))  # at ride height nothing tells it
    assert not [one.key for one in alone.unknowns if one.key.startswith("suspension.")]


def at_full_bump(design: Design) -> np.ndarray:
    """Return slope of the pinion [rad] and gap [m] at full bump, without torque."""
    configuration = design.build()
    states = sweep_states(configuration)
    (state,) = (s for s in states if s.height == "full bump" and s.case == "no torque")
    motion = solve(configuration, states=[state])
    axis = motion.axis[0, 0, -1]
    slope = np.arctan2(-axis[2], np.hypot(axis[0], axis[1]))
    return np.array([slope, configuration.spline.gap + motion.slip[0, 0]])


def test_ends_written_without_a_spread_are_as_good_as_a_tape_and_no_better() -> None:
    text = re.sub(r" ± [0-9.]+ (mm|deg)", r" \1", Path(TRUCK).read_text("utf-8"))
    scene = read_scene(text.encode(), rule_sets=("chassis conversion",))
    plan = scene.configuration("two-piece-wedged")
    assert plan.readings["pinion.up"].spread == 0
    real = {"pinion.up": plan.readings["pinion.up"].value + 0.003}
    exact = exact_readings(plan, Truth(values=real))
    found = fit(plan, readback_of(plan, {k: v for k, v in exact.items() if k[0] == RIDE}))
    assert not found.contradicts
    off = {one.key: one.sigma * x for one, x in zip(found.unknowns, found.off, strict=True)}
    assert 0.001 < off["pinion.up"] < 0.003  # between what both tapes say


def test_a_place_in_the_opposite_word_is_the_same_reading() -> None:
    case = drawn(two_piece(), 3)
    other = {"aft": "forward", "up": "down", "right": "left"}

    def turned(key: tuple[str, str], value: float) -> tuple[tuple[str, str], float]:
        table, _, last = key[1].rpartition(".")
        return ((key[0], f"{table}.{other[last]}"), -value) if last in other else (key, value)

    opposite = dict(turned(key, value) for key, value in case.read.items())
    spreads = [one.reading.spread for one in found_on(case).seen]
    readback = readback_of(case.plan, opposite, RAISED)
    found = fit(case.plan, readback)
    assert [one.reading.spread for one in found.seen] == spreads
    np.testing.assert_allclose(found.off, found_on(case).off, atol=1e-6)


def test_slopes_read_with_a_level_are_taken_to_the_frame() -> None:
    """The truck stands 2 deg nose up: every slope reads that much more."""
    plan = two_piece()
    exact = exact_readings(plan, Truth(values={}))
    here = {key: value for key, value in exact.items() if key[0] == RIDE}
    tilted = {k: v + 2 * DEG if "slope" in k[1] else v for k, v in here.items()}
    readback = readback_of(plan, tilted)
    (posture,) = readback.postures
    slopes = frozenset(one.path for one in posture.readings if one.path.endswith("slope"))
    level = replace(posture, frame=reading("frame.slope", 2 * DEG), to_level=slopes)
    found = fit(plan, replace(readback, postures=(level,)))
    assert found.misfit == pytest.approx(0, abs=0.05)  # the plan angles are 0
    assert fit(plan, readback).contradicts


def test_a_plan_that_cannot_reach_what_was_read_is_refused(monkeypatch) -> None:
    plan = two_piece()
    readback = readback_of(plan, {(DROOP, "pinion.slope"): 0.1})
    assert plan.design is not None
    far = plan.design.vary({"travel.droop": 0.25}).build()
    with pytest.raises(GeometryError, match="full droop, no torque: the shackle cannot close"):
        fit(far, readback)

    def some_lost(_: object, values: dict[str, np.ndarray]) -> tuple[np.ndarray, np.ndarray]:
        lost = np.arange(len(next(iter(values.values())))) == 2
        return np.zeros((len(lost), 1)), lost

    monkeypatch.setattr(built_model.Model, "predict", some_lost)
    with pytest.raises(GeometryError, match="as planned: off by a little of their ±, its parts"):
        fit(plan, readback)


def test_what_checked_the_plan_says_nothing_of_the_truck() -> None:
    head = "[configuration.two-piece-wedged]\n"
    written = f'{head}shaft.1.slope = "4.1 ± 0.25 deg"\n'
    text = Path(TRUCK).read_text("utf-8").replace(head, written)
    plan = read_scene(text.encode(), rule_sets=("chassis conversion",)).configuration(
        "two-piece-wedged"
    )
    assert "shaft.1.slope" in plan.readings
    design = built_model.hung_to(plan, ())
    assert "shaft.1.slope" not in {**design.values, **design.readings}
    assert design.values["bearing.1.up"] == plan.readings["bearing.1.up"].value


def test_shafts_cut_for_another_configuration_keep_their_lengths() -> None:
    text = Path(TRUCK).read_text("utf-8") + (
        '\n[configuration.moved]\nsame_shafts_as = "two-piece"\nbearing.1.up = "521 ± 3 mm"\n'
    )
    plan = read_scene(text.encode(), rule_sets=("chassis conversion",)).configuration("moved")
    assert plan.design is not None
    assert plan.design.cut_as is not None
    assert built_model.hung_to(plan, ()).cut_as is plan.design.cut_as
    values = plan.design.build()
    found = fit(plan, readback_of(plan, {(RIDE, "gap"): float(values.spline.gap)}))
    off = {one.key: 1.0 if one.key == "output.aft" else 0.0 for one in found.unknowns}
    values = moved(found.unknowns, np.array(list(off.values()))[:, None], found.tied)
    assert values["cut output.aft"] == values["output.aft"]  # it moves both alike
    assert values["cut bearing.1.up"] == pytest.approx(0.531)  # where they were cut to hang
    assert "output.aft" in found.tied
    assert "bearing.1.up" not in found.tied
