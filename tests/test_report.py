from __future__ import annotations

import re
import shutil
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import imageio.v3 as iio
import numpy as np
import pytest
import show_scene

from sim.display import METRIC
from sim.judge.findings import Cure
from sim.judge.words import other_set_words
from sim.show.plots import draw_configuration
from sim.show.report import report
from sim.show.report.exchange import exchange_of
from sim.show.result import Result
from sim.world.agreement import Agreement
from sim.world.engine import Settings

ONE, TWO = show_scene.results()
SCENE = show_scene.scene(ONE.configuration, TWO.configuration)
# Exact by definition: international yard and pound agreement of 1959.
METER_PER_SECOND_IN_MPH = 3600 / 1609.344
VOID = {"meta", "img", "br", "link", "input", "hr"}
AGREEMENT = Agreement(
    configuration=ONE.configuration.name,
    joint_angle=3e-5,
    slip=4e-6,
    speed_ratio=1e-5,
    fluctuation=2e-5,
    closure_gap=2e-7,
    step=2 * np.pi / 640,
    steps=640,
    heights=9,
    cases=("no torque", "hard launch"),
    states=18,
    engine="engine 1",
    settings=Settings(time_step=0.001),
)


class Page(HTMLParser):
    """What a browser would find: tags in balance, addresses, text."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.open: list[str] = []
        self.addresses: list[str] = []
        self.tags: set[str] = set()
        self.words: list[str] = []
        self.feed(path.read_text(encoding="utf-8"))
        self.text = re.sub(r"\s+", " ", "".join(self.words))

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        if tag not in VOID:
            self.open.append(tag)
        self.addresses += [v or "" for k, v in attrs if k in ("src", "href", "poster", "action")]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self.open and self.open[-1] != "style":
            self.words.append(data)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("yard")
    still = folder / "compare.png"
    iio.imwrite(still, np.tile(np.arange(160, dtype=np.uint8)[None, :, None], (90, 1, 3)))
    (folder / "compare.mp4").write_bytes(b"")
    drawn = draw_configuration(SCENE, TWO.motion, TWO.measurements, TWO.findings, folder)
    results = (replace(ONE, agreement=AGREEMENT), replace(TWO, pictures=drawn))
    return report(SCENE, results, folder, film=folder / "compare.mp4", poster=still)


def text_of(folder: Path, *results: Result, **changes: object) -> str:
    scene = replace(SCENE, **changes)  # type: ignore[arg-type]
    return Page(report(scene, results, folder)).text


def test_verdicts_come_first_then_pictures_numbers_agreement_and_cautions(written: Path) -> None:
    text = written.read_text(encoding="utf-8")
    parts = re.findall(r'<section id="(\w+)"', text)
    assert parts == ["verdicts", "pictures", "numbers", "agreement", "cautions"]


def test_the_page_is_well_nested_and_asks_for_nothing_but_the_film_beside_it(written: Path) -> None:
    page = Page(written)
    assert page.open == []
    outside = {a for a in page.addresses if not a.startswith(("#", "data:image/"))}
    assert outside == {"compare.mp4"}
    assert not page.tags & {"script", "iframe", "link", "object", "embed"}
    css = written.read_text(encoding="utf-8").split("<style>")[1].split("</style>")[0]
    assert "url(" not in css
    assert "@import" not in css


def test_every_anchor_leads_somewhere(written: Path) -> None:
    text = written.read_text(encoding="utf-8")
    for anchor in re.findall(r'href="#([^"]+)"', text):
        assert f'id="{anchor}"' in text


def test_what_users_wrote_is_shown_as_text_and_never_run(tmp_path: Path) -> None:
    hostile = replace(TWO.configuration, name="two", about=show_scene.HOSTILE,
                      differences=(show_scene.HOSTILE,))  # fmt: skip
    result = replace(TWO, configuration=hostile)
    scene = show_scene.scene(
        hostile, title=show_scene.HOSTILE, about=show_scene.HOSTILE, doubts=(show_scene.HOSTILE,),
        datum=show_scene.HOSTILE,
    )  # fmt: skip
    page = Page(report(scene, (result,), tmp_path))
    assert "script" not in page.tags
    assert page.text.count(show_scene.HOSTILE) >= 6


def test_every_finding_is_there_the_failing_ones_before_those_to_watch(written: Path) -> None:
    text = written.read_text(encoding="utf-8")
    page = Page(written).text
    for result in (ONE, TWO):
        for finding in result.findings.findings:
            assert finding.what in page
            assert finding.source in page
        for other in result.findings.other_sets:
            assert other_set_words(other) in page
    for part in text.split('<article class="configuration">')[1:]:
        verdicts = re.findall(r'<div class="card (\w+)">', part)
        assert verdicts == sorted(verdicts)
        assert set(verdicts) <= {"fails", "watch"}


def test_the_answer_stands_first_and_each_finding_says_what_was_carried_out(tmp_path: Path) -> None:
    cure = Cure(
        does="hang bearing 1 at 534 mm",
        says="Hang bearing 1 at 534 mm.",
        changes=('bearing.1.up = "534 mm"',),
    )
    found = replace(TWO.findings.findings[0], verdict="fails", at_worst="fails")
    changed = [
        replace(TWO, findings=replace(TWO.findings, findings=(replace(found, **said),)))
        for said in ({"cures": (cure,)}, {"tried": ("bearing 1", "the pinion")})
    ]
    name, other = ONE.configuration.name, TWO.configuration.name
    good = replace(ONE, findings=replace(ONE.findings, findings=()))
    text = text_of(tmp_path, good, changed[0])
    assert text.index(
        f"Build {name}: nothing on it fails or is open; {other} is good only if you"
    ) < text.index("At a glance")
    assert "Good to build." in text
    page = next(tmp_path.rglob("report.html")).read_text("utf-8")
    assert 'data-head="least spline gap' in page  # beside its number, where a screen is narrow
    assert "Good if you hang bearing 1 at 534 mm." in text
    lines = 'What would change it: Hang bearing 1 at 534 mm. Write bearing.1.up = "534 mm"'
    assert lines in text
    assert found.remedy not in text
    told = text_of(tmp_path, changed[1])
    assert (
        "No change found that holds and leaves no more to watch; tried: bearing 1, the pinion."
        in told
    )


def test_causes_are_counted_as_a_check_counts_them(tmp_path: Path) -> None:
    """Two findings of one cause are one thing to do."""
    found = replace(TWO.findings.findings[0], verdict="fails", at_worst="fails", under="")
    both = (found, replace(found, rule="second", under=found.rule))
    many = replace(TWO, findings=replace(TWO.findings, findings=both))
    told = text_of(tmp_path, ONE, many)
    assert f"{TWO.configuration.name}1000" in told  # the row of its table
    assert "1 fail" in told
    assert "2 fail" not in told


def test_what_is_bought_and_what_it_costs_follows_from_the_measurements() -> None:
    found = exchange_of(ONE.measurements, TWO.measurements, METRIC)
    limits = [
        min(c.safe_road_speed for c in r.measurements.critical_speeds) * 3.6 for r in (ONE, TWO)
    ]
    assert limits[1] > limits[0]
    assert found.buys[0].startswith(f"whirl limit {limits[0]:.0f} → {limits[1]:.0f} km/h")
    assert found.costs[-1] == "one joint and one center bearing more"
    back = exchange_of(TWO.measurements, ONE.measurements, METRIC)
    assert back.costs[0].startswith(f"whirl limit {limits[1]:.0f} → {limits[0]:.0f} km/h")
    assert back.buys[-1] == "one joint and one center bearing less"
    assert (len(found.buys), len(found.costs)) == (len(back.costs), len(back.buys))


def test_one_line_tells_where_both_meet_their_critical_speed_and_by_which_formula() -> None:
    line = exchange_of(ONE.measurements, TWO.measurements, METRIC).whirl
    for result in (ONE, TWO):
        worst = min(result.measurements.critical_speeds, key=lambda c: c.road_speed)
        assert (
            f"{result.configuration.name} reaches 0.70 of its critical speed at "
            f"{worst.safe_road_speed * 3.6:.0f} km/h, and the critical speed itself at "
            f"{worst.road_speed * 3.6:.0f} km/h"
        ) in line
        assert line.count(worst.formula) == 1


def test_the_line_after_the_critical_speeds_tells_what_it_costs(written: Path) -> None:
    text, found = Page(written).text, exchange_of(ONE.measurements, TWO.measurements, METRIC)
    assert f"Whirl: {found.whirl} Costs: {'; '.join(found.costs)}." in text
    assert any("full droop" in line for line in found.costs)


@pytest.mark.parametrize(("millimeters", "said"), [(0.9, False), (1.1, True)])
def test_a_change_of_less_than_a_millimeter_of_gap_is_not_worth_a_word(millimeters, said) -> None:
    before = replace(ONE.measurements, slip_limits=())
    after = replace(before, gap=before.gap - millimeters / 1000)
    costs = exchange_of(before, after, METRIC).costs
    assert any("least spline gap" in line for line in costs) == said


@pytest.mark.parametrize(("degrees", "said"), [(0.29, False), (0.31, True)])
def test_a_change_of_less_than_a_third_of_a_degree_is_not_worth_a_word(degrees, said) -> None:
    before = ONE.measurements
    after = replace(before, joint_angle=before.joint_angle + np.radians(degrees))
    assert any("joint angle" in c for c in exchange_of(before, after, METRIC).costs) == said


@pytest.mark.parametrize(("percent", "said"), [(0.045, False), (0.055, True)])
def test_a_little_more_fluctuation_is_not_worth_a_word(percent, said) -> None:
    before = ONE.measurements
    after = replace(before, fluctuation=before.fluctuation + percent / 100)
    assert any("fluctuation" in c for c in exchange_of(before, after, METRIC).costs) == said


@pytest.mark.parametrize(("km_h", "said"), [(2.9, False), (3.1, True)])
def test_a_little_more_road_speed_is_not_worth_a_word(km_h, said) -> None:
    before = ONE.measurements
    faster = tuple(
        replace(c, safe_road_speed=c.safe_road_speed + km_h / 3.6) for c in before.critical_speeds
    )
    buys = exchange_of(before, replace(before, critical_speeds=faster), METRIC).buys
    assert any("whirl limit" in line for line in buys) == said


def test_nothing_changes_hands_between_a_configuration_and_itself() -> None:
    same = exchange_of(ONE.measurements, ONE.measurements, METRIC)
    assert (same.buys, same.costs) == ((), ())


def test_a_larger_angle_at_droop_is_a_cost_with_the_angles_measured() -> None:
    angles = []
    for m in (ONE.measurements, TWO.measurements):
        at = next(k for k, s in enumerate(m.states) if s.label == "full droop, no torque")
        angles.append(np.degrees(m.joint_angle[at].max()))
    assert angles[1] > angles[0]
    words = f"largest joint angle at full droop, no torque, {angles[0]:.2f} → {angles[1]:.2f} deg"
    assert words in exchange_of(ONE.measurements, TWO.measurements, METRIC).costs
    assert words not in exchange_of(ONE.measurements, TWO.measurements, METRIC).buys


def test_an_inch_scene_is_reported_in_inches_and_miles_per_hour(tmp_path: Path) -> None:
    text = text_of(tmp_path, ONE, TWO, display="inch")
    speed = ONE.measurements.critical_speeds[0].safe_road_speed * METER_PER_SECOND_IN_MPH
    gap = min(limit.least_gap for limit in ONE.measurements.slip_limits) / 0.0254
    assert f"shaft 1: {speed:.0f} mph, wanted at least" in text
    assert f"spline: {gap:.2f} in, wanted at least" in text
    assert "[mm]" not in text
    assert "[km/h]" not in text


def test_the_agreement_of_the_routes_is_shown_or_its_lack_is_said(
    written: Path, tmp_path: Path
) -> None:
    page = Page(written).text
    assert "Largest differences between the exact route and the rigid bodies" in page
    assert "Which numbers were confirmed by what" in page
    assert f"{np.degrees(AGREEMENT.joint_angle):.2g}" in page
    assert "The rigid-body route was not run" in text_of(tmp_path, ONE)


def test_a_route_that_went_too_far_off_is_not_called_kept(tmp_path: Path) -> None:
    good = report(SCENE, (replace(ONE, agreement=AGREEMENT),), tmp_path / "good")
    off = replace(AGREEMENT, slip=2e-5)
    bad = report(SCENE, (replace(ONE, agreement=off),), tmp_path / "bad")
    kept = re.compile(r"<td>(yes|no)</td></tr>")
    assert kept.findall(good.read_text(encoding="utf-8"))[-1] == "yes"
    assert kept.findall(bad.read_text(encoding="utf-8"))[-1] == "no"


def test_cautions_defer_to_maker_codes_and_licensed_practice(written: Path) -> None:
    page = Page(written).text
    for words in ("maker's data", "local codes", "licensed practice", "certifies nothing"):
        assert words in page


def test_accelerations_stand_beside_their_speed_and_at_100_km_h(written: Path) -> None:
    text, m = written.read_text(encoding="utf-8"), TWO.measurements
    at = next(k for k, s in enumerate(m.states) if s.label == "ride height, hard launch")
    a, same = m.acceleration, m.acceleration_100
    speed = f"{3.6 * m.states[at].road_speed:.0f} ({m.shaft_speed[at] * 30 / np.pi:.0f} rpm)"
    assert f"<td>{speed}</td><td>{a.torsional[at]:.0f}</td>" in text
    assert f"<td>{same.torsional[at]:.0f}</td><td>{same.inertial_drive[at]:.0f} (shaft" in text
    assert "pinion uneven at 100 km/h [rad/s²]" in text


def test_the_same_results_write_the_same_bits(tmp_path: Path) -> None:
    one = report(SCENE, (ONE, TWO), tmp_path / "one").read_bytes()
    other = report(SCENE, (ONE, TWO), tmp_path / "other").read_bytes()
    assert one == other


@pytest.mark.slow
@pytest.mark.parametrize("size", ["1200,1600", "500,1600"])
def test_a_real_browser_shows_the_page(written: Path, tmp_path: Path, size: str) -> None:
    browser = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser is None:
        pytest.skip("no browser here")
    shot = tmp_path / "shot.png"
    flags = [
        "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
        "--disable-background-networking", "--disable-component-update", "--disable-sync",
        "--hide-scrollbars", f"--user-data-dir={tmp_path / 'profile'}",
        f"--screenshot={shot}", f"--window-size={size}",
    ]  # fmt: skip
    subprocess.run([browser, *flags, written.as_uri()], check=True, capture_output=True, timeout=60)
    grey = iio.imread(shot)[..., :3].mean(axis=-1)
    width, height = (int(part) for part in size.split(","))
    assert grey.shape == (height, width)
    for third in np.array_split(grey, 3):
        assert third.std() > 8
    # Nothing is wider than the page: the margin at the right stays paper.
    assert np.ptp(grey[:, -6:]) < 30
