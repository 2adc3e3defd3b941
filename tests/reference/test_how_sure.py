"""How sure verdicts are, against probability theory, published examples and general libraries."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, stats

from sim.explore.sampling import BAND, draw, spread_of
from sim.explore.sources import sources_of
from sim.judge.chance import agreeing, bins_of, shares_of_variance
from sim.judge.judge import judge
from sim.judge.rules import load_rules
from sim.judge.samples import states_to_sample
from sim.judge.spread import Source, Spread
from sim.judge.sureness import _Again, weigh
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.reader import load_scene, read_scene

SAMPLES = 20_000
CHANCE = 4 / np.sqrt(4 * SAMPLES)  # four standard deviations of a share of 20 000 samples


# --- two readings of an angle finder ------------------------------------------------------------

TWO_READINGS = """
format = "halfturn scene 1"
title = "Two readings"
datum = "frame"
display = "metric"
rules = "two-piece service"
[vehicle]
axle_ratio = "4 to 1"
tire_radius = "400 mm"
tire_circumference = "2545 mm"
top_speed = "100 km/h"
[output]
aft = "1700 mm"
up = "500 mm"
slope = "{output} ± 0.25 deg"
plan_angle = "0 deg"
[pinion]
aft = "3600 mm"
up = "367.142 mm"
slope = "1.0 ± 0.25 deg"
plan_angle = "{plan}"
[axle]
aft = "3950 mm"
up = "400 mm"
[limits]
pair_difference = "0.5 deg"
front_joint = "0.5 deg"
[configuration.it]
shaft.1.tube = {{ outside = "76 mm", wall = "2 mm" }}
spline = {{ at = "output", gap = "40 mm", engaged = "70 mm" }}
"""
SIGMA = 0.25 * np.sqrt(2) / 1.959964  # of the difference of two readings good to ± 0.25 deg


def pair_of(read: float, plan: str = "0 deg"):
    text = TWO_READINGS.format(output=f"{1 + read:.2f} deg".replace(" deg", ""), plan=plan)
    (configuration,) = read_scene(text.encode()).configurations
    rules = load_rules("general light service")
    measurements = measure(solve(configuration))
    as_read = judge(measurements, rules)
    states = states_to_sample(measurements.states, as_read)
    found = weigh(as_read, rules, spread_of(configuration, states, SAMPLES))
    return next(f for f in found.findings if f.rule == "pair difference")


@pytest.mark.parametrize("read", [0.10, 0.26, 0.40, 0.49])
def test_two_readings_of_a_quarter_degree_leave_half_a_degree_open(read: float) -> None:
    """Difference of two normal readings: its size stays under the limit as often as theory says.

    Both joints bend one way, so the difference of their angles is that of the two slopes.
    """
    error = stats.norm(read, SIGMA)
    expected = error.cdf(0.5) - error.cdf(-0.5)
    finding = pair_of(read)
    assert finding.value == pytest.approx(read, abs=1e-9)
    assert finding.probability == pytest.approx(expected, abs=CHANCE)
    assert finding.verdict == ("passes" if expected >= 0.95 else "cannot be told")


def test_the_band_of_two_readings_is_that_of_a_folded_normal_distribution() -> None:
    """scipy.stats.foldnorm: ± 0.35 deg of a difference, folded at zero."""
    folded = stats.foldnorm(0.26 / SIGMA, scale=SIGMA)
    half = 1.959964 * SIGMA
    assert half == pytest.approx(0.354, abs=5e-4)
    assert pair_of(0.26).between == pytest.approx(folded.ppf([0.025, 0.975]), abs=0.01)


def test_a_reading_taken_twice_alike_makes_surer_by_bayes_rule() -> None:
    """The mean of two equal readings has half of the variance of one; the other keeps its own."""
    one = 0.25 / 1.959964
    error = stats.norm(0.22, np.sqrt(one**2 + one**2 / 2))
    finding = pair_of(0.22)
    assert finding.verdict == "cannot be told"
    assert {repeat.reading for repeat in finding.repeats} == {"output.slope", "pinion.slope"}
    for repeat in finding.repeats:
        assert repeat.agreed == pytest.approx(error.cdf(0.5) - error.cdf(-0.5), abs=2 * CHANCE)
    one, two = (repeat.share for repeat in finding.repeats)
    assert one == pytest.approx(two, abs=0.05)  # two angle finders alike
    assert 0.8 < one + two <= 1.0


def test_a_top_view_angle_that_nobody_read_lowers_the_chance() -> None:
    """A joint read at 0.26 deg with a side part good to ± 0.35 and a top part to ± 0.30 deg.

    By quadrature over the two normal parts: 0.877; the top part alone takes three points.
    """

    def inside(top: float) -> float:
        room = np.sqrt(max(0.25 - top**2, 0.0))
        side = stats.norm(0.26, SIGMA)
        return float(stats.norm(0, 0.3 / 1.959964).pdf(top) * (side.cdf(room) - side.cdf(-room)))

    expected, _ = integrate.quad(inside, -0.5, 0.5)
    rng = np.random.default_rng(7)
    side, top = 0.26 + SIGMA * rng.standard_normal(10**6), 0.3 / BAND * rng.standard_normal(10**6)
    assert expected == pytest.approx(0.877, abs=1e-3)
    assert np.mean(np.hypot(side, top) <= 0.5) == pytest.approx(expected, abs=2e-3)


# --- shares of the variance ---------------------------------------------------------------------


def test_shares_of_variance_are_those_of_the_published_test_function() -> None:
    """Ishigami function, a 7, b 0.1: 0.3139, 0.4424, 0.

    Ishigami and Homma 1990; values as in Saltelli et al. 2008, Global Sensitivity Analysis (from
    memory), and from the closed form of its variance.
    """
    x = np.random.default_rng(3).uniform(-np.pi, np.pi, (3, 200_000))
    y = np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])
    assert shares_of_variance(bins_of(x), y) == pytest.approx([0.3139, 0.4424, 0.0], abs=0.01)


def test_shares_of_variance_count_bends_as_well_as_slopes() -> None:
    """For normal z: Var(3 z1) = 9, Var(2 z2²) = 8, Var(z3 z4) = 1, which none has by itself."""
    z = np.random.default_rng(4).standard_normal((4, SAMPLES))
    shares = shares_of_variance(bins_of(z), 3 * z[0] + 2 * z[1] ** 2 + z[2] * z[3])
    assert shares == pytest.approx([9 / 18, 8 / 18, 0, 0], abs=0.03)


@pytest.mark.parametrize("count", [199, 200])
def test_where_nothing_varies_or_samples_are_few_no_reading_is_named(count: int) -> None:
    """A constant has no variance to share; 100 bins need two samples each to have any."""
    z = np.random.default_rng(8).standard_normal((2, count))
    assert shares_of_variance(bins_of(z), np.full(count, 3.0)).tolist() == [0.0, 0.0]
    assert bool(shares_of_variance(bins_of(z), z[0]).any()) == (count == 200)


def test_a_second_equal_reading_halves_the_variance() -> None:
    """Bayes' rule for normal readings, any textbook."""
    z = np.random.default_rng(5).standard_normal((1, SAMPLES))
    weight = agreeing(z)
    assert weight.sum() == pytest.approx(1)
    assert weight @ z[0] ** 2 == pytest.approx(0.5, abs=0.02)


