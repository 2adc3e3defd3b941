"""Every shipped scene through everything, headless; and the command line as a user meets it."""

from __future__ import annotations

import csv
import gc
import hashlib
import html
import json
import os
import re
import signal
import subprocess
import sys
import time
import warnings
from collections.abc import Callable, Iterator
from importlib.metadata import version
from pathlib import Path
from xml.etree import ElementTree

import imageio.v3 as iio
import numpy as np
import pytest

from sim.motion.torque import torque_loads
from sim.run import Outcome, run
from sim.scene.reader import load_scene
from sim.show.film.meeting import first_meeting

ROOT = Path(__file__).parents[1]
SCENES = sorted((ROOT / "scenes").glob("*.toml"))
MISTAKES = sorted((ROOT / "scenes" / "mistakes").glob("*.toml"))
BAD = ROOT / "tests" / "bad_scenes" / "wall_over_half_the_diameter.toml"
CAR, TRUCK, VAN, CHASSIS = (
    ROOT / "scenes" / f"{name}.toml"
    for name in (
        "courier_estate_car",
        "orchard_service_truck",
        "lowered_street_van",
        "long_three_piece_chassis",
    )
)
# What the two routes must agree within: our own promise, README, "Where the numbers were checked".
PROMISE = {
    "joint_angle_deg": 0.005,
    "slip_mm": 0.01,
    "speed_ratio": 3e-5,
    "fluctuation_peak_to_peak": 5e-5,
}

Command = tuple[str | Path, ...]


def halfturn(*words: str | Path, seed: str = "0") -> subprocess.CompletedProcess[str]:
    """Run the command line in a process of its own, piped."""
    return subprocess.run(
        [sys.executable, "-m", "sim.cli", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONHASHSEED": seed},
    )


# --- every scene, everything ------------------------------------------------------------------


@pytest.fixture(scope="module", params=SCENES, ids=lambda path: path.stem)
def made(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Outcome:
    """One run of everything, with a film of 8 small frames, 10 where a shaft bows."""
    outputs = tmp_path_factory.mktemp("outputs")
    return run(load_scene(request.param), outputs, film_seconds=1 / 3, picture_scale=0.25)


@pytest.mark.slow
def test_the_film_moves_and_shows_something(made: Outcome) -> None:
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore", ResourceWarning
        )  # imageio leaves its pipes to the collector
        frames = np.array(iio.imread(made.folder / "compare.mp4"))
        gc.collect()
    compared = [r.measurements for r in made.results if r.configuration.name in made.scene.compared]
    assert len(frames) == (8 if first_meeting(compared) is None else 10)
    first, middle, last = frames[0], frames[4], frames[-1]
    for frame in (first, middle, last):
        assert frame.std() > 10  # of 255; one color has none
    for one, other in ((first, middle), (middle, last), (first, last)):
        assert np.mean(np.abs(one.astype(int) - other)) > 0.5


@pytest.mark.slow
def test_the_report_holds_the_title_and_every_configuration(made: Outcome) -> None:
    page = (made.folder / "report.html").read_text(encoding="utf-8")
    assert f"<h1>{html.escape(made.scene.title)}</h1>" in re.sub(r"<h1[^>]*>", "<h1>", page)
    for one in made.scene.configurations:
        assert one.name in page
    assert '<section id="shake">' in page
    shaken = [path.parent.name for path in made.files if path.name == "shake.csv"]
    assert set(made.scene.compared) <= set(shaken)
    assert not re.search(r"""(src|href)=["']?https?:""", page)


@pytest.mark.slow
def test_the_tables_say_the_same_and_hold_a_number_everywhere(made: Outcome) -> None:
    for result in made.results:
        folder = made.folder / result.configuration.name
        with (folder / "sweep.csv").open(encoding="utf-8", newline="") as file:
            head, *rows = csv.reader(file)
        table = json.loads((folder / "sweep.json").read_text(encoding="utf-8"))
        columns = {column["name"]: column for column in table["columns"]}
        assert list(columns) == head
        assert len(rows) == table["states"] == len(result.motion.states)
        for name, texts in zip(head, zip(*rows, strict=True), strict=True):
            assert len(columns[name]["values"]) == len(rows)
            if columns[name]["unit"]:
                numbers = np.array([float(text) for text in texts if text])
                assert np.isfinite(numbers).all(), name
                assert len(numbers) > 0, name


@pytest.mark.slow
def test_the_record_names_scene_and_versions_and_both_routes_agree(made: Outcome) -> None:
    record = json.loads((made.folder / "run.json").read_text(encoding="utf-8"))
    source = ROOT / "scenes" / f"{made.scene.name}.toml"
    assert record["scene_sha256"] == hashlib.sha256(source.read_bytes()).hexdigest()
    assert record["versions"].keys() >= {"halfturn", "numpy", "pybullet"}
    for name, written in record["versions"].items():
        assert written == version(name)
    assert len(record["configurations"]) == len(made.scene.configurations)
    for one in record["configurations"]:
        for quantity, most in PROMISE.items():
            assert 0 < one["agreement"][quantity] <= most, (one["name"], quantity)


@pytest.mark.slow
def test_every_file_is_listed_whole_and_nothing_else_is_left(made: Outcome) -> None:
    found = {path for path in made.folder.rglob("*") if path.is_file()}
    assert found == set(made.files)
    for path in found:
        assert_whole(path)


# --- the command line -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("check", VAN, "--only", "two-piece"), 0, "two-piece: good if"),
        (("check", CHASSIS, "--only", "three-piece"), 0, "three-piece: good to build"),
        (("check", VAN), 1, "beyond whirl"),
        (("check", CHASSIS), 1, "beyond whirl"),
        (("check", BAD), 2, "wall"),
        (("check", ROOT / "scenes" / "not_there.toml"), 2, "not_there.toml"),
        (("check", ROOT / "scenes"), 2, "cannot be read"),
        (("check", VAN, "--only", "five-piece"), 2, "five-piece"),
        (("check", VAN, "--rules", "no duty"), 2, "no duty"),
        (("check",), 2, "SCENE"),
        (("sweep", BAD), 2, "wall"),
        ((), 2, "COMMAND"),
    ],
)
def test_the_exit_code_says_how_it_went(words: Command, code: int, said: str) -> None:
    done = halfturn(*words)
    assert done.returncode == code, done.stderr
    assert said in (done.stderr if code == 2 else done.stdout)
    assert "Traceback" not in done.stderr
    if code != 2:
        assert done.stderr == ""  # piped: no bars, no warnings


