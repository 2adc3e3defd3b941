"""Steps: what may be set otherwise, hang off or change on a driveline whose shafts are cut.

Steps are what is felt or set: 1 mm or 1/32 in, a degree of wedge, 10 mm or half an inch of ride
height, 100 kg or 200 lb.  Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from sim.arrays import Array
from sim.display import DEGREES, METRIC, PERCENT, Display, Unit, display_of
from sim.explore.cures_changes import signed
from sim.explore.effects_heights import bumps, followed, to_stops
from sim.explore.evaluate import evaluate
from sim.explore.sources import sources_of
from sim.judge.spread import Source
from sim.measure.numbers import Numbers
from sim.scene.parts import Configuration, LeafSprings
from sim.units import GRAVITY, INCH, POUND

BAR = "suspension.wrap_control"
# How far each is followed, in steps; ride height not beyond a stop.
HANG, SHIM, WEDGE, RIDE, LOAD, WRAP = 40, 10, 4, 4, 10, 5
KEPT = 0.9  # share of the way to a stop up to which a height is followed
SHARES = (0.05, 0.125, 0.225, 0.35, 0.5, 0.75, 1.0)  # of how far it is followed
# From the engine's mounts to that of the transmission [m]; common practice, no source.
MOUNTS_APART = 0.9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Step:
    """One thing that may be set otherwise, hang off or change.

    Attributes:
        part: As in "bearing 1".
        along: Which way, where a part has several, as in "up"; else "".
        ways: Words for more and for less of it, as in ("higher", "lower").
        unit: In which it is shown.
        size: One step [SI unit].
        per: By path of the design, how far its value goes with the step [SI unit over SI unit].
        low, high: How far it is followed [SI unit], low at most 0.
        off: Half of the 95 % band within which it was read [SI unit]; None where none is known.
        assumed: Whether that band is assumed.
        note: What must be known to read its effect; "" for nothing.
    """

    part: str
    ways: tuple[str, str]
    unit: Unit
    size: float
    per: Mapping[str, float]
    low: float
    high: float
    along: str = ""
    off: float | None = None
    assumed: bool = False
    note: str = ""

    @property
    def name(self) -> str:
        """Its name, different for every step, as in "bearing 1 up"."""
        return f"{self.part} {self.along}".strip()

    def offsets(self) -> Array:
        """Return how far it is tried [SI unit], rising, one step either way among it, but not 0."""
        ways = [share * end for share in SHARES for end in (self.low, self.high)]
        ways += [far for far in (-self.size, self.size) if self.low <= far <= self.high]
        return np.array(sorted({round(far, 12) for far in ways} - {0.0}))


def steps_of(configuration: Configuration, numbers: Numbers) -> tuple[tuple[Step, ...], list[str]]:
    """Return the steps on a configuration, and a sentence on each that it does not have.

    Args:
        configuration: As it was read, built from a design.
        numbers: Of it, in its states: they say how stiff it is against wrap.
    """
    shown = display_of(configuration.display)
    sources = {source.key: source for source in sources_of(configuration)}
    notes: list[str] = []
    steps = (
        *_bearings(configuration, shown, sources),
        *_pinion(configuration, sources, notes),
        _mount(shown),
        *_ride_height(configuration, shown, notes),
        *_load(configuration, shown, sources, notes),
        *_wrap(configuration, numbers, sources),
    )
    return steps, notes


def _fine(shown: Display) -> float:
    """Return the smallest step of a length [m]."""
    return 1e-3 if shown is METRIC else INCH / 32


def _off(sources: Mapping[str, Source], *paths: str) -> dict[str, float | bool]:
    """Return the band of the first reading that has one."""
    source = next((sources[path] for path in paths if path in sources), None)
    return {} if source is None else {
        "off": source.spread, "assumed": source.status != "measured"
    }  # fmt: skip


def _bearings(
    configuration: Configuration, shown: Display, sources: Mapping[str, Source]
) -> Iterator[Step]:
    """Yield every bearing up, aside, and aft."""
    for number in range(1, len(configuration.bearings) + 1):
        for key, other, name, ways in (
            ("up", "down", "up", ("higher", "lower")),
            ("right", "left", "aside", ("right", "left")),
            ("aft", "forward", "aft", ("aft", "forward")),
        ):
            path = f"bearing.{number}.{key}"
            yield Step(
                part=f"bearing {number}",
                along=name,
                ways=ways,
                unit=shown.length,
                size=_fine(shown),
                per={path: 1.0},
                low=-HANG * _fine(shown),
                high=HANG * _fine(shown),
                **_off(sources, path, f"bearing.{number}.{other}"),  # type: ignore[arg-type]
                note="shim at its bracket is as much up or down" if key == "up" else "",
            )


def _pinion(
    configuration: Configuration, sources: Mapping[str, Source], notes: list[str]
) -> Iterator[Step]:
    """Yield the pinion turned on a wedge."""
    assert configuration.design is not None
    if configuration.design.structure.suspension == "measured":
        notes.append("No wedge: the other heights were read with the pinion as it stands.")
        return
    yield Step(
        part="final drive" if configuration.on_frame else "wedge",
        ways=("nose up", "nose down"),
        unit=DEGREES,
        size=math.radians(1),
        per={"pinion.nose_up": 1.0},
        low=-WEDGE * math.radians(1),
        high=WEDGE * math.radians(1),
        **_off(sources, "pinion.slope"),  # type: ignore[arg-type]
    )


def _mount(shown: Display) -> Step:
    """Return shim under the transmission mount: it lifts the output, whose front end sinks."""
    apart = shown.length.say(MOUNTS_APART, digits=0)
    return Step(
        part="mount shim",
        ways=("thicker", "thinner"),
        unit=shown.length,
        size=_fine(shown),
        per={"output.up": 1.0, "output.slope": -1.0 / MOUNTS_APART},
        low=-SHIM * _fine(shown),
        high=SHIM * _fine(shown),
        note="under the transmission mount, taken at the output joint, "
        f"{apart} behind the engine's mounts (assumed)",
    )


def _ride_height(configuration: Configuration, shown: Display, notes: list[str]) -> Iterator[Step]:
    """Yield the vehicle riding higher or lower between the same stops, under the same load."""
    if not followed(configuration):
        frame = "the final drive hangs on the frame"
        why = frame if configuration.on_frame else "neither suspension nor travel are written"
        notes.append(f"No ride height: {why}.")
        return
    size = 0.010 if shown is METRIC else INCH / 2
    up, down = to_stops(configuration)
    yield Step(
        part="ride height",
        ways=("higher", "lower"),
        unit=shown.length,
        size=size,
        per=dict.fromkeys(bumps(configuration), -1.0),
        low=-min(RIDE * size, max(size, KEPT * down)),
        high=min(RIDE * size, max(size, KEPT * up)),
        note="same load, same stops: springs that sag, air, blocks",
    )


def _load(
    configuration: Configuration, shown: Display, sources: Mapping[str, Source], notes: list[str]
) -> Iterator[Step]:
    """Yield more load on the driven axle: leaf springs sink under it, tires hold more torque."""
    if configuration.vehicle.axle_load is None:
        notes.append("No load: vehicle.axle_load is not written.")
        return
    size = 100.0 if shown is METRIC else 200.0 * POUND
    springs, most, heights = configuration.suspension, LOAD * size, followed(configuration)
    loads = [f"height.{h.name}.axle_load" for h in heights if h.axle_load is not None]
    per = dict.fromkeys(loads or ["vehicle.axle_load"], GRAVITY)
    note = "the height stays: no spring rate is known; the tires hold more torque"
    if isinstance(springs, LeafSprings) and heights:
        sinks = GRAVITY / (2 * springs.rate)
        per |= dict.fromkeys(bumps(configuration), sinks)
        most = max(size, min(most, KEPT * to_stops(configuration)[1] / sinks))
        note = f"the springs sink {shown.length.say(sinks * size)}; the tires hold more torque"
    weighed = sources.get("vehicle.axle_load")
    yield Step(
        part="load",
        ways=("more", "less"),
        unit=shown.mass,
        size=size,
        per=per,
        low=0.0,
        high=most,
        off=None if weighed is None else weighed.spread / GRAVITY,
        note=note,
    )


def _wrap(
    configuration: Configuration, numbers: Numbers, sources: Mapping[str, Source]
) -> Iterator[Step]:
    """Yield stiffness against wrap; leaf springs get it as a traction bar would add it."""
    springs, path = configuration.suspension, "suspension.wind_up"
    if springs is None or not np.any(numbers.wrap):
        return
    own = springs.wind_up
    if own is None:
        path, own = BAR, _stiffness(configuration, numbers)
    known = next(
        (sources[p] for p in ("suspension.wind_up", "suspension.rate") if p in sources), None
    )
    yield Step(
        part="wrap",
        ways=("stiffer", "softer"),
        unit=PERCENT,
        size=0.10,
        per={path: own},
        low=-WRAP * 0.10,
        high=WRAP * 0.10,
        off=None if known is None else known.spread / known.value,
        assumed=known is not None and known.status != "measured",
    )


def _stiffness(configuration: Configuration, numbers: Numbers) -> float:
    """Return what leaf springs hold against wrap [N m/rad], from what a bar takes off it.

    With the springs' own stiffness k a bar c leaves k/(k + c) of the wrap; thrust winds up too, so
    k is more than wheel torque over wrap.
    """
    assert configuration.design is not None
    most = int(np.argmax(np.abs(numbers.wheel_torque[0])))
    fitted = signed(configuration.design, BAR)
    bar = 0.1 * abs(float(numbers.wheel_torque[0, most] / numbers.wrap[0, most]))
    both = evaluate(
        configuration.design, {BAR: [fitted, fitted + bar]}, [numbers.states[most]]
    ).wrap[:, 0]
    return bar / float(both[0] / both[1] - 1)
