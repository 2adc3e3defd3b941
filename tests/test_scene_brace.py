"""Where the bearing may hang, and what its brace is bolted to, as a scene says it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim.errors import DomainError, SceneError
from sim.explore.sources import sources_of
from sim.scene.parts import Brace, Configuration
from sim.scene.reader import read_scene

ORCHARD = Path(__file__).parent.parent / "scenes" / "orchard_service_truck.toml"
MM, INCH = 1e-3, 25.4e-3


def truck(*swaps: tuple[str, str]) -> Configuration:
    """Return the demo truck's two pieces with words of its file exchanged."""
    text = ORCHARD.read_text(encoding="utf-8")
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new, 1)
    return read_scene(text.encode(), "truck.toml").configuration("two-piece")


def refusal(*swaps: tuple[str, str]) -> str:
    with pytest.raises(SceneError) as caught:
        truck(*swaps)
    return str(caught.value)


def test_a_brace_is_read_in_meters() -> None:
    brace = truck().braces[1]
    np.testing.assert_allclose(brace.start, [2.2, -0.02, 0.492])
    np.testing.assert_allclose(brace.end, [2.66, 0.02, 0.564])
    assert (brace.row_pitch, brace.hole_pitch, brace.slot) == (0.012, None, 0.015)
    assert brace.shims == pytest.approx((1 * MM, 2 * MM, 5 * MM))
    assert brace.foot is not None
    assert (brace.foot.columns, brace.foot.rows, brace.foot.bolt) == (2, 2, "M12")


@pytest.mark.parametrize(
    ("written", "sizes"),
    [
        ("5, 1, 2 mm", [1 * MM, 2 * MM, 5 * MM]),
        ("1/16, 1/8 in", [INCH / 16, INCH / 8]),
        ("1/16 in, 3 mm", [INCH / 16, 3 * MM]),
        ("2 mm", [2 * MM]),
        ("2, 2 mm", [2 * MM]),
    ],
)
def test_shims_are_read_the_smallest_first(written: str, sizes: list[float]) -> None:
    found = truck(('shims = "1, 2, 5 mm"', f'shims = "{written}"')).braces[1].shims
    assert found == pytest.approx(sorted(sizes))


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('shims = "1, 2, 5 mm"', "shims = 2", 'shims is 2; sizes belong here, as in "1, 2, 3 mm"'),
        ('shims = "1, 2, 5 mm"', 'shims = "1, 99 mm"', "99 mm; allowed: 0.1 to 50 mm"),
        ('shims = "1, 2, 5 mm"', 'shims = "1, two mm"', "unknown unit two mm"),
        ('holes = "2 by 2"', 'holes = "four"', 'holes is "four"; holes are counted fore and aft'),
        ('along = "60 mm"\n', "", "foot has 2 by 2 holes; along is missing, their pitch"),
        ('bolt = "M12"', 'bolt = "twelve"', 'bolt is "twelve"; a thread belongs here'),
        ('bolt = "M12"', 'bolt = "1/2"', 'as in "M12" or "1/2-13"'),
        ('to = { aft = "2660 mm", right = "20 mm", up = "564 mm" }',
         'to = { aft = "2200 mm", left = "20 mm", up = "492 mm" }', "one point for a space"),
        ('up = "90 mm", diameter', 'up = "190 mm", diameter', "up is 190 mm; the web is 180"),
        ('thickness = "4 mm"\n', "", "left_rail.thickness is missing"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said(old: str, new: str, said: str) -> None:
    assert said in refusal((old, new))


def test_one_rail_written_alone_stands_for_both() -> None:
    left, right = truck().rails
    assert (left.side, right.side) == ("left", "right")
    assert replace(left, side="right") == right
    (hole,) = right.holes
    assert (hole.name, hole.aft, hole.up, hole.diameter) == (
        "body mount", pytest.approx(2.31), pytest.approx(0.09), pytest.approx(0.017),
    )  # fmt: skip


def test_two_rails_may_differ() -> None:
    other = '[right_rail]\napart = "428 mm"\nup = "640 mm"\nheight = "180 mm"\n'
    other += 'flange = "65 mm"\nthickness = "4 mm"\nkind = "box"\n\n[complaint."shudder'
    left, right = truck(('[complaint."shudder', other)).rails
    assert (left.apart, right.apart) == pytest.approx((0.430, 0.428))
    assert (left.kind, right.kind) == ("channel", "box")
    assert right.holes == ()


def test_a_brace_with_rows_stays_where_it_is_bolted() -> None:
    brace = truck().braces[1]
    for up in (0.492, 0.516):
        at = brace.foot_at(np.array([2.4, 0.0, up]))
        assert at == pytest.approx((2.4, 0.492 + 0.234))


def test_a_brace_without_rows_moves_with_its_bearing() -> None:
    brace = truck(('row_pitch = "12 mm"', "")).braces[1]
    assert brace.foot_at(np.array([2.4, 0.0, 0.53])) == pytest.approx((2.4, 0.53 + 0.234))


def test_a_brace_without_a_foot_has_no_place_for_it() -> None:
    bare: Brace = replace(truck().braces[1], foot=None)
    with pytest.raises(DomainError, match="no foot"):
        bare.foot_at(np.zeros(3))


def test_what_no_rule_looks_at_is_not_sampled() -> None:
    drawn = [source.key for source in sources_of(truck())]
    assert drawn
    assert not any(key.startswith(("brace.", "left_rail.")) for key in drawn)


def test_cut_lengths_need_both_depths() -> None:
    front, rear = truck().shafts
    assert (front.front_depth, front.rear_depth) == pytest.approx((0.068, 0.205))
    assert rear.rear_depth == pytest.approx(0.068)
