from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import pytest
import show_scene

from sim.display import METRIC
from sim.judge.findings import Cure, Finding, Repeat, Shown, Sureness, Verdict
from sim.judge.part import Where
from sim.measure.measurements import CriticalSpeed
from sim.show.advice import advice_words
from sim.show.machine import summary_json
from sim.show.outlook import headlines, outlook_of
from sim.show.report.chapters import chapter_of
from sim.show.result import Result
from sim.show.summary import MOST_LINES, WIDTH, first_lines
from sim.show.summary_all import all_lines
from sim.world.agreement import Agreement

ONE, TWO = show_scene.results()
GUIDE = Path(__file__).parents[1] / "DEVELOPERS.md"
DROOP = replace(
    ONE.measurements.states[0], height="", case="at rest", travel=-0.058, roll=0.0
)  # 2.28 in: 25.4 mm to the inch
RAISE = Cure(
    does="hang bearing 1 3 mm higher",
    says="Hang bearing 1 3 mm higher (only to be sure).",
    changes=('bearing.1.up = "534 mm"',),
)


def finding(where: str, value: float, verdict: Verdict = "watch", **changes) -> Finding:
    """Return a finding on a joint, at most 3 deg."""
    known = {
        "rule": "universal joint", "verdict": verdict, "what": "The joint bends a lot",
        "where": where, "state": DROOP, "value": value, "limit": 3.0,
        "unit": "deg", "relation": "at most", "source": "nobody", "standing": "published",
        "meaning": "Wear.", "remedy": "Straighten it.", "severity": 5.0,
        "at_worst": "fails" if verdict != "watch" else "watch",
    }  # fmt: skip
    return Finding(**(known | changes))


WEIGHED = Sureness(seed=1, samples=2000, states=(), lost=0.0, sources=(), exact=(), tornadoes=())


def result(*findings: Finding, of: Result = ONE, weighed: Sureness | None = WEIGHED) -> Result:
    name = of.configuration.name
    found = replace(of.findings, findings=findings, configuration=name, sureness=weighed)
    return replace(of, findings=found)


def said(*results: Result, how=first_lines, display: str = "metric", width: int = WIDTH) -> list:
    scene = show_scene.scene(*(r.configuration for r in results), display=display)
    return list(how(scene, results, width))


def test_a_sound_configuration_is_good_to_build_and_says_how_much_there_is_to_watch() -> None:
    lines = said(result(finding("joint 1", 4.0), finding("joint 2", 1.0, "passes")))
    assert lines[2:5] == [
        f"{ONE.configuration.name}: good to build",
        "  watch  The joint bends a lot: joint 1 4.00 deg, at most 3.00 deg, at 58 mm droop, "
        "at rest",
        "  1 to watch, 1 passed: halfturn check --all",
    ]


def test_what_fails_stands_before_what_is_open_and_both_before_what_to_do() -> None:
    still_open = finding("joint 2", 2.9, "cannot be told", what="The joint bends little?")
    lines = said(result(still_open, finding("joint 1", 9.0, "fails")))
    assert [line.split()[0] for line in lines[3:6]] == ["fails", "open", "do"]
    assert lines[2].endswith("not as it stands: the joint bends a lot (joint 1 9.00 deg, at most "
                             "3.00 deg)")  # fmt: skip
    assert lines[3] == (
        "  fails  The joint bends a lot: joint 1 9.00 deg, at most 3.00 deg, at 58 mm droop, "
        "at rest"
    )
    assert lines[5] == "  do     Straighten it."
    assert "nobody" not in " ".join(lines)


def test_what_has_one_cause_stands_under_one_headline() -> None:
    found = [
        finding("joint 3", 9.0, "fails"),
        finding("joint 2", 8.0, "fails", under="universal joint"),
        finding("pinion", 7.0, rule="torsional", what="It shakes", under="universal joint"),
        finding("joint 1", 3.1, rule="another"),
    ]
    lines = said(result(*found), width=200)
    assert lines[3] == (
        "  fails  The joint bends a lot: joint 3 9.00 deg, at most 3.00 deg, at 58 mm droop, "
        "at rest; also joint 2 8.00 deg, it shakes (pinion 7.00 deg)"
    )
    assert lines[6] == "  1 to watch, 0 passed: halfturn check --all"
    everything = said(result(*found), how=all_lines)
    assert "  1 fails, 0 open, 1 watch, 0 passed" in everything
    assert sum(line.startswith("  also") for line in everything) == 2
    # what was said of the headline is not said again
    assert sum("nobody" in line for line in everything) == 2


def test_what_no_state_brings_about_is_told_in_brackets_without_a_comma() -> None:
    lines = said(result(finding("joint 1", 9.0, state=None, why="first gear")), width=200)
    assert "joint 1 9.00 deg, at most 3.00 deg (first gear)" in lines[3]
    assert said(result(finding("joint 1", 9.0, state=None)))[3].endswith("at most 3.00 deg")


def test_each_finding_stands_under_the_headline_before_it() -> None:
    order = [("joint 1", ""), ("joint 2", ""), ("pinion", "universal joint"), ("shaft 1", "")]
    heads = headlines([finding(where, 9.0, "fails", under=under) for where, under in order])
    assert [(h.lead.where, [f.where for f in h.others]) for h in heads] == [
        ("joint 1", []), ("joint 2", ["pinion"]), ("shaft 1", [])
    ]  # fmt: skip


def test_what_is_open_makes_a_configuration_good_only_if() -> None:
    still_open = finding("joint 2", 2.9, "cannot be told", what="The joint bends little?")
    lines = said(result(still_open))
    assert "good if the joint bends little (joint 2 2.90 deg, at most 3.00 deg)" in lines[2]


