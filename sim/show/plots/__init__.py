"""Plots: one configuration over travel and over a turn, and all of them compared."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sim.display import display_of
from sim.judge.findings import Findings
from sim.measure.measurements import Measurements
from sim.motion.motion import Motion
from sim.scene.parts import Scene
from sim.show.plots.angles import draw_joint_angles
from sim.show.plots.bearing import draw_bearing
from sim.show.plots.carry import draw_carry
from sim.show.plots.clearance import draw_clearance
from sim.show.plots.compare import draw_travel_compared
from sim.show.plots.envelope import draw_envelope
from sim.show.plots.smoothness import draw_smoothness
from sim.show.plots.spline import draw_spline
from sim.show.plots.sureness import draw_sureness
from sim.show.plots.turn import draw_turn
from sim.show.plots.whirl import draw_critical_speeds
from sim.show.plots.whirl_chart import draw_whirl

__all__ = ["draw_comparison", "draw_configuration"]


def draw_configuration(
    scene: Scene, motion: Motion, measurements: Measurements, findings: Findings, folder: Path
) -> tuple[Path, ...]:
    """Draw everything about one configuration, each picture as SVG and as PNG.

    Args:
        scene: For its title and units.
        motion: As solved.
        measurements: Read off that motion.
        findings: The verdicts on them, for the limits drawn.
        folder: Where the pictures belong, as in outputs/<scene>/<configuration>.

    Returns:
        The files written, SVG before PNG.
    """
    display = display_of(scene.display)
    about = f"{scene.title}, {measurements.configuration.name}"
    return (
        *draw_joint_angles(measurements, findings, display, about, folder),
        *draw_spline(measurements, display, about, folder),
        *draw_smoothness(measurements, findings, display, about, folder),
        *draw_turn(motion, about, folder),
        *draw_bearing(motion, measurements, display, about, folder),
        *draw_whirl(measurements, display, about, folder),
        *draw_carry(measurements, display, about, folder),
        *draw_envelope(motion, measurements, display, about, folder),
        *draw_clearance(measurements, findings, display, about, folder),
        *draw_sureness(findings, display, about, folder),
    )


def draw_comparison(
    scene: Scene, measurements_by_name: Mapping[str, Measurements], folder: Path
) -> tuple[Path, ...]:
    """Draw all configurations on the same axes, each picture as SVG and as PNG.

    Args:
        scene: For its title and units.
        measurements_by_name: In the order of the scene.
        folder: Where the pictures belong, as in outputs/<scene>.

    Returns:
        The files written, SVG before PNG.
    """
    display = display_of(scene.display)
    return (
        *draw_travel_compared(measurements_by_name, display, scene.title, folder),
        *draw_critical_speeds(measurements_by_name, display, scene.title, folder),
    )
