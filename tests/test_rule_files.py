"""Rule files that a shop adds: judged like those that come along, refused like a bad scene."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from judging import put_out

from sim import cli
from sim.errors import SceneError
from sim.judge.hold import FAILS, PASSES, hold
from sim.judge.rules import load_rules, rule_sets
from sim.scene.reader import load_scene, read_scene

SHOP = """
format = "halfturn rules 1"

[set."our shop"]
scope = "what leaves our doors"
extends = "two-piece service"

[set."our shop".rule."pair difference"]
at_most = "0.3 deg"

[set."our shop".rule."slip in the middle"]
quantity = "gap"
at_least = "1-1/2 in"
fails_in = "ride height, loaded"
good = "Spline stands in the middle"
bad = "Spline stands too far in"
do = "Shorten the shaft."
"""
TRUCK = Path(__file__).parents[1] / "scenes" / "mistakes" / "sound_leaf_truck.toml"


def written(folder: Path, text: str = SHOP, name: str = "shop.toml") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def problems(folder: Path, text: str, name: str = "shop.toml: our shop") -> list[str]:
    written(folder, text)
    with pytest.raises(SceneError) as refused:
        load_rules(name, folder)
    return str(refused.value).splitlines()


def test_a_shop_extends_a_set_and_writes_limits_and_rules_of_its_own(tmp_path: Path) -> None:
    written(tmp_path)
    mine, base = load_rules("shop.toml: our shop", tmp_path), load_rules("two-piece service")
    assert (mine.name, mine.scope) == ("shop.toml: our shop", "what leaves our doors")
    changed = mine.rule("pair difference")
    theirs = base.rule("pair difference")
    assert (changed.limit, changed.standing, changed.source) == (
        0.3,
        "shop",
        "the shop's own rule, shop.toml",
    )
    for field in ("quantity", "relation", "fails_in", "watches_in", "good", "bad", "severity"):
        assert getattr(changed, field) == getattr(theirs, field)
    added = mine.rule("slip in the middle")
    assert added.limit == pytest.approx(38.1)  # 25.4 mm to the inch
    assert (added.fails_in, added.watches_in) == (("ride height", "loaded"), ())
    assert (added.standing, added.severity, added.cause) == ("shop", 4, "slip in the middle")
    assert {r.id for r in mine.rules} == {r.id for r in base.rules} | {"slip in the middle"}
    others = [r for r in mine.rules if r.id not in ("pair difference", "slip in the middle")]
    assert all(r == base.rule(r.id) for r in others)
    assert base.rule("pair difference").limit == 0.5  # the set that comes along stays as it is


def test_a_rule_of_a_shop_can_fail(tmp_path: Path) -> None:
    written(tmp_path)
    rule = load_rules("shop.toml: our shop", tmp_path).rule("slip in the middle")
    for gap, verdict in ((38.2, PASSES), (38.0, FAILS)):
        (held,) = hold([rule], put_out("gap", gap, "loaded"))
        assert held.verdict[0] == verdict


def test_a_file_with_one_set_needs_no_name_of_it(tmp_path: Path) -> None:
    written(tmp_path)
    assert load_rules("shop.toml", tmp_path) == load_rules("shop.toml: our shop", tmp_path)
    two = SHOP + '\n[set."their shop"]\nextends = "heavy truck"\n'
    assert problems(tmp_path, two, "shop.toml") == [
        'shop.toml: several rule sets: name one, as in "shop.toml: our shop"'
    ]
    theirs = load_rules("shop.toml: their shop", tmp_path)
    assert (theirs.rule("joint, most").limit, theirs.scope) == (5.0, "")


def test_rules_above_all_sets_stand_in_each(tmp_path: Path) -> None:
    text = SHOP.replace('[set."our shop".rule."slip in the middle"]', '[rule."slip in the middle"]')
    written(tmp_path, text + '\n[set."other"]\nscope = "nothing else"\n')
    assert [r.id for r in load_rules("shop.toml: other", tmp_path).rules] == ["slip in the middle"]
    assert load_rules("shop.toml: our shop", tmp_path).rule("slip in the middle")


# edit of the file: what was written, what is written instead, what is said of it
BAD = [
    ('at_most = "0.3 deg"', 'at_most = "0.3 mm"', r':9: .*rule "pair difference", at_most is "0.3'),
    (
        'at_most = "0.3 deg"',
        'at_most = "0.3"',
        ":9: .*at_most .*the unit is missing; write 0.3 deg",
    ),
    ('at_most = "0.3 deg"', "at_most = 0.3", r":9: .*, at_most is 0.3; in quotes, as in \"3 deg\""),
    ('at_most = "0.3 deg"', 'at_most = "its own"', ":9: .*a limit belongs here, as in .3 deg"),
    ('at_most = "0.3 deg"', 'at_most = "-1 deg"', ":9: .*a limit is 0 or more, without ±"),
    ('at_most = "0.3 deg"', 'at_most = "1 ± 0.1 deg"', ":9: .*a limit is 0 or more, without ±"),
    ('"0.3 deg"', '"0.3 deg"\nbelow = "1 deg"', ":10: .*has both at_most and below; keep one"),
    ('at_least = "1-1/2 in"', "", ':11: .*has no limit; write at_most = "3 mm"'),
    (
        '"1-1/2 in"',
        '"1-1/2 in"\nsevere = "9"',
        ":14: .*severe is not known; .*did you mean severity",
    ),
    (
        '"1-1/2 in"',
        '"1-1/2 in"\nseverity = "11"',
        ':14: .*, severity is "11"; allowed: "1" to "10"',
    ),
    (
        '"1-1/2 in"',
        '"1-1/2 in"\nstanding = "seen"',
        ':14: .*, standing is "seen"; allowed: published',
    ),
    (
        '"1-1/2 in"',
        '"1-1/2 in"\nsetting = "gaps"',
        ':14: .*, setting is "gaps"; .*did you mean gap',
    ),
    (
        '"1-1/2 in"',
        '"1-1/2 in"\nsetting = "torsional"',
        ':14: .*, setting is "torsional"; that limit is in rad/s2, this quantity in mm',
    ),
    (
        'at_most = "0.3 deg"',
        'quantity = "gap"',
        ':9: .*"pair difference", quantity is "gap"; .*that rule looks at "pair differences": name',
    ),
    (
        '"1-1/2 in"',
        '"1-1/2 in"\nbroken_in = "some"',
        ':14: .*broken_in is "some"; allowed: any, all',
    ),
    ('"gap"', '"gasp"', ':12: .*quantity is "gasp"; allowed: .*did you mean gap'),
    ('"gap"', '"height over ground"', ':13: .*this quantity has "its own" limit'),
    (
        '"ride height, loaded"',
        '"ride hight"',
        ':14: .*, fails_in is "ride hight"; .*mean ride height',
    ),
    ('"ride height, loaded"', '"vehicle"', ':14: .*"gap" changes with the state: allowed: ride'),
    ('"ride height, loaded"', '""', ":11: .*applies nowhere; write fails_in or watches_in"),
    (
        '"ride height, loaded"',
        '"loaded"\nwatches_in = "loaded"',
        ":15: .*loaded stands in fails_in and watches_in",
    ),
    (
        '"ride height, loaded"',
        '"loaded"\nstanding = "from memory"',
        ':14: .*a limit that is "from memory" only watches: write watches_in',
    ),
    ('good = "Spline stands in the middle"', "", ":11: .*good is missing; write good = "),
    ('do = "Shorten the shaft."', "", ":11: .*do is missing; write do = "),
    ('"Shorten the shaft."', '"' + "x" * 200 + '"', ":17: .*, do has 200 characters; at most 110"),
    ('"Shorten the shaft."', "1", ":17: .*, do is 1; text in quotes belongs here"),
    ('"Shorten the shaft."', '"Shorten\\u0007 it."', ":17: .*character that cannot be printed"),
    ('"two-piece service"', '"two piece"', ':6: .*extends is "two piece"; allowed: two-piece'),
    ('scope = "what', 'scoop = "what', ":5: .*scoop is not known; .*did you mean scope"),
    ('"halfturn rules 1"', '"halfturn rules 2"', ":2: format is .*; write format = "),
    ('format = "halfturn rules 1"', "", ': no format; write format = "halfturn rules 1"'),
    ('format = "half', 'title = "us"\nformat = "half', ":2: title is not known here; allowed: set"),
    (
        '[set."our shop".rule."pair difference"]\nat_most',
        "[set]\nat_most",
        "value; a set is a table",
    ),
    ("do = ", "do == ", ":17: "),
]


@pytest.mark.parametrize(("old", "new", "said"), BAD, ids=[f"{b[1][:30]}" for b in BAD])
def test_a_bad_rule_file_says_what_is_wrong_and_where(
    tmp_path: Path, old: str, new: str, said: str
) -> None:
    assert old in SHOP
    found = problems(tmp_path, SHOP.replace(old, new, 1))
    assert all(line.startswith("shop.toml") for line in found)
    assert any(re.search(said, line) for line in found), found


def test_every_problem_is_said_at_once_each_in_one_whole_line(tmp_path: Path) -> None:
    text = SHOP.replace('"0.3 deg"', '"0.3"').replace('"gap"', '"gasp"').replace("scope", "scoop")
    first, second, third = problems(tmp_path, text)
    assert first.startswith('shop.toml:5: set "our shop", scoop is not known; allowed: ')
    rule = 'shop.toml:9: set "our shop", rule "pair difference", at_most is "0.3": '
    assert second.startswith(f"{rule}the unit is missing; write 0.3 deg")
    rule = 'shop.toml:12: set "our shop", rule "slip in the middle", quantity is "gasp"; '
    assert third.startswith(f"{rule}allowed: ")
    whirl = SHOP.replace('"gap"', '"whirl limit"').replace('"1-1/2 in"', '"its own"')
    (line,) = problems(tmp_path, whirl)
    assert line == (
        'shop.toml:14: set "our shop", rule "slip in the middle", fails_in is '
        '"ride height, loaded"; quantity "whirl limit" has no states: allowed: vehicle'
    )


SET = '[set."our shop"]\n'


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (f'{SET}rule = "gap"', ":4: rule is a value; a rule is a table with a name: [rule."),
        (
            '[set."our shop".rule]\ngap = "6 mm"',
            ':4: rule "gap" is a value; a rule is a table: [rule."gap"]',
        ),
        (
            '[set."our shop".rule."a\\u0007b"]\n',
            ': its name holds a character that cannot be printed',
        ),
        ('[set."our\\u0007shop"]\n', ': its name holds a character that cannot be printed'),
        (f'{SET}scope = "{"x" * 111}"', ':4: set "our shop", scope has 111 characters; at most'),
        (f"{SET}extends = 3", ':4: set "our shop", extends is 3; allowed: two-piece service, '),
    ],
)  # fmt: skip
def test_what_is_no_set_no_rule_or_no_name_is_refused(tmp_path: Path, text, said) -> None:
    found = problems(tmp_path, f'\nformat = "halfturn rules 1"\n{text}\n', "shop.toml")
    assert any(said in line for line in found), found
    assert all(line.startswith("shop.toml:") for line in found)
    assert not any("has no rule" in line for line in found)  # the one that is there is named


def test_a_text_may_be_as_long_as_its_key_allows_and_no_longer(tmp_path: Path) -> None:
    """At most 80 characters a headline, 110 what to do, 240 why and from where, 40 a cause."""
    most = {"good": 80, "bad": 80, "do": 110, "meaning": 240, "source": 240, "cause": 40}
    long = {key: f'{key} = "{"x" * count}"' for key, count in most.items()}
    bare = "\n".join(line for line in SHOP.splitlines() if line.split(" ")[0] not in most)
    written(tmp_path, "\n".join((bare, *long.values())))
    rule = load_rules("shop.toml", tmp_path).rule("slip in the middle")
    assert [len(rule.remedy), len(rule.cause), len(rule.source)] == [110, 40, 240]
    longer = [line.replace("x", "xx", 1) for line in long.values()]
    found = problems(tmp_path, "\n".join((bare, *longer)))
    for (key, count), line in zip(most.items(), found, strict=True):
        assert line.endswith(f", {key} has {count + 1} characters; at most {count}")


def test_a_set_or_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    assert problems(tmp_path, SHOP, "shop.toml: their shop") == [
        'shop.toml: there is no rule set "their shop"; allowed: our shop; did you mean our shop?'
    ]
    with pytest.raises(SceneError, match=r"none\.toml: cannot be read: no such file"):
        load_rules("none.toml", tmp_path)
    assert problems(tmp_path, 'format = "halfturn rules 1"\n', "shop.toml") == [
        'shop.toml: no rule set: name at least one, as in [set."our shop"]'
    ]
    bare = 'format = "halfturn rules 1"\n[set."our shop"]\nscope = "nothing"\n'
    assert problems(tmp_path, bare)[0].startswith(
        'shop.toml:2: set "our shop" has no rule; extends'
    )


# --- in a scene and on the command line ---


def scene_beside(folder: Path, rules: str) -> Path:
    text = TRUCK.read_text("utf-8").replace('rules = "two-piece service"', f'rules = "{rules}"')
    return written(folder, text, "truck.toml")


def test_a_scene_names_a_rule_file_beside_it(tmp_path: Path, capsys, monkeypatch) -> None:
    written(tmp_path)
    path = scene_beside(tmp_path, "shop.toml: our shop")
    assert load_scene(path).folder == tmp_path
    monkeypatch.chdir("/")
    assert cli.main(["check", str(path), "--as-read", "--json"]) == 0
    (said,) = json.loads(capsys.readouterr().out)["configurations"]
    assert said["rule_set"] == "shop.toml: our shop"
    assert "slip in the middle" in {finding["rule"] for finding in said["findings"]}


def test_a_command_line_names_a_rule_file_where_it_stands(tmp_path: Path, capsys) -> None:
    path = written(tmp_path, SHOP.replace("1-1/2 in", "2 in"))
    words = ["check", str(TRUCK), "--as-read", "--rules"]
    assert cli.main([*words, str(path)]) == 1
    assert "spline stands too far in" in capsys.readouterr().out.lower()
    assert cli.main([*words, f"{path}: our shop"]) == 1
    path.write_text(SHOP.replace("0.3 deg", "0.3"), encoding="utf-8")
    capsys.readouterr()
    assert cli.main([*words, str(path)]) == 2
    assert "the unit is missing" in capsys.readouterr().err


@pytest.mark.parametrize(
    "rules", ["../shop.toml: our shop", "sub/shop.toml", "our shop", "x.toml:y"]
)
def test_a_scene_names_no_path_and_no_set_that_is_not_there(rules: str) -> None:
    text = TRUCK.read_text("utf-8").replace('rules = "two-piece service"', f'rules = "{rules}"')
    with pytest.raises(
        SceneError,
        match=r"rules is .*; (allowed: two-piece service, general|a rule file stands beside)",
    ):
        read_scene(text.encode())


def test_the_sets_that_come_along_are_read_without_a_problem() -> None:
    assert rule_sets() == (
        "two-piece service",
        "general light service",
        "heavy truck",
        "chassis conversion",
        "acceleration limits",
    )
    for name in rule_sets():
        found = load_rules(name)
        assert (found.name, bool(found.scope)) == (name, True)
        assert len({rule.id for rule in found.rules}) == len(found.rules)
