"""Pictures of shake over road speed, the chapter of the report, its slider, its table."""

from __future__ import annotations

import base64
import csv
import hashlib
import html
import json
import re
import shutil
import subprocess
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
import show_scene
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from sim import cli
from sim.display import METRIC, TRADE_INCH, display_of
from sim.explore.felt import Band, Change, Felt, Fit
from sim.explore.shaken import Shake
from sim.explore.shaken_bands import (
    band_of,
    launch_shudders,
    on_the_stop,
    shake_drawn,
    swept_share,
)
from sim.scene.parts import Complaint, Scene
from sim.scene.reader import load_scene
from sim.show.plots.shake import Chart, draw_shake
from sim.show.report import report
from sim.show.report.launch import launch_table
from sim.show.report.shake import shake_page
from sim.show.report.twisting import twist_table
from sim.show.shake_table import write_shake
from sim.show.shake_view import Asked, Shown, _shaken, asked_of, marks_of, road_speeds, shown_names

SCENES = sorted((Path(__file__).parents[1] / "scenes").glob("*.toml"))
TRUCK = next(path for path in SCENES if path.stem == "orchard_service_truck")
VAN = next(path for path in SCENES if path.stem == "lowered_street_van")
FEW = 12  # draws: what is tested is how they are shown
MPH, LBF = 0.44704, 4.4482216152605  # exact: international yard and pound, 1959; CGPM 1901


@cache
def scene_of(path: Path) -> Scene:
    return load_scene(path)


@cache
def shown_of(path: Path) -> tuple[Shown, ...]:
    """The configurations in the pictures of a scene, shaken with few draws."""
    scene = scene_of(path)
    names = [one.name for one in scene.configurations]
    vehicle = scene.configurations[0].vehicle
    speeds = road_speeds(display_of(scene.display), vehicle)
    return tuple(
        Shown(
            names.index(name),
            shake_drawn(scene.configuration(name), speeds, FEW),
        )
        for name in shown_names(scene, names)
    )


def questions(path: Path) -> tuple[Asked, ...]:
    return asked_of(shown_of(path))


def draw(path: Path, folder: Path) -> list[Chart]:
    scene = scene_of(path)
    complaints, display = scene.configurations[0].complaints, display_of(scene.display)
    return [draw_shake(one, complaints, display, scene.title, folder) for one in questions(path)]


def figures_of(path: Path, monkeypatch: pytest.MonkeyPatch) -> list[Figure]:
    """Figures of a scene as they are saved."""
    figures: list[Figure] = []
    monkeypatch.setattr(
        "sim.show.plots.shake.save",
        lambda figure, folder, name: (figures.append(figure), (folder, folder))[1],
    )
    draw(path, Path())
    return figures


def course(shake: Shake, asked: Asked):
    return shake.course(asked.height, asked.question.situation, asked.question.order)


# --- what is drawn ----------------------------------------------------------------------------


def curves(figure: Figure) -> list[list[np.ndarray]]:
    """Ordinates of the long lines of every panel."""
    return [
        [line.get_ydata() for line in axes.lines if len(line.get_xdata()) > 20]
        for axes in figure.axes
    ]


def test_curves_and_bands_are_the_shake_in_units_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    figures, asked, shown = figures_of(VAN, monkeypatch), questions(VAN), shown_of(VAN)
    assert [len(figure.axes) for figure in figures] == [1, 1, 2]
    for figure, one in zip(figures[:2], asked, strict=False):
        for drawn, band, each in zip(
            curves(figure)[0], figure.axes[0].collections, shown, strict=True
        ):
            force = course(each.shake, one).force.max(axis=-1) / LBF
            assert drawn == pytest.approx(force[:, 0].max(axis=0))
            edge = band.get_paths()[0].vertices[:, 1]
            low, high = (np.percentile(force[:, 1:], share, axis=1) for share in (5, 95))
            assert edge.max() == pytest.approx(high.max())
            assert edge.min() == pytest.approx(low.min())
    bracket, pinion = curves(figures[2])
    forces = [course(each.shake, asked[2]).force[:, 0].max(axis=0) / LBF for each in shown]
    assert bracket[0] == pytest.approx(forces[1][:, 1])  # the one-piece has no bracket
    assert len(bracket) == 1
    for line, f in zip(pinion, forces, strict=True):
        assert line == pytest.approx(f[:, -1])


