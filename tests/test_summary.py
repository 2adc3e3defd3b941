from __future__ import annotations

import re
from dataclasses import replace

import pytest
import show_scene

from sim.judge.findings import Finding, Verdict
from sim.show.result import Result
from sim.show.summary import summary_json, summary_lines

ONE, TWO = show_scene.results()
DROOP = replace(
    ONE.measurements.states[0], height="", case="no torque", travel=-0.058, roll=0.0
)  # 2.28 in: 25.4 mm to the inch


def finding(where: str, value: float, verdict: Verdict = "watch", **changes) -> Finding:
    """Return a finding on a joint, at most 3 deg."""
    known = {
        "rule": "universal joint", "verdict": verdict, "what": "The joint bends a lot",
        "where": where, "state": DROOP, "value": value, "limit": 3.0,
        "unit": "deg", "relation": "at most", "source": "nobody", "standing": "published",
        "meaning": "Wear.", "remedy": "Straighten it.", "severity": 5.0,
    }  # fmt: skip
    return Finding(**(known | changes))


def said(*findings: Finding, result: Result = ONE, display: str = "metric") -> list[str]:
    found = replace(result.findings, findings=findings)
    scene = show_scene.scene(result.configuration, display=display)
    return list(summary_lines(scene, [replace(result, findings=found)]))


def test_parts_to_watch_for_the_same_rule_share_a_line_the_worst_first() -> None:
    lines = said(finding("joint 3", 4.47), finding("joint 2", 4.22))
    assert [line for line in lines if "bends a lot" in line] == [
        "  watch  The joint bends a lot: joint 3 4.47 deg at 58 mm droop, no torque; also joint 2 "
        "4.22 deg"
    ]
    assert sum("nobody" in line for line in lines) == 1


@pytest.mark.parametrize(
    "other",
    [
        finding("joint 2", 4.22, limit=3.5),
        finding("joint 2", 4.22, rule="another"),
        finding("joint 2", 4.22, what="The joint bends too much"),
    ],
)
def test_what_is_not_alike_keeps_a_line_of_its_own(other: Finding) -> None:
    assert not [line for line in said(finding("joint 3", 4.47), other) if "also" in line]


def test_parts_that_fail_the_same_rule_each_keep_a_line_before_what_is_to_watch() -> None:
    two = finding("joint 1", 9.0, "fails"), finding("joint 2", 8.0, "fails")
    lines = [line for line in said(*two, finding("joint 3", 4.0)) if "bends a lot" in line]
    assert [line.split()[0] for line in lines] == ["fails", "fails", "watch"]


def test_each_configuration_ends_with_how_many_checks_passed() -> None:
    lines = said(finding("joint 1", 4.0), finding("joint 2", 1.0, "passes"))
    assert lines[-2] == "  1 check passed; see --json or the report"
    assert not [line for line in lines if "joint 2" in line]
    scene = show_scene.scene(ONE.configuration, TWO.configuration)
    ends = [line for line in summary_lines(scene, [ONE, TWO]) if line.endswith("the report")]
    assert len(ends) == 2


def test_an_inch_scene_is_told_without_metric_road_speeds_or_lengths() -> None:
    # A remedy speaks the units in which the vehicle was read, and the samples were not read.
    text = "\n".join(
        line
        for result in (ONE, TWO)
        for line in said(
            *(replace(found, remedy="") for found in result.findings.findings),
            result=result, display="inch",
        )
    )  # fmt: skip
    assert " mph" in text
    assert " in droop" in text
    # The formula of the critical speed is for millimeters, and says so.
    assert not re.search(r"\d (km/h|mm)\b", text)


def test_an_inch_scene_speaks_inches_to_machines_where_it_speaks_in_words() -> None:
    scene = show_scene.scene(ONE.configuration, TWO.configuration, display="inch")
    for told in summary_json(scene, [ONE, TWO], [])["configurations"]:
        words = [*told["other_sets"], *(found["state"] for found in told["findings"])]
        assert not [text for text in words if re.search(r"\d (km/h|mm)\b", text)]


def test_states_are_told_as_at_and_never_as_in() -> None:
    scene = show_scene.scene(ONE.configuration, TWO.configuration)
    text = "\n".join(summary_lines(scene, [ONE, TWO]))
    assert " at ride height, no torque" in text
    assert not re.search(r"\bin (full|ride height|loaded|empty|\d+ mm (droop|bump))", text)
