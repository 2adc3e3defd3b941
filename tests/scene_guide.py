"""Writes the tables of scenes/README.md from the models that read scenes.

After a key was added or changed: ``python tests/scene_guide.py``.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sim.scene.hung import Setup
from sim.scene.schema import scene_schema
from sim.units import KINDS, spell

README = Path(__file__).parents[1] / "scenes" / "README.md"
BEGIN, END = "<!-- tables: begin -->", "<!-- tables: end -->"
PLACE = ("aft", "forward", "up", "down", "right", "left")
POINTS = ("Point", "SidePoint")
ANY_NAME = "a name"
NUMBER = r"^[1-9]$"
TEXTS = {
    "title": "Orchard service truck",
    "about": "Stock height; booms at 90 km/h",
    "datum": "front wheel center, ground, middle of the frame",
    "compare": "one-piece, two-piece",
    "like": "two-piece",
    "same_shafts_as": "two-piece",
    "series": "1410",
    "torque_cases": "no torque, cruise",
    "torque_case": "cruise",
    "height": "loaded",
}
HEAD = "| key | meaning | allowed | usual | left out | example |\n|---|---|---|---|---|---|"

Node = dict[str, Any]


def render() -> str:
    """Return all tables of the format, in the order of the models."""
    whole = Setup.model_json_schema(by_alias=True)
    parts = whole["$defs"]
    blocks = [_header()]
    loose = []
    for key, node in whole["properties"].items():
        inner = _way(node)
        if _is_table(inner):
            blocks += _tables(key, inner, parts, node.get("description", ""))
        else:
            loose.append(_row(key, node, key in whole["required"]))
    blocks.insert(1, "\n".join(["### Beside the tables", "", HEAD, *loose]))
    blocks += [_place(parts["Point"]), _units()]
    return "\n\n".join(blocks)


def _header() -> str:
    """Return the table of the keys at the top of a file."""
    schema = scene_schema()
    rows = []
    for key, node in schema["properties"].items():
        if key in schema["$defs"]["Configuration"]["properties"] and key != "about":
            continue
        if key != "configuration":
            rows.append(_row(key, node, key in schema["required"]))
    own = schema["$defs"]["Configuration"]["properties"]
    for key in ("like", "same_shafts_as", "about"):
        rows.append(_row(key, own[key], False).replace(f"| `{key}`", f"| `configuration.…{key}`"))
    return "\n".join(["### Top of the file, and of a configuration", "", HEAD, *rows])


def _tables(path: str, node: Node, parts: Node, meaning: str) -> Iterator[str]:
    """Yield the table at a path, then those inside it."""
    if "oneOf" in node:
        for way in node["oneOf"]:
            yield from _tables(path, way, parts, meaning)
        return
    named = node.get("patternProperties")
    if not named:
        yield from _table(path, parts[_reference(node)], parts, meaning)
        return
    (pattern, inner), *_ = named.items()
    if _is_table(inner):
        key = "N" if pattern == NUMBER else "NAME"
        yield from _tables(f"{path}.{key}", inner, parts, meaning)
    else:
        yield "\n".join([f"### `[{path}]`", "", meaning, "", HEAD, _row(ANY_NAME, inner, False)])


def _table(path: str, part: Node, parts: Node, meaning: str) -> Iterator[str]:
    """Yield the table of one model, then those inside it."""
    properties = part["properties"]
    rows, deeper = [], []
    has_place = properties.get("aft") in [parts[kind]["properties"]["aft"] for kind in POINTS]
    for key, node in properties.items():
        inner = _way(node)
        if has_place and key in PLACE:
            continue
        if _is_table(inner) and _reference(inner) not in POINTS:
            deeper.append((key, inner, node.get("description", "")))
        else:
            rows.append(_row(key, node, key in part.get("required", [])))
    kind = properties.get("kind", {}).get("const")
    title = f"### `[{path}]`" + (f' with `kind = "{kind}"`' if kind else "")
    about = part.get("description", meaning)
    lines = [title, "", about]
    if has_place:
        lines += ["", "It has a place: " + ("in side view, " if "right" not in properties else "")
                  + "see *Places* below."]  # fmt: skip
    if rows:
        lines += ["", HEAD, *rows]
    yield "\n".join(lines)
    for key, inner, said in deeper:
        yield from _tables(f"{path}.{key}", inner, parts, said)


def _place(point: Node) -> str:
    """Return the table of what makes up a place."""
    rows = [_row(key, point["properties"][key], False) for key in PLACE]
    return "\n".join(["### Places", "", HEAD, *rows])


def _units() -> str:
    """Return the table of all kinds of quantities and how their units are spelled."""
    rows = [
        f"| {kind.name} | {', '.join(f'`{spell(one)}`' for one in kind.spellings)} |"
        for kind in KINDS
    ]
    return "\n".join(["### Units", "", "| kind | units |", "|---|---|", *rows])


def _row(key: str, node: Node, needed: bool) -> str:
    """Return the line of one key."""
    inner = {**_way(node), **{k: v for k, v in node.items() if k != "anyOf"}}
    left_out = inner.get("x-default", "needed" if needed else "")
    written = "hard launch" if key == ANY_NAME else key
    cells = (f"`{key}`", inner.get("description", ""), _allowed(inner), _usual(inner), left_out)
    return "| " + " | ".join((*cells, _example(written, inner))) + " |"


def _example(key: str, node: Node) -> str:
    """Return how a key may be written, as code."""
    if _is_table(node):
        side = ', right = "165 mm"' if _reference(node) == "Point" else ""
        return f'`{key} = {{ aft = "1900 mm"{side}, up = "470 mm" }}`'
    texts = (*node.get("examples", ()), *node.get("enum", ()), *filter(None, [node.get("const")]))
    texts = texts or ((TEXTS[key],) if key in TEXTS else ())
    shown = f'"{key}"' if " " in key else key
    return f'`{shown} = "{texts[0]}"`' if texts else ""


def _allowed(node: Node) -> str:
    """Return what may be written at a key, in words."""
    if "x-range" in node:
        return str(node["x-range"]) + _tail(node["pattern"])
    if "const" in node:
        return f"`{node['const']}`"
    if "enum" in node:
        return ", ".join(f"`{choice}`" for choice in node["enum"])
    if _is_table(node):
        return "a place" if _reference(node) == "Point" else "a place in side view"
    return f"text, at most {node['maxLength']} characters" if "maxLength" in node else "text"


def _usual(node: Node) -> str:
    """Return what comparable vehicles have, in words."""
    return str(node.get("x-usual", ""))


def _tail(pattern: str) -> str:
    """Return what may or must be said behind a quantity."""
    if "at the wheels" in pattern:
        return ", `at the wheels` or `at the shaft`"
    return ", `to level` may follow" if "to level" in pattern else ""


def _way(node: Node) -> Node:
    """Return a node without its way of being left out."""
    ways = [way for way in node.get("anyOf", []) if way != {"type": "null"}]
    return ways[0] if len(ways) == 1 else node


def _is_table(node: Node) -> bool:
    """Say whether a node is a table, or several by name."""
    return bool({"$ref", "allOf", "oneOf", "patternProperties"} & node.keys())


def _reference(node: Node) -> str:
    """Return the name of the model that a node refers to, or nothing."""
    link = node.get("$ref") or "".join(way["$ref"] for way in node.get("allOf", []))
    return str(link).rpartition("/")[2]


def main() -> None:
    """Write the tables into the README."""
    before, _, rest = README.read_text(encoding="utf-8").partition(BEGIN)
    _, _, after = rest.partition(END)
    README.write_text(f"{before}{BEGIN}\n\n{render()}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
