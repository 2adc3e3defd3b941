"""The drilling template, measured in its raster at 300 dpi and read back."""

from __future__ import annotations

from dataclasses import replace
from functools import cache, lru_cache
from pathlib import Path
from tempfile import mkdtemp
from typing import Any

import numpy as np
import paper
import pypdf
import pytest
from samples import one_piece, place, two_piece
from show_scene import scene

from sim.errors import DomainError
from sim.judge.drilling import guide_named
from sim.judge.drilling_plan import Behind, drilling_plans, missing_for_drilling
from sim.scene.parts import Brace, Configuration, Foot, Hole, Obstacle, Rail
from sim.show.paper.kit import PaperName
from sim.show.paper.template import write_template
from sim.show.paper.template_words import plan_lines

PAPERS: tuple[PaperName, PaperName] = ("a4", "letter")
LIGHT, HEAVY = "light truck", "heavy all-wheel drive"
PIXEL = 25.4 / 300
TRUE = 0.1  # what a template may be off [mm]


def truck(
    foot: dict[str, Any] | None = None, rail: dict[str, Any] | None = None, **changes: Any
) -> Configuration:
    """The bearing hangs 2395 mm aft and 531 up; the rails' bottom edges are 450 up.

    The foot's middle is 9 above the bearing: 90 above the edge. Its holes stand 60 by 50 mm apart:
    rows at 115 and 65, stations 2365 and 2425.
    """
    known: dict[str, Any] = {"columns": 2, "rows": 2, "along": 0.06, "upright": 0.05}
    known |= {"hole": 0.013, "bolt": "M12", "aft": 0.0, "up": 0.009}
    brace = Brace(
        start=place(2300, -20, 500),
        end=place(2500, 20, 560),
        row_pitch=None,
        hole_pitch=None,
        slot=None,
        shims=(),
        foot=Foot(**known | (foot or {})),
    )
    # seen by whoever tells left from right: behind the foot there is nothing, ahead of it this
    old = Hole(name="body mount", aft=2.31, up=0.09, diameter=0.017)
    sizes: dict[str, Any] = {"apart": 0.43, "up": 0.45, "height": 0.18, "flange": 0.065}
    sizes |= {"wall": 0.006, "kind": "channel", "holes": (old,)}
    rails = tuple(Rail(**{**sizes, "side": side} | (rail or {})) for side in ("left", "right"))
    crossmember = box("crossmember", (2700, -430, 600), (2760, 430, 650))
    known = {"braces": {1: brace}, "rails": rails, "obstacles": (crossmember,)}
    return two_piece(**known | changes)


def box(name: str, low: tuple[float, float, float], high: tuple[float, float, float]) -> Obstacle:
    return Obstacle(
        name=name,
        start=place(*low),
        end=place(*high),
        pipe=None,
        moves=0.0,
        rides_on="frame",
        kind="fixed part",
        least_clearance=None,
    )


def written(
    folder: Path,
    configuration: Configuration,
    guide: str = LIGHT,
    size: PaperName = "a4",
    **changes: Any,
) -> Path:
    plans = drilling_plans(configuration, guide_named(guide))
    known = scene(configuration, **changes)
    return write_template(folder / "t.pdf", known, configuration.name, plans, paper=size)


@cache
def plain(size: PaperName) -> Path:
    """The template of the truck: a page of words, left rail, right rail."""
    return written(Path(mkdtemp()), truck(), size=size)


# --- measured in the raster ----------------------------------------------------------------------


def middles(dark: np.ndarray, least: int = 1, most: int = 10_000) -> list[float]:
    """Middles of runs of true values that long [mm]."""
    steps = np.diff(np.concatenate(([0], dark.astype(int), [0])))
    starts, ends = np.flatnonzero(steps == 1), np.flatnonzero(steps == -1)
    return [
        float(a + b) / 2 * PIXEL
        for a, b in zip(starts, ends, strict=True)
        if least <= b - a <= most
    ]


@lru_cache(maxsize=4)
def seen(path: Path, page: int) -> np.ndarray:
    """Where a page has ink, at 300 dpi."""
    return paper.raster(path, page, 300) < 128


def edges(path: Path, page: int) -> list[float]:
    """How far down the page both edges of the rail are, the bold lines [mm]."""
    ink = seen(path, page)
    middle = ink[:, int(ink.shape[1] * 0.40) : int(ink.shape[1] * 0.55)]
    # 0.7 mm are 8 pixels; the station line may interrupt nothing of a full line
    return middles(middle.mean(axis=1) > 0.95, 6, 10)


