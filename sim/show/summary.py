"""What a command says: lines for people, and the same for machines.

Nothing is printed here.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict
from importlib.metadata import version
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from sim import __version__
from sim.display import amount
from sim.judge.findings import Finding, Sureness
from sim.judge.judge import ORDER
from sim.judge.sure_words import sure_lines
from sim.judge.words import (
    at_state,
    limit_words,
    other_set_words,
    state_words,
)
from sim.motion.torque import torque_loads
from sim.scene.parts import Scene
from sim.show.files import write_text
from sim.show.result import Result

if TYPE_CHECKING:
    from sim.measure.agreement import Agreement

_ENGINES = ("numpy", "scipy", "pybullet", "matplotlib", "manifold3d", "imageio-ffmpeg")


def summary_lines(scene: Scene, results: Sequence[Result]) -> Iterator[str]:
    """Yield what there is to say about a scene, a line each.

    Args:
        scene: The scene.
        results: One a configuration.
    """
    count = f"{len(results)} configuration{'s' if len(results) > 1 else ''}"
    yield f"{scene.title}: {count}, judged by {results[0].findings.rule_set}"
    yield from scene.doubts
    for result in results:
        yield ""
        yield from _configuration(scene, result)
    yield ""


def _configuration(scene: Scene, result: Result) -> Iterator[str]:
    """Yield the lines of one configuration."""
    found = result.findings.findings
    counts = [f"{sum(f.verdict == v for f in found)} {v}" for v in ORDER]
    yield f"{result.configuration.name}  ({', '.join(counts)})"
    for difference in result.configuration.differences:
        yield f"  changed: {difference}"
    for alike in _alike(found):
        yield from _finding(scene, alike)
    for speed in result.measurements.critical_speeds:
        rpm = speed.speed * 60 / (2 * np.pi)
        limit = result.configuration.limits.safe_share
        yield (
            f"  shaft {speed.shaft}: {limit:.2f} of its critical speed at "
            f"{_road(speed.safe_road_speed, scene)}, critical at {_road(speed.road_speed, scene)} "
            f"({rpm:.0f} rpm), by {speed.formula}"
        )
    for other in result.findings.other_sets:
        yield f"  {other_set_words(other, scene.display)}"
    if result.agreement is not None:
        yield f"  {_agreed(result.agreement)}"
    passed = sum(finding.verdict == "passes" for finding in found)
    yield f"  {passed} check{'s' * (passed != 1)} passed; see --json or the report"


def _alike(found: Sequence[Finding]) -> Iterator[list[Finding]]:
    """Yield what does not pass; parts to watch for the same rule and limit together, worst first.

    What fails or may fail keeps a place of its own, and stands before what is to watch.
    """
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for number, finding in enumerate(found):
        alone = finding.verdict != "watch"
        key = (number,) if alone else (finding.rule, finding.what, finding.limit)
        if finding.verdict != "passes":
            groups.setdefault(key, []).append(finding)
    yield from groups.values()


def _finding(scene: Scene, alike: Sequence[Finding]) -> Iterator[str]:
    """Yield the lines of one finding, and of its like on other parts."""
    finding, *others = alike
    colon = "" if finding.what.endswith("?") else ":"
    where = f"{_value(scene, finding)}{at_state(finding, scene.display)}"
    if others:
        where += f"; also {', '.join(_value(scene, other) for other in others)}"
    yield f"  {finding.verdict:6} {finding.what}{colon} {where}"
    yield f"         {limit_words(finding, scene.display)}. {finding.remedy}"
    for line in islice(sure_lines(finding, scene.display), 2):
        yield f"         {line}"


def _value(scene: Scene, finding: Finding) -> str:
    """Return a part with its value, as in "joint 2 4.22 deg"."""
    return f"{finding.where} {amount(finding.value, finding.unit, scene.display)}"


def _road(speed: float, scene: Scene) -> str:
    """Return a road speed in the scene's units."""
    return amount(speed * 3.6, "km/h", scene.display)


def _agreed(agreement: Agreement) -> str:
    """Return how far the two routes are apart, in one line."""
    return (
        "confirmed by rigid bodies within "
        f"{np.degrees(agreement.joint_angle):.1g} deg of joint angle, "
        f"{1000 * agreement.slip:.1g} mm of slip, {agreement.speed_ratio:.1g} of speed ratio "
        f"({agreement.states} states)"
    )


