"""Writes the tables of scenes/README.md from the tables that read scenes.

After a key was added or changed: ``python tests/scene_guide.py``.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from sim.judge.quantities import QUANTITIES
from sim.scene.keys import NUMBER, ChoiceKey, FlagKey, Key, QuantityKey, SizesKey, TextKey
from sim.scene.places import Point, SidePoint
from sim.scene.table import NamedKey, Table, TableKey
from sim.scene.tables.setup import Setup
from sim.show.schema import scene_schema
from sim.units import KINDS, spell

README = Path(__file__).parents[1] / "scenes" / "README.md"
BEGIN, END = "<!-- tables: begin -->", "<!-- tables: end -->"
PLACE = ("aft", "forward", "up", "down", "right", "left")
TEXTS = {
    "title": "Orchard service truck",
    "about": "Stock height; booms at 90 km/h",
    "datum": "front wheel center, ground, middle of the frame",
    "compare": "one-piece, two-piece",
    "read_again": "bearing.1.up, travel.bump",
    "like": "two-piece",
    "same_shafts_as": "two-piece",
    "series": "1410",
    "torque_cases": "no torque, cruise",
    "torque_case": "cruise",
    "height": "loaded",
    "shims": "1, 2, 3 mm",
    "holes": "2 by 2",
    "bolt": "M12",
    "felt_in": "one-piece",
}
HEAD = "| key | meaning | allowed | usual | left out | example |\n|---|---|---|---|---|---|"


def render() -> str:
    """Return all tables of the format, in the order of their keys."""
    loose = [_row(key) for key in Setup.declared().values() if isinstance(key, TextKey)]
    blocks = [_header(), "\n".join(["### Beside the tables", "", HEAD, *loose])]
    for word, key in Setup.declared().items():
        blocks += _tables(word, key)
    rows = [_row(Point.declared()[word]) for word in PLACE]
    blocks += ["\n".join(["### Places", "", HEAD, *rows]), _units(), _quantities()]
    return "\n\n".join(blocks)


def _header() -> str:
    """Return the table of the keys at the top of a file."""
    schema = scene_schema()
    own = schema["$defs"]["Configuration"]["properties"]
    rows = []
    for word, node in schema["properties"].items():
        if word == "about" or (word not in own and word != "configuration"):
            rows.append(_top(word, node, word in schema["required"]))
    for word in ("like", "same_shafts_as", "about"):
        rows.append(
            _top(word, own[word], False).replace(f"| `{word}`", f"| `configuration.…{word}`")
        )
    return "\n".join(["### Top of the file, and of a configuration", "", HEAD, *rows])


def _top(word: str, node: dict[str, Any], needed: bool) -> str:
    """Return the line of a key at the top of a file."""
    first = node.get("anyOf", [node])[0]
    choices = first.get("enum", [node["const"]] if "const" in node else [])
    allowed = ", ".join(f"`{choice}`" for choice in choices)
    allowed += ", or a set in a file beside the scene: `shop.toml: our shop`" * ("anyOf" in node)
    allowed = allowed or f"text, at most {node['maxLength']} characters"
    example = f'`{word} = "{choices[0] if choices else TEXTS[word]}"`'
    return _line(word, node["description"], allowed, "", "needed" if needed else "", example)


def _tables(path: str, key: Key[Any]) -> Iterator[str]:
    """Yield the tables at a path, then those inside them."""
    if isinstance(key, NamedKey):
        if isinstance(key.inner, QuantityKey):
            row = _row(key.inner).replace("`hard launch`", "`a name`", 1)
            yield "\n".join([f"### `[{path}]`", "", key.meaning, "", HEAD, row])
            return
        path += ".N" if key.pattern == NUMBER else ".NAME"
    for table in key.tables():
        yield from _table(path, table)


def _table(path: str, table: type[Table]) -> Iterator[str]:
    """Yield one table, then those inside it."""
    keys = table.declared()
    has_place = issubclass(table, SidePoint)
    deeper = {w: k for w, k in keys.items() if k.tables() and not _is_place(k)}
    rows = [
        _row(key)
        for word, key in keys.items()
        if word not in deeper and not (has_place and word in PLACE)
    ]
    kind = keys.get("kind")
    one = isinstance(kind, ChoiceKey) and len(kind.choices) == 1
    title = f"### `[{path}]`" + (f' with `kind = "{kind.choices[0]}"`' if one else "")
    lines = [title, "", (table.__doc__ or "").strip()]
    if has_place:
        side = "" if "right" in keys else "in side view, "
        lines += ["", f"It has a place: {side}see *Places* below."]
    if rows:
        lines += ["", HEAD, *rows]
    yield "\n".join(lines)
    for word, key in deeper.items():
        yield from _tables(f"{path}.{word}", key)


def _is_place(key: Key[Any]) -> bool:
    """Say whether a key holds a bare place."""
    return key.tables() in ((Point,), (SidePoint,))


def _units() -> str:
    """Return the table of all kinds of quantities and how their units are spelled."""
    rows = [
        f"| {kind.name} | {', '.join(f'`{spell(one)}`' for one in kind.spellings)} |"
        for kind in KINDS
    ]
    return "\n".join(["### Units", "", "| kind | units |", "|---|---|", *rows])


def _quantities() -> str:
    """Return the table of what a rule may look at."""
    rows = [
        _line(
            name,
            " ".join((one.look.__doc__ or "").partition("\n\n")[0].split()),
            "any but `vehicle`" if one.by_state else "`vehicle`",
            f'`"{one.example}"`',
        )
        for name, one in QUANTITIES.items()
    ]
    head = "| quantity | what it is | situations | limit as in |\n|---|---|---|---|"
    return "\n".join(["### Quantities for rules", "", head, *rows])


def _row(key: Key[Any]) -> str:
    """Return the line of one key."""
    usual = key.limits.usual_in() if isinstance(key, QuantityKey) else ""
    left_out = key.left_out or ("needed" if key.needed else "")
    return _line(key.word, key.meaning, _allowed(key), usual, left_out, _example(key))


def _line(word: str, *cells: str) -> str:
    return "| " + " | ".join((f"`{word}`", *cells)) + " |"


def _example(key: Key[Any]) -> str:
    """Return how a key may be written, as code."""
    if isinstance(key, QuantityKey):
        name = f'"{key.word}"' if " " in key.word else key.word
        return f'`{name} = "{key.limits.example}"`'
    if isinstance(key, FlagKey):
        return f"`{key.word} = {key.choices[0]}`"
    if isinstance(key, ChoiceKey):
        return f'`{key.word} = "{key.choices[0]}"`'
    if isinstance(key, TableKey):
        side = ', right = "165 mm"' if key.table is Point else ""
        return f'`{key.word} = {{ aft = "1900 mm"{side}, up = "470 mm" }}`'
    return f'`{key.word} = "{TEXTS[key.word]}"`'


def _allowed(key: Key[Any]) -> str:
    """Return what may be written at a key, in words."""
    if isinstance(key, SizesKey):
        return f"each {key.limits.range_in()}"
    if isinstance(key, QuantityKey):
        return key.limits.range_in() + _tail(key.limits.tails)
    if isinstance(key, ChoiceKey):
        return ", ".join(f"`{choice}`" for choice in key.choices)
    if isinstance(key, TableKey):
        return "a place" if key.table is Point else "a place in side view"
    return "text"


def _tail(tails: tuple[str, ...]) -> str:
    """Return what may or must be said behind a quantity."""
    if "at the wheels" in tails:
        return ", `at the wheels` or `at the shaft`"
    return ", `to level` may follow" if tails else ""


def main() -> None:
    """Write the tables into the README."""
    before, _, rest = README.read_text(encoding="utf-8").partition(BEGIN)
    _, _, after = rest.partition(END)
    README.write_text(f"{before}{BEGIN}\n\n{render()}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
