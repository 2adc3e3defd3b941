"""What inheritance between configurations can hide: shafts that are not the same, lost lines."""

from __future__ import annotations

from collections.abc import Mapping

from sim.scene.overlay import Merged, leaves
from sim.scene.tables.setup import Setup
from sim.scene.text import Found, Tables
from sim.scene.words import part_name

_PLACES = {"aft", "forward", "up", "down"}


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
