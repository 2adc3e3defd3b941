"""The command ``built``: the new verdict, cures that hold once carried out, words, the record."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from trucks_as_built import DEG, RIDE, Truth, exact_readings, readback_of, reading

from sim import cli
from sim.display import DisplayName
from sim.explore.built import AsBuilt, Landed, as_built, fused
from sim.explore.built_fit import fit
from sim.explore.built_levers import levers_after
from sim.explore.cures_lines import carried_out
from sim.explore.judged import findings_on
from sim.explore.linked import together
from sim.explore.sampling import draw, drawn_values
from sim.explore.sources import sources_of
from sim.judge.rules import load_rules
from sim.motion.solve import solve
from sim.scene.parts import Configuration, Linked, Scene
from sim.scene.readback import read_readback
from sim.scene.reader import load_scene
from sim.show.built import built_json, built_lines
from sim.show.built_words import disagreement, landed_words, outlook_on, said, sentence
from sim.show.files import append_text

ROOT = Path(__file__).parents[1]
TRUCK = ROOT / "scenes" / "orchard_service_truck.toml"
READINGS = ROOT / "scenes" / "readings" / "orchard_service_truck.toml"
JACKED = reading("bump", 0.07, 0.003)


@cache
def scene() -> Scene:
    """Return the demo truck."""
    return load_scene(TRUCK)


def plan() -> Configuration:
    """Return the layout that is good to build."""
    return scene().configuration("two-piece-wedged")


@cache
def built(*off: tuple[str, float], cut_short: float = 0.0) -> AsBuilt:
    """Return what is found on a truck built off its plan, read without error."""
    values = {
        path: plan().readings[path].value + far for path, far in off if path in plan().readings
    }
    values |= {path: far for path, far in off if path not in plan().readings}
    exact = exact_readings(plan(), Truth(values=values, cut_short=cut_short, raised=0.07))
    return as_built(plan(), readback_of(plan(), exact, JACKED), load_rules(scene().rules))


def words(found: AsBuilt) -> str:
    """Return its sentence."""
    return sentence(found, "metric")


# --- where parts landed, and the verdict ---------------------------------------------------------


@pytest.mark.parametrize(
    ("off", "said_of_it"),
    [
        ((), "All that was read is as planned: good."),
        (
            (("bearing.1.aft", 0.008), ("bearing.1.up", -0.003)),
            "Bearing 1 landed 8 mm aft and 3 mm low: still good.",
        ),
    ],
)
def test_where_the_brace_landed_is_said_with_the_verdict(off: tuple, said_of_it: str) -> None:
    assert words(built(*off)) == said_of_it


def test_a_bearing_hung_too_high_is_told_to_be_shimmed_and_then_reads_good() -> None:
    """The cure is carried out on the truck itself: read again, it is good."""
    found = built(("bearing.1.up", 0.014))
    assert words(found).startswith("Bearing 1 landed 14 mm high: good if you hang bearing 1")
    (cure,) = outlook_on(found, "metric").cures
    (line,) = cure.changes
    path, _, text = line.partition(" = ")
    assert path == "bearing.1.up"
    hung = float(text.strip('"').split()[0]) / 1000
    # the brace has hole rows of 12 mm and shims of 1, 2 and 5 mm
    moved = round(1000 * (hung - 0.535))
    ways = {-12 * rows - shims for rows in (0, 1, 2) for shims in (0, 1, 2, 3, 5, 6, 7, 8)}
    before = 7  # of shims: by the plan 521 mm, below the row at 492 + 3 × 12 = 528 mm
    assert moved in {way + before for way in ways}
    assert "hang bearing 1 one hole row down" in cure.does
    assert cure.does.endswith(f"{-moved} mm lower")
    after = built(("bearing.1.up", 0.014 + moved / 1000))
    assert outlook_on(after, "metric").grade == "good"


def test_a_cure_is_judged_good_as_it_is_printed() -> None:
    found = built(("bearing.1.up", 0.014))
    (cure,) = outlook_on(found, "metric").cures
    assert found.judged is not None
    changed = carried_out(found.judged.configuration.design, cure.changes)
    after = findings_on(changed, found.judged.rules)
    assert after is not None
    assert not [f for f in after.findings if f.verdict in ("fails", "cannot be told")]


@pytest.mark.parametrize(
    ("path", "planned", "value", "display", "words"),
    [
        ("bearing.1.aft", 2.395, 2.383, "metric", "bearing 1 landed 12 mm forward"),
        ("bearing.1.forward", 0.4, 0.412, "metric", "bearing 1 landed 12 mm forward"),
        ("bearing.1.up", 0.521, 0.529, "metric", "bearing 1 landed 8 mm high"),
        ("bearing.1.down", 0.021, 0.029, "metric", "bearing 1 landed 8 mm low"),
        ("bearing.1.left", 0.0, 0.005, "metric", "bearing 1 landed 5 mm to the left"),
        ("bearing.1.right", 0.0, 0.00635, "inch", "bearing 1 landed 1/4 in to the right"),
        ("bearing.1.up", 0.521, 0.5218, "metric", ""),  # within its ±
        ("spline.gap", 0.045, 0.037, "metric", "shaft 2 is 8 mm longer than on paper"),
        (
            "pinion.nose_down",
            1 * DEG,
            2 * DEG,
            "metric",
            "the wedge turns the pinion 2.0 deg nose down, not 1.0 deg nose down",
        ),
    ],
)
def test_where_a_part_landed_is_said_in_the_way_it_is_off(
    path: str, planned: float, value: float, display: DisplayName, words: str
) -> None:
    one = Landed(path=path, planned=planned, value=value, spread=0.001)
    found = replace(built(), landed=(one,), judged=None)
    assert "; ".join(landed_words(found, display)) == words


def test_what_the_gap_gains_the_engaged_length_loses() -> None:
    truck = fused(plan(), built(cut_short=0.03).fit)
    planned = plan().readings
    assert truck.values["spline.gap"] == pytest.approx(planned["spline.gap"].value + 0.03, abs=1e-3)
    whole = planned["spline.gap"].value + planned["spline.engaged"].value
    assert truck.values["spline.gap"] + truck.values["spline.engaged"] == pytest.approx(whole)
    sources = sources_of(truck.build())
    drawn = drawn_values(truck.build(), sources, draw(sources, 400))
    both = drawn["spline.gap"] + drawn["spline.engaged"]
    assert both.std() == pytest.approx(planned["spline.engaged"].spread / 1.96, rel=0.1)


def test_what_fails_is_named_above_what_to_do() -> None:
    lines = list(built_lines(scene(), built(("bearing.1.up", 0.014))))
    tags = [line.split()[0] for line in lines if line.startswith("  ") and line[2] != " "]
    assert tags[:3] == ["fails", "fails", "do"]
    assert len(lines) <= 18
    shown = [line.split("  ")[1] for line in lines if " ± " in line]
    assert "bearing.1.up" in shown  # the farthest off
    assert "bearing.1.aft" not in shown  # where it was planned


def test_a_wedge_put_in_backwards_is_seen_and_its_turn_said() -> None:
    found = built(("pinion.nose_up", -3.0 * DEG))
    assert words(found) == (
        "The wedge turns the pinion 1.5 deg nose down, not 1.5 deg nose up: good if you wedge the "
        "pinion 1.5 deg nose up, not 1.5 deg nose down."
    )


def test_a_shaft_cut_short_is_seen_and_nothing_that_a_shop_still_has_cures_it() -> None:
    found = built(cut_short=0.03)
    assert words(found).startswith("Shaft 2 is 30 mm shorter than on paper: not as it stands")
    assert any("No shim, slot, hole or wedge" in line for line in built_lines(scene(), found))


def test_a_bearing_to_one_side_is_moved_back_in_its_slots() -> None:
    found = built(("bearing.1.right", 0.013))
    landed = {one.path: one.off for one in found.landed}
    assert landed["bearing.1.right"] == pytest.approx(0.013, abs=1e-3)
    assert words(found).startswith("Bearing 1 landed 13 mm to the right: ")


def test_shafts_keep_the_lengths_of_the_plan() -> None:
    """A bearing 8 mm aft makes no shaft longer; its race sits so far ahead of the bracket."""
    off = built(("bearing.1.aft", 0.008), ("bearing.1.up", -0.003))
    truck = fused(plan(), off.fit).build()
    as_cut, there = solve(plan()).reference, solve(truck).reference
    np.testing.assert_allclose(there.length, as_cut.length, atol=1e-9)
    assert as_cut.to_joint[0] - there.to_joint[0] == pytest.approx(0.008, abs=5e-4)


def test_a_bracket_far_off_its_bearing_along_the_shaft_is_worth_watching() -> None:
    """The shaft keeps its length: the bearing stays, the bracket is 14 mm behind it."""
    found = built(("bearing.1.aft", 0.014))
    assert found.drawn() == pytest.approx((0.014,), abs=5e-4)
    told = "\n".join(built_lines(scene(), found))
    assert "watch  The bracket of bearing 1 stands 14 mm aft of its bearing" in told
    assert "but a bracket draws its rubber: move it first" in " ".join(told.split())
    assert built_json(scene(), found)["drawn"][0]["unit"] == "mm"
    off = built(("bearing.1.aft", 0.008), ("bearing.1.up", -0.003))
    near = "\n".join(built_lines(scene(), off))
    assert "watch  The bracket" not in near
    assert "draws its rubber" not in near


# --- errors that hang together -------------------------------------------------------------------


def test_a_slope_ties_the_heights_at_both_ends_of_a_shaft() -> None:
    """Joint 1 is known to what its two slopes say, not to what two tapes say."""
    truck = fused(plan(), built().fit)
    configuration = truck.build()
    sources = sources_of(configuration)
    off = draw(sources, 400)
    tied = angles_at_joint_1(configuration, drawn_values(configuration, sources, off))
    loose = replace(truck, linked=None).build()
    apart = angles_at_joint_1(loose, drawn_values(loose, sources, off))
    # slopes of ± 0.1 deg, the output's fused with one of ± 0.25, the shaft's read three times
    best = np.hypot(0.1, 0.1) * DEG / 1.96
    assert tied.std() < best
    assert apart.std() > 1.5 * tied.std()


def angles_at_joint_1(configuration: Configuration, values: dict[str, np.ndarray]) -> np.ndarray:
    """Return the slope of shaft 1 over that of the output, sample by sample [rad]."""
    height = values["bearing.1.up"] - values["output.up"]
    along = values["bearing.1.aft"] - values["output.aft"]
    return np.arctan2(-height, along) - values["output.slope"]


def test_linked_readings_are_off_as_their_covariance_says() -> None:
    covariance = np.array([[1.0, 0.6], [0.6, 1.0]])
    low = np.linalg.cholesky(covariance)
    linked = Linked(paths=("a.right", "b.up"), root=low)
    off = np.random.default_rng(0).standard_normal((3, 20_000))
    mixed = together(linked, ["x", "a.right", "b.up"], off)
    np.testing.assert_allclose(np.cov(mixed[1:]), covariance, atol=0.03)
    np.testing.assert_array_equal(mixed[0], off[0])
    turned = together(linked, ["x", "a.left", "b.up"], off)
    np.testing.assert_allclose(np.cov(turned[1:]), covariance * [[1, -1], [-1, 1]], atol=0.03)
    with pytest.raises(ValueError, match=r"a\.right is linked to others, but has no ±"):
        together(linked, ["x", "b.up"], off[:2])


# --- what a shop still has -----------------------------------------------------------------------


def test_after_the_work_only_shims_slots_holes_and_wedges_are_left() -> None:
    design = fused(plan(), built().fit)
    paths = {path for lever in levers_after(design) for path in lever.values}
    assert paths == {"bearing.1.up", "bearing.1.right", "pinion.nose_up"}


@pytest.mark.parametrize("off", [("bearing.1.up", 0.014), ("bearing.1.right", 0.013)])
def test_a_brace_says_how_far_its_bearing_still_goes(off: tuple[str, float]) -> None:
    design = fused(plan(), built(off).fit)
    brace = design.build().braces[1]
    assert brace.slot is not None
    by_path = {path: lever for lever in levers_after(design) for path in lever.values}
    up = by_path["bearing.1.up"].values["bearing.1.up"]
    low, high = sorted((brace.start[2], brace.end[2]))
    assert up.min() >= low - 0.005
    assert up.max() <= high + 0.005
    aside = by_path["bearing.1.right"].values["bearing.1.right"]
    middle = (brace.start[1] + brace.end[1]) / 2
    assert np.abs(aside - middle).max() <= brace.slot + 1e-6
    tight = design.vary({"brace.1.from.up": 0.520, "brace.1.to.up": 0.540})
    (near,) = (
        lever.values["bearing.1.up"]
        for lever in levers_after(tight)
        if "bearing.1.up" in lever.values
    )
    assert near.size
    assert near.min() >= 0.515  # as built it may stand 5 mm outside
    assert near.max() <= 0.545
    bare = replace(
        design,
        structure=replace(design.structure, braces={}),
        values={p: v for p, v in design.values.items() if not p.startswith("brace.")},
    )
    free = {path: lever for lever in levers_after(bare) for path in lever.values}
    moves = free["bearing.1.up"].values["bearing.1.up"] - design.values["bearing.1.up"]
    assert np.abs(moves).max() == pytest.approx(0.015, abs=1e-6)  # shims; common practice


def test_shims_lower_a_bearing_and_only_those_that_are_in_let_it_higher() -> None:
    """By the plan 521 mm: rows of 12 mm from 492 mm, the fourth, lowered by 5 and 2 mm of shims."""
    design = fused(plan(), built(("bearing.1.up", -0.003)).fit)
    (lever,) = (one for one in levers_after(design, plan().design) if "bearing.1.up" in one.values)
    moves = np.round(1e3 * (lever.values["bearing.1.up"] - design.values["bearing.1.up"]), 3)
    same_row = {
        float(move): says for move, says in zip(moves, lever.says, strict=True) if "row" not in says
    }
    assert set(same_row) == {7.0, 6.0, 5.0, 4.0, 2.0, 1.0, -1.0}
    assert same_row[2.0] == "take 2 mm of shims out at bearing 1, 2 mm higher"
    assert same_row[-1.0] == "put 1 mm of shims to bearing 1, 1 mm lower"


# --- words, machines, record ---------------------------------------------------------------------


def bad_slope() -> AsBuilt:
    """Return what is found where the slope of shaft 1 lost its sign."""
    text = READINGS.read_text("utf-8").replace('shaft.1.slope = "4.3', 'shaft.1.slope = "-4.3')
    readback = read_readback(text.encode(), "r.toml", scene())
    return as_built(plan(), readback, load_rules(scene().rules))


def test_readings_that_contradict_give_no_verdict_but_what_to_read_again() -> None:
    found = bad_slope()
    assert found.judged is None
    assert words(found).startswith("The readings contradict one another: no verdict")
    told = disagreement(found, "metric")
    assert told.startswith("Read again first: shaft.1.slope reads −4.30 ± 0.10 deg, the others say")
    assert "(was its sign lost?)" in told
    assert "the others agree." in told


def test_a_place_that_no_shop_would_hang_a_bearing_at_is_asked_for_again() -> None:
    readback = readback_of(plan(), {(RIDE, "bearing.1.aft"): 0.1})
    found = as_built(plan(), readback, load_rules(scene().rules))
    assert found.judged is None
    told = disagreement(found, "metric")
    assert "what tells bearing.1.aft, which comes out at 100.0 ± 3.0 mm, not 2395.0 mm: " in told
    assert "57.4 times the 40 mm that a shop may be off" in told


def test_amounts_are_said_in_the_units_of_the_reader() -> None:
    assert said("gap", 0.0461, 0.001, "metric") == "46.1 ± 1.0 mm"
    assert said("gap", 25.4e-3 * 1.25, 25.4e-3 / 8, "inch") == "1-1/4 ± 1/8 in"
    assert said("shaft.1.slope", 3.1 * DEG, 0.1 * DEG, "inch") == "3.10 ± 0.10 deg"
    assert said("bearing.1.right", 0.0, 0.0, "metric") == "0.0 mm"


def test_the_command_says_it_in_a_score_of_lines_and_adds_to_the_record(
    tmp_path: Path, capsys, monkeypatch
) -> None:
    monkeypatch.setenv("COLUMNS", "110")
    record = tmp_path / "record.txt"
    asked = ["built", str(TRUCK), str(READINGS), "--record", str(record)]
    assert cli.main(asked) == 0
    first = capsys.readouterr().out
    lines = first.splitlines()
    assert len(lines) <= 20
    assert lines[0].endswith("as built, read by M. Reyes, 2026-11-20, 48210 km")
    assert lines[1] == "Bearing 1 landed 7 mm aft and 3 mm low: still good."
    assert "What was read at full droop and jacked calibrates the path of the axle." in first
    once = record.read_text("utf-8")
    assert cli.main([*asked, "--json"]) == 0  # the same readings are not added twice
    told = json.loads(capsys.readouterr().out)
    assert record.read_text("utf-8") == once
    assert told["recorded"] is False
    assert told["sentence"] == lines[1]
    assert told["grade"] == told["verdict"]["grade"] == "good"
    assert [f["verdict"] for f in told["verdict"]["findings"]].count("fails") == 0
    assert [one["path"] for one in told["landed"]][:3] == [
        "bearing.1.aft", "bearing.1.right", "bearing.1.up",
    ]  # fmt: skip
    up = next(one for one in told["landed"] if one["path"] == "bearing.1.up")
    assert up["planned"] == {"si": 0.521, "value": 521.0, "unit": "mm"}
    assert {"read", "others", "planned", "residual", "times"} <= told["readings"][0].keys()
    other = tmp_path / "later.toml"
    other.write_text(READINGS.read_text("utf-8").replace("48210", "49105"), "utf-8")
    assert cli.main(["built", str(TRUCK), str(other), "--record", str(record)]) == 0
    assert record.read_text("utf-8").startswith(once)  # what stands there is never touched
    added = record.read_text("utf-8")[len(once) :]
    assert added.startswith("2026-11-20, M. Reyes, 49105 km: two-piece-wedged of Orchard")
    entry = " ".join(added.split())
    for written in ("gap 46 ± 1 mm", "bearing.1.left 1 ± 2 mm", "jacked: bump 70 ± 3 mm"):
        assert written in entry
    assert "Bearing 1 landed 7 mm aft and 3 mm low: still good." in entry
    assert scene().digest[:16] in entry


def test_readings_that_contradict_end_in_exit_code_1(tmp_path: Path, capsys) -> None:
    path = tmp_path / "r.toml"
    text = READINGS.read_text("utf-8").replace('shaft.1.slope = "4.3', 'shaft.1.slope = "-4.3')
    path.write_text(text, "utf-8")
    record = tmp_path / "record.txt"
    assert cli.main(["built", str(TRUCK), str(path), "--record", str(record)]) == 1
    assert "Read again first: shaft.1.slope" in capsys.readouterr().out
    assert "Read again first: shaft.1.slope" in record.read_text("utf-8")  # kept all the same


def test_a_record_is_added_to_in_one_piece(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "record.txt"
    assert append_text(path, "one\n", head="head\n")
    path.write_text(path.read_text("utf-8") + "a note by hand", "utf-8")
    assert append_text(path, "two\n", head="head\n")
    assert not append_text(path, "one\n")
    assert path.read_text("utf-8") == "head\none\na note by hand\ntwo\n"


def test_a_blank_is_a_readings_file_once_it_is_filled_in(capsys) -> None:
    assert cli.main(["built", str(TRUCK), "--blank", "--only", "two-piece-wedged"]) == 0
    blank = capsys.readouterr().out
    filled = blank.replace('who = ""', 'who = "A"').replace('date = ""', 'date = "2026-11-20"')
    rows = []
    for row in filled.splitlines():
        if row.startswith("# ") and "# plan: " in row:  # what the plan lets expect, as if read
            key, told = row[2:].split(' = ""')[0], row.split("# plan: ")[1]
            rows.append(f'{key} = "{told}"')
        else:
            rows.append(row)
    readback = read_readback("\n".join(rows).encode(), "blank.toml", scene())
    assert len(readback.postures) == 2
    found = fit(plan(), readback)
    assert found.misfit < 1  # what the plan lets expect, rounded as a tape shows it
    assert not found.suspects


@pytest.mark.parametrize(
    ("asked", "why"),
    [
        ([], "halfturn built SCENE READINGS, or halfturn built SCENE --blank"),
        (["--blank"], "which one was built? --only NAME; allowed: one-piece"),
        (["none.toml"], "none.toml: cannot be read: no such file"),
        ([str(TRUCK)], "is not a known key"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(asked: list[str], why: str, capsys) -> None:
    assert cli.main(["built", str(TRUCK), *asked]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert why in told.err
    assert "Traceback" not in told.err


def test_what_was_not_read_and_what_is_assumed_is_said() -> None:
    chosen = scene().configuration("two-piece-chosen")
    exact = exact_readings(chosen, Truth(values={}))
    slopes = {key: value for key, value in exact.items() if key[0] == RIDE and "slope" in key[1]}
    readback = replace(
        readback_of(chosen, slopes), assumed=frozenset({"ride height: pinion.slope"})
    )
    found = as_built(chosen, readback, load_rules(scene().rules))
    text = "\n".join(built_lines(scene(), found))
    assert "All that was read is as planned: good for what was read." in text
    assert (
        "Not told by what was read, taken as planned: bearing.1.aft, bearing.1.right, spline.gap."
        in text
    )
    assert "4.00 ± 0.10 deg*" in text
    row = next(line for line in text.splitlines() if line.startswith("  output.slope"))
    assert row.endswith("3.00 ± 0.25 deg")  # the scene checks it, though it is not off at all
    assert "* No ± is written" in text