def test_a_default_measured_to_half_its_band_leaves_a_quarter_of_its_variance() -> None:
    """Bayes' rule for normal readings: 1 and 3 such readings more make it 1/2 and 1/4."""
    sources = tuple(
        Source(key=status, name=status, label=status, text="", value=0, spread=1, status=status)
        for status in ("measured", "assumed")
    )
    off = np.random.default_rng(6).standard_normal((2, SAMPLES))
    spread = Spread(sources=sources, exact=(), seed=0, off=off, numbers=None, alone=None)
    left = _Again.of(spread).weights @ off.T**2
    assert left == pytest.approx(np.array([[0.5, 1.0], [1.0, 0.25]]), abs=0.03)


# --- samples against linear propagation ---------------------------------------------------------

SCENES = Path(__file__).parents[2] / "scenes"


def test_drawn_readings_have_the_band_that_was_written() -> None:
    """95 % of normal samples lie within 1.96 standard deviations; Kolmogorov-Smirnov by scipy."""
    sources = sources_of(load_scene(SCENES / "orchard_service_truck.toml").configurations[1])
    off = draw(sources, SAMPLES)
    for source, row in zip(sources, off, strict=True):
        assert np.mean(np.abs(row) <= BAND) == pytest.approx(0.95, abs=CHANCE), source.name
        assert stats.kstest(row, "norm").pvalue > 1e-5, source.name
    between = np.corrcoef(off) - np.eye(len(off))
    assert np.abs(between).max() < 5 / np.sqrt(SAMPLES)


@pytest.mark.parametrize(
    ("key", "value", "spread", "farthest"),
    [
        ("output.slope", 0.05, 0.004, np.inf),
        ("spline.gap", 0.045, 0.030, 0.95 * 0.045 / 0.030 * BAND),
        ("spline.gap", 0.001, 0.004, 0.95 * 0.001 / 0.004 * BAND),
        ("spline.gap", 0.0, 0.002, 0.0),
    ],
)
def test_every_equally_likely_part_of_a_band_is_taken_once(key, value, spread, farthest) -> None:
    """Latin hypercube of McKay, Beckman and Conover 1979; quantiles of scipy's distributions.

    A size is cut off at a twentieth of itself; one of nothing can only be more.
    """
    source = Source(
        key=key, name=key, label=key, text="", value=value, spread=spread, status="measured"
    )
    (row,) = draw((source,), 500)
    middles = (np.arange(500) + 0.5) / 500
    normal = stats.truncnorm(-farthest, np.inf)
    assert np.sort(row) == pytest.approx(normal.ppf(middles), abs=1e-9)
    assert not np.array_equal(np.sort(row), row)


def test_shares_of_two_thousand_samples_are_good_to_a_point() -> None:
    """P(a + b + c + ab/4 > 1) of three readings, by a million random numbers in the test."""
    z = np.random.default_rng(11).standard_normal((3, 10**6))
    names = [f"bearing.{number}.up" for number in (1, 2, 3)]
    sources = [
        Source(key=n, name=n, label=n, text="", value=0.5, spread=0.003, status="measured")
        for n in names
    ]

    def share(a, b, c) -> float:
        return float((a + b + c + a * b / 4 > 1).mean())

    off = [share(*draw(sources, 2000, seed)) - share(*z) for seed in range(40)]
    assert np.sqrt(np.mean(np.square(off))) < 0.008  # random draws: 0.010


def test_the_same_readings_are_drawn_alike_and_others_in_another_order() -> None:
    one, other = (
        Source(key=k, name=k, label=k, text="1 mm", value=0.5, spread=0.003, status="measured")
        for k in ("bearing.1.up", "bearing.2.up")
    )
    first, second = draw((one, other), 100)
    assert np.array_equal(draw((one,), 100)[0], first)
    assert not np.array_equal(first, second)
    assert np.array_equal(np.sort(first), np.sort(second))
