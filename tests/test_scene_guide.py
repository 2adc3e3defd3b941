"""The guide to scenes says what the reader does."""

from __future__ import annotations

import re
import tomllib

import numpy as np
import pytest
from scene_guide import BEGIN, END, README, render

from sim.errors import SceneError
from sim.scene.hung import Setup
from sim.scene.reader import load_scene, read_scene

TEXT = README.read_text(encoding="utf-8")
SNIPPETS = re.findall(r"```toml\n(.*?)```", TEXT, re.DOTALL)
MODELS = Setup.model_json_schema(by_alias=True)["$defs"]
KEYS = sorted(
    {(model, key) for model, part in MODELS.items() for key in part.get("properties", {})}
)


def test_the_tables_are_those_of_the_models() -> None:
    written = TEXT.partition(BEGIN)[2].partition(END)[0].strip()
    assert written == render(), "run: python tests/scene_guide.py"


@pytest.mark.parametrize(("model", "key"), KEYS)
def test_every_key_has_a_line_with_its_range_and_default(model: str, key: str) -> None:
    node = MODELS[model]["properties"][key]
    ways = [node, *node.get("anyOf", [])]
    wanted = [way[word] for way in ways for word in ("x-range", "x-default") if word in way]
    rows = [row for row in TEXT.splitlines() if row.startswith(f"| `{key}` |")]
    if rows:
        assert any(all(word in row for word in wanted) for row in rows)
    else:  # a table of its own
        assert re.search(rf"^### `\[(.+\.)?{key}[].]", TEXT, re.MULTILINE)


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


def test_every_shipped_scene_is_named_and_every_name_exists() -> None:
    named = set(re.findall(r"^\| `(\w+\.toml)` \|", TEXT, re.MULTILINE))
    assert named == {path.name for path in README.parent.glob("*.toml")}
    for name in named:
        assert load_scene(README.parent / name).configurations
