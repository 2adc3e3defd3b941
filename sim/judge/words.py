"""Findings in plain sentences, in the units of the reader."""

from __future__ import annotations

import re
from typing import Literal

from sim.judge.findings import Finding, OtherSet

Display = Literal["metric", "inch"]

DECIMALS = {
    "deg": 2,
    "mm": 1,
    "in": 2,
    "km/h": 0,
    "mph": 0,
    "rad/s²": 0,
    "%": 2,
    "rpm·deg": 0,
    "rpm": 0,
    "N m": 0,
    "lbf ft": 0,
    "h": 0,
}
INCH = {"mm": ("in", 25.4), "km/h": ("mph", 1.609344), "N m": ("lbf ft", 1.3558179483)}


def amount(value: float, unit: str, display: Display = "metric") -> str:
    """Return a number with its unit as the reader wants it.

    Args:
        value: The number, in the unit.
        unit: A unit of findings ("deg", "mm", "km/h", "rad/s²", "%", "rpm·deg", "N m").
        display: "metric", or "inch" for inches, miles per hour and pound-feet.

    Returns:
        As in "8.80 deg", "−0.12 in", "122 km/h".

    Example:
        >>> amount(-13.1341, "mm")
        '−13.1 mm'
        >>> amount(25.4, "mm", "inch")
        '1.00 in'
    """
    if display == "inch" and unit in INCH:
        unit, size = INCH[unit]
        value = value / size
    text = f"{value:.{DECIMALS[unit]}f}".replace("-", "−")
    if not text.strip("−0."):
        text = text.removeprefix("−")
    return f"{text} {unit}"


def in_units(text: str, display: Display = "metric") -> str:
    """Return a text with the travel and the road speeds in it as the reader wants them.

    Args:
        text: The label of a state, or what was taken for a torque case, in mm and km/h.
        display: Units shown.

    Example:
        >>> in_units("54 mm droop, cruise, at 100 km/h", "inch")
        '2.13 in droop, cruise, at 62 mph'
    """
    if display == "metric":
        return text
    found = r"\b(\d+) (mm)(?= (?:droop|bump)\b)|(?<=at )(\d+) (km/h)"
    return re.sub(found, lambda m: amount(float(m[1] or m[3]), m[2] or m[4], display), text)


def assumed_in_units(text: str, display: Display = "metric") -> str:
    """Return a default that stands in for a reading as the reader wants it.

    Args:
        text: As a scene would write it, in mm where it is a length.
        display: Units shown.

    Example:
        >>> assumed_in_units("± 5 mm", "inch")
        '± 0.20 in'
    """
    if display == "metric":
        return text
    return re.sub(r"\b(\d+(?:\.\d+)?) mm\b", lambda m: amount(float(m[1]), "mm", display), text)


def at_state(state: str, display: Display = "metric") -> str:
    """Return where something happens: " at " and the state, or "" where no state causes it.

    Args:
        state: Its label; a height that only the scene names is set in quotes.
        display: Units of travel and road speed.

    Example:
        >>> at_state("54 mm droop, hard launch", "inch")
        ' at 2.13 in droop, hard launch'
        >>> at_state("loaded, at rest")
        ' at height “loaded”, at rest'
    """
    height, comma, rest = in_units(state, display).partition(", ")
    if not height:
        return ""
    known = re.search(r"\b(droop|bump|height|ride)\b", height)
    return f" at {height if known else f'height “{height}”'}{comma}{rest}"


def words(finding: Finding, display: Display = "metric") -> str:
    """Return a finding as one plain sentence with its state, limit and source.

    Args:
        finding: What to say.
        display: Units of lengths and road speeds.

    Returns:
        As in "The spline bottoms: spline −1.4 mm at full bump, hard launch; at least 0.0 mm (…)".
    """
    state = at_state(finding.state, display)
    value = amount(finding.value, finding.unit, display)
    return f"{finding.what}: {finding.where} {value}{state}; {limit_words(finding, display)}"


def limit_words(finding: Finding, display: Display = "metric") -> str:
    """Return the limit of a finding and its source, as in "at most 0.50 deg (…)".

    Args:
        finding: Whose limit.
        display: Units of lengths and road speeds.

    Returns:
        Relation, limit and source.
    """
    if finding.limit is None:
        return f"no limit ({finding.source})"
    return f"{finding.relation} {amount(finding.limit, finding.unit, display)} ({finding.source})"


def short(finding: Finding, display: Display = "metric") -> str:
    """Return a finding in few words, for one line on another rule set.

    Args:
        finding: What to say.
        display: Units of lengths and road speeds.

    Returns:
        As in "joint 1 0.30 deg is under 1.00 deg (Spicer J3311): fails".
    """
    if finding.limit is None:
        return f"{finding.where} {amount(finding.value, finding.unit, display)}: {finding.verdict}"
    kept = "keeps" if finding.verdict == "passes" else None
    side = kept or ("is over" if finding.relation == "at most" else "is under")
    return (
        f"{finding.where} {amount(finding.value, finding.unit, display)} {side} "
        f"{amount(finding.limit, finding.unit, display)} ({finding.source.split(':')[0]}): "
        f"{finding.verdict}"
    )


def other_set_words(other: OtherSet, display: Display = "metric") -> str:
    """Return one line on what another rule set says, led by what sets it apart.

    Args:
        other: What it says.
        display: Units of lengths and road speeds.

    Returns:
        As in "heavy truck: fails 1, watch 7, passes 47; unlike two-piece service: joint 1 0.26 deg is …".
    """
    counts = f"fails {other.fails}, watch {other.watch}, passes {other.passes}"
    line = f"{other.name}: {counts}"
    if other.stricter is not None:
        return f"{line}; unlike {other.chosen}: {short(other.stricter, display)}"
    if other.milder is not None:
        part, value = other.milder.where, amount(other.milder.value, other.milder.unit, display)
        return f"{line}; milder than {other.chosen} on {part} {value}"
    return f"{line}; the same as {other.chosen}"