@pytest.mark.parametrize(("as_read", "told"), [("fails", " Not as read:"), ("passes", "")])
def test_an_open_question_tells_what_was_read(as_read: Verdict, told: str) -> None:
    asked = {"what": "The pair cancels?", "as_read": as_read, "probability": 0.3, "state": None}
    lines = said(result(finding("joint 1", 3.2, "cannot be told", **asked)))
    assert f"  open   The pair cancels?{told} joint 1 3.20 deg, at most 3.00 deg" in lines


@pytest.mark.parametrize(("chance", "begins"), [(0.51, "good if"), (0.5, "not as it stands")])
def test_what_less_likely_passes_than_not_is_not_called_good(chance, begins) -> None:
    likely = finding("joint 1", 2.9, "cannot be told", probability=0.9, what="It is straight?")
    other = finding("joint 2", 3.2, "cannot be told", probability=chance, what="The pair cancels?")
    line = said(result(likely, other), width=200)[2]
    assert line.removeprefix(f"{ONE.configuration.name}: ").startswith(begins)
    unlikely = "it is not likely that the pair cancels (joint 2 3.20 deg, at most 3.00 deg)"
    assert "%" not in line  # percentages stand in --all only
    assert (unlikely in line) == (chance == 0.5)


def test_what_only_watches_is_never_why_a_configuration_is_not_good() -> None:
    likely = finding("joint 1", 2.9, "cannot be told", probability=0.9, what="It is straight?")
    advice = finding("joint 1", 3.2, probability=0.0, rule="advice", under="universal joint")
    line = said(result(likely, advice), width=200)[2]
    assert line.endswith(": good if it is straight (joint 1 2.90 deg, at most 3.00 deg)")


def test_a_value_under_a_headline_names_its_state_where_that_is_another() -> None:
    launch = replace(DROOP, travel=0.0, height="ride height", case="hard launch")
    found = [
        finding("joint 3", 9.0, "fails"),
        finding("joint 2", 8.0, "fails", under="universal joint", state=launch),
        finding("pinion", 7.0, rule="torsional", what="It shakes", under="universal joint",
                state=launch),
        finding("joint 1", 6.0, "fails", under="universal joint"),
    ]  # fmt: skip
    assert said(result(*found), width=400)[3].endswith(
        "at 58 mm droop, at rest; also joint 2 8.00 deg at ride height, hard launch, it shakes "
        "(pinion 7.00 deg at ride height, hard launch), joint 1 6.00 deg"
    )


def test_of_what_is_to_watch_a_published_limit_is_named_first_and_told_why_it_only_watches() -> (
    None
):
    own = finding("joint 1", 9.0, severity=4.9, standing="proposal")
    why = "it is judged in the situations ride height; this one is cruise"
    published = finding("joint 2", 9.0, severity=3.0, only_watched=why)
    (line,) = (line for line in said(result(own, published)) if line.startswith("  watch"))
    assert "joint 2" in line
    everything = " ".join(said(result(own, published), how=all_lines, width=200))
    assert f" Only watched: {why}. " in everything


def test_what_may_touch_is_told_before_what_shakes_whoever_set_its_limit() -> None:
    """Severity 5: rubs.  A joint of assumed size in the exhaust is more than an uneven pinion."""
    shakes = finding("pinion", 9.0, severity=4.8)
    rubs = finding("joint 2 to exhaust", -2.0, severity=5.0, standing="common practice")
    (line,) = (line for line in said(result(shakes, rubs)) if line.startswith("  watch"))
    assert "joint 2 to exhaust" in line


def test_what_rests_on_a_doubted_reading_is_good_only_if_it_reads_the_same() -> None:
    """A wall of 16 mm where 1.6 was meant makes any tube strong enough."""
    doubted = ("shaft.1.tube.wall", "output.slope")
    doubtful = replace(ONE, configuration=replace(ONE.configuration, doubted=doubted))
    good = "good if you read shaft.1.tube.wall and output.slope again and find the same"
    assert outlook_of(result(of=doubtful), "metric").sentence == good
    assert outlook_of(result(of=ONE), "metric").sentence == "good to build"
    lines = said(result(of=doubtful), result(of=TWO), width=400)
    assert f"Build {TWO.configuration.name}: nothing on it fails or is open;" in lines[1]
    failing = outlook_of(result(finding("joint 1", 9.0, "fails"), of=doubtful), "metric")
    assert failing.grade == "not"


def test_what_only_watches_is_not_open() -> None:
    soft = finding("joint 2", 2.9, "cannot be told", at_worst="watch")
    assert said(result(soft))[2].endswith("good to build")


def test_a_cure_that_holds_is_said_with_the_line_to_write() -> None:
    cured = finding("joint 1", 9.0, "fails", cures=(RAISE,))
    lines = said(result(cured, finding("joint 2", 8.0, "fails", cures=(RAISE,))))
    assert lines[2].endswith("good if you hang bearing 1 3 mm higher")
    done = [line for line in lines if line.startswith("  do")]
    do = "  do     Hang bearing 1 3 mm higher (only to be sure). "
    assert done == [f'{do}Write bearing.1.up = "534 mm"']


