from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import imageio.v3 as iio
import numpy as np
import pytest
import samples
import show_scene
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from sim.display import METRIC, TRADE_INCH
from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Height
from sim.show.plots import draw_comparison, draw_configuration
from sim.show.plots.angles import draw_joint_angles
from sim.show.plots.canvas import spread
from sim.show.plots.carry import draw_carry
from sim.show.plots.series import cases_of, curve_states, lighter_states, limits_of
from sim.show.plots.smoothness import driven_cases, speeds
from sim.show.plots.travel_axis import draw_case
from sim.show.style import CASES, CONFIGURATIONS, JOINTS, VERDICT_COLORS, VERDICT_GROUNDS

ONE, TWO = show_scene.results()


def luminance(color: str) -> float:
    """Return the relative luminance of an sRGB color (IEC 61966-2-1, as WCAG 2.1 restates it)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(color)]
    return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colors (WCAG 2.1, section 1.4.3)."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    folder = tmp_path_factory.mktemp("two-piece")
    scene = show_scene.scene(ONE.configuration, TWO.configuration)
    named = {r.configuration.name: r.measurements for r in (ONE, TWO)}
    return (
        *draw_configuration(scene, TWO.motion, TWO.measurements, TWO.findings, folder),
        *draw_comparison(scene, named, folder),
    )


@pytest.mark.parametrize(
    ("relation", "verdict", "beside_words", "kept"),
    [
        ("at most", "passes", "≤", "≤"),
        ("at most", "cannot be told", "≤", "≤"),
        ("at most", "watch", ">", "≤"),
        ("at most", "fails", ">", "≤"),
        ("at least", "passes", "≥", "≥"),
        ("at least", "fails", "<", "≥"),
    ],
)
def test_a_limit_is_named_by_what_holds_on_the_side_that_its_sign_says(
    relation, verdict, beside_words, kept
) -> None:
    """Beyond the limit is where "is too large" is so; within it where "is moderate" is so."""
    first = next(f for f in TWO.findings.findings if f.where == "joint 1" and f.unit == "deg")
    found = replace(first, relation=relation, verdict=verdict, what="It is so?", limit=2.0)
    findings = replace(TWO.findings, findings=(found,))
    (limit,) = limits_of(findings, "deg", "joint", METRIC)
    assert (limit.text, limit.sign) == (f"{beside_words} 2.00 deg: it is so", kept)


def test_accelerations_are_drawn_only_where_a_torque_drives_the_vehicle_at_a_speed() -> None:
    """Nothing runs at top speed without torque."""
    cases = {s.case: s.wheel_torque for s in TWO.measurements.states}
    driven = tuple(case for case, torque in cases.items() if torque)
    assert "no torque" in cases
    assert driven_cases(TWO.measurements) == driven
    said = [part.rsplit(" ", 2)[0] for part in speeds(TWO.measurements, METRIC).split(", ")]
    assert tuple(said) == driven


def test_every_picture_is_there_as_svg_and_as_png(drawn: tuple[Path, ...]) -> None:
    names = ["joint-angles", "spline", "smoothness", "speed-over-turn"]
    names += ["bearing-load", "whirl", "torque-carried"]
    names += ["compare-travel", "critical-speeds"]
    assert [path.name for path in drawn] == [f"{n}.{end}" for n in names for end in ("svg", "png")]


def test_a_dollar_sign_in_a_title_is_a_dollar_sign(tmp_path: Path) -> None:
    title = r"Costs $\frac$ or $5_"  # no mathematics that matplotlib could set
    files = draw_joint_angles(TWO.measurements, TWO.findings, METRIC, title, tmp_path)
    assert all(file.stat().st_size for file in files)


def test_a_picture_shows_something_also_in_grey(drawn: tuple[Path, ...]) -> None:
    for path in drawn[1::2]:
        grey = iio.imread(path)[..., :3].mean(axis=-1)
        assert grey.shape[1] == 1260
        assert len(np.unique(grey.astype(int))) > 30


def test_an_svg_asks_for_nothing_outside_itself_and_names_no_date(drawn: tuple[Path, ...]) -> None:
    for path in drawn[::2]:
        text = path.read_text(encoding="utf-8")
        assert not re.findall(r'(?:href|src)="(?!#|data:)', text)
        assert "dc:date" not in text
        assert "DejaVuSans-" not in text  # no letter as a path: words can be searched
        faces = set(re.findall(r"font(?:-family)?: ([^;\"]*)", text))
        assert faces == {"'DejaVu Sans', Verdana, sans-serif"}  # of one width


def test_the_same_measurements_draw_the_same_bits(drawn: tuple[Path, ...], tmp_path: Path) -> None:
    scene = show_scene.scene(ONE.configuration, TWO.configuration)
    again = draw_configuration(scene, TWO.motion, TWO.measurements, TWO.findings, tmp_path)
    for one, other in zip(drawn, again, strict=False):
        assert one.read_bytes() == other.read_bytes()


@pytest.mark.parametrize("looks", [CONFIGURATIONS, JOINTS, CASES])
def test_lines_differ_in_marker_and_dashes_and_can_be_seen_on_white(looks: tuple) -> None:
    assert len({look.marker for look in looks}) == len(looks)
    assert len({look.dashes for look in looks}) == len(looks)
    # WCAG 2.1, 1.4.11: graphics need 3 to 1; the last look of a set is for rare fifth lines.
    assert all(contrast(look.color, "#ffffff") >= 2.9 for look in looks)


def test_verdict_words_can_be_read_on_their_ground() -> None:
    # WCAG 2.1, 1.4.3: text needs 4.5 to 1.
    for verdict, color in VERDICT_COLORS.items():
        assert contrast(color, VERDICT_GROUNDS[verdict]) >= 4.5
        assert contrast(color, "#ffffff") >= 4.5


def test_a_curve_rises_in_travel_and_holds_no_rolled_state() -> None:
    states = TWO.measurements.states
    for case in cases_of(states):
        chosen = [states[k] for k in curve_states(states, case)]
        travel = [state.travel for state in chosen]
        assert travel == sorted(set(travel))
        assert all(state.roll == 0 and state.case == case for state in chosen)


def test_a_height_that_is_less_loaded_than_the_travel_stands_beside_its_line() -> None:
    """Ride height of a truck that goes loaded: 14 200 N on its axle, 18 000 N anywhere else."""
    loaded = Height(name="loaded", left=0.035, right=0.035, axle_load=18_000.0)
    made = samples.one_piece(travel=replace(samples.TRUCK_TRAVEL, heights=(loaded,)))
    m = measure(solve(made))
    assert not lighter_states(m.states, "no torque").size
    (apart,) = lighter_states(m.states, "hard launch")
    assert m.states[apart].height == "ride height"

    def kink(on) -> float:
        """Return the largest change of slope from one step to the next [deg/m]."""
        rise = np.diff(np.degrees(m.joint_angle[on, -1]))
        return float(np.abs(np.diff(rise / np.diff([m.states[k].travel for k in on]))).max())

    on = curve_states(m.states, "hard launch")
    assert len(on) == len(curve_states(m.states, "no torque")) - 1
    assert kink(on) < 20  # a little, where 440 N more were weighed than travel and rate say
    assert kink(np.sort([*on, apart])) > 200  # as it was drawn once
    axes = Figure().subplots()
    look, bend = CASES[0], np.degrees(m.joint_angle[:, -1])
    end = draw_case(axes, m, "hard launch", bend, look, METRIC)
    assert end == pytest.approx((95.0, bend[on[-1]]))
    alone = [
        line for line in axes.lines if line.get_linestyle() == "None" and len(line.get_xdata()) == 1
    ]
    assert [(*line.get_xdata(), *line.get_ydata()) for line in alone] == [(0.0, bend[apart])]


def test_limits_come_from_the_findings_in_the_units_shown_and_once_each() -> None:
    limits = limits_of(TWO.findings, "deg", "joint", METRIC)
    assert [
        (limit.value, limit.still) for limit in limits if limit.rule == "front joint, most"
    ] == [(0.5, True)]
    assert len({limit.text for limit in limits}) == len(limits)
    speeds = limits_of(TWO.findings, "km/h", "shaft", TRADE_INCH)
    (whirl,) = (
        f.what for f in TWO.findings.findings if (f.rule, f.where) == ("critical speed", "shaft 1")
    )
    assert speeds[0].text.lower() == f"≥ 96 mph: {whirl.lower()}"
    assert speeds[0].text[10].islower()


def test_what_the_shafts_are_sized_by_is_drawn_above_what_can_reach_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Spicer J3311, printed p. 2, by hand: 610 N m x 4.17 x 0.80 x 1.9 x 0.95 in low gear.

    Wheel slip is 0.71 W RR/(0.95 AR) of the load W; the tire rolls 2 pi RR.
    """
    figures: list[Figure] = []
    monkeypatch.setattr(
        "sim.show.plots.carry.save",
        lambda figure, folder, name: (figures.append(figure), (folder, folder))[1],
    )
    draw_carry(TWO.measurements, METRIC, "yard", tmp_path)
    axes = figures[0].axes[0]
    names = [tick.get_text() for tick in axes.get_yticklabels()]
    assert names[:3] == ["sized by low gear", "sized by wheel slip", "engine, first gear"]
    v = TWO.configuration.vehicle
    loads = [v.axle_load, *(h.axle_load for h in TWO.configuration.travel.heights)]
    rolling = v.tire_circumference / (2 * np.pi)
    slip = 0.71 * max(filter(None, loads)) * rolling / (0.95 * v.axle_ratio)
    widths = [bar.get_width() for bar in axes.patches[:2]]
    assert widths == pytest.approx([610 * 4.17 * 0.80 * 1.9 * 0.95, slip])


