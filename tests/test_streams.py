"""Text on streams that are closed, full or of another encoding; run as a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
SCENE = ROOT / "scenes/orchard_service_truck.toml"


def halfturn(*words: str, stdout=subprocess.PIPE, **surroundings: str):
    """Run one command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "sim.cli", *words],
        stdout=stdout, stderr=subprocess.PIPE, text=True, encoding="latin-1", check=False,
        env=os.environ | {"PYTHONPATH": str(ROOT)} | surroundings, cwd=ROOT,
    )  # fmt: skip


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_what_a_stream_cannot_carry_is_spelled_out(encoding: str) -> None:
    done = halfturn("check", str(SCENE), "--as-read", PYTHONIOENCODING=encoding)
    assert (done.returncode, done.stderr) == (1, "")
    assert "deg" in done.stdout
    assert "?" not in done.stdout.replace("? ", " ")


def test_machines_get_whole_json_on_any_stream() -> None:
    done = halfturn("check", str(SCENE), "--as-read", "--json", PYTHONIOENCODING="ascii")
    found = json.loads(done.stdout)
    assert "rad/s²" in {f["value"]["unit"] for c in found["configurations"] for f in c["findings"]}


def test_a_closed_output_is_no_reason_to_stop() -> None:
    words = [sys.executable, "-m", "sim.cli", "schema"]
    done = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" >&-', "sh", *words], stderr=subprocess.PIPE, text=True,
        check=False, env=os.environ | {"PYTHONPATH": str(ROOT)}, cwd=ROOT,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk_is_one_line() -> None:
    with Path("/dev/full").open("w") as full:
        done = halfturn("schema", stdout=full)
    assert (done.returncode, done.stderr) == (2, "output: No space left on device\n")


def test_control_characters_of_a_file_name_are_shown_not_sent(tmp_path: Path) -> None:
    done = halfturn("check", str(tmp_path / "a\x1b[31mb.toml"))
    assert done.returncode == 2
    assert "\x1b" not in done.stderr
    assert "\\u001b[31mb" in done.stderr
