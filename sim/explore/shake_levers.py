"""What a shop can change about a shake: how far each lever may go, and its words.

How much work each is, is our own choice: a wedge, a bracket's rubber, a shaft taken to a balancing
shop, a bar to be fitted, a shaft to be built.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from math import tau

from sim import units
from sim.explore.choose_stock import StockTube, read_stock
from sim.explore.cures_changes import levers_of
from sim.explore.cures_lever import Lever, lever_in
from sim.explore.cures_lines import amount, unit_of
from sim.explore.shaken import Order
from sim.measure.balance import permissible_unbalance
from sim.scene.parts import Configuration, Design, Shaft

WORK: Mapping[str, int] = {
    "the pinion angle": 1,
    "finer balance": 2,
    "a straighter shaft": 2,
    "stiffer rubber": 2,
    "softer rubber": 2,
    "a traction bar": 2,
    "a larger tube": 4,
    "a smaller tube": 4,
}
"""Work by the name of a lever; common practice, no source."""
PREPARED = {"pinion.nose_up": "the pinion angle", "suspension.wrap_control": "a traction bar"}
FINER = 6.3e-3  # balance quality grade G6.3 of ISO 21940-11 [m/s], which shops take orders for
STRAIGHT = 0.1e-3  # dial reading over one turn of a straightened shaft [m]; from memory, no source
TIMES, SOLD = 2.0, (40e3, 150e3)  # rubber: how many times stiffer, and what is sold [N/m]; the same
LITTLE = 1.25  # times as stiff, below which other rubber is not worth fitting; our choice
NEXT = 1.05  # times as large a tube is another size, not another wall; our choice


def shake_levers(configuration: Configuration, order: Order) -> tuple[Lever, ...]:
    """Return what can be changed about the shake of a configuration.

    Args:
        configuration: Built from a design; its values are numbers.
        order: Of the shake: once or twice per turn.

    Returns:
        The levers, named as in ``WORK``; every step of each, the smallest first.  Tubes, balance
        and straightness only where it does not carry shafts as they were cut for another one.
    """
    design = configuration.design
    assert design is not None, "only what was read from a scene can be changed in it"
    found = [*_prepared(design, order), *_rubber(design)]
    if design.cut_as is None:
        found += _balance(configuration, design)
        found += _straight(design)
        found += _tubes(configuration, design)
    return tuple(lever for lever in found if lever.says)


def _one(name: str, values: Mapping[str, float], says: str) -> Lever:
    """Return a lever of one step."""
    return lever_in(name, WORK[name], [0], [1.0], {p: [v] for p, v in values.items()}, [says])


def _prepared(design: Design, order: Order) -> Iterator[Lever]:
    """Yield wedges and traction bars, as cures know them."""
    for lever in levers_of(design):
        name = PREPARED.get(next(iter(lever.values), ""))
        if name is not None:
            named = replace(lever, tried=name, work=WORK[name])
            yield named if order == 2 else _farthest(named)


def _farthest(lever: Lever) -> Lever:
    """Return a lever with its largest step alone, for what joints have next to no part in."""
    last = slice(-1, None)
    return replace(
        lever,
        steps=lever.steps[last],
        size=lever.size[last],
        values={path: value[last] for path, value in lever.values.items()},
        says=lever.says[last],
    )


def _rubber(design: Design) -> Iterator[Lever]:
    """Yield stiffer and softer rubber, in all bearings alike."""
    paths = [f"bearing.{n}.radial" for n in range(1, len(design.structure.tubes))]
    for name, times in (("stiffer rubber", TIMES), ("softer rubber", 1 / TIMES)):
        values = {path: _sold(float(design.values[path]) * times) for path in paths}
        far = [values[path] / float(design.values[path]) for path in paths]
        if far and min(far if times > 1 else [1 / one for one in far]) >= LITTLE:
            said = dict.fromkeys(
                amount(units.SPRING_RATE, value, unit_of(design, units.SPRING_RATE, path))
                for path, value in values.items()
            )
            yield _one(name, values, f"hang it in rubber of {' and '.join(said)}")


def _sold(rate: float) -> float:
    """Return the nearest rate of rubber that is sold [N/m]."""
    return min(max(rate, SOLD[0]), SOLD[1])


def _balance(configuration: Configuration, design: Design) -> Iterator[Lever]:
    """Yield all shafts balanced finer, where they are not yet."""
    vehicle = configuration.vehicle
    top = tau * vehicle.axle_ratio / vehicle.tire_circumference * vehicle.top_speed
    values = {
        f"shaft.{number}.unbalance": float(permissible_unbalance(FINER, shaft.mass, top))
        for number, shaft in enumerate(configuration.shafts, start=1)
    }
    finer = {p: value for p, value in values.items() if _above(design, p, value)}
    if finer:
        yield _one("finer balance", finer, "balance the shafts to G6.3 at top speed")


def _straight(design: Design) -> Iterator[Lever]:
    """Yield shafts straightened, where they are not yet."""
    paths = [f"shaft.{number}.runout" for number in range(1, len(design.structure.tubes) + 1)]
    bent = {path: STRAIGHT for path in paths if _above(design, path, STRAIGHT)}
    if bent:
        unit = unit_of(design, units.LENGTH, next(iter(bent)))
        most = amount(units.LENGTH, STRAIGHT, unit, fine=True)
        yield _one("a straighter shaft", bent, f"straighten the shafts to a dial reading of {most}")


def _above(design: Design, path: str, least: float) -> bool:
    """Say whether a value is above one, or was not read."""
    return float(design.values.get(path, float("inf"))) > least


def _tubes(configuration: Configuration, design: Design) -> Iterator[Lever]:
    """Yield the next larger and the next smaller tube of the stock list for every shaft."""
    for number, shaft in enumerate(configuration.shafts, start=1):
        path = f"shaft.{number}.tube"
        unit = unit_of(design, units.LENGTH, f"{path}.outside")
        for name, larger in (("a larger tube", True), ("a smaller tube", False)):
            tube = _next(shaft, larger=larger)
            if tube is not None:
                outside, wall = tube.tube.outside, tube.tube.wall
                size = (
                    f"{amount(units.LENGTH, outside, unit)}, wall "
                    f"{amount(units.LENGTH, wall, unit, fine=True)}"
                )
                values = {f"{path}.outside": outside, f"{path}.wall": wall}
                yield _one(name, values, f"fit shaft {number} a tube of {size}")


def _next(shaft: Shaft, *, larger: bool) -> StockTube | None:
    """Return the next tube of the stock list, of the nearest wall and the same material."""
    own = shaft.tube
    stock = [one for one in read_stock() if one.tube.material == own.material]
    if larger:
        found = [one for one in stock if one.tube.outside >= NEXT * own.outside]
        edge = min((one.tube.outside for one in found), default=0.0) * NEXT
        near = [one for one in found if one.tube.outside < edge]
    else:
        found = [one for one in stock if one.tube.outside <= own.outside / NEXT]
        edge = max((one.tube.outside for one in found), default=0.0) / NEXT
        near = [one for one in found if one.tube.outside > edge]
    return min(near, key=lambda one: abs(one.tube.wall - own.wall), default=None)