def station(path: Path, page: int) -> float:
    """How far right the station line is, dashed, below the rail's top edge [mm]."""
    ink = seen(path, page)
    top = edges(path, page)[0]
    band = ink[int((top + 8) / PIXEL) : int((top + 40) / PIXEL), : int(ink.shape[1] * 0.85)]
    (found,) = middles(band.mean(axis=0) > 0.6)
    return found


@pytest.mark.parametrize("size", PAPERS)
@pytest.mark.parametrize("page", [1, 2])
def test_check_bars_are_true(size: PaperName, page: int) -> None:
    ink = seen(plain(size), page)
    found = []
    for page_ink in (ink, ink.T):  # across, then up the page
        runs = [middles(line, 1150) for line in page_ink]  # 1150 pixels are 97 mm
        for line in middles(np.array([len(one) > 0 for one in runs]), 2, 6):  # thin ones alone
            beside = page_ink[int((line + 1.2) / PIXEL)]
            back = page_ink[int((line - 1.2) / PIXEL)]
            ticks = middles(beside & back)  # those at the ends of a bar reach to both sides of it
            for middle in runs[int(line / PIXEL)]:
                ends = [one for one in ticks if 48 < abs(one - middle) < 52]
                found += [ends[1] - ends[0]] if len(ends) == 2 else []
    assert sorted(found) == pytest.approx([100, 100, 101.6, 101.6], abs=TRUE)


@pytest.mark.parametrize("size", PAPERS)
@pytest.mark.parametrize(("page", "way"), [(1, 1), (2, -1)])
def test_holes_are_where_they_belong(size: PaperName, page: int, way: int) -> None:
    # Whoever looks at the left rail from outside has the front at the left, so what is farther aft
    # is farther right; at the right rail it is the other way round.
    path = plain(size)
    top, bottom = edges(path, page)
    middle = station(path, page)
    assert bottom - top == pytest.approx(180, abs=TRUE)
    found = paper.circles(seen(path, page), 6.5)
    assert len(found) == 4
    for aft, up in ((-30, 65), (-30, 115), (30, 65), (30, 115)):
        there = middle + way * aft, bottom - up
        nearest = min(found, key=lambda one: np.hypot(*np.subtract(one, there)))
        assert nearest == pytest.approx(there, abs=TRUE)
    ((x, y),) = paper.circles(seen(path, page), 8.5)  # the body mount, 85 mm ahead of the middle
    assert (x - middle, bottom - y) == pytest.approx((way * -85, 90), abs=TRUE)


@pytest.mark.parametrize("size", PAPERS)
def test_names_stand_at_their_holes(size: PaperName) -> None:
    # number 1 is the forward hole of the upper row, 4 the rear one of the lower row
    for page, letter, way in ((1, "L", 1), (2, "R", -1)):
        holes = np.array(paper.circles(seen(plain(size), page), 6.5))
        for name, aft, up in (("1", -30, 115), ("2", 30, 115), ("3", -30, 65), ("4", 30, 65)):
            there = paper.place_of(plain(size), page, f"{letter}{name}")
            nearest = holes[np.argmin(np.hypot(*(holes - there).T))]
            assert nearest[0] - holes[:, 0].mean() == pytest.approx(way * aft, abs=TRUE)
            assert holes[:, 1].mean() - nearest[1] == pytest.approx(up - 90, abs=TRUE)


def test_each_side_says_which_way_is_ahead() -> None:
    left, right = paper.texts(plain("a4"))[1:]
    assert "◄ FRONT OF VEHICLE" in left
    assert "LEFT RAIL from outside" in left
    assert "FRONT OF VEHICLE ►" in right
    assert "RIGHT RAIL from outside" in right
    assert paper.place_of(plain("a4"), 1, "FRONT")[0] < paper.place_of(plain("a4"), 1, "RAIL")[0]
    assert paper.place_of(plain("a4"), 2, "FRONT")[0] > paper.place_of(plain("a4"), 2, "RAIL")[0]