@pytest.mark.parametrize("width", [60, 72, 80, 110])
def test_lines_to_write_are_never_cut_nor_broken_however_much_there_is_to_say(width: int) -> None:
    changes = (
        'bearing.1.up = "14-1/32 ± 1/16 in"',
        'bearing.1.right = "3/8 ± 1/16 in"',
        'pinion.nose_up = "0.5 deg"',
        'suspension.wrap_control = "590 lbf ft/deg"',
    )
    says = f"Do this {', '.join(str(number) for number in range(200))} times."
    cure = Cure(does="do a lot", says=says, changes=changes)
    lines = said(result(finding("joint 1", 9.0, "fails", cures=(cure,))), width=width)
    assert all(len(line) <= width for line in lines)
    assert all(any(change in line for line in lines) for change in changes)
    first = next(number for number, line in enumerate(lines) if line.startswith("  do     Do this"))
    cut = next(line for line in lines[first:] if line.endswith("…"))
    assert lines[lines.index(cut) + 1].startswith("         Write bearing.1.up")
    told = " ".join(line[9:] for line in lines[first : lines.index(cut) + 1])
    assert says.startswith(told.removesuffix(" …"))
    short = replace(cure, says="Do this and that.")
    lines = said(result(finding("joint 1", 9.0, "fails", cures=(short,))), width=width)
    assert any(line.startswith("  do     Do this and that.") for line in lines)
    assert not any(line.endswith("…") for line in lines)


@pytest.mark.parametrize(("words", "cut"), [(110, False), (145, True)])
def test_what_to_do_is_cut_only_where_it_takes_more_than_three_lines(words: int, cut: bool) -> None:
    """Of 110 columns nine are taken: 51 words of one letter fill the others."""
    cure = replace(RAISE, says=" ".join("a" * words))
    lines = said(result(finding("joint 1", 9.0, "fails", cures=(cure,))))
    assert any(line.endswith("…") for line in lines) == cut
    write = 'Write bearing.1.up = "534 mm"'
    assert any(line.endswith("a " + write) for line in lines) != cut
    assert f"         {write}" in lines or not cut


def test_a_cure_that_is_part_of_another_is_not_said_twice() -> None:
    both = Cure(
        does="raise it and wedge",
        says="Raise it and wedge.",
        changes=(*RAISE.changes, 'pinion.nose_up = "1 deg"'),
    )
    longer = Cure(
        does="shorten shaft 1", says="Shorten shaft 1.", changes=('spline.gap = "45 mm"',)
    )
    found = [
        finding("joint 1", 9.0, "fails", cures=(RAISE,)),
        finding("joint 2", 9.0, "fails", cures=(both,)),
        finding("spline", 9.0, "fails", cures=(longer,)),
    ]
    lines = said(result(*found), width=200)
    assert lines[2].endswith("good if you raise it and wedge, and shorten shaft 1")
    assert sum(line.startswith("  do") for line in lines) == 2


def test_a_cure_for_one_of_two_does_not_make_a_configuration_good() -> None:
    cured = finding("joint 1", 9.0, "fails", cures=(RAISE,))
    lines = said(result(cured, finding("joint 2", 8.0, "fails")))
    assert "not as it stands: the joint bends a lot" in lines[2]
    assert lines[2].endswith("and 1 more")


@pytest.mark.parametrize("width", [60, 110])
def test_a_configuration_takes_a_dozen_lines_at_most_each_within_the_width(width: int) -> None:
    many = [finding(f"joint {n}", 9.0, "fails", remedy="Do it. " * 40) for n in range(30)]
    lines = said(result(*many), width=width)
    begin, end = 2, lines.index("", 2)
    assert end - begin <= MOST_LINES
    assert all(len(line) <= width for line in lines)
    shown = sum(line.startswith("  fails") for line in lines)
    assert shown >= 2
    first = next(n for n, line in enumerate(lines) if line.startswith("  fails"))
    assert {line[:9] for line in lines[first : end - 1]} <= {"  fails  ", "  do     ", " " * 9}
    assert lines[end - 1].startswith(f"  {30 - shown} more, 0 to watch, 0 passed: ")


@pytest.mark.parametrize("how", [first_lines, all_lines])
def test_readings_taken_as_exact_are_said_to_bring_no_cures(how) -> None:
    told = "Readings taken as exact: nothing says how sure, and no cure is tried, as none could be"
    exact = said(result(finding("joint 1", 9.0, "fails"), weighed=None), how=how)
    assert exact[1].startswith(told)
    assert not any(told in line for line in said(result(finding("joint 1", 9.0, "fails")), how=how))


def test_what_is_doubted_is_said_to_stop_cures() -> None:
    doubted = replace(ONE.configuration, doubted=("output.slope", "travel.bump"))
    found = finding("joint 1", 9.0, "fails")
    lines = said(result(found, of=replace(ONE, configuration=doubted)), width=200)
    assert lines[1].strip() == (
        "No cure is tried before what is doubted was read again. "
        'If it is right, write at the top: read_again = "output.slope, travel.bump"'
    )
    assert lines[1] not in said(result(found), width=200)
    scene = show_scene.scene(doubted, read_again=("bearing.1.up", "travel.bump"))
    told = first_lines(scene, [result(found, of=replace(ONE, configuration=doubted))])
    kept = 'read_again = "bearing.1.up, travel.bump, output.slope"'  # one line takes them all
    assert kept in " ".join(line.strip() for line in told)


def test_only_the_configurations_that_are_doubted_are_said_to_get_no_cure() -> None:
    of = replace(ONE, configuration=replace(ONE.configuration, doubted=("output.slope",)))
    lines = said(result(finding("joint 1", 9.0, "fails"), of=of), result(of=TWO), width=200)
    (told,) = (line.strip() for line in lines if "No cure is tried" in line)
    assert told.startswith(f"No cure is tried for {ONE.configuration.name} before what is")


def test_what_is_doubted_is_to_be_read_again_before_all_else() -> None:
    doubted = replace(ONE.configuration, doubted=("output.slope", "bearing.1.up"))
    of = replace(ONE, configuration=doubted)
    (do,) = (x for x in said(result(finding("joint 1", 9.0, "fails"), of=of)) if "  do " in x)
    assert do == "  do     Read output.slope and bearing.1.up again."
    reading = finding("output.slope", 9.0, "fails", cause="contradiction")
    (do,) = (line for line in said(result(reading, of=of)) if "  do " in line)
    assert do == "  do     Straighten it."


