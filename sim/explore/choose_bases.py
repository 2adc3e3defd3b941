"""Structures to choose among: those of the scene, and others with more shafts or fewer.

One that the scene lacks is built as text from its nearest configuration, so that what is found on
it can be written into the scene as it stands.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from sim import units
from sim.errors import SceneError
from sim.explore.cures_lines import amount, unit_of
from sim.scene.append import Addition, appended
from sim.scene.header import TOP, chain, named_configurations
from sim.scene.overlay import leaves, merge
from sim.scene.parts import Configuration, Design, Scene
from sim.scene.reader import read_scene
from sim.scene.text import Path, Tables, path_text, statements, written
from sim.scene.values import opposite

MOST_SHAFTS = 3
TO_JOINT = {"metric": "115 mm", "inch": "4-1/2 in"}  # common practice, no source
HUNG = {"metric": ("± 3 mm", "mm"), "inch": ("± 1/8 in", "in")}  # what a careful shop reaches
PLACE = ("aft", "forward", "right", "left", "up", "down", "skew", "planned")
OWN_ENDS = (
    *("length", "slope", "phase", "factory_phase", "mass", "front_depth", "rear_depth"),
    *("unbalance", "runout"),
)
BUILT = ("shaft", "bearing", "joint", "spline", "output_spline")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Base:
    """A structure that designs are chosen of.

    Attributes:
        configuration: It, as it stands in the scene or was built.
        like: Name of the configuration of the scene that designs start from; "" for one that was
            built, whose lines then stand whole in ``lines``.
        lines: By path, the lines of one that was built.
        said: What was assumed to build it, in sentences.
    """

    configuration: Configuration
    like: str = ""
    lines: Mapping[str, str] = field(default_factory=dict)
    said: tuple[str, ...] = ()

    @property
    def design(self) -> Design:
        """What the configuration was built from, its bearings hung on paper."""
        assert self.configuration.design is not None
        return self.configuration.design.on_paper(*range(1, self.shafts))

    @property
    def shafts(self) -> int:
        """How many shafts it has."""
        return len(self.configuration.shafts)

    def written(self, lines: Sequence[str], name: str, **more: object) -> Addition:
        """Return a configuration of this structure with other lines.

        Args:
            lines: What it changes, as in 'bearing.1.up = "534 ± 3 mm"'.
            name: Its name.
            more: ``about`` and ``comment`` of ``Addition``.
        """
        new = {line.partition(" = ")[0]: line for line in lines}
        kept = {p: line for p, line in self.lines.items() if not {p, opposite(p)} & new.keys()}
        whole = dict(sorted((kept | new).items(), key=lambda item: _order(item[0])))
        return Addition(name=name, like=self.like, lines=tuple(whole.values()), **more)  # type: ignore[arg-type]


def _order(path: str) -> tuple[int, str]:
    """Return where a line stands among others: shafts and bearings first."""
    first = path.partition(".")[0]
    return BUILT.index(first) if first in BUILT else len(BUILT), path


def bases_of(scene: Scene, only: str | None = None) -> tuple[list[Base], list[str]]:
    """Return the structures to choose among, those with fewer shafts first.

    Args:
        scene: The scene.
        only: Name of the one configuration whose structure is looked at; default: all of them, and
            those with one, two and three shafts that no configuration has.

    Returns:
        The structures, and why others are left out, in sentences.
    """
    chosen = scene.configurations if only is None else (scene.configuration(only),)
    own: dict[tuple[object, ...], Base] = {}
    for cut in chosen:
        c = cut if cut.cut_as is None else scene.configuration(cut.cut_as.name)  # shafts are new
        assert c.design is not None
        s = c.design.structure
        own.setdefault((s.tubes, s.joints, s.spline), Base(configuration=c, like=c.name))
    found, left = list(own.values()), []
    there = {base.shafts for base in found}
    for count in range(1, MOST_SHAFTS + 1) if only is None else ():
        if count in there:
            continue
        source = min(own.values(), key=lambda base: _distance(base, count))
        try:
            found.append(_built(scene, source.configuration, count))
        except SceneError:
            what = "what all configurations of the scene share does not go with"
            left.append(f"{pieces(count).capitalize()} not looked at: {what} so few or many.")
    return sorted(found, key=lambda base: base.shafts), left


def pieces(count: int) -> str:
    """Return a number of shafts in words."""
    return f"{('one', 'two', 'three')[count - 1]} shaft{'s' * (count > 1)}"


def _distance(base: Base, count: int) -> tuple[int, int]:
    """Return how far a structure is from one with so many shafts: plain joints first."""
    design = base.design
    return abs(base.shafts - count), sum(kind != "universal" for kind in design.structure.joints)


# --- one that the scene lacks ---------------------------------------------------------------------


def _built(scene: Scene, source: Configuration, count: int) -> Base:
    """Return a structure with so many shafts, built from a configuration."""
    shared, tables = _tables(scene, source.name)
    said = [
        f"No configuration has {pieces(count)}: built from {source.name}, its spline and tubes "
        "taken over."
    ]
    target = copy.deepcopy(tables)
    for part in ("shaft", "joint", "bearing"):
        target.pop(part, None)
    target["shaft"] = _shafts(tables["shaft"], count)
    target["joint"] = _joints(tables.get("joint", {}), len(tables["shaft"]), count)
    if count > 1:
        bearings, words = _bearings(scene, source, tables, count)
        target["bearing"] = bearings
        said += words
    else:
        target.pop("output_spline", None)
    target["spline"] = {**target["spline"], "at": _slides(target["spline"].get("at"), count)}
    old = dict(leaves(shared))
    lines = {
        path_text(path): f"{path_text(path)} = {written(value)}"
        for path, value in leaves(target)
        if old.get(path) != value
    }
    base = Base(configuration=source, lines=lines, said=tuple(said))
    name = _free(scene, f"{count} pieces")
    raw = scene.text.encode()
    whole = appended(raw, scene.name, base.written((), name), scene.folder)
    read = read_scene(whole, scene.name, changes=scene.changes, folder=scene.folder)
    built = read.configuration(name)
    return Base(configuration=built, lines=lines, said=tuple(said))


def _free(scene: Scene, name: str) -> str:
    """Return a name that no configuration has."""
    taken = {configuration.name.lower() for configuration in scene.configurations}
    while name.lower() in taken:
        name += "+"
    return name


def _tables(scene: Scene, name: str) -> tuple[Tables, Tables]:
    """Return the shared part of a scene, and the whole of one configuration."""
    root, _ = statements(scene.text, scene.name)
    ignore: Callable[[Path, str], None] = lambda path, said: None  # noqa: E731
    named = named_configurations(root, ignore)
    shared = {key: value for key, value in root.items() if key not in (*TOP, "configuration")}
    layers = [(one, named[one]) for one in chain(name, named, ignore) or ()]
    return shared, merge(shared, layers).tables


def _shafts(own: Tables, count: int) -> Tables:
    """Return so many shafts, each as the nearest of those there are, to be cut to fit."""
    last = len(own)
    kept = {n: {k: v for k, v in own[n].items() if k not in OWN_ENDS} for n in own}
    return {str(n): copy.deepcopy(kept[str(min(n, last))]) for n in range(1, count + 1)}


def _joints(own: Tables, shafts: int, count: int) -> Tables:
    """Return joints: the first and the last as they are, those between as the second."""
    found = {}
    for number in range(1, count + 2):
        like = 1 if number == 1 else shafts + 1 if number == count + 1 else min(2, shafts)
        if 1 < number < count + 1 and shafts == 1:
            continue
        if str(like) in own:
            found[str(number)] = copy.deepcopy(own[str(like)])
    return found


def _slides(at: object, count: int) -> object:
    """Return where the spline slides with so many shafts."""
    if count == 1:
        return "output" if at == "midship" else at
    return "midship" if at in (None, "output") else at


def _bearings(
    scene: Scene, source: Configuration, tables: Tables, count: int
) -> tuple[Tables, list[str]]:
    """Return bearings between so many shafts, in the middle of where they may hang."""
    like, said = tables.get("bearing", {}).get("1"), []
    if like is None:
        others = (_tables(scene, c.name)[1] for c in scene.configurations if c.bearings)
        like = next((other["bearing"]["1"] for other in others), None)
    if like is None:
        like = {"to_joint": TO_JOINT[scene.display]}
        said = [f"Bearing to joint assumed {like['to_joint']} (common practice): measure the stub."]
    kept = {key: value for key, value in like.items() if key not in PLACE}
    middles = np.linspace(source.output.point, source.pinion.point, count + 1)[1:-1]
    found = {}
    for number, middle in enumerate(middles, start=1):
        brace = source.braces.get(number)
        if brace is not None:
            middle = (np.asarray(brace.start) + np.asarray(brace.end)) / 2
        found[str(number)] = {**_place(source, scene, middle), **kept, "planned": True}
    return found, said


def _place(source: Configuration, scene: Scene, point: object) -> Tables:
    """Return a place as a scene writes it, with how well a bearing is hung."""
    assert source.design is not None
    spread, unit = HUNG[scene.display]
    unit = unit_of(source.design, units.LENGTH, "bearing.1.up") or unit
    words = (("aft", "forward"), ("right", "left"), ("up", "down"))
    found = {}
    for (plus, minus), value in zip(words, np.asarray(point, float).tolist(), strict=True):
        if plus == "right" and abs(value) < 1e-9:
            continue
        said = amount(units.LENGTH, abs(value), unit)
        tail = f" {units.spell(unit)}"
        banded = f"{said.removesuffix(tail)} {spread}" if spread.endswith(tail) else said
        found[plus if value >= 0 else minus] = banded
    return found