@pytest.mark.parametrize("size", PAPERS)
def test_tiles_of_a_long_foot_join_at_their_crosses(size: PaperName, tmp_path: Path) -> None:
    # five holes 80 mm apart, 320 mm from first to last: longer than a page
    long = truck(foot={"columns": 5, "rows": 1, "along": 0.08})
    path = written(tmp_path, long, size=size)
    pages = paper.texts(path)
    count = (len(pages) - 1) // 2
    assert count >= 2
    for side, first in (("LEFT", 1), ("RIGHT", 1 + count)):
        begins, found = 0.0, []  # how far the tile begins behind the first one
        for k in range(count):
            page = first + k
            assert f"{side} RAIL from outside, tile {k + 1} of {count}" in pages[page]
            if k:  # crosses A and C at the lower edge lie on those of the tile before
                letter = "AC"[k - 1]
                begins += cross(path, page - 1, letter)[0] - cross(path, page, letter)[0]
            bottom = edges(path, page)[1]
            for x, y in paper.circles(seen(path, page), 6.5):
                assert bottom - y == pytest.approx(90, abs=TRUE)
                found.append(begins + x)
        apart = np.diff(sorted(found))
        assert apart[apart > 1] == pytest.approx(80, abs=TRUE)
        assert apart[apart < 1] == pytest.approx(0, abs=TRUE)  # a hole on two tiles
        assert max(found) - min(found) == pytest.approx(320, abs=2 * TRUE)
    paper.check_sheet(path, size)


def cross(path: Path, page: int, letter: str) -> tuple[float, float]:
    """The cross of a letter, which stands 4.6 mm right of it [mm]."""
    right, down = paper.place_of(path, page, letter)
    return paper.circle_at(seen(path, page), (right - 4.6, down), 1.5)


def test_tiles_of_a_high_rail_join_at_their_crosses(tmp_path: Path) -> None:
    # 370 mm high: two tiles, one over the other, the lower one first
    path = written(tmp_path, truck(rail={"height": 0.37}))
    pages = paper.texts(path)
    assert len(pages) == 5
    assert "LEFT RAIL from outside, tile 1 of 2" in pages[1]
    (bottom,), (top,) = edges(path, 1), edges(path, 2)
    for letter in "AB":
        (x, y), (x_high, y_high) = (cross(path, page, letter) for page in (1, 2))
        assert (bottom - y) + (y_high - top) == pytest.approx(370, abs=TRUE)
        assert x == pytest.approx(x_high, abs=TRUE)
    assert len(paper.circles(seen(path, 1), 6.5)) == 4
    paper.check_sheet(path, "a4")


# --- what it says --------------------------------------------------------------------------------


