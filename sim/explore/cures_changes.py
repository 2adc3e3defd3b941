"""Changes that a shop can make: how far each may go, in steps that can be set, and its words.

Steps are what a tape, a shim or a stock list gives: 1 mm or 1/32 in, half a degree, 5 mm of a stop,
5 km/h or mph.  Common practice, no source; tubes from memory, ask the supplier.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sim import units
from sim.explore.cures_lever import Lever, lever_in
from sim.explore.cures_lines import amount, unit_of
from sim.explore.place_space import space_of
from sim.scene.parts import Design
from sim.scene.values import opposite

PUT_RIGHT, BEARING, PINION, SPLINE, TUBE, WRAP, USE = range(0, 56, 8)  # what had better stay
REACH, ALONG, SLIDE = 0.040, 0.100, 0.060  # [m]: a bracket up or aside, fore and aft; a shaft cut
WEDGE, LARGEST_WEDGE = math.radians(0.5), math.radians(4)
STOCK_TUBES = tuple(25.4e-3 * inches for inches in (2.5, 3.0, 3.5, 4.0, 4.5, 5.0))  # [m]
BARS = {"N m/deg": (400, 800, 1600, 3200), "lbf ft/deg": (300, 600, 1200, 2400)}  # traction bars
SLOWER, STOPS = 0.7, 10  # share of top speed that is worth offering; steps of a stop
LEAST_TRAVEL = 0.010  # [m]
PER_DEGREE, PER_STEP = 5.0, 10.0  # millimeters of a bracket that are as much work


def levers_of(design: Design) -> tuple[Lever, ...]:
    """Return what can be changed about a design, what is least work ahead.

    Args:
        design: Its structure, values and readings; the values are numbers.

    Returns:
        The levers; those of spline, tube and phase only where the shafts are not cut already.
    """
    found = [*_square(design), *_bearings(design), *_wedge(design), *_wrap(design), *_use(design)]
    if design.cut_as is None:
        found += [*_clock(design), *_splines(design), *_tubes(design)]
    return tuple(sorted((lever for lever in found if lever.says), key=lambda one: one.work))


def _multiples(value: float, step: float, reach: float) -> NDArray[np.int64]:
    """Return which multiples of a step are within reach of a value, and not as good as there."""
    low, high = (value - reach) / step - 1e-6, (value + reach) / step + 1e-6
    numbers = np.arange(math.ceil(low), math.floor(high) + 1)
    return np.asarray(numbers[np.abs(numbers * step - value) > step / 4])


def signed(design: Design, path: str) -> float:
    """Return the value at a path [SI unit], which the opposite word may give, turned; else 0."""
    if path in design.values:
        return float(design.values[path])
    return -float(design.values.get(opposite(path), 0.0)) + 0.0


def _step(design: Design, path: str) -> float:
    """Return the smallest step of a length [m]."""
    return 25.4e-3 / 32 if unit_of(design, units.LENGTH, path) == "in" else 1e-3


def _length(design: Design, path: str, value: float) -> str:
    """Return a length without its sign, as the reader reads it."""
    return amount(units.LENGTH, abs(value), unit_of(design, units.LENGTH, path))


# --- put right what was put together wrong --------------------------------------------------------


def _square(design: Design) -> Iterator[Lever]:
    """Yield brackets turned square."""
    for number in range(1, len(design.structure.tubes)):
        path = f"bearing.{number}.skew"
        if design.values[path]:
            says = f"square the bracket of bearing {number}"
            yield lever_in("the bracket", PUT_RIGHT, [0], [1.0], {path: [0.0]}, [says])


def _clock(design: Design) -> Iterator[Lever]:
    """Yield yokes lined up, and index marks."""
    if design.values["spline.off_by"]:
        says = "put the spline together by its index marks"
        yield lever_in("the marks", PUT_RIGHT, [0], [1.0], {"spline.off_by": [0.0]}, [says])
    for number in range(1, len(design.structure.tubes) + 1):
        path = f"shaft.{number}.phase"
        if design.values[path]:
            says = f"weld the yokes of shaft {number} in line"
            yield lever_in("the marks", PUT_RIGHT, [0], [2.0], {path: [0.0]}, [says])


# --- bearing and pinion ---------------------------------------------------------------------------


def _bearings(design: Design) -> Iterator[Lever]:
    """Yield every bearing up or down, aside, and fore or aft."""
    for number in range(1, len(design.structure.tubes)):
        path = f"bearing.{number}"
        hung = "where its brace takes it, " if number in design.structure.braces else ""
        far_up, far_aft = (_length(design, f"{path}.aft", far) for far in (REACH, ALONG))
        for key, plus, minus in (
            ("up", "higher", "lower"),
            ("right", "to the right", "to the left"),
            ("aft", "aft", "forward"),
        ):
            way = f"{path}.{key}"
            value, step, reach = signed(design, way), _step(design, way), REACH
            if key == "aft":
                step, reach = (6.35e-3 if step < 0.9e-3 else 0.010), ALONG
            numbers = _multiples(value, step, reach)
            if number in design.structure.braces:
                space = space_of(design.build(), number)
                numbers = numbers[space.can_hang(way, np.asarray(numbers * step, float))]
            moved = numbers * step - value
            said = [
                f"{_length(design, way, far)} {plus if far > 0 else minus}"
                for far in moved.tolist()
            ]
            where = [_length(design, way, number * step) for number in numbers.tolist()]
            says = [
                f"hang bearing {number} at {at}, {far}"
                if key == "up"
                else f"move bearing {number} by {far}"
                for at, far in zip(where, said, strict=True)
            ]
            yield lever_in(
                f"bearing {number} ({hung}to {far_up}, {far_aft} along)",
                BEARING,
                numbers,
                1e3 * np.abs(moved),
                {way: numbers * step},
                says,
            )


def _wedge(design: Design) -> Iterator[Lever]:
    """Yield the pinion turned on wedges."""
    if design.structure.suspension == "measured":
        return  # its other heights were read with the pinion as it stands
    value = signed(design, "pinion.nose_up")
    numbers = _multiples(value, WEDGE, LARGEST_WEDGE)
    turns = numbers * WEDGE
    on_frame = design.structure.suspension == "frame mounted"
    what = "shim the final drive" if on_frame else "wedge the pinion"
    was = f", not {_nose(value).removesuffix(' nose')}" if abs(value) > WEDGE / 4 else ""
    yield lever_in(
        f"the pinion (to {math.degrees(LARGEST_WEDGE):.0f} deg)",
        PINION,
        numbers,
        PER_DEGREE * np.degrees(np.abs(turns - value)),
        {"pinion.nose_up": turns},
        [f"{what} {_nose(turn)}{was}" if turn else "take the wedge out" for turn in turns.tolist()],
    )


def _nose(turn: float) -> str:
    """Return how far a pinion is turned."""
    return f"{math.degrees(abs(turn)):.1f} deg nose {'up' if turn > 0 else 'down'}"


# --- spline and tube ------------------------------------------------------------------------------


def _splines(design: Design) -> Iterator[Lever]:
    """Yield the last shaft cut shorter or longer, and splines with more length or stroke."""
    paths = ("spline.gap", "spline.engaged")
    if not all(path in design.values for path in paths):
        return  # a joint plunges in its place
    gap, engaged = (float(design.values[path]) for path in paths)
    last, step = len(design.structure.tubes), _step(design, "spline.gap")
    numbers = _multiples(gap, step, SLIDE)
    numbers = numbers[(numbers >= 0) & (engaged + gap - numbers * step > 1e-3)]
    more = numbers * step - gap
    yield lever_in(
        "the spline",
        SPLINE,
        numbers,
        1e3 * np.abs(more),
        {"spline.gap": gap + more, "spline.engaged": engaged - more},
        [
            f"cut shaft {last} {way} {_length(design, paths[0], by)}"
            for by, way in ((by, "shorter by" if by > 0 else "longer by") for by in more.tolist())
        ],
    )
    longer = (6.35e-3 if step < 0.9e-3 else 5e-3) * np.arange(1, 13)
    for path, value, what in zip(
        paths, (gap, engaged), ("more stroke", "more length"), strict=True
    ):
        values = {path: value + longer}
        if "spline.shorter" in design.values:
            values["spline.shorter"] = design.values["spline.shorter"] + longer
        yield lever_in(
            "the spline",
            SPLINE,
            range(1, 13),
            PER_STEP + 1e3 * longer,
            values,
            [f"fit a spline with {_length(design, path, by)} {what}" for by in longer.tolist()],
        )


def _tubes(design: Design) -> Iterator[Lever]:
    """Yield other common tubes of the same wall for every shaft."""
    for number in range(1, len(design.structure.tubes) + 1):
        path = f"shaft.{number}.tube.outside"
        outside, wall = (
            float(design.values[f"shaft.{number}.tube.{k}"]) for k in ("outside", "wall")
        )
        stock = [tube for tube in STOCK_TUBES if abs(tube - outside) > 1e-3 and tube > 4 * wall]
        far = [
            sum(min(tube, outside) < other <= max(tube, outside) for other in STOCK_TUBES)
            for tube in stock
        ]
        yield lever_in(
            "the tubes",
            TUBE,
            range(len(stock)),
            [PER_STEP * max(steps, 1) for steps in far],
            {path: stock},
            [
                f"fit shaft {number} a tube of {_length(design, path, tube)}, same wall"
                for tube in stock
            ],
        )


# --- wrap and use ---------------------------------------------------------------------------------


def _wrap(design: Design) -> Iterator[Lever]:
    """Yield traction bars."""
    if design.structure.suspension != "leaf":
        return
    path = "suspension.wrap_control"
    unit = unit_of(design, units.WIND_UP, path)
    bars = [bar for bar in bars_of(design) if bar > 1.2 * design.values.get(path, 0.0)]
    yield lever_in(
        "a traction bar",
        WRAP,
        range(len(bars)),
        [PER_STEP * (1 + k) for k in range(len(bars))],
        {path: bars},
        [f"fit a traction bar of {amount(units.WIND_UP, bar, unit)}" for bar in bars],
    )


def bars_of(design: Design) -> list[float]:
    """Return the traction bars that are tried [N m/rad], round in the units of the scene."""
    unit = unit_of(design, units.WIND_UP, "suspension.wrap_control")
    return [stiffness * units.factor(units.WIND_UP, unit) for stiffness in BARS[unit]]


def _use(design: Design) -> Iterator[Lever]:
    """Yield a lower top speed, and stops that leave less travel."""
    path, inch = "vehicle.top_speed", unit_of(design, units.ROAD_SPEED, "vehicle.top_speed")
    step, value = 5 * units.factor(units.ROAD_SPEED, inch), float(design.values[path])
    slowest = math.ceil(SLOWER * value / step)
    numbers = np.arange(math.ceil(value / step - 0.01) - 1, slowest - 1, -1)
    yield lever_in(
        "less speed",
        USE,
        numbers,
        PER_STEP * np.arange(1, 1 + len(numbers)),
        {path: numbers * step},
        [f"keep to {amount(units.ROAD_SPEED, n * step, inch)}" for n in numbers.tolist()],
        limits_use=True,
    )
    if design.structure.suspension not in (None, "frame mounted"):
        yield from _stops(design)


def _stops(design: Design) -> Iterator[Lever]:
    """Yield stops that leave less travel."""
    for key in ("bump", "droop"):
        path = f"travel.{key}"
        step = 6.35e-3 if _step(design, path) < 0.9e-3 else 5e-3
        named = [
            float(value)
            for other, value in design.values.items()
            if other.startswith("height.") and other.endswith(key)
        ]
        least, value = max([LEAST_TRAVEL, *named]), float(design.values[path])
        numbers = np.arange(math.ceil(value / step - 0.25) - 1, 0, -1)[:STOPS]
        numbers = numbers[numbers * step >= least]
        yield lever_in(
            "less travel",
            USE,
            numbers,
            1e3 * (value - numbers * step),
            {path: numbers * step},
            [f"limit the {key} to {_length(design, path, n * step)}" for n in numbers.tolist()],
            limits_use=True,
        )
