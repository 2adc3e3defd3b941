"""The measuring sheet, read back: every question is on it, nothing is lost at an edge."""

from __future__ import annotations

import re
from pathlib import Path

import paper
import pytest
from test_new import everything

from sim import cli
from sim.scene.questions import NAMED, is_own, questions
from sim.show.paper.blank import write_blank
from sim.show.paper.blank_strips import strips

SHEETS = [
    ("leaf", "letter", "inch"),
    ("links", "a4", "metric"),
    ("frame mounted", "letter", "metric"),
    ("measured", "a4", "inch"),
]


def sections(path: Path) -> list[str]:
    """The text of each strip, from its letter to the next one, in one line."""
    text = "\n".join(paper.texts(path))
    parts = re.split(r"(?m)^([A-Z] ?(?=[A-Z][a-z]))", text)
    return [" ".join(part.split()) for part in parts[2::2]]


def on_paper(path: tuple[str, ...]) -> tuple[str, ...]:
    """The path as the sheet has it: what a person names is NAME, a joint is N."""
    for table in NAMED.values():
        if path[: len(table)] == table and len(path) > len(table):
            return (*table, "N" if table == ("joint",) else "NAME", *path[len(table) + 1 :])
    return path


def asked_on_paper(kind: str) -> set[tuple[str, ...]]:
    """Paths of all questions but those that only open others, and further copies of a strip."""
    asked = {on_paper(one.path) for one in questions(everything(kind)) if not is_own(one.path)}
    more = {("bearing", "2"), ("shaft", "3"), ("brace", "2"), ("suspension", "reading", "2")}
    return {path for path in asked if path[:2] not in more and path[:3] not in more}


@pytest.mark.parametrize(("kind", "size", "display"), SHEETS)
def test_every_question_is_on_the_sheet(kind: str, size: str, display: str, tmp_path: Path) -> None:
    path = write_blank(tmp_path / "sheet.pdf", kind, display, size)
    paper.check_sheet(path, size, pages=4)
    assert f"display = {display}, suspension.kind = {kind}." in paper.words(path)
    asked = asked_on_paper(kind) - {("display",), ("suspension", "kind")}
    assert len(asked) > 90
    strips = sections(path)
    for here in asked:
        ways = [(".".join((*here[:cut], "")), ".".join(here[cut:])) for cut in range(1, len(here))]
        ways.append(("", ".".join(here)))
        if here[0] == "obstacle":  # the head of a table
            ways.append(("obstacle.NAME.", " ".join(here[2:])))
        assert any(
            head in strip and re.search(rf"(?<![\w.]){re.escape(rest)}(?!\w|\.\w)", strip)
            for head, rest in ways
            for strip in strips
        ), here


def test_boxes_have_the_units_of_the_display_and_what_holds_if_they_are_blank(
    tmp_path: Path,
) -> None:
    metric = paper.words(write_blank(tmp_path / "a.pdf", "leaf", "metric", "a4"))
    inch = paper.words(write_blank(tmp_path / "b.pdf", "leaf", "inch", "letter"))
    for words in (
        "blank: 6.44 times tire_radius",
        "[80 N/mm ± 60 %]",
        "usual 240 to 600 mm",
        "km/h",
        "N/mm",
    ):
        assert words in metric
    for words in ("usual 9.45 to 23.6 in", "mph", "lbf/in", "[1.97 in]", "68-3/4 ± 1/8"):
        assert words in inch
    assert " mm " not in inch
    for words in (metric, inch):
        for caution in ("rated stands", "nor near a turning shaft", "behind the rail for lines"):
            assert caution in words


def test_strips_are_lettered_in_the_order_of_the_walk() -> None:
    names = [strip.station.name for strip in strips("leaf")]
    walk = ["plates", "tire", "output", "shaft 1", "bearing 1", "spline", "pinion", "axle"]
    places = [names.index(name) for name in (*walk, "spring front", "travel", "obstacle NAME")]
    assert places == sorted(places)
    assert [strip.letter for strip in strips("leaf")] == [chr(65 + k) for k in range(len(names))]


def test_the_command_writes_the_same_bytes_twice(tmp_path: Path, capsys) -> None:
    out = tmp_path / "out"
    words = ["blank", "--paper", "letter", "--inch", "--suspension", "frame mounted"]
    assert cli.main([*words, "--out", str(out)]) == 0
    said = capsys.readouterr().out
    (path,) = out.iterdir()
    assert path.name == "measuring-sheet-frame-mounted.pdf"
    assert str(path) in said
    assert "halfturn new my_truck.toml" in said
    before = path.read_bytes()
    assert cli.main([*words, "--out", str(out)]) == 0
    assert path.read_bytes() == before