@pytest.mark.parametrize(
    ("count", "nearest", "told"),
    [(2, None, ""), (3, None, "1 more to do, "), (3, RAISE, "")],
)
def test_what_there_is_to_do_beyond_the_lines_is_counted(count: int, nearest, told: str) -> None:
    """What comes nearest cures all: beside it nothing is left to do."""
    cures = [replace(RAISE, changes=(f'bearing.{k}.up = "534 mm"',)) for k in range(count)]
    asked = [finding(f"joint {k}", 9.0, "fails", cures=(cure,)) for k, cure in enumerate(cures)]
    left = [finding("pinion", 9.0, "fails", nearest=replace(RAISE, leaves="joint 1"))]
    lines = said(result(*asked, *(left if nearest else ())))
    assert f"  {told}0 to watch, 0 passed: halfturn check --all" in lines
    assert sum(" do " in line for line in lines) == (1 if nearest else 2)


def test_what_no_change_cures_is_said_before_the_cure_of_another_part() -> None:
    worst = finding("joint 1", 9.0, "fails", tried=("bearing 1", "the pinion"))
    lines = said(result(worst, finding("joint 2", 8.0, "fails", cures=(RAISE,))))
    do = [line for line in lines if line.startswith("  do ")]
    assert do[0] == (
        "  do     For joint 1: no change found that holds and leaves no more to watch; tried: "
        "bearing 1, the pinion."
    )
    assert do[1].startswith(
        "  do     For joint 2: hang bearing 1 3 mm higher (only to be sure). Write"
    )


LEAVES = Cure(
    does="hang bearing 1 9 mm lower and wedge the pinion",
    says="Hang bearing 1 9 mm lower; wedge the pinion.",
    changes=('bearing.1.up = "522 mm"', 'pinion.nose_up = "1 deg"'),
    leaves="joint 2 is dead straight",
)


def test_what_cures_all_but_leaves_more_to_watch_stands_before_what_cures_a_part() -> None:
    worst = finding("joint 1", 9.0, "fails", tried=("bearing 1",), nearest=LEAVES)
    part = finding("joint 2", 8.0, "fails", cures=(RAISE,))
    lines = said(result(worst, part), width=400)
    assert [line for line in lines if line.startswith("  do ")] == [
        "  do     No change found that cures all. Nearest: hang bearing 1 9 mm lower; wedge the "
        'pinion; it leaves to watch: joint 2 is dead straight. Write bearing.1.up = "522 mm", '
        'pinion.nose_up = "1 deg"'
    ]
    assert advice_words(worst) == (
        "No change found that holds and leaves no more to watch; tried: bearing 1. "
        "Nearest: hang bearing 1 9 mm lower; wedge the pinion; it leaves to watch: joint 2 is "
        'dead straight. Write bearing.1.up = "522 mm", pinion.nose_up = "1 deg"'
    )


def test_of_unsound_layouts_the_one_that_can_be_cured_at_a_watch_comes_nearest() -> None:
    """Even where its failure is the graver one."""
    near = finding("joint 1", 9.0, "fails", tried=("x",), nearest=LEAVES, severity=9)
    far = result(finding("joint 1", 9.0, "fails", severity=1), of=TWO)
    first = said(result(near), far, width=400)[1]
    one = ONE.configuration.name
    needs = f"{LEAVES.does}, which leaves to watch: joint 2 is dead straight."
    assert first == f"None is sound yet. {one} comes nearest if you {needs}"
    sound = said(result(near), result(of=TWO), width=400)[1]
    assert sound.endswith(f"; {one} is not sound unless you {needs}")


def test_an_open_question_without_a_cure_says_what_to_read_again() -> None:
    again = Repeat(
        reading="output.slope",
        text="4 ± 0.5 deg",
        status="measured",
        share=0.9,
        narrowed=0.4,
        agreed=0.97,
    )
    left = finding(
        "joint 1", 2.9, "cannot be told", at_worst="fails", probability=0.8, between=(2.4, 3.4),
        tried=("bearing 1",), repeats=(again,),
    )  # fmt: skip
    (do,) = (line for line in said(result(left), width=400) if line.startswith("  do "))
    assert do == (
        "  do     Read output.slope (4 ± 0.5 deg) again: ± 0.50 deg would narrow to ± 0.40 deg; "
        "if it reads the same, passes in 97 %"
    )


def test_what_a_part_of_a_cure_cures_is_named_beside_it() -> None:
    more = replace(RAISE, says="Raise it; wedge.", changes=(*RAISE.changes, "pinion.nose_up = 1"))
    found = [
        finding("spline", 1.0, "fails", rule="bottoming", cures=(RAISE,)),
        finding("shaft 1", 9.0, "fails", rule="yoke phase", tried=("the pinion",)),
        finding("joint 1", 9.0, "fails", cures=(more,)),
    ]
    do = [line for line in said(result(*found), width=200) if line.startswith("  do ")]
    assert do == ["  do     For spline and joint 1: raise it; wedge. Write "
                  'bearing.1.up = "534 mm", pinion.nose_up = 1']  # fmt: skip


@pytest.mark.parametrize("verdict", ["fails", "watch"])
def test_a_cure_of_one_of_two_that_fail_on_a_part_is_named_by_its_finding(
    verdict: Verdict,
) -> None:
    """Beside one that is only to watch it need not be."""
    found = [
        finding("pinion", 9.0, "fails", tried=("the pinion",)),
        finding("joint 1", 9.0, verdict, rule="other"),
        finding("joint 1", 9.0, "fails", rule="mechanical limit", what="It binds", cures=(RAISE,)),
    ]
    do = [line for line in said(result(*found), width=200) if line.startswith("  do ")]
    told = " (it binds)" if verdict == "fails" else ""
    assert do[1].startswith(f"  do     For joint 1{told}: hang bearing 1 3 mm higher")


