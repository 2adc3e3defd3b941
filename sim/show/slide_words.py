"""Words for what takes up the length as the axle moves: a spline, or a joint that plunges."""

from __future__ import annotations

from dataclasses import dataclass

from sim.scene.parts import Configuration, plunging_joint

_PLACES = {
    "output": "slip yoke on the output",
    "midship": "on the midship stub behind the center bearing",
    "shaft": "inside the rear shaft",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SlideWords:
    """How a picture or a table speaks of it.

    Attributes:
        what: As in "spline" or "joint 3".
        where: The same with its place.
        gap, engaged: Its length left to slide together, and to draw apart.
        closed, apart: What happens where nothing of them is left.
        least: Engaged length that is wanted [m].
        least_words: How that is called.
    """

    what: str
    where: str
    gap: str
    engaged: str
    closed: str
    apart: str
    least: float
    least_words: str


def slide_words(configuration: Configuration) -> SlideWords:
    """Return the words for the spline of a configuration, or for the joint in its place."""
    number = plunging_joint(configuration)
    if not number:
        return SlideWords(
            what="spline",
            where=f"spline, {_PLACES[configuration.spline.at]}",
            gap="gap to bottoming",
            engaged="engaged",
            closed="bottoms",
            apart="pulls out",
            least=configuration.spline.least_engaged,
            least_words="least engaged length wanted",
        )
    return SlideWords(
        what=f"joint {number}",
        where=f"joint {number}, which plunges in place of a spline",
        gap="plunge left inward",
        engaged="plunge left outward",
        closed="meets its inner end",
        apart="meets its outer end",
        least=configuration.limits.gap,
        least_words="least plunge left wanted",
    )
