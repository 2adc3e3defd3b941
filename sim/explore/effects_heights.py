"""Heights that go along when the vehicle rides higher or lower, on shafts that are cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from sim.motion.states import State
from sim.motion.sweep import RIDE_HEIGHT
from sim.scene.parts import Configuration, Design, Height

MOVED = "ride height, moved"  # stands for ride height, but may be elsewhere in the travel


def carried(configuration: Configuration) -> Design:
    """Return the design with its shafts as cut, and a height that stands for ride height.

    Args:
        configuration: As it was read, built from a design.
    """
    design = configuration.design
    assert design is not None
    heights = followed(configuration)
    loads = {f"height.{h.name}.axle_load": h.axle_load for h in heights if h.axle_load is not None}
    values = {**design.values, **loads}  # what stands on springs stays the same as they sag
    structure = design.structure
    if heights:
        values[f"height.{MOVED}.bump"] = 0.0
        structure = replace(structure, heights={**structure.heights, MOVED: ()})
    return replace(design, values=values, structure=structure, cut_as=design.cut_as or design)


def moved(configuration: Configuration, states: Sequence[State]) -> tuple[State, ...]:
    """Return states in which the height that may be elsewhere stands for ride height."""
    if not followed(configuration):
        return tuple(states)
    at_ride = [state.height == RIDE_HEIGHT.name and not state.roll for state in states]
    return tuple(
        replace(state, height=MOVED) if ride else state
        for state, ride in zip(states, at_ride, strict=True)
    )


def followed(configuration: Configuration) -> tuple[Height, ...]:
    """Return the heights that go along when ride height moves, that itself as ``MOVED`` ahead."""
    travel = configuration.travel
    if travel is None or configuration.suspension is None or configuration.on_frame:
        return ()
    ride = Height(name=MOVED, left=0.0, right=0.0, axle_load=configuration.vehicle.axle_load)
    return (ride, *travel.heights)


def bumps(configuration: Configuration) -> Iterator[str]:
    """Yield the paths of how far up every height stands."""
    for height in followed(configuration):
        path = f"height.{height.name}"
        design = configuration.design
        assert design is not None
        apart = {f"{path}.left_bump", f"{path}.left_droop"} & design.values.keys()
        sides = ("left_", "right_") if apart else ("",)
        yield from (f"{path}.{side}bump" for side in sides)


def to_stops(configuration: Configuration) -> tuple[float, float]:
    """Return how far the vehicle may ride higher and lower before a height meets a stop [m]."""
    travel = configuration.travel
    assert travel is not None
    wheels = [wheel for h in followed(configuration) for wheel in (h.left, h.right)]
    return travel.droop + min(wheels), travel.bump - max(wheels)
