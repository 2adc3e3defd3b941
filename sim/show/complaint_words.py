"""A complaint in words."""

from __future__ import annotations

from sim.display import Display
from sim.scene.parts import Complaint

WHEN = {"drive": "under drive only", "coast": "on the overrun only", "any": "drive and overrun"}


def complaint_title(complaint: Complaint, display: Display) -> str:
    """Return the title of a complaint, by its name and in words.

    Args:
        complaint: What the driver feels.
        display: Units shown.
    """
    return f"Complaint “{complaint.name}”: {complaint_words(complaint, display)}"


def complaint_words(complaint: Complaint, display: Display) -> str:
    """Return a complaint in words, as in "88 km/h, 42.0 ± 2 Hz felt, under drive only".

    Args:
        complaint: What the driver feels.
        display: Units shown.
    """
    words = [] if complaint.speed is None else [display.speed.say(complaint.speed)]
    if complaint.frequency is not None:
        spread = f" ± {complaint.spread:g}" if complaint.spread else ""
        words.append(f"{complaint.frequency:.1f}{spread} Hz felt")
    words += [] if complaint.when is None else [WHEN[complaint.when]]
    words += [] if complaint.load in (None, "any") else [f"{complaint.load} only"]
    return ", ".join(words)
