"""How fast the film is made, from two configurations to a finished file."""

from __future__ import annotations

import os
import time

import samples

from sim.measure.measure import measure
from sim.motion.solve import solve
from sim.scene.parts import Scene
from sim.show.film.film import film

SECONDS = 2.0


def two_trucks() -> Scene:
    configurations = (samples.one_piece(), samples.two_piece())
    return Scene(
        name="bench",
        title="Orchard service truck",
        about="",
        datum="",
        display="metric",
        rules="two-piece service",
        configurations=configurations,
        compared=("one-piece", "two-piece"),
        doubts=(),
        text="",
        digest="",
    )


def test_film_of_two_configurations(note, tmp_path):
    scene = two_trucks()
    measured = [measure(solve(c)) for c in scene.configurations]
    start = time.perf_counter()
    made = film(scene, measured, tmp_path / "compare.mp4", seconds=SECONDS)
    took = time.perf_counter() - start
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    note(
        "film, 1280 x 720, start to finished file",
        made.frames / took,
        "frames/s",
        "",
        f"{made.frames} frames on {cores} cores; 24 frames are one second",
    )
    assert made.video.stat().st_size > 10_000
