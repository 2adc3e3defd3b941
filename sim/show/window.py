"""The window of places in words, for people and for machines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from textwrap import wrap

import numpy as np

from sim.arrays import Array
from sim.display import Display, DisplayName, amount, display_of, on_tape
from sim.explore.place import Place, Window
from sim.explore.place_bounds import HANGING
from sim.explore.place_space import USUAL_GUIDE, Setting
from sim.explore.rooms import Key
from sim.judge.findings import Finding
from sim.judge.notes import rubber_words
from sim.measure.sag import sags_of
from sim.scene.append import Addition
from sim.show.advice import as_clause

Ink = Callable[[str, str], str]
SIDES = (("forward", "aft"), ("left", "right"), ("down", "up"))  # of the smaller, the larger value
TAG = 12
UNBROKEN = "\u00a0"  # stands for a space at which no line is broken: lines to write stay whole
DRILLED = f"their holes in the rails keep the drilling guide “{USUAL_GUIDE}”: halfturn template"
NOT_DRILLED = (
    f"their holes in the rails break the drilling guide “{USUAL_GUIDE}”: halfturn template says "
    "what to do"
)
READ_AGAIN = "read {} again (halfturn check says why): places are judged by what is written"
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
    grade = "good" if window.sound else "good if" if window.middle is not None else "not"
    head = wrap(f"{name}, bearing {bearing}: {_share(window)}", width)
    yield ink(grade, head[0])
    yield from head[1:]
    for tag, text in _told(window, display_of(display)):
        indent = " " * (2 + TAG)
        lines = wrap(text, width, initial_indent=indent, subsequent_indent=indent,
                     break_on_hyphens=False)  # fmt: skip
        first, *others = (line.replace(UNBROKEN, " ") for line in lines)
        yield f"  {tag}{' ' * (TAG - len(tag))}{first[2 + TAG :]}"
        yield from others


def _told(window: Window, display: Display) -> Iterator[tuple[str, str]]:
    """Yield tags and what stands behind them."""
    doubted = window.configuration.doubted
    if doubted or window.looked.contradicts:
        yield "first", READ_AGAIN.format(" and ".join(doubted) or "what contradicts")
    yield "space", _space(window, display.name)
    yield "now", f"{place_words(window.space.now, display.name)}: {_now(window)}"
    other = window.on_brace if window.on_brace is not window.best else None
    for tag, place in (("roomiest", window.best), ("on holes", other)):
        if place is not None and place.keeps:
            yield tag, f"{_at(place, display.name)}: {_verdict(window, place, display.name)}"
    middle = window.middle
    if middle is not None:
        yield "from there", _reach(window, display.name)
        yield "hanging", _hanging(window, display.name)
    sound = window.sound
    if sound is not None and sound.drilled is not None:
        yield "feet", DRILLED if sound.drilled else NOT_DRILLED
    if sound is not None:
        whole = (change.replace(" ", UNBROKEN) for change in sound.changes)
        yield "write", ", ".join(whole) or "nothing: it hangs there"
        yield from _sagging(window, sound)
    else:
        yield "so", _no_place(window)


def _sagging(window: Window, place: Place) -> Iterator[tuple[str, str]]:
    """Yield where a place on paper will be read once the shafts hang in it."""
    configuration, space = window.looked.planned_at(place.point), window.space
    sag, display = sags_of(configuration)[space.bearing - 1], configuration.display
    if not sag.planned or not place.changes:
        return
    up, fine = float(place.point[2]), display_of(display).length
    drawn, read = fine.say(up), fine.say(up - sag.down[0])
    sags = rubber_words(sag, display)
    yield "with shafts", f"hung at {drawn} as drawn, it will read about {read}: {sags}"


def _share(window: Window) -> str:
    """Return how many of the places are open."""
    looked = int(np.isfinite(window.rooms).all(axis=-1).sum())
    if window.middle is None:
        return f"none of {looked} places keeps every limit"
    return f"{int(window.open.sum())} of {looked} places keep every limit"


def _space(window: Window, display: DisplayName) -> str:
    """Return where places were looked for."""
    space = window.space
    ends = [
        "in the middle"
        if more == "right" and low == high == 0
        else f"{on_tape(abs(low), display, unit=False)}{_side(low, high, less, more)} to "
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
        if window.space.low[axis] == window.space.high[axis]:
            continue  # no way to go
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
    if window.middle is not None:
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
    told += "its own holes give it most room" if place.setting else "it has most room"
    told += f", {place.room:.1f} times the readings' error"
    return Addition(
        name=name,
        lines=place.changes,
        like=window.configuration.name,
        about=f"Bearing {window.space.bearing} hung at {_at(place, display)}",
        comment=(told,),
    )
