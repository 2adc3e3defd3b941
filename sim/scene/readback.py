"""A readings file: bytes, text, statements, tables, checks against its configuration, Readback."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path as FilePath

from sim.display import display_of
from sim.errors import DomainError, Problem, SceneError
from sim.scene.as_read import quantities
from sim.scene.keys import Faults
from sim.scene.parts import Configuration, Reading, Scene
from sim.scene.quantity import Quantity
from sim.scene.tables.readback import PostureKeys, RaisedKeys, ReadbackKeys
from sim.scene.text import Found, Path, decode, read_file, statements
from sim.scene.words import one_of, part_name, quote

RIDE, DROOP = "ride height", "full droop"
TABLES = {"on_the_wheels": RIDE, "at_full_droop": DROOP}
# ± of a reading that is written without one: 95 % band that a careful shop reaches with protractor
# and tape; common practice, no source.
USUAL_ANGLE = math.radians(0.25)
USUAL_LENGTH = {"aft": 0.003, "forward": 0.003, "bump": 0.003, "droop": 0.003}
USUAL_HEIGHT = 0.002  # [m], heights, sides and gaps


@dataclass(frozen=True, slots=True, kw_only=True)
class Posture:
    """One way in which the truck stood, and what was read then.

    Attributes:
        height: Name of the height: "ride height", "full droop", or one of its own.
        readings: By their paths below the posture, as in "shaft.1.slope"; each with a ±.
        travel: How far it was raised (bump) or lowered (droop) from ride height; None where the
            scene says it.
        frame: Slope of the frame then, or None where nothing was read to level.
        to_level: Paths of the slopes that were read with a level.
    """

    height: str
    readings: tuple[Reading, ...]
    travel: Reading | None
    frame: Reading | None
    to_level: frozenset[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Readback:
    """What was read once the work was done.

    Attributes:
        configuration: Name of the configuration that was built.
        who, date: As written.
        odometer: As written; "" where it was not read.
        postures: In the order of the file.
        assumed: Paths whose ± was not written, led by their height, as in "ride height: gap".
    """

    configuration: str
    who: str
    date: str
    odometer: str
    postures: tuple[Posture, ...]
    assumed: frozenset[str]


def load_readback(path: FilePath | str, scene: Scene, only: str | None = None) -> Readback:
    """Return the readings in a file.

    Args:
        path: The file.
        scene: The scene of the truck.
        only: Name of the configuration that was built [text]; left out, the file names it, or the
            scene has no other.

    Returns:
        The readings; holding them means that each belongs to a part of the configuration.

    Raises:
        SceneError: With every problem found, if there is one.
    """
    path = FilePath(path)
    return read_readback(read_file(path), path.name, scene, only)


def read_readback(raw: bytes, file: str, scene: Scene, only: str | None = None) -> Readback:
    """Return the readings in the bytes of a file, see ``load_readback``."""
    root, lines = statements(decode(raw, file), file)
    faults = Faults()
    table = ReadbackKeys.read(root, (), faults)
    problems = [Problem(_line(lines, p), f"{_place(of)}{said}") for p, said, of in faults.said]
    for path, keys in faults.unknown:
        words = f"{_place(path)} is not a known key; {one_of(path[-1], list(keys))}"
        problems.append(Problem(_line(lines, path), words))
    for path, lacks in faults.missing:
        above = f"{_place(path)}: " if path else ""
        said = f"{above}{lacks[0]} is missing; {_example(lacks[0])}"
        problems.append(Problem(_line(lines, path), said))
    if table is None or problems:
        raise SceneError(file, problems)
    chosen, wrong = _chosen(table.configuration, scene, only)
    found = wrong if chosen is None else list(_misfits(table, chosen))
    if chosen is None or found:
        told = [Problem(_line(lines, p), f"{_place(p)}{said}") for p, said in found]
        raise SceneError(file, told)
    return _readback(table, chosen, lines)


def _line(lines: dict[Path, int], path: Path) -> int:
    """Return the line of a path, or of the nearest table around it; else 0."""
    while path and path not in lines:
        path = path[:-1]
    return lines.get(path, 0)


def _place(path: Path) -> str:
    """Return a path in words, as in "on_the_wheels, shaft 1, slope"."""
    depth = 2 if path[:1] == ("height",) else 1
    if len(path) <= depth or path[0] not in (*TABLES, "height"):
        return part_name(path)
    return f"{part_name(path[:depth])}, {part_name(path[depth:])}"


def _example(word: str) -> str:
    """Return how a key that is missing is written."""
    shown = {"format": "halfturn readings 1", "who": "M. Reyes", "date": "2026-11-20"}
    return f'write {word} = "{shown.get(word, "3.0 ± 0.25 deg")}"'


def chosen_configuration(scene: Scene, only: str | None) -> Configuration:
    """Return the configuration that was built: named, or the only one.

    Args:
        scene: The scene of the truck.
        only: Its name [text], or None.

    Raises:
        DomainError: If there is none of that name, or several and none is named.
    """
    names = [one.name for one in scene.configurations]
    if only is None and len(names) > 1:
        raise DomainError(f"which one was built? --only NAME; {one_of('', names)}")
    return scene.configuration(only or names[0])


def _chosen(
    named: str | None, scene: Scene, only: str | None
) -> tuple[Configuration | None, list[tuple[Path, str]]]:
    """Return the configuration that was built, or what is wrong with its name."""
    names = [one.name for one in scene.configurations]
    path: Path = ("configuration",)
    if named is not None and named not in names:
        return None, [(path, f" is {quote(named)}; {one_of(named, names)}")]
    if named is not None and only not in (None, named):
        return None, [(path, f" is {quote(named)}, and --only asks for {quote(only)}; keep one")]
    if named is None and only is None and len(names) > 1:
        return None, [(path, f" is missing: which one was built?  {one_of('', names)}")]
    return chosen_configuration(scene, only or named), []


def _postures(table: ReadbackKeys) -> Iterator[tuple[Path, str, PostureKeys]]:
    """Yield path, height and table of every posture that was read."""
    for key, height in TABLES.items():
        inner = table.values[key]
        if inner is not None:
            yield (key,), height, inner
    for name, inner in table.height.items():
        yield ("height", name), name, inner


def _misfits(table: ReadbackKeys, built: Configuration) -> Found:
    """Yield readings that do not belong to the configuration, by the path to mend."""
    count, heights = len(built.shafts), _own_heights(built)
    several = list(_postures(table))
    for path, height, posture in several:
        yield from _numbers(path, posture, count)
        if posture.frame is None:
            for inner, quantity, _, _ in quantities(posture):
                if quantity.tail:
                    said = f" is {quantity.text}; then the frame must be read too: "
                    yield (*path, *inner), said + 'frame.slope = "0.6 ± 0.1 deg"'
        if height == RIDE:
            continue
        if built.travel is None or built.on_frame:
            yield path, ": the axle of this scene does not move; only on_the_wheels can be read"
        elif isinstance(posture, RaisedKeys):
            yield from _travel(path, posture, built, height in heights)
    if not any(list(_read(posture)) for _, _, posture in several):
        yield (), 'nothing is read; write a reading, as in [on_the_wheels] gap = "45 ± 1 mm"'


def _own_heights(built: Configuration) -> list[str]:
    return [] if built.travel is None else [height.name for height in built.travel.heights]


def _numbers(path: Path, posture: PostureKeys, count: int) -> Found:
    """Yield parts that the configuration lacks."""
    for key, first, last in (("shaft", 1, count), ("bearing", 1, count - 1), ("joint", 2, count)):
        for number in posture.values[key]:
            if not first <= int(number) <= last:
                what = f"{key} {first} to {last}" if first < last else f"{key} {first}"
                there = f"{what} can be read here" if first <= last else f"there is no {key} here"
                ends = "; the first joint is output, the last one pinion" * (key == "joint")
                yield (*path, key, number), f": {there}{ends}"


def _travel(path: Path, posture: RaisedKeys, built: Configuration, known: bool) -> Found:
    """Yield what is wrong with how far a height is from ride height."""
    assert built.travel is not None
    way = next((key for key in ("bump", "droop") if posture.values[key] is not None), None)
    if known and way:
        yield (*path, way), f": the scene says how far {quote(path[1])} is; leave it out"
    elif not known and way is None:
        own = _own_heights(built)
        names = f", or name a height of the scene: {', '.join(own)}" if own else ""
        yield path, f': write how far it is from ride height, as in bump = "70 ± 3 mm"{names}'
    elif way and path[1] in (RIDE, DROOP, "full bump", "parked low"):
        yield path, ": give it a name of its own"
    elif way:
        read, most = posture.values[way], getattr(built.travel, way)
        if read.value > most + 1e-9:
            length = display_of(built.display).length.say(most)
            yield (*path, way), f" is {read.text}; the axle goes to {length} at full {way}"


def _read(posture: PostureKeys) -> Iterator[tuple[Path, Quantity]]:
    """Yield what was read of the driveline, apart from how the truck stood."""
    for path, quantity, _, _ in quantities(posture):
        if path[0] not in ("frame", "bump", "droop"):
            yield path, quantity


def _readback(table: ReadbackKeys, built: Configuration, lines: dict[Path, int]) -> Readback:
    """Return the readings of valid tables."""
    postures, assumed = [], set[str]()
    for above, height, posture in _postures(table):
        found: dict[str, Reading] = {}
        tails: set[str] = set()
        for path, quantity, _, _ in quantities(posture):
            name = ".".join(path)
            found[name] = _reading(name, quantity, _line(lines, (*above, *path)))
            tails |= {name} if quantity.tail and path[0] != "frame" else set()
            assumed |= set() if quantity.spread else {f"{height}: {name}"}
        travel = next((found.pop(key) for key in ("bump", "droop") if key in found), None)
        frame = found.pop("frame.slope", None)
        postures.append(
            Posture(
                height=height,
                readings=tuple(found.values()),
                travel=travel,
                frame=frame,
                to_level=frozenset(tails),
            )
        )
    return Readback(
        configuration=built.name,
        who=table.who,
        date=table.date,
        odometer=table.odometer.text if table.odometer else "",
        postures=tuple(postures),
        assumed=frozenset(assumed),
    )


def _reading(path: str, quantity: Quantity, line: int) -> Reading:
    """Return a reading; one without a ± has that of the usual tool."""
    key = path.rpartition(".")[2]
    usual = USUAL_ANGLE if key == "slope" else USUAL_LENGTH.get(key, USUAL_HEIGHT)
    return Reading(
        path=path,
        value=quantity.value,
        spread=quantity.spread or usual,
        text=quantity.text,
        status="measured",
        line=line,
    )
