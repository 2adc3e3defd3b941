"""A readings file to fill in: what is worth reading, with what the plan lets expect."""

from __future__ import annotations

from collections.abc import Iterator

from sim.display import DEGREES, DisplayName, on_tape
from sim.explore.built_model import Model, Seen, hung_to
from sim.scene.parts import Configuration, Reading, Scene
from sim.scene.readback import DROOP, RIDE
from sim.scene.tables.readback import FORMAT
from sim.show.built_words import is_angle

HEADERS = {
    RIDE: ("on_the_wheels", "at ride height, suspension carrying the truck, rubber settled"),
    DROOP: ("at_full_droop", "on the lift, both wheels hanging, truck on rated stands"),
}


def blank_lines(scene: Scene, plan: Configuration) -> Iterator[str]:
    """Yield the lines of a readings file.

    Args:
        scene: The scene of the truck.
        plan: The configuration that was built.
    """
    yield f"# Readings of {scene.title}, {plan.name}, once the work is done."
    yield '# Fill in what was read, as in "3.1 ± 0.1 deg" (or +/-), and take the # away; leave the'
    yield "# rest.  Behind each stands what the plan lets expect.  Places from the datum of the"
    yield f"# scene: {scene.datum}."
    yield ""
    yield f'format = "{FORMAT}"'
    yield f'configuration = "{plan.name}"'
    yield 'who = ""'
    yield 'date = ""                # as in 2026-11-20'
    yield f'# odometer = "{"… miles" if scene.display == "inch" else "… km"}"'
    seen = tuple(_seen(plan))
    expected = Model(hung_to(plan, ()), seen).as_it_stands()
    for height, (table, words) in HEADERS.items():
        rows = [(s, x) for s, x in zip(seen, expected, strict=True) if s.height == height]
        if rows:
            yield f"\n[{table}]{' ' * max(1, 25 - len(table))}# {words}"
        for one, value in rows:
            path, told = _line(one.reading.path, value, scene.display)
            yield f'# {path} = ""'.ljust(28) + f"# plan: {told}"
    if any(one.height == DROOP for one in seen):
        yield "\n# [height.jacked]          # at one height more: it calibrates the axle's path"
        far = '"2-3/4 in"' if scene.display == "inch" else '"70 ± 3 mm"'
        yield f"# bump = {far}"
        yield '# pinion.slope = ""'
        yield '# pinion.up = ""'
        yield '# gap = ""'


def _line(path: str, value: float, display: DisplayName) -> tuple[str, str]:
    """Return a path, in the word that needs no minus, and what the plan says of it."""
    if is_angle(path):
        return path, DEGREES.say(value)
    if value < 0:
        path = path.removesuffix("right") + "left" if path.endswith("right") else path
        path = path.removesuffix("up") + "down" if path.endswith(".up") else path
        path = path.removesuffix("aft") + "forward" if path.endswith("aft") else path
    return path, on_tape(abs(value), display)


def _seen(plan: Configuration) -> Iterator[Seen]:
    """Yield what is worth reading."""
    count = len(plan.shafts)
    slopes = ["output.slope", *(f"shaft.{n}.slope" for n in range(1, count + 1)), "pinion.slope"]
    places = [f"bearing.{n}.{k}" for n in range(1, count) for k in ("aft", "right", "up")]
    heights = {RIDE: [*slopes, *places, "pinion.up", "gap"]}
    if plan.travel is not None and not plan.on_frame:
        heights[DROOP] = [*slopes[1:], "gap"]
    for height, paths in heights.items():
        for path in paths:
            yield Seen(height=height, reading=_unread(path), to_level=False)


def _unread(path: str) -> Reading:
    return Reading(path=path, value=0.0, spread=0.0, text="", status="measured", line=0)
