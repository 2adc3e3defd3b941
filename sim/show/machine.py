"""What a check says to machines: JSON with documented fields, in SI and in the reader's units.

The fields are listed in DEVELOPERS.md, "For machines".
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim import __version__
from sim.display import DEGREES, METRIC, READERS, DisplayName, Unit, display_of, to_si
from sim.judge.findings import Cure, Finding, Sureness
from sim.judge.words import other_set_words, state_words
from sim.motion.solve import TURN_ANGLES
from sim.motion.states import State
from sim.motion.torque import torque_loads
from sim.scene.parts import Scene
from sim.show.files import write_text
from sim.show.outlook import outlook_of
from sim.show.result import Result
from sim.show.which import which_to_build

if TYPE_CHECKING:
    from sim.world.agreement import Agreement

_ENGINES = ("numpy", "scipy", "pybullet", "matplotlib", "manifold3d", "imageio-ffmpeg")


def summary_json(
    scene: Scene, results: Sequence[Result], files: Sequence[Path], troubles: Sequence[str] = ()
) -> dict[str, Any]:
    """Return verdicts, numbers and files for machines.

    Args:
        scene: The scene.
        results: One a configuration.
        files: Every file written.
        troubles: What could not be done, a sentence each.
    """
    outlooks = [outlook_of(result, scene.display) for result in results]
    return {
        "scene": scene.name,
        "title": scene.title,
        "display": scene.display,
        "doubts": list(scene.doubts),
        "build": which_to_build(outlooks) if len(outlooks) > 1 else outlooks[0].sentence,
        "configurations": [_configuration(scene, result) for result in results],
        "files": [file.as_posix() for file in files],
        "not_done": list(troubles),
    }


def _configuration(scene: Scene, result: Result) -> dict[str, Any]:
    """Return what one configuration comes to."""
    findings, display = result.findings, scene.display
    outlook = outlook_of(result, display)
    return {
        "name": result.configuration.name,
        "rule_set": findings.rule_set,
        "grade": outlook.grade,
        "sentence": outlook.sentence,
        "even_then": outlook.even_then,
        "fails": findings.fails,
        "may_fail": findings.may_fail,
        "lengths": _lengths(result, display),
        "gaps": _gaps(result, display),
        "angles": _angles(result, display),
        "findings": [_finding(finding, display) for finding in findings.findings],
        "notes": list(findings.notes),
        "other_sets": [other_set_words(other, display) for other in findings.other_sets],
        "agreement": _agreement_json(result.agreement),
    }


def amount_json(value: float, unit: Unit) -> dict[str, Any]:
    """Return a number in SI and as a reader is shown it.

    Args:
        value: The number [SI unit].
        unit: In which it is shown.
    """
    return {"si": float(value), "value": round(unit.of(float(value)), 6), "unit": unit.name}


def _lengths(result: Result, display: DisplayName) -> list[dict[str, Any]]:
    """Return the lengths of every shaft: as built, and the longest while it turns."""
    m, unit = result.measurements, display_of(display).length
    return [
        {
            "shaft": built.shaft,
            "as_built": amount_json(built.length, unit),
            "longest_turning": amount_json(critical.length, unit),
            "bench_gap": None if built.bench_gap is None else amount_json(built.bench_gap, unit),
        }
        for built, critical in zip(m.as_built, m.critical_speeds, strict=True)
    ]


def _gaps(result: Result, display: DisplayName) -> list[dict[str, Any]]:
    """Return gap and engaged length of the spline in every named state."""
    m, unit = result.measurements, display_of(display).length
    return [
        _state(state, display)
        | {"gap": amount_json(m.gap[k], unit), "engaged": amount_json(m.engaged[k], unit)}
        for k, state in enumerate(m.states)
        if state.height
    ]


def _angles(result: Result, display: DisplayName) -> list[dict[str, Any]]:
    """Return the joint angles in every named state."""
    m = result.measurements
    return [
        _state(state, display)
        | {"joints": [amount_json(angle, DEGREES) for angle in m.joint_angle[k]]}
        for k, state in enumerate(m.states)
        if state.height
    ]


def _state(state: State, display: DisplayName) -> dict[str, Any]:
    """Return a state in words and in numbers."""
    shown = display_of(display)
    return {
        "state": state.say(display),
        "travel": amount_json(state.travel, shown.length),
        "torque_case": state.case,
    }


def _finding(finding: Finding, display: DisplayName) -> dict[str, Any]:
    """Return a finding: in words, in the unit of its rule, in SI and as a reader is shown it."""
    unit = READERS[display][finding.unit]

    def shown(value: float | None) -> dict[str, Any] | None:
        return None if value is None else amount_json(to_si(value, finding.unit), unit)

    return {
        "rule": finding.rule,
        "where": finding.where,
        "state": state_words(finding, display),
        "verdict": finding.verdict,
        "what": finding.what,
        "value": shown(finding.value),
        "limit": shown(finding.limit),
        "beside": [
            {"state": each.state.say(display), "value": shown(each.value)} for each in finding.shown
        ],
        "relation": finding.relation,
        "source": finding.source,
        "standing": finding.standing,
        "meaning": finding.meaning,
        "remedy": finding.remedy,
        "probability": finding.probability,
        "not_sampled": finding.not_sampled,
        "between": [shown(end) for end in finding.between] if finding.between else None,
        "as_read": finding.as_read,
        "at_worst": finding.at_worst,
        "near": finding.near,
        "under": finding.under,
        "repeats": [asdict(repeat) for repeat in finding.repeats],
        "telling": list(finding.telling),
        "only_watched": finding.only_watched,
        "cures": [_cure(cure) for cure in finding.cures],
        "tried": list(finding.tried),
        "nearest": finding.nearest and _cure(finding.nearest),
    }


def _cure(cure: Cure) -> dict[str, Any]:
    """Return a change that was carried out."""
    return {
        "says": cure.says,
        "changes": list(cure.changes),
        "limits_use": cure.limits_use,
        "leaves": cure.leaves,
    }


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
    from importlib.metadata import version  # takes long to load, and a check does without

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
    limits, spline = result.configuration.limits, result.configuration.spline
    return {
        "name": result.configuration.name,
        "states": len(result.measurements.numbers.states),
        "turn_angles": TURN_ANGLES,
        "settings": {
            "least_gap_mm": round(METRIC.length.of(limits.gap), 6),
            "least_engaged_mm": round(METRIC.length.of(spline.least_engaged), 6),
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
        "joint_angle_deg": float(DEGREES.of(agreement.joint_angle)),
        "slip_mm": 1000 * agreement.slip,
        "speed_ratio": agreement.speed_ratio,
        "fluctuation_peak_to_peak": agreement.fluctuation,
        "closure_gap_mm": 1000 * agreement.closure_gap,
        "step_deg": float(DEGREES.of(agreement.step)),
        "heights": agreement.heights,
        "torque_cases": list(agreement.cases),
        "states": agreement.states,
        "engine": agreement.engine,
        "engine_settings": asdict(agreement.settings),
    }
