"""The window of places for machines: JSON with documented fields."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.display import DisplayName, display_of
from sim.explore.place import Place, Window
from sim.explore.place_bounds import HANGING
from sim.explore.place_look import Rooms32
from sim.explore.rooms import FAR, Key
from sim.show.window import SIDES, limit_words


def window_json(
    windows: Sequence[Window],
    files: Sequence[Path] = (),
    written: str | None = None,
    complaints: str = "",
    not_done: Sequence[str] = (),
) -> dict[str, Any]:
    """Return windows for machines; the fields are listed in DEVELOPERS.md.

    Args:
        windows: One a bearing.
        files: Every file written.
        written: Name of the configuration that was appended to the scene, or None.
        complaints: What that one does to the complaints of the scene, or "".
        not_done: What could not be done, a sentence each.
    """
    return {
        "places": [_json(window) for window in windows],
        "written": written,
        "complaints": complaints,
        "files": [file.as_posix() for file in files],
        "not_done": list(not_done),
    }


def _json(window: Window) -> dict[str, Any]:
    """Return one window."""
    display = window.configuration.display
    looked = int(np.isfinite(window.rooms).all(axis=-1).sum())
    return {
        "configuration": window.configuration.name,
        "bearing": window.space.bearing,
        "space": {
            "from": _point(window.space.low, display),
            "to": _point(window.space.high, display),
            "written": window.space.brace is not None,
        },
        "states": [state.say(display) for state in window.looked.states],
        "read_again": list(window.configuration.doubted),
        "contradicts": window.looked.contradicts,
        "looked_at": looked,
        "open": int(window.open.sum()),
        "now": {"point": _point(window.space.now, display), "breaks": _broken(window, window.now)},
        "roomiest": _place(window, window.best),
        "on_holes": _place(window, window.on_brace),
        "reach": [
            {"way": name, "far": _amount(float(window.width[axis, end]), display)}
            | {"beyond": _key(window, window.ends[2 * axis + end])}
            for axis, names in enumerate(SIDES)
            for end, name in enumerate(names)
            if window.middle is not None
        ],
        "hanging": _amount(HANGING, display) | {"keeps": window.hangs},
        "in_the_way": [_key(window, key) for key in window.in_the_way],
    }


def _amount(value: float, display: DisplayName) -> dict[str, Any]:
    """Return a length in SI and as a reader is shown it."""
    unit = display_of(display).length
    return {"si": value, "value": round(unit.of(value), 6), "unit": unit.name}


def _point(point: Array, display: DisplayName) -> dict[str, Any]:
    """Return a place."""
    names = ("aft", "right", "up")
    return {n: _amount(float(v), display) for n, v in zip(names, point, strict=True)}


def _key(window: Window, key: Key | None) -> dict[str, str] | None:
    """Return a limit."""
    if key is None:
        return None
    return {"rule": key[0], "where": key[1], "what": limit_words(window, key, where=False)}


def _broken(window: Window, rooms: Rooms32) -> list[dict[str, str] | None]:
    """Return the limits that one place breaks as read, the worst first."""
    order = [int(k) for k in np.argsort(rooms) if rooms[k] < 0 and window.looked.fails[k]]
    return [_key(window, window.looked.keys[k]) for k in order]


def _place(window: Window, place: Place | None) -> dict[str, Any] | None:
    """Return a place that was carried out."""
    if place is None:
        return None
    setting = place.setting
    display = window.configuration.display
    return {
        "point": _point(place.point, display),
        "room": min(place.room, FAR),
        "nearest_limit": _key(window, place.tightest),
        "sound": place.sound,
        "open": [
            {"rule": f.rule, "where": f.where, "verdict": f.verdict, "probability": f.probability}
            for f in place.open
        ],
        "row": setting and setting.row,
        "hole": setting and setting.hole,
        "feet_keep_guide": place.drilled,
        "shims": [_amount(size, display) for size in setting.shims] if setting else [],
        "changes": list(place.changes),
    }