def test_the_cure_of_what_stands_under_a_headline_says_whose_it_is() -> None:
    worst = finding("joint 1", 9.0, "fails", tried=("bearing 1",))
    under = finding("pinion", 8.0, "fails", cures=(RAISE,), under=worst.rule)
    do = [line for line in said(result(worst, under), width=200) if line.startswith("  do ")]
    assert do[0].startswith("  do     For joint 1: no change found")
    assert do[1].startswith("  do     For pinion: hang bearing 1 3 mm higher")
    # of two on one part, one without a cure, each is named: else the lines contradict one another
    bends = finding("joint 1", 8.0, "fails", cures=(RAISE,), under=worst.rule, what="It binds")
    do = [line for line in said(result(worst, bends), width=200) if line.startswith("  do ")]
    assert do[0].startswith("  do     For joint 1 (the joint bends a lot): no change found")
    assert do[1].startswith("  do     For joint 1 (it binds): hang bearing 1 3 mm higher")


@pytest.mark.parametrize(("severity", "told"), [(9, True), (8, False)])
def test_good_to_build_tells_what_would_rub_through(severity: int, told: bool) -> None:
    rubs = finding("shaft 2 to tank", 9.0, "watch", severity=severity, what="It touches")
    more = "but it touches" if told else ""
    lines = said(result(rubs), result(finding("joint 1", 9.0, "fails"), of=TWO), width=300)
    one = ONE.configuration.name
    assert lines[1].startswith(f"Build {one}: nothing on it fails or is open{', ' * told}{more}")
    alone = next(line for line in lines if line.startswith(f"{one}: "))
    assert alone.startswith(f"{one}: good to build{', ' * told}{more}")
    assert ("shaft 2 to tank 9.00 deg" in alone) == told


@pytest.mark.parametrize("touches_after", [True, False])
def test_good_if_tells_what_would_rub_through_once_the_cures_are_carried_out(
    touches_after: bool,
) -> None:
    """What is found as it stands does not count: the cures may mend it, or bring it about."""
    rubs = finding("shaft 2 to tank", -7.5, "watch", severity=9, what="It touches", limit=0.0)
    clear = finding("shaft 2 to tank", 4.0, "passes", severity=9, what="It is clear", limit=0.0)
    before, after = (clear, rubs) if touches_after else (rubs, clear)
    done = replace(result(before).findings, findings=(finding("joint 1", 1.0, "passes"), after))

    def cured_by(cure: Cure) -> Result:
        made = result(finding("joint 1", 9.0, "fails", cures=(cure,)), before)
        return replace(made, findings=replace(made.findings, after=done))

    one, less = cured_by(RAISE), cured_by(replace(RAISE, limits_use=True))
    lines = said(one, result(finding("joint 1", 9.0, "fails"), of=TWO), width=300)
    value = "shaft 2 to tank −7.50 deg, at most 0.00 deg"
    then = f"; even then it touches at 58 mm droop, at rest ({value})"
    name, does = ONE.configuration.name, RAISE.does
    assert f"{name}: good if you {does}{then * touches_after}" in lines
    assert lines[1].startswith(f"The one to build is {name}, if you {does}{then * touches_after};")
    better = said(one, result(finding("joint 1", 1.0, "passes"), of=TWO), width=400)[1]
    assert better.endswith(f"; {name} is good only if you {does}{then * touches_after}.")
    slower = said(less, result(finding("joint 1", 9.0, "fails"), of=TWO), width=400)[1]
    assert slower.endswith(f"; {name} is, if you {does}{then * touches_after}.")
    record = summary_json(show_scene.scene(one.configuration), [one], [])
    assert bool(record["configurations"][0]["even_then"]) == touches_after


def test_a_cure_that_limits_use_never_makes_a_layout_the_one_to_build() -> None:
    slower = Cure(
        does="keep to 60 km/h",
        says="Keep to 60 km/h.",
        changes=('vehicle.top_speed = "60 km/h"',),
        limits_use=True,
    )
    less = result(finding("joint 1", 9.0, "fails", cures=(slower,)))
    more = result(finding("joint 1", 9.0, "fails", cures=(RAISE,)), of=TWO)
    one, two = (r.configuration.name for r in (less, more))
    first = said(less, more, width=400)[1]
    assert first.startswith(
        f"The one to build is {two}, if you hang bearing 1 3 mm higher; {one} is"
    )
    alone = said(less, result(finding("joint 1", 9.0, "fails"), of=TWO), width=400)[1]
    assert alone == (
        f"None is sound for all that the vehicle does; {one} is, if you keep to 60 km/h."
    )


