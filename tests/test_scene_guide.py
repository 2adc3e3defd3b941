"""The guide to scenes says what the reader does."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import numpy as np
import pytest
from scene_guide import BEGIN, END, README, render

from sim.errors import SceneError
from sim.judge.rules import load_rules
from sim.scene.keys import Key, QuantityKey
from sim.scene.reader import load_scene, read_scene
from sim.scene.table import tables_in
from sim.scene.tables.setup import Setup

TEXT = README.read_text(encoding="utf-8")
SNIPPETS = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
KEYS = [key for table in tables_in(Setup) for key in table.declared().values()]


def test_the_tables_are_those_of_the_models() -> None:
    written = TEXT.partition(BEGIN)[2].partition(END)[0].strip()
    assert written == render(), "run: python tests/scene_guide.py"


@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.word)
def test_every_key_has_a_line_with_its_range_and_default(key: Key) -> None:
    wanted = [key.left_out] if key.left_out else []
    if isinstance(key, QuantityKey):
        wanted += [key.limits.range_in(), key.limits.usual_in()]
    rows = [row for row in TEXT.splitlines() if row.startswith(f"| `{key.word}` |")]
    if rows:
        assert any(all(word in row for word in wanted) for row in rows)
    else:  # a table of its own
        assert re.search(rf"^### `\[(.+\.)?{key.word}[].]", TEXT, re.MULTILINE)


def test_the_shortest_scene_loads() -> None:
    scene = read_scene(SNIPPETS[0].encode())
    assert [one.name for one in scene.configurations] == ["as-found"]
    assert scene.configurations[0].travel is None
    assert scene.doubts == ()


@pytest.mark.parametrize("line", SNIPPETS[0].splitlines())
def test_the_shortest_scene_has_no_line_to_spare(line: str) -> None:
    if "=" not in line:
        return
    with pytest.raises(SceneError, match=line.split()[0].split(".")[0]):
        read_scene(SNIPPETS[0].replace(line + "\n", "", 1).encode())


def test_what_the_guide_says_of_readings_to_level_is_so() -> None:
    frame = next(text for text in SNIPPETS if text.startswith("[frame]"))
    given = SNIPPETS[0].replace('slope = "3.0 ± 0.25 deg"', 'slope = "2.3 ± 0.1 deg to level"', 1)
    scene = read_scene((given + "\n" + frame.partition("[output]")[0]).encode())
    # -1.2 deg read on the frame, 2.3 deg on the yoke: 3.5 deg against the frame.
    assert scene.configurations[0].output.slope == pytest.approx(np.radians(3.5))


@pytest.mark.parametrize("snippet", SNIPPETS)
def test_every_snippet_is_toml(snippet: str) -> None:
    assert tomllib.loads(snippet)


def test_the_rule_file_of_the_guide_is_one(tmp_path: Path) -> None:
    text = next(one for one in SNIPPETS if one.startswith('format = "halfturn rules'))
    (tmp_path / "shop.toml").write_text(text, encoding="utf-8")
    rules = load_rules("shop.toml: our shop", tmp_path)
    assert rules.rule("pair difference").limit == 0.3
    assert rules.rule("slip in the middle").limit == 30
    assert rules.rule("front joint, most").limit == 0.5  # taken over: GM, 0.5 deg


def test_every_shipped_scene_is_named_and_every_name_exists() -> None:
    named = set(re.findall(r"^\| `(\w+\.toml)` \|", TEXT, re.MULTILINE))
    assert named == {path.name for path in README.parent.glob("*.toml")}
    for name in named:
        assert load_scene(README.parent / name).configurations