def summary_json(
    scene: Scene, results: Sequence[Result], files: Sequence[Path], troubles: Sequence[str] = ()
) -> dict[str, Any]:
    """Return verdicts and files for machines.

    Args:
        scene: The scene.
        results: One a configuration.
        files: Every file written.
        troubles: What could not be done, a sentence each.
    """
    return {
        "scene": scene.name,
        "title": scene.title,
        "doubts": list(scene.doubts),
        "configurations": [
            {
                "name": result.configuration.name,
                "rule_set": result.findings.rule_set,
                "fails": result.findings.fails,
                "may_fail": result.findings.may_fail,
                "findings": [_in_units(f, scene) for f in result.findings.findings],
                "other_sets": [
                    other_set_words(other, scene.display) for other in result.findings.other_sets
                ],
                "agreement": _agreement_json(result.agreement),
            }
            for result in results
        ],
        "files": [file.as_posix() for file in files],
        "not_done": list(troubles),
    }


def _in_units(finding: Finding, scene: Scene) -> dict[str, Any]:
    """Return a finding for machines; its state is words, in the scene's units."""
    return asdict(finding) | {"state": state_words(finding, scene.display)}


def write_run_record(
    scene: Scene,
    results: Sequence[Result],
    seconds: Mapping[str, float],
    troubles: Sequence[str],
    folder: Path,
) -> Path:
    """Write ``run.json``: what was run, with which versions and settings, how long it took.

    Args:
        scene: The scene.
        results: One a configuration.
        seconds: Wall time of every stage [s].
        troubles: What could not be done, a sentence each.
        folder: Where it belongs.

    Returns:
        The file written.
    """
    record = {
        "scene": scene.name,
        "scene_sha256": scene.digest,
        "rule_set": results[0].findings.rule_set,
        "versions": {"halfturn": __version__} | {name: version(name) for name in _ENGINES},
        "configurations": [_record(result) for result in results],
        "seconds": dict(seconds),
        "not_done": list(troubles),
    }
    return write_text(folder / "run.json", json.dumps(record, indent=1, ensure_ascii=False) + "\n")


def _record(result: Result) -> dict[str, Any]:
    """Return settings and agreement of one configuration."""
    limits = result.configuration.limits
    return {
        "name": result.configuration.name,
        "states": len(result.motion.states),
        "turn_angles": result.motion.turn_angle.shape[1],
        "settings": {
            "least_gap_mm": round(limits.gap * 1000, 6),
            "least_engaged_mm": round(result.configuration.spline.least_engaged * 1000, 6),
            "safe_share": limits.safe_share,
            "set_by_shop": sorted(limits.set_by_shop),
        },
        "torque_cases": [
            {
                "name": load.name,
                "wheel_torque_n_m": round(load.wheel_torque, 3),
                "shaft_torque_n_m": round(load.shaft_torque, 3),
                "basis": load.basis,
                "defaults": list(load.words),
            }
            for load in torque_loads(result.configuration)
        ],
        "assumed": [
            {"reading": reading.path, "text": reading.text}
            for reading in result.configuration.readings.values()
            if reading.status == "assumed"
        ],
        "how_sure": _sureness_json(result.findings.sureness),
        "agreement": _agreement_json(result.agreement),
    }


def _sureness_json(sureness: Sureness | None) -> dict[str, Any] | None:
    """Return how the verdicts were weighed; what each finding came to stands with the findings."""
    if sureness is None:
        return None
    return {
        "seed": sureness.seed,
        "samples": sureness.samples,
        "states": list(sureness.states),
        "share_of_samples_out_of_reach": sureness.lost,
        "not_exact": [
            {"reading": name, "text": text, "status": status}
            for name, text, status in sureness.sources
        ],
        "taken_as_exact": list(sureness.exact),
    }


def _agreement_json(agreement: Agreement | None) -> dict[str, Any] | None:
    """Return the agreement of the two routes with units in its keys."""
    if agreement is None:
        return None
    return {
        "joint_angle_deg": float(np.degrees(agreement.joint_angle)),
        "slip_mm": 1000 * agreement.slip,
        "speed_ratio": agreement.speed_ratio,
        "fluctuation_peak_to_peak": agreement.fluctuation,
        "closure_gap_mm": 1000 * agreement.closure_gap,
        "step_deg": float(np.degrees(agreement.step)),
        "heights": agreement.heights,
        "torque_cases": list(agreement.cases),
        "states": agreement.states,
        "engine": agreement.engine,
        "engine_settings": asdict(agreement.settings),
    }