def test_advice_is_what_holds_each_with_its_lines_or_the_remedy_and_what_was_tried() -> None:
    longer = Cure(does="b", says="Shorten it.", changes=("spline.gap = 45", "shaft.1 = 2"))
    cured = finding("joint 1", 9.0, "fails", cures=(RAISE, longer), tried=("the pinion",))
    assert advice_words(cured) == (
        'Hang bearing 1 3 mm higher (only to be sure). Write bearing.1.up = "534 mm" '
        "Shorten it. Write spline.gap = 45, shaft.1 = 2"
    )
    joint = Where(kind="joint", number=1)
    for as_read in (None, "passes", "watch"):
        watched = finding("joint 1", 9.0, as_read=as_read, part=joint)
        assert advice_words(watched) == "Straighten it."
    vain = finding("joint 1", 9.0, tried=("bearing 1", "the pinion"))
    assert advice_words(vain) == (
        "No change found that holds and leaves no more to watch; tried: bearing 1, the pinion. "
        "Not tried: the output's place, ride height, other joints, one shaft more."
    )
    comes_near = advice_words(replace(vain, nearest=replace(RAISE, leaves="a rattle")))
    assert "Not tried" not in comes_near
    kept = "It keeps its limit as read: take closer readings before anything is moved."
    for as_read, advice in (("passes", kept), ("watch", kept), ("fails", "")):
        asked = finding("joint 1", 2.9, "cannot be told", as_read=as_read, part=joint)
        assert advice_words(asked) == (advice or "Straighten it.")
        assert advice_words(replace(asked, cures=(RAISE,))).startswith("Hang bearing 1")
        tried = advice_words(replace(asked, tried=("bearing 1",)))
        assert tried.startswith(f"{advice} No change".strip())
        assert advice_words(replace(asked, part=None)) == "Straighten it."
        closer = advice_words(replace(asked, telling=("output.slope (4 ± 1 deg)", "pinion.up (9)")))
        read = "ead output.slope (4 ± 1 deg) and pinion.up (9) closer"
        assert closer == (
            f"It keeps its limit as read: r{read} before anything is moved."
            if advice
            else f"R{read}: nothing spreads it more."
        )
    both = [finding(f"joint {n}", 9.0, "fails", cures=(RAISE,)) for n in (1, 2)]
    lines = said(result(finding("shaft 1", 9.9, "fails"), *both), width=200)
    assert any("do     For joint 1 and joint 2: hang bearing 1" in line for line in lines)


def test_a_dozen_lines_of_110_columns_are_filled() -> None:
    many = [finding(f"joint {n}", 9.0, "fails") for n in range(30)]
    lines = said(result(*many))
    assert (WIDTH, MOST_LINES) == (110, 12)
    assert lines.index("", 2) - 2 == 12


def test_of_one_grade_of_severity_fewer_failures_come_nearer() -> None:
    two = [finding(f"joint {n}", 9.0, "fails", severity=8.2, rule=str(n)) for n in (1, 2)]
    one = result(finding("joint 1", 9.0, "fails", severity=8.9), of=TWO)
    assert f"{TWO.configuration.name} comes nearest" in said(result(*two), one, width=400)[1]


def test_of_what_is_good_the_one_with_least_to_watch_is_built_and_equals_are_named() -> None:
    watch = tuple(finding(f"joint {n}", 4.0, rule=str(n)) for n in range(3))
    third = replace(TWO, configuration=replace(TWO.configuration, name="third"))
    one, two = ONE.configuration.name, TWO.configuration.name

    def first(*found: int) -> str:
        shown = zip((ONE, TWO, third), found, strict=False)
        return said(*(result(*watch[:n], of=of) for of, n in shown), width=400)[1]

    assert first(1, 3, 2) == f"Build {one}; it leaves 1 thing to watch, the next 2."
    assert first(1, 1, 1) == f"Build {one}; {two} and third would do as well."
    assert first(1, 2, 1) == f"Build {one}; third would do as well."


def test_of_what_is_good_alike_the_one_with_fewest_checks_near_their_limits_is_built() -> None:
    near = tuple(finding(f"joint {n}", 2.9, "passes", near=True, rule=str(n)) for n in range(3))
    watch = finding("joint 9", 4.0)
    one, two = ONE.configuration.name, TWO.configuration.name

    def first(of_one: int, of_two: int) -> str:
        results = result(watch, *near[:of_one], of=ONE), result(watch, *near[:of_two], of=TWO)
        return said(*results, width=400)[1]

    assert first(3, 1) == f"Build {two}; 1 of its checks is near its limit, of the next 3."
    assert first(2, 3) == f"Build {one}; 2 of its checks are near their limits, of the next 3."
    assert first(2, 2) == f"Build {one}; {two} would do as well."


def test_what_is_open_grades_a_configuration_by_its_chance() -> None:
    for chance, grade in ((0.9, "good if"), (0.0, "not"), (0.4, "not")):
        still_open = finding("joint 1", 2.9, "cannot be told", probability=chance, what="It fits?")
        found = outlook_of(result(still_open), "metric")
        assert found.grade == grade
    # percentages stand in --all only
    assert found.why == "it is not likely that it fits (joint 1 2.90 deg, at most 3.00 deg)"


@pytest.mark.parametrize(("how", "count"), [(first_lines, 4), (first_lines, 3), (all_lines, 5)])
def test_three_doubts_stand_above_everything_and_the_others_only_with_all(how, count) -> None:
    doubts = tuple(f"Reading {n} is out of the usual" for n in range(count))
    scene = show_scene.scene(ONE.configuration, doubts=doubts)
    lines = list(how(scene, [result()]))
    shown = doubts if how is all_lines else doubts[:3]
    assert lines[1 : 1 + len(shown)] == [f"  doubt  {doubt}" for doubt in shown]
    assert lines[0] == "Yard truck, judged by two-piece service"
    assert [line for line in lines if "more doubts" in line] == (
        ["1 more doubts: halfturn check --all"] if count == 4 else []
    )


