"""A layout that is looked at alone: its complaints are compared with where they are felt.

What stands on the other side: a copy of a layout shakes as that does, so 1.0 times; what is worse
one way is better the other way round; and one layout is told alike, alone or among all.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
from paper import words as words_of

from sim import cli, run
from sim.display import METRIC
from sim.errors import GeometryError
from sim.explore.felt import Felt
from sim.explore.felt_elsewhere import elsewhere_of
from sim.explore.felt_near import Near, near_of
from sim.scene.parts import Configuration, Scene
from sim.scene.reader import load_scene, read_scene
from sim.show.answer_felt import beside_words
from sim.show.felt_words import answers_of, changes_words, felt_lines
from sim.show.result import Result

SCENES = Path(__file__).parent.parent / "scenes"
ORCHARD = SCENES / "orchard_service_truck.toml"
COPY = '\n[configuration.copy]\nlike = "two-piece"\n'


def results(scene: Scene, only: str | None = None) -> Sequence[Result]:
    """Return one result a configuration, without cures."""
    return run.check(scene, only=only, cures=False).results


def told(felt: Felt, name: str) -> str:
    """Return what one layout does to a complaint."""
    return changes_words([felt.changes[name]], felt)


def orchard(more: str = "") -> Scene:
    """Return the orchard truck with more in it."""
    return read_scene(f"{ORCHARD.read_text()}{more}".encode(), folder=SCENES)


@pytest.mark.parametrize("name", ["one-piece", "two-piece", "two-piece-wedged"])
def test_a_layout_is_told_alone_as_among_all(name: str) -> None:
    scene = load_scene(ORCHARD)
    among, alone = answers_of(results(scene)), answers_of(results(scene, name))
    assert [felt.felt_in for felt in alone] == ["two-piece", "one-piece"]
    for one, other in zip(alone, among, strict=True):
        assert set(one.changes) == {name} - {one.felt_in}
        assert (one.complaint, one.fits) == (other.complaint, pytest.approx(other.fits))
        for changed in one.changes:
            assert told(one, changed) == told(other, changed) != ""


def test_a_copy_of_where_it_is_felt_is_the_same() -> None:
    felt, _ = answers_of(results(orchard(COPY), "copy"))
    assert felt.felt_in == "two-piece"
    for change in felt.changes["copy"]:
        for band in change.ratio:
            assert (band.low, band.value, band.high) == pytest.approx((1.0, 1.0, 1.0), rel=1e-6)
    assert "copy: the same." in list(felt_lines(felt, METRIC))


def test_what_is_worse_one_way_is_better_the_other_way_round() -> None:
    scene = load_scene(ORCHARD)
    (shudder,) = (c for c in scene.configurations[0].complaints if c.felt_in == "two-piece")
    ratios = []
    for felt_in, only in (("two-piece", "two-piece-wedged"), ("two-piece-wedged", "two-piece")):
        asked = (replace(shudder, felt_in=felt_in, frequency=27.0),)  # counted: twice a turn
        every = tuple(replace(one, complaints=asked) for one in scene.configurations)
        (felt,) = answers_of(results(replace(scene, configurations=every), only))
        (change,) = felt.changes[only]
        ratios.append((change.effect, [band.value for band in change.ratio]))
    (worse, there), (better, back) = ratios
    assert (worse, better) == ("worse", "better")
    assert there == pytest.approx([1 / ratio for ratio in back], rel=1e-6)


def test_what_names_no_layout_is_felt_in_the_first_one() -> None:
    van = (SCENES / "lowered_street_van.toml").read_text().replace('felt_in = "one-piece"', "")
    scene = read_scene(van.encode(), folder=SCENES)
    (felt,) = answers_of(results(scene, "two-piece"))
    assert (felt.felt_in, set(felt.changes)) == ("one-piece", {"two-piece"})
    (own,) = answers_of(results(scene, "one-piece"))
    assert (own.felt_in, own.changes) == ("one-piece", {})


def test_where_nothing_is_felt_elsewhere_nothing_is_compared() -> None:
    (result,) = results(load_scene(SCENES / "trail_ambulance.toml"), "double-cardan")
    assert result.elsewhere == {}
    assert beside_words({}, result.configuration) == ""


def test_a_layout_that_cannot_be_reached_is_said_not_to_be_compared_with(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def near_none(configuration: Configuration, *args: object, **more: object) -> tuple[Near, ...]:
        if configuration.name == "two-piece":
            raise GeometryError("two-piece", "full bump", "out of reach")
        return near_of(configuration, *args, **more)  # type: ignore[arg-type]

    monkeypatch.setattr("sim.explore.felt_elsewhere.near_of", near_none)
    assert cli.main(["check", str(ORCHARD), "--only", "two-piece-wedged"]) == 2
    out, err = capsys.readouterr()
    assert "felt in one-piece" in out
    assert "felt in two-piece" not in out
    said = "two-piece-wedged is not compared with two-piece, where “shudder pulling away” is felt"
    assert f"{said}: " in err
    found = elsewhere_of(load_scene(ORCHARD), load_scene(ORCHARD).configurations[0].complaints)
    wedged = load_scene(ORCHARD).configuration("two-piece-wedged")
    assert "“shudder pulling away” (felt in two-piece): not compared" in beside_words(found, wedged)


def test_every_command_says_it_of_a_layout_alone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = [str(ORCHARD), "--only", "two-piece-wedged"]

    def said(*words: str) -> str:
        assert cli.main(list(words)) == 0
        return " ".join(capsys.readouterr().out.split())

    shudder = "twice a turn worse ("
    for words in (["check", *command], ["check", *command, "--all"], ["shakes", *command]):
        out = said(*words)
        assert f"two-piece-wedged: {shudder}" in out
        assert "felt in two-piece Twice" in out
        assert "two-piece-wedged: twice a turn cured (" in out
        assert "felt in one-piece; looked at ride height Twice" in out
        assert "Tried in the model" not in out  # helps are for the layout in which it is felt
    found = json.loads(said("shakes", *command, "--json"))
    assert [one["felt_in"] for one in found["answers"]] == ["two-piece", "one-piece"]
    assert {c["configuration"] for a in found["answers"] for c in a["changes"]} == {command[-1]}
    assert found["helps"] == []
    answer = ["answer", *command, "--out", str(tmp_path)]
    row = f"“shudder pulling away” (felt in two-piece): {shudder}"
    assert row in said(*answer)
    assert row in json.loads(said(*answer, "--json"))["complaints"]
    typed = said("shakes", *command, "--speed", "90 km/h", "--felt-in", "one-piece")
    assert "two-piece-wedged: twice a turn cured (" in typed
    assert "felt in one-piece" in typed


def test_what_is_written_is_told_as_check_tells_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    van = tmp_path / "van.toml"
    van.write_bytes((SCENES / "lowered_street_van.toml").read_bytes())
    out = ["--only", "two-piece", "--out", str(tmp_path)]
    assert cli.main(["place", str(van), *out, "--write", "hung"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    (felt,) = answers_of(results(load_scene(van), "hung"))
    clause = f"“boom on the highway” (felt in one-piece): {told(felt, 'hung')}"
    assert f"Complaints: {clause}." in said
    assert cli.main(["place", str(van), *out, "--write", "again", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["complaints"] == clause


def test_a_planned_height_says_everywhere_how_far_the_shafts_sag(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    command = [str(ORCHARD), "--out", str(tmp_path), "--only"]

    def said(*more: str) -> str:
        assert cli.main([*more]) == 0
        return " ".join(capsys.readouterr().out.split())

    (hang,) = json.loads(said("answer", *command, "two-piece-chosen", "--json"))["hang"]
    usual, least, most = (hang["sags"][end]["value"] for end in ("usual", "least", "most"))
    # weight over stiffness, and the rubber's is known within 60 %
    assert (least * 1.6, most * 0.4) == pytest.approx((usual, usual), rel=0.02)
    clause = f"they sag {least:.1f} to {most:.1f} mm in its rubber (radial not read)"
    clause = f"height planned: with the shafts in, {clause}"
    assert clause in said("answer", *command, "two-piece-chosen")
    said("sheet", *command, "two-piece-chosen")
    folder = tmp_path / "orchard_service_truck" / "two-piece-chosen"
    assert clause in words_of(folder / "answer.pdf")
    assert clause in words_of(folder / "build_sheet.pdf")
    read = ["two-piece-chosen", "--try", "bearing.1.radial = 80 ± 48 N/mm"]
    assert clause.removesuffix(" (radial not read)") + ";" in said("answer", *command, *read)
    assert "sag" not in said("answer", *command, "two-piece-wedged")  # read with the shafts in
