"""Tightening torques from named general tables, by bolt and grade.

The data stand in ``fasteners.toml``.  The part's own figure wins; tables differ by 10 to 20 %, so a
torque is printed with the name of its table.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from sim.judge.findings import Standing
from sim.scene.quantity import parse
from sim.units import TORQUE

# Coarse pitches, ISO 261: "M12 x 1.75" is the same bolt as "M12".
_COARSE = {"M8": "1.25", "M10": "1.5", "M12": "1.75", "M14": "2", "M16": "2"}
_METRIC = re.compile(r"(M\d+)(?:\s*[x×]\s*(\d+(?:\.\d+)?))?", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoltTorque:
    """What one general table says of one bolt.

    Attributes:
        bolt: As in "M12" or "1/2-20".
        grade: As in "grade 8" or "class 10.9".
        table: Name of the table.
        condition: Of the threads, as in "dry" or "oiled"; "by its values" where only those tell.
        least, most: Torque [N m]; the same where the table has one value.
        standing, source: What the table is worth and where it is printed.
    """

    bolt: str
    grade: str
    table: str
    condition: str
    least: float
    most: float
    standing: Standing
    source: str


@cache
def bolt_torques() -> tuple[BoltTorque, ...]:
    """Return every torque of every general table, in the order of the file."""
    return tuple(
        BoltTorque(
            bolt=bolt,
            grade=grade,
            table=name,
            condition=table["condition"],
            least=_ends(torque)[0],
            most=_ends(torque)[1],
            standing=table["standing"],
            source=table["source"],
        )
        for name, table in _written()["table"].items()
        for grade, torques in table["grade"].items()
        for bolt, torque in torques.items()
    )


def torques_of(bolt: str) -> tuple[BoltTorque, ...]:
    """Return what the general tables say of a bolt; empty where none of them has it.

    Tables for one use alone, as for driveline flanges, are among them: their name says so.

    Args:
        bolt: As a scene writes it, as in "M12", "M12 x 1.75" or "1/2-20" [text]; a thread that
            no table has finds nothing, since its torque would be another one.

    Example:
        >>> [(t.table, t.grade, t.most) for t in torques_of("m12")][:2]
        [('SAE J1701M', 'class 8.8', 68.0), ('SAE J1701M', 'class 10.9', 94.0)]
    """
    name = _plain(bolt)
    return tuple(torque for torque in bolt_torques() if torque.bolt == name)


def _plain(bolt: str) -> str:
    """Return a bolt as the tables name it."""
    metric = _METRIC.fullmatch(bolt.strip())
    if metric is None:
        return "".join(bolt.split())
    name = metric[1].upper()
    coarse = metric[2] is None or float(metric[2]) == float(_COARSE.get(name, "0"))
    return name if coarse else f"{name} x {metric[2]}"


def _ends(text: str) -> tuple[float, float]:
    """Return both ends of a torque as written, "40 N m" or "35 to 48 N m" [N m]."""
    least, _, most = text.rpartition(" to ")
    high = parse(TORQUE, most)
    return (parse(TORQUE, f"{least} {high.unit}").value if least else high.value), high.value


@cache
def _written() -> dict[str, Any]:
    """Return what the file says."""
    text = files("sim").joinpath("judge", "fasteners.toml").read_text(encoding="utf-8")
    return tomllib.loads(text)
