"""What layouts that nobody asked for hand on, in which a complaint is felt: these are only shaken.

A layout that is looked at alone is compared with them; they are not judged.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from sim.errors import SimError
from sim.explore.felt import Felt, answer_to
from sim.explore.felt_near import DRAWS, Near, near_of
from sim.explore.shaken import shake_states
from sim.explore.shaken_draws import draws_of
from sim.scene.parts import Complaint, Configuration, Scene


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Elsewhere:
    """A layout in which a complaint is felt, beside those that are judged.

    Attributes:
        complaint: What is felt.
        configuration: Its name.
        near: What it hands on where the complaint is felt; empty where it is lost.
        lost: Why it cannot be shaken, or None.
    """

    complaint: Complaint
    configuration: str
    near: tuple[Near, ...] = ()
    lost: SimError | None = None


def elsewhere_of(
    scene: Scene, complaints: Sequence[Complaint], asked: Collection[str] = ()
) -> dict[str, Elsewhere]:
    """Return the layouts in which complaints are felt and that were not asked for.

    Args:
        scene: The scene.
        complaints: What the driver feels.
        asked: Names of the configurations that are judged.

    Returns:
        One a complaint, by its name; none of those that are felt in what was asked for.
    """
    return {
        complaint.name: _shaken(scene.configuration(scene.felt_in(complaint)), complaint)
        for complaint in complaints
        if scene.felt_in(complaint) not in asked
    }


def _shaken(configuration: Configuration, complaint: Complaint) -> Elsewhere:
    """Return what a layout hands on where a complaint is felt, in the draws of a judged one."""
    try:
        drawn = draws_of(configuration, shake_states(configuration), DRAWS)
        near = near_of(configuration, complaint, drawn=drawn)
    except SimError as error:
        return Elsewhere(complaint=complaint, configuration=configuration.name, lost=error)
    return Elsewhere(complaint=complaint, configuration=configuration.name, near=near)


def felt_beside(
    elsewhere: Mapping[str, Elsewhere], name: str, near: Mapping[str, Sequence[Near]]
) -> Iterator[Felt]:
    """Yield the answers to complaints that are felt elsewhere, for one layout.

    Args:
        elsewhere: From ``elsewhere_of``.
        name: Of the layout.
        near: What it hands on, by the name of the complaint.
    """
    for told, other in elsewhere.items():
        if other.lost is None and told in near:
            both = {other.configuration: other.near, name: near[told]}
            yield answer_to(other.complaint, other.configuration, both)
