"""From the valid tables of a scene to a design: its structure, its values and its readings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from sim.display import DisplayName
from sim.scene.allowed import In
from sim.scene.design import Design
from sim.scene.keys import QuantityKey
from sim.scene.quantity import Quantity
from sim.scene.structure import Structure
from sim.scene.table import NamedKey, Table
from sim.scene.tables.leaf import LeafKeys
from sim.scene.tables.setup import Setup
from sim.scene.text import Path
from sim.scene.values import Reading


def quantities(table: Table, path: Path = ()) -> Iterator[tuple[Path, Quantity, In, bool]]:
    """Yield path, quantity, bounds, and whether it was written, else a default stands in."""
    for word, key in table.declared().items():
        value, here = table.values[word], (*path, word)
        if isinstance(key, QuantityKey) and value is not None:
            yield here, value, key.limits, word in table.written
        elif isinstance(value, Table):
            yield from quantities(value, here)
        elif isinstance(key, NamedKey):
            for name, inner in value.items():
                if isinstance(key.inner, QuantityKey):
                    yield (*here, name), inner, key.inner.limits, True
                else:
                    yield from quantities(inner, (*here, name))


def readings_of(
    setup: Table, line_of: Mapping[Path, int], display: DisplayName
) -> dict[str, Reading]:
    """Return the readings and defaults of a set-up by their dotted paths, as in "bearing.1.up"."""
    return {
        ".".join(path): Reading(
            path=".".join(path),
            value=quantity.value,
            spread=quantity.spread,
            text=limits.in_display(quantity.text, display)
            if limits and not written
            else quantity.text,
            status="measured" if written else "assumed",
            line=line_of.get(path, 0) if written else 0,
        )
        for path, quantity, limits, written in quantities(setup)
    }


def structure_of(setup: Setup) -> Structure:
    """Return the structure of a set-up, its cross checks passed."""
    shafts, kind = len(setup.shaft), setup.suspension
    joints = (setup.joint.get(str(number)) for number in range(1, shafts + 2))
    rated = {int(number): joint.life_basis for number, joint in setup.joint.items()}
    return Structure(
        tubes=tuple(setup.shaft[str(number)].tube.material for number in range(1, shafts + 1)),
        joints=tuple(joint.kind if joint else "universal" for joint in joints),
        spline=setup.spline.at,
        coating=setup.spline.coating,
        suspension=kind.kind if kind else None,
        shackle=kind.shackle_kind if isinstance(kind, LeafKeys) else "hanging",
        heights={name: height.cases for name, height in setup.height.items()},
        torque_cases=tuple(setup.torque_case),
        duties={name: (duty.torque_case, duty.height) for name, duty in setup.duty.items()},
        obstacles={name: (box.rides_on, box.kind) for name, box in setup.obstacle.items()},
        braces={
            int(number): (brace.shims, (brace.foot.holes, brace.foot.bolt) if brace.foot else None)
            for number, brace in setup.brace.items()
        },
        rails={
            side: (rail.kind, tuple(rail.hole))
            for side, rail in (("left", setup.left_rail), ("right", setup.right_rail))
            if rail is not None
        },
        complaints={
            name: (felt.when, felt.load, felt.felt_in) for name, felt in setup.complaint.items()
        },
        planned=frozenset(int(number) for number, one in setup.bearing.items() if one.planned),
        life_bases={number: basis for number, basis in rated.items() if basis},
        series=setup.series,
        set_by_shop=frozenset(setup.limits.written),
        taken=dict(_taken(setup)),
    )


def _taken(setup: Setup) -> Iterator[tuple[str, str]]:
    """Yield what was not taken the plain way."""
    for path, quantity, _, _ in quantities(setup):
        if quantity.tail:
            yield ".".join(path), quantity.tail
    for name, speed in setup.road_speed.items():
        if speed.unit == "rpm":
            yield f"road_speed.{name}", "rpm"
    if setup.spline.off_by.unit in ("tooth", "teeth"):
        yield "spline.off_by", "teeth"


def design_of(
    setup: Setup,
    name: str,
    line_of: Mapping[Path, int],
    display: DisplayName,
    cut_as: Design | None = None,
) -> Design:
    """Return the design of a set-up as it was read, its cross checks passed."""
    readings = readings_of(setup, line_of, display)
    return Design(
        name=name,
        structure=structure_of(setup),
        values={path: reading.value for path, reading in readings.items()},
        readings=readings,
        cut_as=cut_as,
        display=display,
    )