def test_axes_end_where_the_question_ends(monkeypatch: pytest.MonkeyPatch) -> None:
    once, twice, away, launch = figures_of(TRUCK, monkeypatch)
    for figure in (once, twice):
        assert figure.axes[0].get_xlim() == pytest.approx((0.0, 155.0))  # top speed of the scene
    for axes in (*away.axes, *launch.axes):
        assert axes.get_xlim() == pytest.approx((5.0, 50.0))
    every = (once, twice, away, launch)
    assert {axes.get_yscale() for figure in every for axes in figure.axes} == {"log"}


def test_pulling_away_is_drawn_as_its_complaint_is_felt_and_only_where_there_is_one() -> None:
    """The truck shudders pulling away, loaded; the van booms on the highway."""
    (away,) = (q for q in questions(TRUCK) if q.question.situation == "pull-away")
    assert away.height == "loaded"
    marks = [mark.text for mark in marks_of(away, scene_of(TRUCK).configurations[0].complaints)]
    assert "complaint “shudder pulling away”" in marks
    hard = next(q for q in questions(TRUCK) if q.question.situation == "hard launch")
    for one, _ in away.courses:  # half of the torque that winds the leaf springs up: less of all
        gentle, launched = course(one.shake, away), course(one.shake, hard)
        assert gentle.force[:, 0, :, -1].max() < launched.force[:, 0, :, -1].max()
    assert {q.question.situation for q in questions(VAN)} == {"cruise", "hard launch"}
    coasting = replace(scene_of(TRUCK).configurations[0].complaints[0], name="late", when="coast")
    empty = replace(coasting, name="empty", when="drive", load="empty")
    for asked, names in ((away, set()), (hard, {"empty"})):  # and not as it is loaded there
        said = " ".join(mark.text for mark in marks_of(asked, (coasting, empty)))
        assert {name for name in ("late", "empty") if f"“{name}”" in said} == names
    quiet = replace(scene_of(TRUCK).configuration("two-piece"), complaints=())
    shaken = shake_drawn(quiet, np.array([20.0, 30.0]) / 3.6, FEW)
    assert {one.state.situation for one in shaken.courses} == {"cruise", "hard launch"}


def test_a_band_covers_both_kinds_of_ends_and_its_line_is_the_one_that_gives_more() -> None:
    rigid, springs = np.linspace(1.0, 101.0, 101), np.linspace(201.0, 301.0, 101)
    band = band_of(np.stack([np.append(70.0, rigid), np.append(7.0, springs)]))
    assert (band.read, band.low, band.high) == (70.0, pytest.approx(6.0), pytest.approx(296.0))


def test_named_speeds_are_where_modes_are_met() -> None:
    """Road speed = frequency / order x circumference / axle ratio: arithmetic of a rolling tire."""
    for path in (TRUCK, VAN):
        for one in questions(path):
            vehicle = scene_of(path).configurations[0].vehicle
            marks = {mark.text: mark.speed for mark in marks_of(one, ())}
            met = 0
            for each in shown_of(path):
                shake, order = each.shake, one.question.order
                named = {"bearing bounces": shake.bounce[0], "its shaft bends": shake.tube_mode[0]}
                for words, mode in named.items():
                    if len(mode) == 1 and f"{each.name}: {words}" in marks:
                        hertz = mode[0] / (2 * np.pi)
                        speed = hertz / order * vehicle.tire_circumference / vehicle.axle_ratio
                        assert marks[f"{each.name}: {words}"] == pytest.approx(speed)
                        met += 1
            assert met
            # springs and masses of gearbox and axle: common practice, no source
            gearbox = np.sqrt(180e3 / 70) / (2 * np.pi) / one.question.order
            speed = gearbox * vehicle.tire_circumference / vehicle.axle_ratio
            assert marks["gearbox on its mounts, as usual"] == pytest.approx(speed)


