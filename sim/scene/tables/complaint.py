"""[complaint]: what the driver feels."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from sim.scene.allowed import In
from sim.scene.keys import TextKey, choice, need, optional
from sim.scene.structure import Load, Structure, When
from sim.scene.table import Table
from sim.scene.values import Reading, Values
from sim.units import FREQUENCY, ROAD_SPEED

SPEED = In(ROAD_SPEED, "2 to 320 km/h", "88 km/h")
FELT = In(FREQUENCY, "1 to 500 Hz", "42 ± 2 Hz")
MATCHES = 0.10  # share of a felt frequency by which another is the same; common practice, no source
SPEEDOMETER = 5 / 3.6  # a road speed is read to this [m/s]; our choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Complaint:
    """What the driver feels."""

    name: str  # as the scene calls it
    speed: float | None  # where it is felt most [m/s], if known
    frequency: float | None = None  # how often it shakes [Hz], or None where nobody measured it
    spread: float = 0.0  # half width of its 95 % band [Hz]; 0 where none is known
    when: When | None = None  # drive, the overrun ("coast"), or both; None where nobody looked
    load: Load | None = None  # None where nobody looked
    felt_in: str | None = None  # name of a configuration; None: the first one of the scene

    def is_at(self, frequency: float) -> bool:
        """Say whether a frequency [Hz] is the one that was felt, to its ± or a tenth."""
        assert self.frequency is not None, "nobody counted"
        return abs(frequency - self.frequency) <= max(self.spread, MATCHES * self.frequency)

    def may_be_at(self, frequency: float) -> bool:
        """Say whether a frequency at its road speed [Hz] is that, as that speed was only read."""
        assert self.frequency is not None, "nobody counted"
        share = 0.0 if self.speed is None else SPEEDOMETER / self.speed
        low, high = frequency * (1 - share), frequency * (1 + share)
        return self.is_at(min(max(self.frequency, low), high))


class ComplaintKeys(Table):
    """A shake, a boom or a buzz at one road speed."""

    speed = need(SPEED, "Road speed at which it is felt most.")
    frequency = optional(
        FELT,
        "How often it shakes, by a vibration meter.",
        "not measured",
    ).also("hz felt")
    when = choice(
        When,
        "Whether it is felt under drive only, on the overrun only, or in both alike.",
        left_out="not known",
    )
    load = choice(
        Load, "Whether it is felt empty only, loaded only, or in both alike.", left_out="not known"
    )
    felt_in: TextKey[str | None] = TextKey(
        "Configuration in which it is felt, by its name.",
        left_out="the first one, which the vehicle has now",
    ).also("configuration layout with")


def complaint(v: Values, s: Structure, name: str, readings: Mapping[str, Reading]) -> Complaint:
    """Return a complaint; its frequency keeps the ± of its reading."""
    path, (when, load, felt_in) = f"complaint.{name}", s.complaints[name]
    read = readings.get(f"{path}.frequency")
    return Complaint(
        name=name,
        speed=v[f"{path}.speed"],
        frequency=v.get(f"{path}.frequency"),
        spread=read.spread if read else 0.0,
        when=when,
        load=load,
        felt_in=felt_in,
    )
