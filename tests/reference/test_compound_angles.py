"""True joint angles from side and top views, and joint angles from published slopes."""

from __future__ import annotations

import numpy as np
import pytest

from sim.motion.frames import (
    angle_between,
    axis_from_slope,
    plan_of,
    side_slope_of,
    slope_of,
    unit,
)

DEG = np.pi / 180


def from_views(side: float, plan: float) -> np.ndarray:
    """Return an axis aft from its side view (rising aft positive) and top view angle [deg]."""
    return unit([1.0, np.tan(plan * DEG), np.tan(side * DEG)])


@pytest.mark.parametrize(
    ("side", "plan", "published", "tolerance"),
    [
        # Spicer Driveline Installation Service Manual J3311, p. 10: 3.3 deg
        (2.5, 2.15, 3.3, 0.05),
        # Vetus propeller shaft coupling manual, sect. 3.2: 6 deg, read from a graph
        (2.5, 5.5, 6.0, 0.1),
        # the tangent form of that section, tan²β = tan²V + tan²H, is exact along the axis
        (2.5, 5.5, 6.0351985825375, 1e-9),
        (2.5, 2.15, 3.29557, 1e-5),
    ],
)
def test_compound_angle_of_published_examples(side, plan, published, tolerance):
    angle = angle_between([1.0, 0.0, 0.0], from_views(side, plan)) / DEG
    assert angle == pytest.approx(published, abs=tolerance)


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ((-4, 0), (-7, 2), 3.5968092630783),
        ((3, 1), (-2, -3), 6.3997416514292),
        ((0, 0), (20, 20), 27.236313475171),
    ],
)
def test_true_angle_between_any_two_shafts(first, second, expected):
    # scalar product at 40 digits, apart from this program; (side, plan)
    assert angle_between(from_views(*first), from_views(*second)) / DEG == pytest.approx(
        expected, abs=1e-9
    )


@pytest.mark.parametrize(
    ("slopes", "joints", "source"),
    [
        ((3.0, 2.0, 1.0), (-1.0, -1.0), "Meritor MM-96147 rev. 03-21 p. 87 fig. 14.33"),
        ((2.0, 2 + 51 / 60), (51 / 60,), "Lexus LS400 1997 adjustment chart, No. 2 joint"),
        ((2 + 51 / 60, 1 + 54 / 60), (-57 / 60,), "Lexus LS400 1997, No. 3 joint"),
        ((1.0, 4.5, 2.5), (3.5, -2.0), "International CTS-4017 p. 23, front shaft"),
        ((2.5, 5.0, 12.0), (2.5, 7.0), "International CTS-4017 p. 23, inter-axle shaft"),
        ((3.0, 7.0, 3.0), (4.0, -4.0), "Modern Driveline, driveshaft quick tech"),
    ],
)
def test_joint_angles_from_published_slopes(slopes, joints, source):
    axes = axis_from_slope(np.array(slopes) * DEG)
    signed = np.diff(slope_of(axes)) / DEG
    assert signed == pytest.approx(joints, abs=1e-9), source
    true = angle_between(axes[:-1], axes[1:]) / DEG
    assert true == pytest.approx(np.abs(joints), abs=1e-9), source


@pytest.mark.parametrize(("slope", "plan"), [(3.0, 4.0), (-7.0, -2.0), (20.0, 35.0), (0.0, 0.0)])
def test_slope_and_plan_angle_come_back(slope, plan):
    axis = axis_from_slope(slope * DEG, plan * DEG)
    assert slope_of(axis) / DEG == pytest.approx(slope, abs=1e-12)
    assert plan_of(axis) / DEG == pytest.approx(plan, abs=1e-12)


def test_side_view_shows_more_slope_than_an_angle_finder_reads():
    # tan s' = tan s / cos p; 0.02 deg at 7 and 4 deg
    axis = axis_from_slope(7 * DEG, 4 * DEG)
    seen = np.arctan(np.tan(7 * DEG) / np.cos(4 * DEG))
    assert side_slope_of(axis) == pytest.approx(seen, abs=1e-14)
    assert side_slope_of(axis) / DEG - 7 == pytest.approx(0.017, abs=5e-4)
