"""The table of a scene file that says what the driver feels."""

from __future__ import annotations

from typing import Annotated, Literal

from sim import units
from sim.scene.fields import In, Part, need, optional
from sim.scene.quantity import Quantity


class Complaint(Part):
    """A shake, a boom or a buzz at one road speed."""

    speed: Annotated[Quantity, In(units.ROAD_SPEED, "2 km/h", "320 km/h", "88 km/h")] = need(
        "Road speed at which it is felt most."
    )
    frequency: Annotated[Quantity, In(units.FREQUENCY, "1 Hz", "500 Hz", "42 ± 2 Hz")] | None = (
        optional("How often it shakes, by a vibration meter.", "not measured")
    )
    when: Literal["drive", "coast", "any"] | None = optional(
        "Whether it is felt under drive only, on the overrun only, or in both alike.", "not known"
    )
    load: Literal["empty", "loaded", "any"] | None = optional(
        "Whether it is felt empty only, loaded only, or in both alike.", "not known"
    )
