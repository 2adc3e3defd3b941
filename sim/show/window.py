"""The window of places in words, for people and for machines."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from textwrap import wrap
from typing import Any

import numpy as np

from sim.arrays import Array
from sim.display import Display, DisplayName, amount, display_of, on_tape
from sim.explore.place import Place, Window
from sim.explore.place_bounds import HANGING
from sim.explore.place_look import Rooms32
from sim.explore.place_space import Setting
from sim.explore.rooms import FAR, Key
from sim.judge.findings import Finding
from sim.scene.append import Addition
from sim.show.advice import as_clause

Ink = Callable[[str, str], str]
SIDES = (("forward", "aft"), ("left", "right"), ("down", "up"))  # of the smaller, the larger value
TOO = (
    ("too far forward", "too far aft"),
    ("too far left", "too far right"),
    ("too low", "too high"),
)
TAG = 12
NO_BEARING = "it has no center bearing: one shaft from joint to joint"
ALWAYS_NEAR = 100.0  # standard deviations beyond which a limit is not near at all


def limit_words(window: Window, key: Key, *, where: bool = True) -> str:
    """Return what happens where a limit is broken, as a clause.

    Args:
        window: Whose limit.
        key: Rule and part.
        where: Whether to name the part too, as in "paired angles differ (joints 2 and 3)".
    """
    rule = next(rule for rule in window.looked.rules if rule.id == key[0])
    return as_clause(rule.bad) + (f" ({key[1]})" if where else "")


def place_words(point: Array, display: DisplayName) -> str:
    """Return a place as a tape finds it, as in "2630 mm aft, 1 mm left, 492 mm up".

    Args:
        point: Aft, right, up of the datum [m], (3,).
        display: Units shown.
    """
    said = []
    for value, (less, more) in zip(point.tolist(), SIDES, strict=True):
        if abs(value) < 1e-6 and more == "right":
            said.append("in the middle")
        else:
            said.append(f"{on_tape(abs(value), display)} {more if value >= 0 else less}")
    return ", ".join(said)


def setting_words(setting: Setting, display: DisplayName) -> str:
    """Return how a bearing is set on its brace, as in "row 3 from below, 2 mm of shim under it".

    Args:
        setting: On which holes, with which shims.
        display: Units shown.
    """
    said = []
    if setting.hole is not None:
        said.append(f"hole {setting.hole} from the front")
    if setting.row is not None:
        shims = " and ".join(on_tape(size, display) for size in sorted(setting.shims))
        lower = f"lowered by {shims} of shim" if setting.shims else "no shim"
        said.append(f"row {setting.row} from below, {lower}")
    return ", ".join(said)


def window_lines(window: Window, width: int, ink: Ink) -> Iterator[str]:
    """Yield about a dozen lines on where one bearing may hang.

    Args:
        window: The window.
        width: Most columns of a line [-].
        ink: Puts words in color.
    """
    name, bearing = window.configuration.name, window.space.bearing
    display = window.configuration.display
    grade = "good" if window.sound else "good if" if _middle(window) is not None else "not"
    head = wrap(f"{name}, bearing {bearing}: {_share(window)}", width)
    yield ink(grade, head[0])
    yield from head[1:]
    for tag, text in _told(window, display_of(display)):
        indent = " " * (2 + TAG)
        lines = wrap(text, width, initial_indent=indent, subsequent_indent=indent)
        yield f"  {tag}{' ' * (TAG - len(tag))}{lines[0][2 + TAG :]}"
        yield from lines[1:]


def _told(window: Window, display: Display) -> Iterator[tuple[str, str]]:
    """Yield tags and what stands behind them."""
    yield "space", _space(window, display.name)
    yield "now", f"{place_words(window.space.now, display.name)}: {_now(window)}"
    other = window.on_brace if window.on_brace is not window.best else None
    for tag, place in (("roomiest", window.best), ("on holes", other)):
        if place is not None and place.keeps:
            yield tag, f"{_at(place, display.name)}: {_verdict(window, place, display.name)}"
    middle = _middle(window)
    if middle is not None:
        yield "from there", _reach(window, display.name)
        yield "hanging", _hanging(window, display.name)
    if (sound := window.sound) is not None:
        yield "write", ", ".join(sound.changes) or "nothing: it hangs there"
    else:
        yield "so", _no_place(window)


def _middle(window: Window) -> Place | None:
    """Return the place around which the window was measured."""
    return next((p for p in (window.best, window.on_brace) if p is not None and p.keeps), None)


def _share(window: Window) -> str:
    """Return how many of the places are open."""
    looked = int(np.isfinite(window.rooms).all(axis=-1).sum())
    share = 100 * int(window.open.sum()) / max(looked, 1)
    if _middle(window) is None:
        return f"none of {looked} places keeps every limit"
    told = "less than 1" if share < 1 else f"{share:.0f}"
    return f"{told} of 100 places keep every limit ({looked} looked at)"


def _space(window: Window, display: DisplayName) -> str:
    """Return where places were looked for."""
    space = window.space
    ends = [
        f"{on_tape(abs(low), display, unit=False)}{_side(low, high, less, more)} to "
        f"{on_tape(abs(high), display)} {more if high >= 0 else less}"
        for low, high, (less, more) in zip(
            space.low.tolist(), space.high.tolist(), SIDES, strict=True
        )
    ]
    given = f"[brace.{space.bearing}]"
    whence = given if space.brace is not None else f"no {given}: within reach, clear of obstacles"
    return f"{', '.join(ends)} ({whence})"


def _side(low: float, high: float, less: str, more: str) -> str:
    """Return the side of the lower end where the upper one is on the other side."""
    return "" if (low >= 0) == (high >= 0) else f" {less if low < 0 else more}"


def _now(window: Window) -> str:
    """Return what becomes of the bearing where it hangs today, as read."""
    broken = int((window.now[window.looked.fails] < 0).sum())
    if not broken:
        return "keeps every limit as read"
    more = f", and {broken - 1} more" if broken > 1 else ""
    return f"{limit_words(window, window.looked.broken(window.now))}{more}"


def _at(place: Place, display: DisplayName) -> str:
    """Return a place, and how it is set."""
    said = place_words(place.point, display)
    return f"{setting_words(place.setting, display)}; {said}" if place.setting else said


def _verdict(window: Window, place: Place, display: DisplayName) -> str:
    """Return what came of carrying a place out."""
    room = f"{place.room:.1f} times the readings' error" if place.room < ALWAYS_NEAR else "far"
    nearest = f"nearest limit {room} away: {limit_words(window, place.tightest)}"
    if place.sound:
        return f"good to build; {nearest}"
    if not place.open:
        return "the parts cannot go there"
    return f"not sure enough: {'; '.join(_open(f, display) for f in place.open[:2])}"


def _open(finding: Finding, display: DisplayName) -> str:
    """Return what is open of a place that was carried out."""
    value = amount(finding.value, finding.unit, display, beside=finding.limit)
    chance = finding.probability
    sure = "" if chance is None else f", kept in {100 * chance:.0f} of 100"
    return f"{as_clause(finding.what)} {finding.where} {value}{sure}"


def _reach(window: Window, display: DisplayName) -> str:
    """Return how far the window reaches, and what is broken beyond."""
    said = []
    for axis, names in enumerate(SIDES):
        for end, name in enumerate(names):
            key = window.ends[2 * axis + end]
            far = on_tape(float(window.width[axis, end]), display, to=int)
            beyond = "the space ends" if key is None else limit_words(window, key, where=False)
            said.append(f"{far} {name} ({beyond})")
    return ", ".join(said)


def _hanging(window: Window, display: DisplayName) -> str:
    """Return whether the error of hanging fits."""
    error = on_tape(HANGING, display)
    if window.hangs:
        return f"every place within ± {error} of it keeps every limit as read"
    return f"± {error} is too much there: hang it closer, and measure after"


def _no_place(window: Window) -> str:
    """Return what stands in the way."""
    go_on = "halfturn design looks at other changes too"
    if _middle(window) is not None:
        return f"no place of this bearing alone is at least 95 % sure; {go_on}"
    keys = window.in_the_way
    if not keys:
        return f"no place is free of obstacles; {go_on}"
    alone = window.excludes(keys[0])
    said = " and ".join(limit_words(window, key) for key in keys)
    if alone:
        return f"wherever it hangs, {said}; {go_on}"
    return f"these exclude one another, each place breaks one: {said}; {go_on}"


def addition(window: Window, name: str) -> Addition:
    """Return the best sound place as a configuration to be appended to its scene.

    Args:
        window: With a sound place.
        name: Of the new configuration.
    """
    place, display = window.sound, window.configuration.display
    assert place is not None
    told = f"halfturn place: bearing {window.space.bearing} of {window.configuration.name} where "
    told += f"it has most room, {place.room:.1f} times the readings' error"
    return Addition(
        name=name,
        lines=place.changes,
        like=window.configuration.name,
        about=f"Bearing {window.space.bearing} hung at {_at(place, display)}",
        comment=(told,),
    )


def window_json(
    windows: Sequence[Window],
    files: Sequence[Path] = (),
    written: str | None = None,
    not_done: Sequence[str] = (),
) -> dict[str, Any]:
    """Return windows for machines; the fields are listed in DEVELOPERS.md.

    Args:
        windows: One a bearing.
        files: Every file written.
        written: Name of the configuration that was appended to the scene, or None.
        not_done: What could not be done, a sentence each.
    """
    return {
        "places": [_json(window) for window in windows],
        "written": written,
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
            if _middle(window) is not None
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
        "shims": [_amount(size, display) for size in setting.shims] if setting else [],
        "changes": list(place.changes),
    }