def test_all_ends_with_whirl_other_sets_and_how_far_both_routes_agree() -> None:
    whirl = CriticalSpeed(
        shaft=1, length=1.0, speed=100 * 2 * math.pi, road_speed=50.0, safe_road_speed=35.0,
        half_road_speed=25.0, formula="a handbook",
    )  # fmt: skip
    agreed = Agreement(
        configuration="one", joint_angle=math.radians(0.0002), slip=0.00003, speed_ratio=4e-6,
        fluctuation=0.0, closure_gap=0.0, step=0.0, steps=1, heights=5, cases=("no torque",),
        states=17, engine="", settings={},
    )  # fmt: skip
    one = result(finding("joint 1", 4.0))
    one = replace(
        one,
        agreement=agreed,
        configuration=replace(one.configuration, differences=("bearing.1.up is 534 mm",)),
        findings=replace(one.findings, notes=("The axle wraps far.",)),
        measurements=replace(one.measurements, critical_speeds=(whirl,)),
    )
    lines = said(one, how=all_lines, width=200)
    assert "  new    bearing.1.up is 534 mm" in lines
    assert "  note   The axle wraps far." in lines
    begins = [line.split()[:2] for line in lines if line.startswith("        ")]
    # 100 turns a second are 6000 rpm; 35 and 50 m/s are 126 and 180 km/h; the rest by the powers.
    assert (
        "         shaft 1: 0.70 of its critical speed at 126 km/h, critical at 180 km/h "
        "(6000 rpm), by a handbook"
    ) in lines
    assert lines[-2] == (
        "         confirmed by rigid bodies within 0.0002 deg of joint angle, 0.03 mm of slip, "
        "4e-06 of speed ratio (17 states)"
    )
    sets = [other.name.split()[0] for other in one.findings.other_sets]
    assert [first for first, _ in begins if first in sets] == sets


@pytest.mark.parametrize(
    ("first", "second", "expected"),
    [
        ((), (), "Build {one}; {two} would do as well."),
        ((finding("joint 1", 4.0),), (), "Build {two}; it leaves 0 things to watch, the next 1."),
        (
            (finding("joint 1", 9.0, "fails"),),
            (finding("joint 1", 4.0),),
            "Build {two}: nothing on it fails or is open; {one} is not sound: the joint bends a "
            "lot (joint 1 9.00 deg, at most 3.00 deg).",
        ),
        (
            (finding("joint 1", 9.0, "fails"), finding("joint 2", 9.0, "fails")),
            (finding("joint 1", 8.0, "fails"),),
            "None is sound yet. {two} comes nearest: the joint bends a lot (joint 1 8.00 deg, at "
            "most 3.00 deg).",
        ),
        (
            (finding("joint 1", 9.0, "fails", cures=(RAISE,)),),
            (finding("joint 1", 8.0, "fails"),),
            "The one to build is {one}, if you hang bearing 1 3 mm higher; {two} is not sound: "
            "the joint bends a lot (joint 1 8.00 deg, at most 3.00 deg).",
        ),
    ],
)
def test_of_several_the_one_to_build_is_named_first_of_all(first, second, expected) -> None:
    lines = said(result(*first), result(*second, of=TWO), width=400)
    names = {"one": ONE.configuration.name, "two": TWO.configuration.name}
    assert lines[1] == expected.format(**names)


def test_of_what_fails_the_least_grave_comes_nearest() -> None:
    grave = result(finding("shaft 1", 9.0, "fails", severity=8.2))
    mild = result(
        finding("joint 1", 9.0, "fails", severity=3.5),
        finding("joint 2", 9.0, "fails", severity=3.1, rule="another"),
        of=TWO,
    )
    assert f"{TWO.configuration.name} comes nearest" in said(grave, mild, width=400)[1]


def test_what_is_open_under_a_headline_keeps_its_question_mark() -> None:
    still_open = finding("joint 2", 2.9, "cannot be told", what="The pair cancels?", rule="pair",
                         under="universal joint")  # fmt: skip
    lines = said(result(finding("joint 1", 9.0, "fails"), still_open), width=200)
    assert lines[3].endswith("; also the pair cancels? (joint 2 2.90 deg)")


def test_everything_counts_the_lines_that_follow_and_names_sources() -> None:
    found = [
        finding("joint 1", 9.0, "fails"),
        finding("joint 2", 4.0),
        finding("joint 3", 4.0),
        finding("joint 4", 1.0, "passes"),
    ]
    lines = said(result(*found), how=all_lines)
    assert "  1 fails, 0 open, 2 watch, 1 passed" in lines
    for tag, count in (("fails", 1), ("open", 0), ("watch", 2)):
        assert sum(line.startswith(f"  {tag} ") for line in lines) == count
    assert sum("nobody" in line for line in lines) == 3
    assert all(len(line) <= WIDTH for line in lines)


@pytest.mark.parametrize("how", [first_lines, all_lines])
def test_an_inch_scene_is_told_without_metric_road_speeds_or_lengths(how) -> None:
    # Remedies and notes speak the units of the configuration, and the samples are metric; a source
    # its own.
    bare = [replace(r, findings=replace(r.findings, notes=())) for r in (ONE, TWO)]
    results = [
        result(*(replace(f, remedy="", source="") for f in r.findings.findings), of=r) for r in bare
    ]
    text = "\n".join(said(*results, how=how, display="inch"))
    # The formula of the critical speed is for millimeters, and says so.
    assert not re.search(r"\d (km/h|mm|N m)\b", text)


def test_states_are_told_as_at_and_never_as_in() -> None:
    text = "\n".join(said(ONE, TWO, how=all_lines))
    assert " at ride height" in text
    assert not re.search(r"\bin (full|ride height|loaded|empty|\d+ mm (droop|bump))", text)


def test_colors_are_left_to_the_terminal_and_no_line_grows_by_them() -> None:
    scene = show_scene.scene(ONE.configuration)
    bad = result(finding("joint 1", 9.0, "fails"))
    plain = list(first_lines(scene, [bad]))
    inked = list(first_lines(scene, [bad], WIDTH, lambda meaning, text: f"<{meaning}>{text}</>"))
    assert [re.sub(r"<[^>]*>", "", line) for line in inked] == plain
    assert any("<fails>fails</>" in line for line in inked)