@pytest.mark.parametrize(
    "how", ["--as-read", pytest.param("--all", id="sampled", marks=pytest.mark.slow)]
)
@pytest.mark.parametrize("scene", [*SCENES, *MISTAKES], ids=lambda path: path.stem)
def test_no_warning_is_raised_on_the_way(
    scene: Path, how: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONWARNINGS", "error")  # a warning of any library ends the command
    done = halfturn("check", scene, how)
    assert done.stderr == ""
    assert done.returncode in (0, 1)
    assert "The vehicle maker's data" in " ".join(done.stdout.split())  # at any width


def test_a_check_as_read_says_what_the_readings_say_and_not_how_sure() -> None:
    told = [
        json.loads(halfturn("check", TRUCK, "--json", *more).stdout)
        for more in ((), ("--as-read",))
    ]
    sure, exact = ([f["verdict"] for c in t["configurations"] for f in c["findings"]] for t in told)
    assert "cannot be told" in sure
    assert "cannot be told" not in exact
    assert len(sure) == len(exact)


def test_a_reader_that_leaves_the_pipe_is_not_an_error() -> None:
    words = [sys.executable, "-m", "sim.cli", "check", "--as-read", str(TRUCK)]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.close()
        assert running.stderr.read() == b""
    assert running.returncode == 0


def test_json_is_all_that_is_printed_for_machines() -> None:
    done = halfturn("check", VAN, "--json")
    assert done.stderr == ""
    told = json.loads(done.stdout)
    assert told["title"] == "Lowered street van"
    fails = {one["name"]: one["fails"] for one in told["configurations"]}
    assert fails == {"one-piece": True, "two-piece": False}


@pytest.mark.slow
def test_two_processes_give_the_same_bits(tmp_path: Path) -> None:
    tables = []
    for seed, strict in (("1", ()), ("2", ("--strict",))):
        out = tmp_path / seed
        done = halfturn("sweep", CAR, "--only", "as-hung", "--out", out, *strict, seed=seed)
        assert done.returncode == (1 if strict else 0)  # the bearing hangs too low
        assert done.stderr == ""
        tables.append((out / CAR.stem / "as-hung" / "sweep.csv").read_bytes())
    assert tables[0] == tables[1]
    assert len(tables[0]) > 10_000


# --- a run that is killed ---------------------------------------------------------------------


def assert_whole(path: Path) -> None:
    """Assert that a file ends where its kind ends."""
    data = path.read_bytes()
    assert data, path
    if path.suffix == ".png":
        assert data.endswith(b"IEND\xaeB`\x82"), path  # PNG, W3C, section 11.2.5
    elif path.suffix == ".mp4":
        assert data[4:8] == b"ftyp", path  # ISO/IEC 14496-12, section 4.3
        assert b"moov" in data, path
        assert b"mdat" in data, path
    elif path.suffix == ".svg":
        assert ElementTree.fromstring(data).tag.endswith("svg")
    elif path.suffix == ".json":
        json.loads(data)
    elif path.suffix == ".csv":
        head, *rows = csv.reader(data.decode("utf-8").splitlines())
        assert data.endswith(b"\n"), path
        assert {len(row) for row in rows} == {len(head)}, path
    elif path.suffix == ".pdf":
        assert data.rstrip().endswith(b"%%EOF"), path  # ISO 32000-1, section 7.5.5
    elif path.suffix == ".html":
        assert data.rstrip().endswith(b"</html>"), path
    else:
        pytest.fail(f"a file of an unknown kind: {path}")


def some_begun(folder: Path) -> bool:
    """Say whether a film is half written."""
    return any(path.stat().st_size for path in folder.rglob(".*.part.mp4"))


def some_done(folder: Path) -> bool:
    """Say whether the first pictures are there."""
    return any(folder.rglob("*.png"))


@pytest.fixture
def begun(tmp_path: Path) -> Iterator[Callable[[str], subprocess.Popen[bytes]]]:
    """Start commands in a process group of their own; end what is left of them."""
    running = []

    def start(command: str) -> subprocess.Popen[bytes]:
        words = [sys.executable, "-m", "sim.cli", command, str(VAN), "--out", str(tmp_path)]
        quiet = subprocess.DEVNULL
        running.append(subprocess.Popen(words, stdout=quiet, stderr=quiet, start_new_session=True))
        return running[-1]

    yield start
    for process in running:
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


@pytest.mark.slow
@pytest.mark.parametrize(("command", "moment"), [("film", some_begun), ("sweep", some_done)])
def test_a_killed_run_leaves_no_half_file(
    command: str,
    moment: Callable[[Path], bool],
    begun: Callable[[str], subprocess.Popen[bytes]],
    tmp_path: Path,
) -> None:
    process = begun(command)
    until = time.monotonic() + 120
    while not moment(tmp_path):
        assert process.poll() is None, "it ended before it could be killed"
        assert time.monotonic() < until, "it wrote nothing in 2 minutes"
        time.sleep(0.01)
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    left = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert left
    for path in left:
        if not path.name.startswith("."):
            assert_whole(path)
    if command == "film":
        assert not any(path.suffix == ".mp4" and path.name[0] != "." for path in left)


# --- by hand ----------------------------------------------------------------------------------


def test_the_hard_launch_of_the_orchard_truck_is_what_its_plates_give() -> None:
    # Tires: grip 0.9, 1448 kg on the axle, 9.80665 m/s² (standard gravity, 3rd CGPM 1901), a fifth
    # more load as it launches, 0.395 m from axle to ground.  Grip and load transfer: common
    # practice, no source.
    tires = 0.9 * 1448 * 9.80665 * 1.2 * 0.395
    # Engine: 610 N m, first gear 4.17, converter 1.9; efficiency 0.92 (common practice, no source).
    engine_shaft = 610 * 4.17 * 1.9 * 0.92
    (load,) = (
        load
        for load in torque_loads(load_scene(TRUCK).configuration("two-piece"))
        if load.name == "hard launch"
    )
    assert load.tire_limited_wheel == pytest.approx(tires, rel=1e-12)
    assert load.engine_limited_shaft == pytest.approx(engine_shaft, rel=1e-12)
    assert tires < engine_shaft * 4.10 * 0.96  # so the tires decide
    assert load.wheel_torque == pytest.approx(tires, rel=1e-12)
    # Axle ratio 4.10, axle efficiency 0.96 (common practice, no source).
    assert load.shaft_torque == pytest.approx(tires / 4.10 / 0.96, rel=1e-12)
