"""What may have been meant by a key that is none, and how a missing one is written."""

from __future__ import annotations

import difflib
import functools
from collections.abc import Sequence

from sim.display import DisplayName
from sim.scene.table import table_at
from sim.scene.tables.setup import Setup
from sim.scene.text import Path, Tables
from sim.scene.words import NUMBERED, TOP

MEANT = {  # our keys, and the words that people write for them
    "outside": "od diameter outer_diameter dia inside",
    "wall": "thickness wall_thickness",
    "aft": "x station rear",
    "right": "y offset",
    "up": "z height",
    "slope": "angle pitch",
    "plan_angle": "yaw",
    "axle_ratio": "gear_ratio ratio",
    "tire_radius": "tyre_radius",
    "nose_up": "wedge shim",
    "droop": "rebound",
    "bump": "jounce",
    "kind": "type",
    "title": "name",
    "engaged": "engagement",
    "spline": "slip",
    "teeth": "tooth tooth_count",
    "bearing": "carrier",
    "joint": "yoke u_joint",
    "shaft": "driveshaft",
    "like": "based_on base inherits from_configuration",
    "about": "note description",
    "engine_cut_off": "redline",
    "tire_grip": "mu grip",
    "phase": "phasing",
    "to_joint": "stub",
    "wrap_control": "traction_bar",
    "display": "units",
    "road_speed": "speed",
}
SYNONYMS = {word: key for key, words in MEANT.items() for word in words.split()}
FOLLOWS = {  # keys that people write, and that follow from others
    "wheelbase": "the place of [axle] says it",
    "ground_height": "it follows from [axle] and tire_radius",
    "pieces": "the shafts are counted",
    "center": "write aft, right and up themselves",
    "centre": "write aft, right and up themselves",
    "position": "write aft, right and up themselves",
    "joint_angle": "it is computed from the slopes and places",
    "critical_speed": "it is computed from tube and length",
    "datum": "it stands at the top of the file, for all places",
}


def suggest(key: str, here: Sequence[str]) -> str:
    """Return what may have been meant by a key that is not known, of those that its table has."""
    lower = key.lower().replace("-", "_")[:60]
    word = SYNONYMS.get(lower, "")
    close = difflib.get_close_matches(lower, here, 1, 0.6)
    for meant in (lower, word):
        if meant in here:
            return f"did you mean {meant}?"
    if lower in FOLLOWS:
        return FOLLOWS[lower]
    if close:
        return f"did you mean {close[0]}?"
    if lower in Setup.declared() and lower != "series":
        return f"{lower} is a table of its own: write it above this header, or under its own"
    home = _homes().get(lower) or _homes().get(word)
    return f"it belongs {home}" if home else "known here: " + ", ".join(here[:14])


@functools.cache
def _homes() -> dict[str, str]:
    """Return where each key belongs, in words."""
    homes: dict[str, str] = {}
    for name, outer in Setup.declared().items():
        where = f"in {name}.1" if name in NUMBERED else f"in [{name}]"
        for table in outer.tables():
            homes |= {key: where for key in table.declared() if key not in homes}
    top = "at the top of the file, above the first header"
    return homes | dict.fromkeys(TOP, top) | {"series": f"{top}, or in a configuration"}


def example_of(
    table: Path, key: str, tables: Tables, display: DisplayName = "metric"
) -> tuple[str, str]:
    """Return what a key means, and how it is written in the units of a reader; or "" twice."""
    found = (table_at(Setup, table, tables) or Setup).declared()[key]
    what = found.meaning.split(";")[0].split(":")[0].rstrip(".")
    return what[:1].lower() + what[1:], found.example(display)