@pytest.mark.parametrize("verdict", ["watch", "passes"])
def test_what_is_shown_of_other_states_stands_beside_the_finding(verdict: Verdict) -> None:
    launch = replace(DROOP, height="loaded", case="hard launch")
    found = finding("pinion", 2.0, verdict, shown=(Shown(state=launch, value=8.0),))
    words = "Beside it: 8.00 deg at height “loaded”, hard launch"
    scene, one = show_scene.scene(ONE.configuration), result(found)
    assert (f"{words}." in " ".join(said(one, how=all_lines, width=200))) == (verdict == "watch")
    chapter = chapter_of(one, METRIC)
    row = chapter.cards[0].state if verdict == "watch" else str(chapter.passed.rows)
    assert words in row
    (told,) = summary_json(scene, [one], [])["configurations"][0]["findings"]
    (beside,) = told["beside"]
    assert (beside["state"], beside["value"]["value"]) == ("loaded, hard launch", 8.0)


def test_what_was_not_sampled_says_why() -> None:
    found = [
        finding("joint 1", 1.0, "passes", not_sampled="too long"),
        finding("joint 2", 4.0, not_sampled="too long"),
        finding("pinion", 4.0, rule="other", not_sampled="of itself"),
        finding("joint 3", 4.0, rule="sampled", probability=0.0),
    ]
    one = result(*found)
    tables = {table.title: table for table in chapter_of(one, METRIC).tables}
    assert set(tables["Not sampled, judged as read"].rows) == {
        ("universal joint", "joint 1, joint 2", "too long"),
        ("other", "pinion", "of itself"),
    }
    lines = [line.strip() for line in said(one, how=all_lines, width=200)]
    assert "Judged as read, not by samples (too long): universal joint" in lines
    assert "Judged as read, not by samples (of itself): other" in lines
    (told,) = summary_json(show_scene.scene(ONE.configuration), [one], [])["configurations"]
    assert [f["not_sampled"] for f in told["findings"]] == [f.not_sampled for f in found]
    exact = said(result(*found, weighed=None), how=all_lines, width=200)
    assert not [line for line in exact if "not by samples" in line]


def fields(kind: str) -> set[str]:
    """Return the documented fields of one kind of object."""
    chapter = GUIDE.read_text(encoding="utf-8").split("## For machines")[1].split("\n## ")[0]
    row = re.search(rf"^\| {kind} \| (.*) \|$", chapter, re.MULTILINE)
    assert row
    return set(re.findall(r"`(\w+)`", row[1]))


def test_machines_find_every_documented_field_and_no_other() -> None:
    scene = show_scene.scene(ONE.configuration, TWO.configuration)
    cured = result(finding("joint 1", 9.0, "fails", cures=(RAISE,)), of=TWO)
    told = json.loads(json.dumps(summary_json(scene, [ONE, cured], [])))
    one = told["configurations"][1]
    assert set(told) == fields("scene")
    assert set(one) == fields("configuration")
    for kind, name in (("length", "lengths"), ("gap", "gaps"), ("angle", "angles")):
        assert [set(item) for item in one[name]] == [fields(kind)] * len(one[name])
        assert one[name]
    (found,) = one["findings"]
    assert set(found) == fields("finding")
    assert [set(cure) for cure in found["cures"]] == [fields("cure")]
    assert found["nearest"] is None
    assert found["cures"][0]["changes"] == ['bearing.1.up = "534 mm"']
    assert found["cures"][0]["limits_use"] is False


def test_machines_get_amounts_in_si_and_as_the_reader_sees_them() -> None:
    scene = show_scene.scene(TWO.configuration, display="inch")
    short = finding("spline", 25.4, "fails", unit="mm", limit=50.8)
    (one,) = summary_json(scene, [result(short, of=TWO)], [])["configurations"]
    # 25.4 mm to the inch: international yard and pound, 1959
    assert one["findings"][0]["value"] == {"si": pytest.approx(0.0254), "value": 1.0, "unit": "in"}
    assert one["findings"][0]["limit"]["value"] == 2.0
    for k, gap in enumerate(one["gaps"]):
        state = [s for s in TWO.measurements.states if s.height][k]
        at = TWO.measurements.states.index(state)
        assert gap["gap"]["si"] == TWO.measurements.gap[at]
        assert gap["gap"]["value"] == pytest.approx(TWO.measurements.gap[at] / 0.0254, abs=1e-6)
    first = one["angles"][0]["joints"][0]
    assert (first["unit"], len(one["angles"][0]["joints"])) == ("deg", 3)
    assert first["value"] == pytest.approx(first["si"] * 180 / 3.141592653589793, abs=1e-6)
    assert not re.search(r"\d (km/h|mm)\b", json.dumps([f["state"] for f in one["findings"]]))


def test_the_next_command_is_named_by_what_the_best_layout_comes_to() -> None:
    sound = result(finding("joint 1", 2.0, "passes"))
    broken = result(finding("joint 1", 9.0, "fails"))
    cured = result(finding("joint 1", 9.0, "fails", cures=(RAISE,)))
    assert said(sound)[-2].startswith("Next: halfturn answer says what to build; then sheet")
    assert said(broken, replace(sound, configuration=TWO.configuration))[-2].startswith(
        "Next: halfturn answer"
    )
    assert "answer says what to build with the change carried out" in said(cured)[-2]
    assert said(broken)[-2].startswith("Next: halfturn design looks for a layout that is sound")
    as_read = result(finding("joint 1", 2.0, "passes"), weighed=None)
    assert not any("Next:" in line for line in said(as_read))
