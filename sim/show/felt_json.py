"""The answer to a complaint for machines; its fields are listed in DEVELOPERS.md."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sim.explore.felt import Band, Change, Felt, Fit
from sim.show.felt_words import AS_ADVISED


def felt_json(felt: Felt) -> dict[str, Any]:
    """Return the answer to a complaint, in SI units."""
    return {
        "complaint": felt.complaint.name,
        "felt_in": felt.felt_in,
        "orders": [_fit(fit) for fit in felt.fits],
        "changes": [
            {
                "configuration": name.removesuffix(AS_ADVISED),
                "as_advised": name.endswith(AS_ADVISED),
                **_change(change),
            }
            for name, each in felt.changes.items()
            for change in each
        ],
    }


def _fit(fit: Fit) -> dict[str, Any]:
    """Return whether an order is what is felt."""
    met = fit.meeting
    return {
        "order": fit.order,
        "frequency_hz": fit.frequency,
        "speed_m_s": fit.speed,
        "torque": fit.situation,
        "fits": fit.fits,
        "why": fit.why,
        "places": list(fit.places),
        "force_n": _band(fit.force),
        "meets": None
        if met is None
        else {
            "mode": met.kind,
            "number": met.number,
            "speed_m_s": {"value": met.speed, "low": met.low, "high": met.high},
        },
    }


def _change(change: Change) -> dict[str, Any]:
    """Return what another configuration does to an order."""
    return {
        "order": change.order,
        "effect": change.effect,
        "times_less": times_less(change.ratio),
        "new_path": change.new_path,
        "small": change.small,
    }


def times_less(ratio: Sequence[Band]) -> dict[str, Any]:
    """Return a ratio, before over after, by kind of ends; empty where there is none."""
    ends = ("rigid_ends", "ends_on_springs")
    return {name: _band(band) for name, band in zip(ends, ratio, strict=False)}


def _band(band: Band) -> dict[str, float]:
    """Return a number with 5 and 95 % of its draws."""
    return {"value": band.value, "low": band.low, "high": band.high}
