"""The engine opens silently, takes its settings, and says so when it does not."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from sim.errors import EngineError
from sim.world.build import _check_link
from sim.world.engine import Settings, check_settings, engine, engine_version, quiet

SETTINGS = Settings(time_step=1 / 1280)


def test_settings_are_set_and_read_back():
    with engine(SETTINGS) as world:
        held = world.getPhysicsEngineParameters()
    assert held["fixedTimeStep"] == 1 / 1280
    assert held["numSolverIterations"] == 50
    assert held["gravityAccelerationZ"] == 0.0


@pytest.mark.parametrize(
    ("change", "named"),
    [
        ({"numSolverIterations": 7}, "numSolverIterations = 7, 50 was asked"),
        ({"fixedTimeStep": 1 / 240}, "fixedTimeStep = 0.0041"),
        ({"numSubSteps": 4}, "numSubSteps = 4, 0 was asked"),
    ],
)
def test_a_setting_that_is_not_held_is_named(change, named):
    with engine(SETTINGS) as world:
        world.setPhysicsEngineParameter(**change)
        with pytest.raises(EngineError, match=named):
            check_settings(world, SETTINGS)


def test_gravity_is_noticed():
    with engine(SETTINGS) as world:
        world.setGravity(0, 0, -9.81)
        with pytest.raises(EngineError, match="gravityAccelerationZ"):
            check_settings(world, SETTINGS)


def test_every_engine_is_closed_even_after_an_error():
    with pytest.raises(ZeroDivisionError), engine(SETTINGS) as world:
        _ = 1 / 0
    assert not world.api.getConnectionInfo(world.client)["isConnected"]


def test_an_engine_that_does_not_open_is_an_error(monkeypatch):
    import pybullet

    monkeypatch.setattr(pybullet, "connect", lambda *_: -1)
    with pytest.raises(EngineError, match="did not open"), engine(SETTINGS):
        pass


class Misbuilt:
    """An engine that hangs a link elsewhere or drops its inertia."""

    def __init__(self, parent, inertia):
        self.parent, self.inertia = parent, inertia

    def getJointInfo(self, *_):
        return [None] * 16 + [self.parent]

    def getDynamicsInfo(self, *_):
        return (1.0, 0.5, self.inertia)


@pytest.mark.parametrize("world", [Misbuilt(0, (1, 1, 1)), Misbuilt(1, (0, 0, 0))])
def test_a_link_hung_elsewhere_or_without_its_inertia_is_an_error(world):
    with pytest.raises(EngineError, match="the engine hangs link 2 on link"):
        _check_link(world, 0, 2, [1, 1, 1])


def test_c_code_is_silent_and_python_is_not(capfd):
    c_library = ctypes.CDLL(None)
    sys.stdout.write("before ")
    with quiet():
        os.write(1, b"noise")
        os.write(2, b"noise")
        c_library.printf(b"noise that waits in a buffer")
    sys.stdout.write("after")
    assert capfd.readouterr() == ("before after", "")


def test_engine_noise_reaches_neither_standard_output_nor_error(tmp_path):
    program = tmp_path / "program.py"
    program.write_text(
        "import sys\n"
        f"sys.path.insert(0, {str(Path(__file__).parent)!r})\n"
        "import samples\n"
        "from sim.world.simulate import default_states, simulate\n"
        "from sim.world.engine import engine, quiet\n"
        "truck = samples.two_piece()\n"
        "simulate(truck, states=default_states(truck)[:1])\n"
        "with engine() as world, quiet():\n"
        "    try:\n"
        "        world.createConstraint(0, 5, -1, -1, 5, [0] * 3, [0] * 3, [0] * 3)\n"
        "    except world.api.error:\n"
        "        pass\n"
        "print('a table')\n"
    )
    done = subprocess.run(
        [sys.executable, str(program)], capture_output=True, text=True, check=True, timeout=60
    )
    assert (done.stdout, done.stderr) == ("a table\n", "")


def test_the_version_is_the_installed_one():
    import pybullet

    assert engine_version().startswith("PyBullet 3.")
    assert np.isfinite(pybullet.getAPIVersion())