def test_complaints_are_marked_at_their_road_speed_where_it_is_within_the_picture() -> None:
    complaints = scene_of(TRUCK).configurations[0].complaints
    felt = replace(complaints[0], name="shakes at 90", speed=25.0)
    for one in questions(TRUCK):
        marked = [m.speed for m in marks_of(one, (felt,)) if "shakes at 90" in m.text]
        assert marked == ([25.0] if one.question.situation == "cruise" else [])


def test_order_1_ends_where_its_force_is_not_told_any_more() -> None:
    (one,) = (q for q in questions(TRUCK) if q.question.order == 1)
    (mark,) = (m for m in marks_of(one, ()) if "no force told" in m.text)
    last = course(shown_of(TRUCK)[0].shake, one).speed[-1]
    assert mark.text.startswith("one-piece")
    assert 0 <= mark.speed - last < 0.5 / 3.6


def test_rubber_is_on_its_stop_between_the_speeds_at_which_it_swings_past_it() -> None:
    (launch,) = (q for q in questions(TRUCK) if q.question.situation == "hard launch")
    bounced = course(shown_of(TRUCK)[1].shake, launch)
    swing = bounced.given[:, 0, :, 0].max(axis=0)
    past = bounced.speed[swing > 5e-3]  # common practice, no source
    assert on_the_stop(bounced, 0, 5e-3) == (past[0], past[-1])
    assert on_the_stop(bounced, 0, 1.0) is None
    name = shown_of(TRUCK)[1].name
    (stop,) = (m for m in marks_of(launch, ()) if m.text == f"{name}: rubber on its stop")
    assert (stop.speed, stop.until) == (past[0], past[-1])


def test_compared_configurations_are_shown_and_those_in_which_a_complaint_is_felt() -> None:
    scene = scene_of(TRUCK)
    names = [one.name for one in scene.configurations]
    felt = replace(scene.configurations[0].complaints[0], felt_in="two-piece-wedged")
    first = replace(scene.configurations[0], complaints=(felt,))
    said = replace(scene, configurations=(first, *scene.configurations[1:]))
    assert scene.compared == ("one-piece", "two-piece-chosen")
    assert shown_names(said, names) == (*scene.compared, "two-piece-wedged")
    assert shown_names(said, list(reversed(names))) == shown_names(said, names)
    assert shown_names(said, ["two-piece"]) == ("two-piece",)


# --- how it looks -----------------------------------------------------------------------------


