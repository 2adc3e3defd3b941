"""Commands as they are typed: what is printed, and the exit code."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest

from sim import cli, run
from sim.errors import EngineError

SCENES = Path(__file__).parents[1] / "scenes"
LOOSE = """
[configuration.loose]
like = "one-piece"
travel.droop = "240 mm"
"""
SHOP = """
format = "halfturn rules 1"
[set."our shop"]
scope = "our trucks"
extends = "two-piece service"
[set."our shop".rule."front joint, most"]
at_most = "0.2 deg"
"""


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """Return the demo truck with one more layout, whose shackle cannot follow the droop."""
    path = tmp_path / "truck.toml"
    text = (SCENES / "orchard_service_truck.toml").read_text(encoding="utf-8")
    path.write_text(text + LOOSE, encoding="utf-8")
    return path


def test_layouts_that_cannot_be_reached_leave_the_others_judged(scene: Path, capsys) -> None:
    code = cli.main(["check", str(scene), "--as-read"])
    said = capsys.readouterr()
    assert code == 2
    assert "two-piece-wedged" in said.out
    assert said.err.count("\n") == 1
    assert 'configuration "loose", full droop' in said.err
    assert "the shackle cannot close" in said.err


def test_machines_are_told_what_was_not_done(scene: Path, capsys) -> None:
    assert cli.main(["check", str(scene), "--as-read", "--json"]) == 2
    told = json.loads(capsys.readouterr().out)
    assert len(told["configurations"]) == 4
    assert [line.startswith("loose is not judged") for line in told["not_done"]] == [True]


def test_a_scene_in_which_nothing_can_be_judged_is_refused_in_one_line(scene, capsys) -> None:
    assert cli.main(["check", str(scene), "--as-read", "--only", "loose"]) == 2
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--only", "three-piece"], 'no configuration "three-piece"; there are: one-piece, '),
        (["--rules", "nobody's"], 'no rule set "nobody\'s"; there are: '),
    ],
)
def test_names_that_are_not_there_are_answered_with_those_that_are(words, said, capsys) -> None:
    path = SCENES / "orchard_service_truck.toml"
    assert cli.main(["check", str(path), "--as-read", *words]) == 2
    assert said in capsys.readouterr().err


def test_a_film_that_cannot_be_made_is_said_and_nothing_else_is_lost(
    monkeypatch, tmp_path: Path, capsys
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise EngineError("a painter of the film stopped: it said nothing")

    monkeypatch.setattr("sim.show.film.film.film", broken)
    monkeypatch.setattr(run, "_confirm", lambda *_: None)
    monkeypatch.setattr(run, "still", lambda *_: None)
    path = SCENES / "orchard_service_truck.toml"
    words = ["run", str(path), "--only", "one-piece", "--out", str(tmp_path)]
    assert cli.main(words) == 2
    assert "There is no film: a painter of the film stopped" in capsys.readouterr().err
    folder = tmp_path / "orchard_service_truck" / "one-piece"
    page = (folder / "report.html").read_text(encoding="utf-8")
    assert "There is no film: a painter of the film stopped" in page
    assert json.loads((folder / "run.json").read_text(encoding="utf-8"))["not_done"]
    assert (folder / "joint-angles.png").exists()


def test_a_line_of_the_scene_is_tried_and_what_changed_is_named(capsys) -> None:
    path = SCENES / "orchard_service_truck.toml"
    words = ["check", str(path), "--as-read", "--only", "two-piece-wedged", "--all"]
    assert cli.main(words) == 0
    before = capsys.readouterr().out
    assert "Front joint is too straight: " not in before
    assert cli.main([*words, "--try", "bearing.1.up = 531 mm"]) == 1
    after = capsys.readouterr().out
    assert "Front joint is too straight: " in after


def test_a_line_that_is_none_is_refused_with_what_it_should_be(capsys) -> None:
    path = SCENES / "orchard_service_truck.toml"
    assert cli.main(["check", str(path), "--try", "bearing.1.upp = 531 mm"]) == 2
    said = capsys.readouterr().err
    assert "upp is not a known key; did you mean up?" in said
    assert "Traceback" not in said


class Terminal(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("surroundings", "colored"),
    [({}, True), ({"NO_COLOR": "1"}, False), ({"TERM": "dumb"}, False)],
)
def test_words_are_colored_where_the_terminal_has_colors(
    surroundings, colored, monkeypatch
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    for name, value in surroundings.items():
        monkeypatch.setenv(name, value)
    terminal = Terminal()
    monkeypatch.setattr("sys.stdout", terminal)
    path = SCENES / "orchard_service_truck.toml"
    cli.main(["check", str(path), "--as-read", "--only", "one-piece"])
    assert ("\x1b[" in terminal.getvalue()) == colored
    assert "fails" in terminal.getvalue()


def test_lines_fit_a_narrow_terminal(monkeypatch, capsys) -> None:
    monkeypatch.setenv("COLUMNS", "64")
    path = SCENES / "orchard_service_truck.toml"
    cli.main(["check", str(path), "--as-read", "--all"])
    assert max(map(len, capsys.readouterr().out.splitlines())) <= 64


@pytest.mark.parametrize("command", ["check", "shakes"])
def test_a_rule_file_of_the_shop_judges_on_every_command(command, tmp_path: Path, capsys) -> None:
    (tmp_path / "shop.toml").write_text(SHOP, encoding="utf-8")
    path, name = SCENES / "orchard_service_truck.toml", f"{tmp_path / 'shop.toml'}: our shop"
    words = [command, str(path), "--only", "two-piece", "--rules", name]
    assert cli.main([*words, "--as-read"] if command == "check" else words) in (0, 1)
    if command == "check":
        assert "joint 1 0.26 deg, at most 0.20 deg" in capsys.readouterr().out
    assert cli.main([command, str(path), "--rules", f"{tmp_path / 'shop.toml'}: nobody"]) == 2
    assert 'there is no rule set "nobody"; allowed: our shop' in capsys.readouterr().err
