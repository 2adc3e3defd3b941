"""The kit of the sheets, read back with libraries that did not write them."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import numpy as np
import paper
import pypdf
import pytest
from matplotlib import font_manager
from PIL import ImageFont

from sim.errors import DomainError, EngineError
from sim.show.paper.kit import (
    Box,
    Cell,
    Label,
    PaperName,
    Scale,
    Sheet,
    shortened,
    width_of,
    wrap,
    write_sheet,
)

LABEL = Label("Test sheet", "Orchard service truck", "two-piece", "0123456789abcdef")
PAPERS = pytest.mark.parametrize("size", ["a4", "letter"])


def write(path: Path, fill: Callable[[Sheet], None], size: PaperName = "a4", **how: bool) -> Path:
    return write_sheet(path / "sheet.pdf", LABEL, fill, paper=size, **how)


def fill_much(sheet: Sheet) -> None:
    sheet.heading("Readings")
    sheet.paragraph("± ≤ − ½ ⅝ ° é Ø × are set as they are. " * 12)
    sheet.ticks(["Bracket clamped, not bolted", "Behind the rail: no line, wire or tank " * 4])
    rows = [[f"row {k}", Cell("651 mm", 16, True), Cell("mm", box=True)] for k in range(40)]
    sheet.table((1, 1, 1), rows, head=("What", "Aim", "Read"), least=9)


@PAPERS
def test_a_sheet_has_its_pages_margins_fonts_head_and_foot(tmp_path: Path, size: PaperName) -> None:
    path = write(tmp_path, fill_much, size)
    paper.check_sheet(path, size)
    pages = paper.texts(path)
    assert len(pages) >= 2
    for k, text in enumerate(pages, 1):
        assert f"page {k} of {len(pages)}" in text
        for part in (
            "Test sheet",
            "Orchard service truck, two-piece",
            "scene 01234567",
            "certifies",
        ):
            assert part in text
        assert "89abcdef" not in text
        assert "Read" in text  # the head of the table stands on every page
    assert "± ≤ − ½ ⅝ ° é Ø ×" in paper.words(path)
    assert [f"row {k}" in paper.words(path) for k in range(40)] == [True] * 40


def test_a_sheet_is_the_same_bytes_twice_and_leaves_no_half_file(tmp_path: Path) -> None:
    first = write(tmp_path, fill_much).read_bytes()
    assert write(tmp_path, fill_much).read_bytes() == first

    def fail(sheet: Sheet) -> None:
        raise EngineError("half")

    with pytest.raises(EngineError, match="half"):
        write(tmp_path, fail)
    assert [p.name for p in tmp_path.iterdir()] == ["sheet.pdf"]
    assert (tmp_path / "sheet.pdf").read_bytes() == first


@pytest.mark.parametrize(
    ("fill", "what"),
    [
        (lambda s: s.text(150, 100, "far too long for what is left of it"), "leaves the page"),
        (lambda s: s.text(5, 100, "in the margin"), "leaves the page"),
        (lambda s: s.text(50, 296, "below the page"), "leaves the page"),
        (lambda s: s.line(20, 20, 209, 20), "leaves the page"),
        (lambda s: s.circle(20, 50, 20), "leaves the page"),
        (lambda s: s.hatch(Box(5, 50, 30, 60)), "leaves the page"),
        (lambda s: s.disc(15, 50, 5), "leaves the page"),
        (lambda s: s.text(14, 18, "over the bar"), "stands over"),
        (lambda s: s.text(14, 284, "over the foot"), "stands over"),
        (lambda s: (s.text(50, 80, "one"), s.text(52, 81, "other")), "stands over"),
        (lambda s: (s.write_box(Box(40, 60, 80, 70)), s.text(50, 68, "in it")), "stands over"),
        (lambda s: (s.text(50, 80, "across"), s.line(40, 79, 90, 79)), 'crosses "across"'),
        (lambda s: (s.line(40, 79, 90, 79), s.text(50, 80, "across")), 'crosses "across"'),
        (lambda s: s.paragraph("word " * 6000), "does not fit on one page"),
        (lambda s: s.table((1,), [[Cell("word " * 6000)]]), "higher than a page"),
    ],
)  # fmt: skip
def test_what_leaves_the_page_or_stands_over_other_text_is_refused(
    tmp_path: Path, fill: Callable[[Sheet], None], what: str
) -> None:
    with pytest.raises(EngineError, match=what):
        write(tmp_path, fill, one_page=True)
    assert not list(tmp_path.iterdir())


def test_text_too_small_to_read_is_refused(tmp_path: Path) -> None:
    with pytest.raises(DomainError, match="cannot be read; at least 8"):
        write(tmp_path, lambda s: s.text(50, 80, "small", 6) and None)


def test_text_is_as_wide_as_another_library_measures_it() -> None:
    for bold in (False, True):
        weight = "bold" if bold else "normal"
        file = font_manager.findfont(f"DejaVu Sans:weight={weight}")
        font = ImageFont.truetype(file, 1000, layout_engine=ImageFont.Layout.BASIC)
        for text in ("651 mm", "½ ± Ø joint"):
            points = font.getlength(text, features=None) / 1000 * 16
            assert width_of(text, 16, bold) == pytest.approx(points * 25.4 / 72, rel=2e-3)


def test_lines_are_no_wider_than_asked_and_lose_nothing() -> None:
    text = "The bearing hangs 305 mm ahead of the crossmember and " + "x" * 90 + " more"
    lines = wrap(text, 40, 11)
    assert max(width_of(line, 11) for line in lines) <= 40
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    assert wrap("one\ntwo", 100) == ["one", "two"]
    assert wrap("", 100) == [""]
    short = shortened(text, 40)
    assert short.endswith("…")
    assert width_of(short) <= 40
    assert shortened("short", 40) == "short"


@PAPERS
def test_lengths_are_true_on_the_paper(tmp_path: Path, size: PaperName) -> None:
    def fill(sheet: Sheet) -> None:
        sheet.rect(Box(50, 60, 150, 161.6), 0.2)

    path = write(tmp_path, fill, size, true_scale=True)
    inked = paper.raster(path, dpi=300)[600:2200] < 128  # below the head, above the foot
    columns, rows = (np.flatnonzero(inked.sum(axis=axis) > 900) for axis in (0, 1))
    pixel = 25.4 / 300
    across = (columns[columns > 1200].mean() - columns[columns < 1200].mean()) * pixel
    down = (rows[rows > 600].mean() - rows[rows < 600].mean()) * pixel
    assert across == pytest.approx(100.0, abs=0.1)
    assert down == pytest.approx(101.6, abs=0.1)
    viewer = pypdf.PdfReader(path).root_object["/ViewerPreferences"]
    assert viewer["/PrintScaling"] == "/None"


def test_a_scale_keeps_proportions_and_holds_the_range() -> None:
    box = Box(12, 40, 198, 120)
    scale = Scale.fitting(box, (-0.2, 2.2), (0.0, 0.9))
    assert scale.one_to == 14  # 2.4 m on 186 mm ask for 12.9, 0.9 m on 80 mm for 11.3
    (left, low), (right, top) = scale.at(-0.2, 0.0), scale.at(2.2, 0.9)
    assert right - left == pytest.approx(2400 / 14)
    assert low - top == pytest.approx(900 / 14)
    assert left == pytest.approx(12 + (186 - 2400 / 14) / 2)  # in the middle of the width
    assert low == 120


def test_dimensions_and_hatching_are_drawn_and_read_back(tmp_path: Path) -> None:
    def fill(sheet: Sheet) -> None:
        sheet.dimension_across(40, 100, 60, "651 mm", 16)
        sheet.dimension_across(110, 113, 60, "3 mm", beside="right")
        sheet.dimension_upright(40, 80, 120, "69 mm", 16)
        sheet.dimension_upright(90, 80, 82, "2 mm", beside="left", at=90)
        sheet.hatch(Box(120, 80, 150, 90))
        sheet.arc(60, 150, 20, 0, 3.14)
        sheet.arrow(100, 140, 130, 130)
        sheet.disc(150, 140, 3, white=True)
        sheet.text(170, 150, "reads up", upright=True, align="center")

    path = write(tmp_path, fill)
    paper.check_sheet(path, "a4", 1)
    for text in ("651 mm", "3 mm", "69 mm", "2 mm", "reads up"):
        assert text in paper.words(path)


def test_the_kit_does_not_import_what_draws_the_plots() -> None:
    program = (
        "import sim.show.paper.kit as k, sys; k.width_of('a'); print('matplotlib' in sys.modules)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    assert ran.stdout.strip() == "False"
