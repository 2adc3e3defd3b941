"""Whole processes as a user starts them: time and memory."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.show.film.film import MOST_PROCESSES

COMMAND = str(Path(sys.executable).with_name("halfturn"))
SCENE = str(Path(__file__).parents[2] / "scenes" / "orchard_service_truck.toml")
MOST_MEMORY = 500  # [MB]
# A tenth above what was measured: the run with its encoder, and each painter.
RUN, PAINTER = 330, 260  # [MB]


def seconds(*words: str, times: int = 5) -> float:
    """Return the best wall time of a few runs [s]; the others waited for the machine."""
    best = float("inf")
    for _ in range(times):
        start = time.perf_counter()
        done = subprocess.run(words, capture_output=True, check=False)
        best = min(best, time.perf_counter() - start)
        assert done.returncode in (0, 1), done.stderr.decode()  # 1: a finding fails
    return best


def memory_of(session: int) -> float:
    """Return what all processes of a session hold now, shared pages counted once [MB]."""
    total = 0
    for process in Path("/proc").glob("[0-9]*"):
        try:
            if os.getsid(int(process.name)) != session:
                continue
            rollup = (process / "smaps_rollup").read_text()
        except OSError:  # it ended meanwhile
            continue
        total += next(int(line.split()[1]) for line in rollup.splitlines() if "Pss:" in line)
    return total / 1024


def test_help_and_check(note):
    python = seconds(sys.executable, "-c", "pass")
    asked = seconds(COMMAND, "--help")
    checked = seconds(COMMAND, "check", SCENE, times=3)
    beside = f"an empty Python takes {python:.3f} s"
    note("halfturn --help, whole process", asked, "s", "<= 0.3", beside)
    note("halfturn check with cures, whole process", checked, "s", "<= 3", beside)
    as_read = seconds(COMMAND, "check", SCENE, "--as-read")
    note("halfturn check --as-read, whole process", as_read, "s", "<= 0.8", beside)
    assert asked < 30 * python


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/smaps_rollup").exists(), reason="reads Linux's /proc")
def test_a_whole_run(note, tmp_path):
    start = time.perf_counter()
    run = subprocess.Popen(
        [COMMAND, "run", SCENE, "--out", str(tmp_path)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    most = 0.0
    try:
        while run.poll() is None:
            most = max(most, memory_of(run.pid))
            time.sleep(0.2)
    finally:
        if run.poll() is None:  # interrupted: take its painters along
            os.killpg(run.pid, signal.SIGTERM)
    took = time.perf_counter() - start
    said = run.communicate()[1]
    assert run.returncode == 0, said[-2000:]
    note("halfturn run, whole process", took, "s", "<= 240")
    note("halfturn run, most memory of all its processes", most, "MB", f"<= {MOST_MEMORY}")
    assert most < RUN + PAINTER * min(os.cpu_count() or 1, MOST_PROCESSES)
