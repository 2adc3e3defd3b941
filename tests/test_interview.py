"""The interview of a new vehicle, typed into a pseudo-terminal as a person would."""

from __future__ import annotations

import math
import os
import re
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pexpect
import pytest
from vehicles_read import as_lines, readings

from sim.scene.reader import load_scene
from sim.scene.readings import kept, read_readings, unanswered

ROOT = Path(__file__).parents[1]


class Terminal:
    """A person at a terminal, who waits for a question before answering it."""

    def __init__(self, scene: Path) -> None:
        kept = ("PATH", "HOME", "LANG")
        self.env = {key: os.environ[key] for key in kept if key in os.environ}
        self.env |= {"TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1", "PYTHONPATH": str(ROOT)}
        self.child = pexpect.spawn(
            sys.executable,
            ["-m", "sim.cli", "new", str(scene)],
            env=self.env | {"PYTHONIOENCODING": "utf-8"},
            encoding="utf-8",
            timeout=20,
            dimensions=(50, 110),
        )
        self.child.delaybeforesend = None
        self.seen = ""

    def answer(self, question: str, *lines: str) -> None:
        """Wait for a question and answer it; again for each further line."""
        for line in lines or ("",):
            self.wait(f"  {question}: ".rstrip())
            self.child.send(f"{line}\r")

    def wait(self, words: str) -> None:
        self.child.expect_exact(words)
        self.seen += self.child.before + self.child.after

    def keeps(self, line: str) -> None:
        """Answer whether a doubted answer stays."""
        self.wait("  Enter keeps it, anything else asks again:")
        self.child.send(f"{line}\r")

    def end(self) -> int:
        self.child.expect(pexpect.EOF)
        self.seen += self.child.before
        self.child.close()
        assert self.child.exitstatus is not None
        return int(self.child.exitstatus)

    @property
    def text(self) -> str:
        """What was shown, without what moves the cursor, in one line."""
        return " ".join(re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", self.seen).split())


@contextmanager
def terminal(scene: Path) -> Iterator[Terminal]:
    one = Terminal(scene)
    try:
        yield one
    finally:
        one.child.close(force=True)


def test_an_interview_is_left_resumed_and_makes_the_vehicle(tmp_path: Path) -> None:
    scene, beside = tmp_path / "van.toml", tmp_path / "van.readings.txt"
    with terminal(scene) as none:
        none.answer("display", "later")
        assert none.end() == 0
    assert "Nothing was answered yet" in none.text
    assert not beside.exists()

    with terminal(scene) as first:
        first.answer("display", "?", "inch")
        first.answer("title", "Van")
        first.answer("datum", "front wheel center, rail bottom")
        first.answer("rules")
        first.answer("pieces", "4", "1")
        first.answer("spline.at", "out")
        first.answer("suspension.kind", "none")
        for gate in ("slopes", "more.rails", "more.brace"):
            first.answer(gate)
        first.answer("vehicle.axle_ratio", "", "4.10")
        first.answer("vehicle.top_speed", "75")
        for key in ("axle_load", "engine_torque", "first_gear", "top_gear"):
            first.answer(f"vehicle.{key}")
        first.answer("more.plates", "no")
        first.answer("vehicle.tire_radius", "31")  # the tire's diameter
        first.keeps("again")
        first.answer("vehicle.tire_radius", "15-1/2 ± 1/4")
        first.answer("vehicle.tire_circumference", "later")
        assert first.end() == 0
    assert "Units of screens and sheets." in first.text
    assert 'pieces is "4"; allowed: 1, 2, 3' in first.text
    assert "It is needed" in first.text
    assert "vehicle.tire_radius is 31 in; usual is 9.45 to 23.6 in" in first.text
    assert f"Go on with: halfturn new {scene}" in first.text
    assert not scene.exists()
    assert "vehicle.tire_radius = 15-1/2 ± 1/4 in\n" in beside.read_text(encoding="utf-8")

    with terminal(scene) as second:
        second.answer("vehicle.tire_circumference")
        second.answer("output.aft", "68-3/4")
        second.child.expect_exact("  output.up:")
        second.child.sendintr()
        assert second.end() == 130
    assert "Going on with van.readings.txt" in second.text
    assert "output.aft = 68-3/4 in\n" in beside.read_text(encoding="utf-8")

    with terminal(scene) as third:
        third.answer("output.up", "3 down")
        third.answer("output.right", "back")
        third.wait("Enter: 3 in down, as before.")
        third.answer("output.up", "2-11/16 down")
        third.answer("output.right")
        third.answer("output.slope", "3")
        third.answer("more.output")
        third.answer("shaft.1.tube.outside", "4")
        third.answer("shaft.1.tube.wall", "0.083")
        third.answer("more.shaft 1")
        third.answer("joints")
        third.answer("spline.gap", "1-1/2")
        third.answer("spline.engaged", "3")
        for question in ("spline.teeth", "more.spline"):
            third.answer(question)
        third.answer("pinion.aft", "14.35")  # the point slipped
        third.keeps("again")
        third.answer("pinion.aft", "143-1/2")
        third.answer("pinion.up", "10-1/8 down")
        third.answer("pinion.right")
        third.answer("pinion.slope", "-3")  # the sign lost
        third.answer("more.pinion")
        third.answer("axle.aft", "157")
        third.answer("axle.up", "9-1/2 down")
        third.answer("axle.track")
        third.keeps("again")
        third.answer("pinion.slope", "3")
        third.answer("obstacles")
        third.answer("complaints")
        assert third.end() == 0
    assert "pinion.aft is 14.35 in; it belongs behind output, whose aft is 68-3/4 in" in third.text
    assert "front end high is positive, was the sign lost?" in third.text
    assert f"Wrote {scene}. Next: halfturn check {scene}" in third.text
    assert not beside.exists()
    found = load_scene(scene)
    assert (found.display, found.title, found.doubts) == ("inch", "Van", ())
    design = found.configuration("one-piece").design
    assert design.values["output.down"] == pytest.approx(2.6875 * 0.0254)
    assert design.values["vehicle.top_speed"] == pytest.approx(75 * 0.44704)
    assert design.values["pinion.slope"] == pytest.approx(math.radians(3))
    assert design.readings["vehicle.tire_radius"].spread == pytest.approx(0.25 * 0.0254)


def test_what_the_reader_refuses_is_mended_by_its_question(tmp_path: Path) -> None:
    found = dict(readings("orchard_service_truck", "two-piece"))
    found["spline", "least_engaged"] = "160 mm"  # of 85 and 45 mm
    read = read_readings(as_lines(list(found.items())).encode(), "r.txt")
    answers = dict(read.answers)
    while left := unanswered(answers):
        answers[left[0].path] = left[0].on_enter
    (tmp_path / "truck.readings.txt").write_text(kept(answers), encoding="utf-8")
    with terminal(tmp_path / "truck.toml") as one:
        one.wait("Answer again [spline.least_engaged]:")
        one.child.send("\r")
        one.answer("spline.least_engaged", "60")
        assert one.end() == 0
    assert "spline.least_engaged is 160 mm; the whole spline is only 130 mm" in one.text
    scene = load_scene(tmp_path / "truck.toml")
    assert scene.configuration("two-piece").design.values["spline.least_engaged"] == 0.06


def test_what_is_not_asked_any_more_is_not_in_the_scene(tmp_path: Path) -> None:
    found = dict(readings("orchard_service_truck", "two-piece"))
    found["spline", "at"] = "output"  # cannot follow the axle behind a bearing
    answers = dict(read_readings(as_lines(list(found.items())).encode(), "r.txt").answers)
    while left := unanswered(answers):
        answers[left[0].path] = left[0].on_enter
    (tmp_path / "truck.readings.txt").write_text("pieces = 2\n" + kept(answers), encoding="utf-8")
    with terminal(tmp_path / "truck.toml") as one:
        one.wait("Answer again [spline.at]:")
        one.child.send("no.such\r")
        one.wait("no.such was not asked")
        one.wait("Answer again [spline.at]:")
        one.child.send("pieces\r")
        one.answer("pieces", "1")
        assert one.end() == 0
    scene = load_scene(tmp_path / "truck.toml")
    (made,) = scene.configurations
    assert (made.name, len(made.shafts), len(made.bearings)) == ("one-piece", 1, 0)
