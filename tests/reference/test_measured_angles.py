"""Joint angles from slopes and views against service manuals; sources beside each number."""

from __future__ import annotations

import numpy as np
import pytest

from sim.measure.angles import measure_angles
from sim.motion.frames import axis_from_slope

DEG = np.pi / 180


def angles(slopes, plans=0.0):
    return measure_angles(axis_from_slope(np.array(slopes) * DEG, np.array(plans) * DEG))


def axes_from_views(side, plan):
    """Return axes (1, tan plan, −tan side), as view angles are read."""
    side, plan = np.array(side) * DEG, np.array(plan) * DEG
    a = np.stack([np.ones_like(side), np.tan(plan), -np.tan(side)], axis=-1)
    return a / np.linalg.norm(a, axis=-1, keepdims=True)


@pytest.mark.parametrize(
    ("slopes", "expected"),
    [
        # Meritor MM-96147 (rev. 03-21), p. 87, fig. 14.33: 3, 2, 1 deg give −1 and −1.
        ((3.0, 2.0, 1.0), (-1.0, -1.0)),
        # Lexus LS400 1997 repair manual, adjustment chart: 2°00', 2°51', 1°54' give −51' and
        # +57' (front minus rear there).
        ((2.0, 2 + 51 / 60, 1 + 54 / 60), (51 / 60, -57 / 60)),
        # Modern Driveline, driveshaft quick tech: 3, 7, 3 deg, both angles alike: 4 deg.
        ((3.0, 7.0, 3.0), (4.0, -4.0)),
        # International CTS-4017, p. 23 (slopes printed): 1, 4.5, 2.5 and 2.5, 5, 12 deg.
        ((1.0, 4.5, 2.5), (3.5, -2.0)),
        ((2.5, 5.0, 12.0), (2.5, 7.0)),
    ],
)
def test_joint_angles_in_one_plane_are_differences_of_slopes(slopes, expected) -> None:
    found = angles(slopes)
    np.testing.assert_allclose(found.side, np.array(expected) * DEG, atol=1e-14)
    np.testing.assert_allclose(found.joint, np.abs(expected) * DEG, atol=1e-14)
    np.testing.assert_array_equal(found.top, 0.0)


@pytest.mark.parametrize(
    ("side", "top", "printed", "tolerance"),
    [
        (2.5, 2.15, 3.3, 0.05),  # Spicer J3311, p. 10: compound angle
        (2.5, 5.5, 6.0, 0.1),  # Vetus coupling manual, sect. 3.2 (read from a graph)
        (2.5, 5.5, 6.035198583, 1e-8),  # the tangent form of the same manual, computed
    ],
)
def test_compound_angle_from_two_views(side, top, printed, tolerance) -> None:
    found = measure_angles(axes_from_views([0.0, side], [0.0, top]))
    assert np.rad2deg(found.joint[0]) == pytest.approx(printed, abs=tolerance)


@pytest.mark.parametrize(
    ("side", "plan", "exact", "approximate"),
    [
        # Derived: angle of the vectors (1, tan plan, tan side), computed at 40 digits; the trade's
        # root of the sum of squares (Spicer J3311, Meritor MM-96147) beside it.
        ((-4, -7), (0, 2), 3.596809263, 3.605551),
        ((3, -2), (1, -3), 6.399741651, 6.403124),
        ((0, 20), (0, 20), 27.236313475, 28.284271),
    ],
)
def test_true_angle_in_space_beside_the_trades_approximation(
    side, plan, exact, approximate
) -> None:
    found = measure_angles(axes_from_views(side, plan))
    assert np.rad2deg(found.joint[0]) == pytest.approx(exact, abs=1e-8)
    root = np.hypot(found.side[0], found.top[0])
    assert np.rad2deg(root) == pytest.approx(approximate, abs=1e-6)