@pytest.mark.parametrize("size", PAPERS)
def test_it_is_a_sheet_of_true_scale(size: PaperName) -> None:
    paper.check_sheet(plain(size), size, pages=3)
    root = pypdf.PdfReader(plain(size)).trailer["/Root"]
    assert root["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_same_bytes_twice(tmp_path: Path) -> None:
    again = written(tmp_path, truck(), size="letter")
    assert again.read_bytes() == plain("letter").read_bytes()


def test_what_is_drilled_and_where() -> None:
    said = paper.words(plain("a4"))
    for part in (
        "Every hole keeps the guide “light truck”",
        "The chassis maker's own book comes first.",
        "Ford body builders layout book 2022",
        "second-hand",
        "Drill 13.0 mm for M12",
        # station; 2700 less station; height; edge: 180 - 115 - 6 - 6.5; pitch: 50 - 13; in line
        "L1, R1 2365 mm 335 mm 115 mm 52.5 mm 37.0 mm 2",
        "L4, R4 2425 mm 275 mm 65 mm 52.5 mm 37.0 mm 2",
        "Line S: 2395 mm behind the datum, 305 mm ahead of the front face of the crossmember.",
        "13 mm from a reinforcement",
        "brake and fuel lines, wiring, tank",
        "grade 8 or class 10.9 with flat washers",
        "turn the nut, not the bolt (Hino US chapter 5)",
        "at least 5 mm thick under the support of the bearing (Iveco Eurocargo 2013)",
        "body mount (old hole)",
        "it keeps: medium truck (no value for edge), heavy all-wheel drive, chassis conversion, "
        "national code (no value for edge and pitch).",
        "(UD 2000 p. 60); here 275 mm to the crossmember",
    ):
        assert part in said, part
    assert "DO NOT DRILL" not in said


def test_an_inch_scene_reads_tape_fractions(tmp_path: Path) -> None:
    inch = 0.0254
    foot = {"along": 1.5 * inch, "rows": 1, "hole": 7 / 16 * inch, "bolt": "3/8-16", "up": 0.009}
    configuration = truck(foot=foot, display="inch", obstacles=())
    said = paper.words(written(tmp_path, configuration, display="inch", size="letter"))
    # 2395 mm are 94.291 in, 19.05 less 2375.95 mm or 93.541; 90 mm are 3.543: 32nds of an inch
    for part in ("94-9/32 in behind the datum; no cross part near it", "Drill 7/16 in for 3/8-16"):
        assert part in said
    assert "93-17/32 in 3-17/32 in" in said
    assert "1.50 in" in said  # 38 mm, what the guide asks


def test_a_foot_that_breaks_the_guide_does_not_look_like_one_to_drill(tmp_path: Path) -> None:
    # 20 mm lower: lower row 45 - 6 - 6.5 = 32.5 mm of 38; 5.5 too little, so 6 up
    path = written(tmp_path, truck(foot={"up": -0.011}))
    pages = paper.texts(path)
    assert all("DO NOT DRILL" in page for page in pages)
    said = paper.words(path)
    for part in (
        "L3, L4, R3, R4: 32.5 mm from hole edge to inside of the flange, at the bottom flange; the "
        "guide asks at least 38.0 mm.",
        "Nearest place that keeps it: the foot 6 mm up on both rails, the bearing as it hangs "
        '(brace.1.foot.down = "5 mm").',
        "32.5 mm: no",
        "the guide is broken by L3, L4, R3, R4",
    ):
        assert part in said, part
    assert "Every hole keeps" not in said
    assert "at the crosses" not in said
    assert "L3 breaks" in pages[1]


@pytest.mark.parametrize(("up", "punched"), [(0.009, 4), (-0.011, 0)])
def test_only_a_foot_that_keeps_the_guide_has_crosses_to_punch(
    tmp_path: Path, up: float, punched: int
) -> None:
    path = written(tmp_path, truck(foot={"up": up}))
    for page in (1, 2):
        ink, crosses = seen(path, page), 0
        for x, y in paper.circles(ink, 6.5):
            beside = ink[int(y / PIXEL), int((x + 7.2) / PIXEL) : int((x + 10.5) / PIXEL)]
            crosses += beside.mean() > 0.9
        assert crosses == punched


def test_a_hole_that_breaks_on_one_rail_stops_both(tmp_path: Path) -> None:
    configuration = truck()
    right = replace(configuration.rails[1], up=0.48)  # 30 higher: its holes 30 lower on it
    configuration = replace(configuration, rails=(configuration.rails[0], right))
    left, right_page = paper.texts(written(tmp_path, configuration))[1:]
    for page in (left, right_page):
        assert "DO NOT DRILL: the guide is broken by R3, R4" in page
        assert "at the crosses" not in page


def test_an_old_hole_is_used_and_not_drilled(tmp_path: Path) -> None:
    old = Hole(name="old hanger", aft=2.3655, up=0.115, diameter=0.013)
    path = written(tmp_path, truck(rail={"holes": (old,)}))
    assert "L1: old hole, old hanger" in paper.texts(path)[1]
    said = paper.words(path)
    assert "old hole old hole" in said  # in the table: no distances to keep
    assert "DO NOT DRILL" not in said


def test_what_could_not_be_checked_for_want_of_a_bolt_is_said(tmp_path: Path) -> None:
    told = "the hole over its bolt was not checked: the foot's bolt is missing."
    assert told in paper.words(written(tmp_path / "a", truck(foot={"bolt": None})))
    assert told not in paper.words(written(tmp_path / "b", truck()))
    (plan,) = drilling_plans(truck(foot={"bolt": None}), guide_named("national code"))
    assert f"By “national code” {told}" in plan_lines(plan, "metric")
    (plan,) = drilling_plans(truck(), guide_named("national code"))
    assert not [line for line in plan_lines(plan, "metric") if told in line]


def test_what_is_within_60_mm_of_a_hole() -> None:
    # left web: outer face 430, inner 424 left of the middle; lower holes 450 + 65 = 515 up
    tank = box("tank", (2380, -400, 300), (3000, -100, 490))
    # inner face to the tank 24 aside and 25 down: hypot 34.7; from hole 3 also 15 aft: 37.8
    far = box("far", (2300, 300, 300), (3000, 363.9, 600))  # 60.1 inside of the right web
    near = box("near", (2300, 300, 300), (3000, 364.1, 490))  # 59.9, and 25 down: 64.9
    (plan,) = drilling_plans(truck(obstacles=(tank, far, near)), guide_named(LIGHT))
    assert plan.rails[0].behind == (
        Behind(name="tank", apart=pytest.approx(np.hypot(24, 25) / 1e3), holes=(3, 4)),
    )
    assert plan.rails[1].behind == ()
    closer = box("closer", (2300, 300, 300), (2380, 364.1, 600))  # beside the forward holes alone
    (plan,) = drilling_plans(truck(obstacles=(closer,)), guide_named(LIGHT))
    assert plan.rails[1].behind == (
        Behind(name="closer", apart=pytest.approx(0.0599), holes=(1, 3)),
    )


def test_a_bolt_goes_through_both_walls_of_a_box_rail() -> None:
    """Outer face 430 right of the middle, 65 wide: the inner wall ends at 365."""
    hose = box(
        "hose", (2300, 300, 300), (3000, 355, 600)
    )  # 10 from the inner wall, 69 from the web
    for kind, found in (("channel", []), ("box", [("hose", 0.010)])):
        (plan,) = drilling_plans(truck(rail={"kind": kind}, obstacles=(hose,)), guide_named(LIGHT))
        behind = [(one.name, pytest.approx(one.apart)) for one in plan.rails[1].behind]
        assert behind == found


def test_a_part_within_reach_of_the_drill_is_named_on_the_tile(tmp_path: Path) -> None:
    tank = box("tank", (2380, -400, 300), (3000, -100, 490))
    path = written(tmp_path, truck(obstacles=(tank,)))
    left, right = paper.texts(path)[1:]
    assert "Near: tank, 35 mm from L3, L4." in left
    assert "Near:" not in right
    assert "Left rail: tank, 35 mm from L3, L4." in paper.words(path)
    assert "But look behind the rail first: tank, near the holes" in paper.words(path)
    assert "look behind the rail first" not in paper.words(plain("a4"))


def test_rails_that_differ_have_rows_of_their_own(tmp_path: Path) -> None:
    configuration = truck()
    right = replace(configuration.rails[1], up=0.46)  # 10 higher: its holes 10 lower on it
    configuration = replace(configuration, rails=(configuration.rails[0], right))
    said = paper.words(written(tmp_path, configuration))
    assert "L1 2365 mm 335 mm 115 mm" in said
    assert "R1 2365 mm 335 mm 105 mm" in said


def test_a_guide_that_gives_no_value_says_so(tmp_path: Path) -> None:
    said = paper.words(written(tmp_path, truck(), guide="national code"))
    assert "It gives no value for edge and pitch: ask the chassis maker." in said
    assert "gives no value" not in paper.words(plain("a4"))


def test_a_box_rail_asks_for_sleeves(tmp_path: Path) -> None:
    said = paper.words(written(tmp_path, truck(rail={"kind": "box"})))
    assert "A box rail needs a sleeve" in said
    assert "sleeve" not in paper.words(plain("a4"))


def test_lines_that_were_carried_out_are_named(tmp_path: Path) -> None:
    configuration = truck()
    plans = drilling_plans(configuration, guide_named(LIGHT))
    path = write_template(
        tmp_path / "t.pdf",
        scene(configuration),
        "two-piece",
        plans,
        write=('bearing.1.up = "534 mm"',),
    )
    assert 'with these lines written into the scene: bearing.1.up = "534 mm".' in paper.words(path)


# --- what is missing -----------------------------------------------------------------------------


def test_what_a_template_needs() -> None:
    bare = truck(braces={}, rails=())
    said = r"write \[brace.1\] with from and to; \[brace.1.foot\] with .*; \[left_rail\] with apart"
    with pytest.raises(DomainError, match=said):
        drilling_plans(bare, guide_named(LIGHT))
    known = truck()
    footless = replace(known, braces={1: replace(known.braces[1], foot=None)})
    (missing,) = missing_for_drilling(footless)
    assert missing.startswith("[brace.1.foot] with holes and hole")
    with pytest.raises(DomainError, match="no center bearing"):
        drilling_plans(one_piece(), guide_named(LIGHT))


@pytest.mark.parametrize(
    "foot",
    [
        {"columns": 1, "rows": 1},
        {"columns": 3, "rows": 6, "along": 0.003, "upright": 0.003},
        {"columns": 4, "rows": 4, "along": 0.02, "upright": 0.02, "hole": 0.04},
        {"columns": 2, "rows": 3, "along": 0.3, "upright": 0.05},
        {"columns": 1, "rows": 6, "upright": 0.5},
        {"columns": 2, "rows": 2, "up": -0.2},
    ],
)
def test_any_foot_that_a_scene_may_have_is_drawn(tmp_path: Path, foot: dict[str, Any]) -> None:
    for size, height in zip(PAPERS, (0.04, 0.5), strict=True):
        path = written(tmp_path, truck(foot=foot, rail={"height": height}), size=size)
        assert "RIGHT RAIL from outside" in paper.texts(path)[-1]