def test_labels_move_apart_but_keep_their_order_and_stay_in_the_panel() -> None:
    places = spread([0.0, 0.01, 0.02, 0.5, 0.99, 1.0], [0.1] * 6)
    assert np.min(np.diff(places)) >= 0.1 - 1e-12
    assert places[0] >= 0.05 - 1e-12
    assert places[-1] <= 0.95 + 1e-12
    assert places[3] == pytest.approx(0.5, abs=1e-12)


@pytest.fixture
def angles(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Figure:
    """The figure of the joint angles, as it is saved."""
    figures: list[Figure] = []
    monkeypatch.setattr(
        "sim.show.plots.angles.save",
        lambda figure, folder, name: (figures.append(figure), (folder, folder))[1],
    )
    draw_joint_angles(TWO.measurements, TWO.findings, METRIC, "yard", tmp_path)
    figures[0].canvas.draw()
    return figures[0]


def test_names_of_limits_and_joints_stand_beside_the_curves_and_apart(angles: Figure) -> None:
    axes = angles.axes[0]
    words = [text for text in axes.texts if re.match(r"joint \d|[≤≥]", text.get_text())]
    assert {"≤ 0.50", "joint 1"} <= {text.get_text() for text in words}
    boxes = [Text.get_window_extent(text) for text in words]  # without the leader
    edge = max(line.get_window_extent().x1 for line in axes.lines if len(line.get_xdata()) > 3)
    assert all(box.x0 > edge for box in boxes)
    # Letters of a line of text fill about two thirds of its height.
    boxes = [Bbox([[b.x0, b.y0 + b.height / 6], [b.x1, b.y1 - b.height / 6]]) for b in boxes]
    assert not [b for k, b in enumerate(boxes) if b.count_overlaps(boxes[k + 1 :])]


def test_each_limit_of_the_joint_angles_is_named_above_the_panels(angles: Figure) -> None:
    said = " ".join(" ".join(text.get_text() for text in angles.texts).split())
    for limit in limits_of(TWO.findings, "deg", "joint", METRIC):
        assert limit.text in said


def test_a_wide_label_pushes_its_neighbors_farther() -> None:
    wide, narrow = spread([0.5, 0.5], [0.3, 0.1])
    assert narrow - wide == pytest.approx(0.2, abs=1e-12)
    assert (wide + narrow) / 2 == pytest.approx(0.5, abs=1e-12)


@pytest.mark.parametrize("change", ["bottoms", "no travel", "parked low"])
def test_pictures_of_unusual_configurations_are_drawn_without_complaint(
    change: str, tmp_path: Path
) -> None:
    spline = replace(samples.one_piece().spline, gap=0.012, engaged=0.03)
    configuration = {
        "bottoms": samples.one_piece(spline=spline),
        "no travel": samples.two_piece(travel=None),
        "parked low": samples.links_van(),
    }[change]
    result = show_scene.result_of(configuration, heights=3)
    scene = show_scene.scene(configuration, display="inch")
    drawn = draw_configuration(scene, result.motion, result.measurements, result.findings, tmp_path)
    assert all(path.stat().st_size > 10_000 for path in drawn)
