"""Layers: the shared part of a scene, and configurations laid over it, with where each line is.

Laying over goes key by key, however deep.  Writing one word of a pair takes out the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from sim.scene.header import OWN
from sim.scene.tables.setup import Setup
from sim.scene.text import Found, Path, Tables
from sim.scene.values import OPPOSITES
from sim.scene.words import one_of, part_name, quote

_PLACES = {"aft", "forward", "up", "down"}
ON_SHAFTS = ("unbalance", "runout")  # what was read on shafts, that those cut anew do not have


@dataclass(frozen=True, slots=True)
class Merged:
    """Layers laid over each other."""

    tables: Tables = field(default_factory=dict)  # the result
    origin: dict[Path, Path] = field(default_factory=dict)  # paths in the file

    def home(self, path: Path) -> Path:
        """Return where in the file a path was written, or the nearest table around it."""
        while path and path not in self.origin:
            path = path[:-1]
        return self.origin.get(path, ())

    def at(self, path: Path) -> object:
        """Return what is written at a path, or None."""
        here: object = self.tables
        for step in path:
            here = here.get(step) if isinstance(here, dict) else None
        return here

    def _lay(self, onto: Tables, new: Tables, path: Path, home: Path) -> None:
        """Lay a table over another, key by key."""
        for key, value in new.items():
            opposite = OPPOSITES.get(key)
            if opposite in onto and opposite not in new and path != ("travel",):
                self._take_out(onto, (*path, opposite))
            here, there = (*path, key), (*home, key)
            self.origin[here] = there
            if isinstance(value, dict):
                if not isinstance(onto.get(key), dict):
                    onto[key] = {}
                self._lay(onto[key], value, here, there)
            else:
                onto[key] = value

    def _take_out(self, table: Tables, path: Path) -> None:
        """Take a key out of its table."""
        del table[path[-1]]
        for gone in [p for p in self.origin if p[: len(path)] == path]:
            del self.origin[gone]

    def _forget(self, keys: Iterable[str]) -> None:
        """Take out what was read on the shafts of another configuration."""
        shafts = self.tables.get("shaft")
        for number, shaft in shafts.items() if isinstance(shafts, dict) else ():
            for key in keys:
                path = ("shaft", number, key)
                elsewhere = self.origin.get(path, ())[:1] == ("configuration",)
                if elsewhere and isinstance(shaft, dict) and key in shaft:
                    self._take_out(shaft, path)


def merge(shared: Tables, layers: Iterable[tuple[str, Tables]]) -> Merged:
    """Return configurations, the farthest first, laid over the shared part."""
    merged = Merged()
    merged._lay(merged.tables, shared, (), ())
    for name, table in layers:
        merged._forget(["length"] if "same_shafts_as" in table else ["length", *ON_SHAFTS])
        own = {key: value for key, value in table.items() if key not in OWN}
        merged._lay(merged.tables, own, (), ("configuration", name))
    return merged


def leaves(tables: Tables, path: Path = ()) -> Iterator[tuple[Path, object]]:
    """Yield every value of nested tables with its path."""
    for key, value in tables.items():
        if isinstance(value, dict):
            yield from leaves(value, (*path, key))
        else:
            yield (*path, key), value


def differences(before: Tables, after: Tables, *, alone: bool) -> Iterator[str]:
    """Say what a configuration changes, as in "bearing 1, up 521 ± 3 mm (was 531 ± 3 mm)"."""
    old, new = dict(leaves(before)), dict(leaves(after))
    for path in dict.fromkeys((*new, *old)):
        is_now, was = new.get(path), old.get(path)
        if is_now == was or (alone and was is None):
            continue
        said = part_name(path) + (" taken out" if is_now is None else f" {_plain(is_now)}")
        yield said + ("" if was is None else f" (was {_plain(was)})")


def _plain(value: object) -> str:
    """Return a value in words, without its quotes."""
    return value if isinstance(value, str) else quote(value)


def check_same_shafts(name: str, named: Mapping[str, Tables], setups: Mapping[str, Setup]) -> Found:
    """Yield why shafts cut for another configuration cannot be these, by the path to mend."""
    own = named[name]
    other = own.get("same_shafts_as", "")
    if other not in setups:
        return
    spline = own.get("spline", {})
    for key in ("gap", "engaged"):
        if key in spline:
            said = f': with same_shafts_as it follows from "{other}"; '
            yield ("spline", key), said + "if it was measured here, write like instead"
    if "at" in spline:
        said = " is changed, so the shafts are not the same; write like instead"
        yield ("spline", "at"), said
    for key in ("shaft", "bearing"):
        for number, part in own.get(key, {}).items():
            if number not in getattr(setups[other], key):
                said = f': "{other}" has none, so its shafts do not fit; write like instead'
                yield (key, number), said
            elif key == "shaft" and {"tube", "phase"} & set(part):
                said = " is changed, so it is not the same shaft; write like instead"
                yield (key, number), said


def check_felt_in(name: str, setup: Setup, named: Mapping[str, Tables]) -> Found:
    """Yield complaints of one configuration alone, or felt in a configuration that is none."""
    for own in named[name].get("complaint", {}):
        said = f": a complaint stands above all configurations; write felt_in = {quote(name)} in it"
        yield ("complaint", own), said
    for name, complaint in setup.complaint.items():
        felt_in = complaint.felt_in
        if felt_in is not None and felt_in not in named:
            yield (
                ("complaint", name, "felt_in"),
                f" is {quote(felt_in)}; {one_of(felt_in, [*named])}",
            )


def doubt_layers(
    shared: Tables, merged: Mapping[str, Merged], named: Mapping[str, Tables]
) -> Found:
    """Yield configurations alike, pinions turned in place, and shared lines that none uses."""
    seen: dict[str, str] = {}
    for name, layers in merged.items():
        same_cut = named[name].get("same_shafts_as", "")
        what = repr((sorted(map(repr, leaves(layers.tables))), same_cut))
        twin = seen.setdefault(what, name)
        if twin != name:
            said = f'configuration "{name}" is the same as "{twin}"'
            yield ("configuration", name), said
        yield from _pinion(name, layers, named[name])
    used = {home for layers in merged.values() for home in layers.origin.values()}
    for path, _ in leaves(shared):
        if path not in used:
            said = " is written again in every configuration, so this line is never used"
            yield path, part_name(path) + said


def _pinion(name: str, layers: Merged, own: Tables) -> Found:
    """Doubt a pinion that is turned without its joint moving, or turned twice."""
    pinion = own.get("pinion", {})
    if "slope" not in pinion:
        return
    path = ("configuration", name, "pinion", "slope")
    where = f'configuration "{name}", pinion.slope is '
    turned = {"nose_up", "nose_down"} & set(layers.tables["pinion"])
    if not _PLACES & set(pinion):
        said = "changed, its place is not; turning the pinion moves its joint: write nose_up for "
        yield path, where + said + "a wedge, or aft and up as measured"
    elif turned:
        yield path, where + f"measured anew, and {turned.pop()} still turns it"