@pytest.mark.parametrize("path", SCENES, ids=lambda path: path.stem)
def test_words_stand_inside_the_picture_and_none_over_another(
    path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for figure in figures_of(path, monkeypatch):
        figure.canvas.draw()
        beyond = _beyond(figure)
        shown = [
            t
            for t in figure.findobj(Text)
            if t.get_visible() and t.get_text().strip() and t not in beyond
        ]
        boxes = [_letters(text) for text in shown]
        for text, box in zip(shown, boxes, strict=True):
            assert figure.bbox.x0 <= box.x0, text
            assert box.x1 <= figure.bbox.x1, text
            assert figure.bbox.y0 <= box.y0, text
            assert box.y1 <= figure.bbox.y1, text
            # WCAG 2.1, 1.4.3: text needs 4.5 to 1
            assert contrast(text.get_color(), figure.get_facecolor()) >= 4.5
        for k, box in enumerate(boxes):
            over = [shown[k + 1 + n] for n, b in enumerate(boxes[k + 1 :]) if box.overlaps(b)]
            assert not over, (shown[k], over)
        panels = [axes.get_window_extent() for axes in figure.axes]
        assert not [box for box in boxes for panel in panels if box.overlaps(panel)]


def _beyond(figure: Figure) -> set[Text]:
    """Labels of ticks beyond the ends of their axis, which are not drawn."""
    ticks = [
        (tick, axis.get_view_interval())
        for axes in figure.axes
        for axis in (axes.xaxis, axes.yaxis)
        for tick in [*axis.majorTicks, *axis.minorTicks]
    ]
    outside = [tick for tick, (low, high) in ticks if not low <= tick.get_loc() <= high]
    return {label for tick in outside for label in (tick.label1, tick.label2)}


def _letters(text) -> Bbox:
    """The box of a text, of an annotation without its leader; letters fill two thirds of it."""
    box = Text.get_window_extent(text)
    return Bbox([[box.x0, box.y0 + box.height / 10], [box.x1, box.y1 - box.height / 10]])


def luminance(color) -> float:
    """Relative luminance of an sRGB color (IEC 61966-2-1, as WCAG 2.1 restates it)."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in to_rgb(color)]
    return float(np.dot(linear, (0.2126, 0.7152, 0.0722)))


def contrast(one, other) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_same_shake_draws_the_same_bits(tmp_path: Path) -> None:
    asked, complaints = questions(VAN)[0], scene_of(VAN).configurations[0].complaints
    one, other = (
        draw_shake(asked, complaints, TRADE_INCH, "van", tmp_path / name) for name in "ab"
    )
    for file, again in zip(one.files, other.files, strict=True):
        assert file.read_bytes() == again.read_bytes()


def test_a_launch_is_drawn_at_the_height_at_which_any_layout_shakes_hardest() -> None:
    shown = shown_of(TRUCK)
    most = {
        (one.name, course.state.height): _shaken(course)[:, 0].max()
        for one in shown
        for course in one.shake.courses
        if course.state.situation == "hard launch"
    }
    _, height = max(most, key=lambda key: most[key])
    assert len({at for _, at in most}) > 1
    for some in (shown, shown[::-1]):
        (launch,) = (q for q in asked_of(some) if q.question.situation == "hard launch")
        assert launch.height == height


# --- table, launch shudder --------------------------------------------------------------------


def test_the_table_holds_what_is_drawn_and_nothing_where_there_is_nothing(tmp_path: Path) -> None:
    one = shown_of(TRUCK)[0]
    (file,) = write_shake(one.shake, questions(TRUCK), METRIC, tmp_path)
    rows = list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))
    assert [float(row["road_speed_km_h"]) for row in rows] == [0.5 * n for n in range(1, 311)]
    twice = course(one.shake, questions(TRUCK)[1])
    at = int(np.flatnonzero(np.isclose(twice.speed * 3.6, 86.0))[0])
    drawn = twice.force[:, 1:, at, -1]
    row = rows[171]
    assert row["road_speed_km_h"] == "86.000"
    told = [float(row[f"cruise_twice_pinion{end}_n"]) for end in ("", "_low", "_high")]
    wanted = [
        twice.force[:, 0, at, -1].max(),
        np.percentile(drawn, 5, axis=1).min(),
        np.percentile(drawn, 95, axis=1).max(),
    ]
    assert told == pytest.approx(wanted, rel=0.006)
    assert row["launch_twice_pinion_n"] == ""  # a launch ends at 50 km/h
    assert rows[98]["launch_twice_pinion_n"] != ""
    assert rows[-1]["cruise_once_output_n"] == ""  # beyond 0.85 of critical
    vehicle = one.shake.configuration.vehicle
    hertz = 86 / 3.6 / vehicle.tire_circumference * vehicle.axle_ratio
    assert float(row["twice_per_turn_hz"]) == pytest.approx(2 * hertz, abs=0.001)


def test_launch_shudder_is_the_largest_force_of_a_launch_and_where() -> None:
    one, two, _ = shown_of(TRUCK)
    assert all(shudder.bearing is None for shudder in launch_shudders(one.shake))
    for shudder in launch_shudders(two.shake):
        launched = two.shake.course(shudder.height, "hard launch", 2)
        bracket = launched.force[..., 1]
        assert shudder.force.read == bracket[:, 0].max()
        at = launched.speed[bracket[:, 0].max(axis=0).argmax()]
        assert shudder.speed.read == at
        assert shudder.speed.low <= at <= shudder.speed.high
        assert shudder.swing.read == launched.given[:, 0, :, 0].max()
        assert shudder.pinion.read == launched.force[:, 0, :, -1].max()
    table = launch_table((one, two), METRIC)
    assert table.title.endswith("the most within 5 to 50 km/h")
    assert launch_table((one, two), TRADE_INCH).title.endswith("the most within 3 to 31 mph")
    assert [row[0] for row in table.rows][::2] == [
        "one-piece, ride height",
        f"{two.name}, ride height",
    ]
    assert table.rows[0][1] == "no bracket"


def test_a_bounce_that_is_passed_builds_up_as_the_integral_over_the_launch_says() -> None:
    """Lewis, Trans. ASME 54 (1932), from memory, summed here step by step."""
    two = shown_of(TRUCK)[1]
    launch = next(c for c in two.shake.courses if c.state.situation == "hard launch")
    state = launch.state
    vehicle, own, loss = two.shake.configuration.vehicle, float(two.shake.bounce[0, 0]), 0.1
    around = vehicle.tire_circumference
    load = state.axle_load or vehicle.axle_load
    pull = state.wheel_torque * 2 * np.pi / around
    rate = 2 * 2 * np.pi * vehicle.axle_ratio / around * pull / (2 * load / 9.80665)
    time, step = np.linspace(-4.0, 2.0, 600_001, retstep=True)
    turning = np.exp((loss * own / 2) * time + 0.5j * rate * time**2)
    built = np.abs(np.cumsum(turning) * step) * np.exp(-(loss * own / 2) * time)
    assert swept_share(two.shake, launch, 0) == pytest.approx(
        own / 2 * built.max() * loss, rel=1e-3
    )


# --- the chapter and its slider ---------------------------------------------------------------


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("yard")
    display = display_of(scene_of(VAN).display)
    page = shake_page(draw(VAN, folder), shown_of(VAN), display)
    scene = scene_of(VAN)
    return report(scene, show_scene.results(), folder, shake=page)


def embedded(text: str) -> dict:
    return json.loads(re.search(r'id="shake-data">(.*?)</script>', text, re.DOTALL)[1])


def test_the_data_in_the_page_are_those_of_the_pictures(written: Path) -> None:
    data, asked = embedded(written.read_text(encoding="utf-8")), questions(VAN)
    rows = [(one, n, place) for one in shown_of(VAN) for n, place in enumerate(one.shake.places)]
    assert [(row["name"], row["place"]) for row in data["rows"]] == [
        (one.name, place) for one, _, place in rows
    ]
    for row, (one, number, _) in zip(data["rows"], rows, strict=True):
        for question, (first, read, low, high) in zip(asked, row["force"], strict=True):
            of = course(one.shake, question)
            at = [int(np.abs(of.speed - (first + n) * MPH).argmin()) for n in range(len(read))]
            assert of.speed[at] == pytest.approx(MPH * (first + np.arange(len(read))))
            force = of.force[:, :, at, number] / LBF
            assert read == pytest.approx(force[:, 0].max(axis=0), rel=0.006)
            assert low == pytest.approx(
                np.percentile(force[:, 1:], 5, axis=1).min(axis=0), rel=0.006
            )
            assert high == pytest.approx(
                np.percentile(force[:, 1:], 95, axis=1).max(axis=0), rel=0.006
            )
    firsts = {forces[0] for row in data["rows"] for forces in row["force"]}
    assert firsts == {1, 4}  # 5 km/h is 3.1 mph


def test_the_page_runs_its_own_script_and_no_other(written: Path) -> None:
    text = written.read_text(encoding="utf-8")
    (script,) = re.findall(r"<script>(.*?)</script>", text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    policy = html.unescape(re.search(r'Content-Security-Policy" content="([^"]*)"', text)[1])
    assert f"script-src 'sha256-{digest}';" in policy
    assert "default-src 'none'" in policy
    assert not re.search(r"https?:|fetch|import\(|XMLHttp|innerHTML|eval", script)
    assert '<label for="road-speed">' in text
    assert text.index('id="shake"') < text.index('id="pictures"')
    assert len(text) < 3_000_000


def test_without_its_script_the_page_shows_charts_and_no_slider(written: Path) -> None:
    text = written.read_text(encoding="utf-8")
    chapter = text[text.index('<section id="shake">') : text.index('<section id="pictures">')]
    live = re.findall(r'<(?:div|figure) class="[^"]*\blive\b[^"]*"[^>]*>', chapter)
    assert len(live) == 2
    assert all(tag.endswith(" hidden>") for tag in live)
    assert len(re.findall(r'<div class="under"><svg role="img" aria-label="[^"]+"', chapter)) == 3
    slide = chapter[chapter.index(live[0]) : chapter.index('<div class="charts">')]
    assert 'type="range"' in slide
    css = text[text.index("@media print") :]
    assert re.search(r"nav, \.live, \.at \{ display: none !important; \}", css)


def test_the_sentence_of_a_launch_tells_the_numbers_of_its_table(written: Path) -> None:
    text = written.read_text(encoding="utf-8")
    (height,) = (q.height for q in questions(VAN) if q.question.situation == "hard launch")
    two = shown_of(VAN)[1]
    shudder = next(s for s in launch_shudders(two.shake) if s.height == height)
    for band, place in ((shudder.force, "bearing"), (shudder.pinion, "pinion")):
        read, low, high = (f"{float(n) / LBF:.3g}" for n in (band.read, band.low, band.high))
        low, high = (n if float(n) >= 10 else f"{float(n):.1f}" for n in (low, high))
        read, low, high = (f"{float(n):.0f}" if float(n) >= 10 else n for n in (read, low, high))
        assert f"two-piece {read} lbf ({low} to {high}) at the {place}" in text
        assert f"{read} ({low} to {high})</td>" in text


def test_a_hostile_name_stays_text_in_the_data(tmp_path: Path) -> None:
    one = shown_of(VAN)[0]
    named = replace(one.shake.configuration, name=show_scene.HOSTILE)
    hostile = (Shown(0, replace(one.shake, configuration=named)),)
    charts = [
        draw_shake(asked, (), TRADE_INCH, show_scene.HOSTILE, tmp_path)
        for asked in asked_of(hostile)[:1]
    ]
    page = shake_page(charts, hostile, TRADE_INCH)
    text = report(scene_of(VAN), show_scene.results(), tmp_path, shake=page).read_text("utf-8")
    assert show_scene.HOSTILE not in text
    assert embedded(text)["rows"][0]["name"] == show_scene.HOSTILE


@pytest.mark.slow
@pytest.mark.parametrize("speed", [9, 46])
def test_the_slider_reads_out_what_the_page_holds(
    written: Path, tmp_path: Path, speed: int
) -> None:
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        pytest.skip("no browser here")
    text = written.read_text(encoding="utf-8")
    data = embedded(text)
    page = tmp_path / "page.html"
    page.write_text(re.sub(r'(step="1" value=")\d+', rf"\g<1>{speed}", text), encoding="utf-8")
    flags = [
        "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
        "--disable-background-networking", "--disable-component-update", "--disable-sync",
        f"--user-data-dir={tmp_path / 'profile'}", "--dump-dom",
    ]  # fmt: skip
    done = subprocess.run(
        [browser, *flags, page.as_uri()], check=True, capture_output=True, timeout=60
    )
    shown = done.stdout.decode("utf-8")
    cells = re.findall(r'<td class="force">([^<]*)</td>', shown)
    wanted = [forces for row in data["rows"] for forces in row["force"]]
    assert len(cells) == len(wanted)
    for cell, (first, *series) in zip(cells, wanted, strict=True):
        at = speed - first
        if not 0 <= at < len(series[0]):
            assert cell == "–"
            continue
        numbers = [float(part) for part in re.findall(r"[\d.]+", cell)]
        assert numbers == pytest.approx([values[at] for values in series], rel=0.06, abs=0.006)
    vehicle = scene_of(VAN).configurations[0].vehicle
    hertz = speed * MPH / vehicle.tire_circumference * vehicle.axle_ratio
    said = re.search(r"<output[^>]*>([^<]*)</output>", shown)[1]
    assert said == (
        f"{speed} mph: shafts {60 * hertz:.0f} rpm, once per turn {hertz:.1f} Hz, "
        f"twice per turn {2 * hertz:.1f} Hz"
    )
    lines = re.findall(r'<span class="at"[^>]*>', shown)
    assert [" hidden" in line for line in lines] == [False, False, speed > 31]


def test_torque_that_swings_is_told_where_the_scene_says_what_turns_along() -> None:
    one = shown_of(TRUCK)[0]
    assert twist_table((one,), METRIC) is None
    launch = one.shake.course("ride height", "hard launch", 2)
    assert launch is not None
    twist = np.zeros((5, 3, 2))
    twist[0, 1, 1], twist[1:, 1, 1] = 40.0, [30.0, 40.0, 50.0, 60.0]
    told = replace(launch, speed=np.array([10.0, 20.0, 30.0]) / 3.6, twist=twist)
    table = twist_table((replace(one, shake=replace(one.shake, courses=(told,))),), METRIC)
    assert table is not None
    # 5 and 95 % of 30, 40, 50, 60 lie 0.15 of a step inside: 31.5 and 58.5
    assert table.rows == ((f"{one.name}, ride height, hard launch", "40 (32 to 58)", "20", "2"),)


def test_the_complaint_command_draws_where_it_is_asked_to(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["shakes", str(VAN), "--only", "two-piece", "--out", str(tmp_path)]
    assert cli.main(words) == 0
    files = sorted(path.name for path in tmp_path.rglob("*") if path.is_file())
    assert "shake-twice-per-turn.svg" in files
    assert f"{len(files)} files in " in capsys.readouterr().out


def test_the_chapter_begins_with_the_answers_to_complaints(tmp_path: Path) -> None:
    fit = Fit(
        order=2,
        frequency=81.0,
        speed=25.0,
        height="ride height",
        situation="cruise",
        fits="fits",
        why="peak",
        places=("output",),
        force=Band(value=180.0, low=60.0, high=630.0),
        small=False,
        meeting=None,
    )
    cured = Change(order=2, effect="cured", ratio=(Band(value=20.0, low=12.0, high=47.0),) * 2)
    complaint = Complaint(name="boom <b>", speed=25.0)
    felt = Felt(complaint=complaint, felt_in="long", fits=(fit,), changes={"short": (cured,)})
    page = shake_page(draw(TRUCK, tmp_path), shown_of(TRUCK), METRIC, [felt])
    assert page is not None
    ((title, lines),) = page.felt
    assert title == "Complaint “boom <b>”: 90 km/h, felt in long; looked at ride height"
    assert (
        lines[0] == "Twice a turn (81 Hz, joints) fits: it swells there; 60 to 630 N into gearbox."
    )
    assert lines[1] == "short: cured (12 to 47× less)."
