# ruff: noqa: E501  (the table reads better in whole lines)
"""What a reader is told of every rule, once more beside the data; the words are our own.

A headline that says the opposite, names the wrong part, or advice that is another rule's, fails here.
"""

from __future__ import annotations

import re

import pytest

from sim.judge.rules import load_rules, rule_sets

# rule (led by its set where sets differ) | where it is kept | where it is not | what to do
SAID = """\
bottoming | Spline does not bottom | Spline bottoms out | Shorten the shaft or raise the bump stop.
gap reserve | Slip reserve is enough | Little slip reserve left | Reset the spline nearer to mid-travel.
pull-out | Spline stays together | Spline pulls out | Fit a longer spline or limit the droop.
engaged reserve | Enough of the spline stays engaged | Too little of the spline stays engaged | Fit a longer spline or a longer shaft, or limit the droop.
plunge | Joint keeps within its plunge | Joint runs out of plunge | Reset the joint or limit the travel.
plunge reserve | Joint keeps some plunge | Little plunge is left | Reset the joint nearer to the middle of its plunge.
contact | Nothing touches | Shaft touches something | Move the part or the bearing, or fit a smaller tube.
contact with a line | No fuel or brake line is touched | Shaft touches a fuel or brake line | Move and clip the line, or move the bearing.
contact, size assumed | Parts of assumed size do not touch | A part of assumed size would touch | Measure the part (a joint: its swing_radius) and look again.
clearance | Moving parts keep clear | Shaft passes too close | Move the part or the bearing, or fit a smaller tube.
clearance at rest | Moving parts stand clear at rest | Shaft stands close even at rest | Move the part or the bearing, or fit a smaller tube.
clearance to a line | Fuel and brake lines are clear | Shaft passes close to a line | Move and clip the line, or put a shield between.
clearance to the exhaust | Exhaust is clear | Shaft passes close to the exhaust | Move the pipe or its hangers, or put a heat shield between.
ground contact | Driveline stays off the ground | Driveline comes down to the ground | Hang the bearing higher, or let the truck down less far.
ground clearance | Driveline keeps its ground clearance | Driveline hangs too low | Hang the bearing higher, or use a smaller tube.
critical speed | Top speed is below whirl | Top speed is beyond whirl | Shorten the shaft, enlarge the tube, or limit the speed.
critical speed, beam | Whirl is no nearer in its rubber | In its rubber, whirl begins below top speed | Shorten the shaft, enlarge the tube, or measure the rubber's stiffness.
joint binds | Joint bends no further than joints can | Joint bends further than such joints can | Limit travel and axle wrap, or fit a joint that bends further.
mechanical limit | Joint never binds | Joint may bind | Limit travel and axle wrap, or fit a joint that bends further.
mechanical limit, constant velocity | Constant velocity joint never binds | Constant velocity joint may bind | Limit travel and axle wrap, or fit a joint that bends further.
mechanical limit, flexible | Flexible coupling stays within its angle | Flexible coupling bends beyond its angle | Bring both shafts into line, or fit a joint.
constant velocity joint | Constant velocity joint bends little enough | Constant velocity joint bends too much | Lower the output, or point the pinion at the joint.
lone universal joint | Lone joint is straight enough | Lone joint bends too much | Turn the pinion until it points at the other joint.
angle at speed | Angle suits the speed | Angle is too large for this speed | Reduce the angle, or the top speed, or the axle ratio.
residual fluctuation | Pinion turns evenly | Pinion turns unevenly | Match the last two joints in angle and plane, then check phase.
two-joint table | Pinion keeps to the two-joint table | Pinion is shaken beyond the two-joint table | Match the last two joints in angle and plane, then check phase.
pinion uneven | Pinion is hardly shaken | Pinion is shaken twice per turn | Match the last two joints in angle and plane, then check phase.
shaft uneven under drive | Shaft turns evenly under drive | Shaft itself is shaken under drive | Reduce the joint angle at that shaft's driving end.
shaft uneven on the overrun | Shaft turns evenly on the overrun | Shaft itself is shaken on the overrun | Reduce the joint angles behind that shaft.
launch shudder | Pull-away looks smooth | May shudder when pulling away | Check mounts and rubber, then pinion preset and axle wrap.
bearing met twice a turn | Bearing hardly swings while pulling away | Bearing resonates while pulling away | Measure the rubber; lower the couple before changing the rubber.
bearing met once a turn | Unbalance meets the bearing beyond pulling away | Unbalance meets the bearing while pulling away | Measure the rubber; balance the shafts.
half critical | No tube booms below top speed | Joints make the tube boom at one speed | Lessen the joint angles, or fit a stiffer or shorter tube.
joint torque | Joint carries the torque | Joint is too small for the torque | Fit the next series or hold the torque down.
joint size | Joint is large enough for the vehicle | Joint is too small for the vehicle | Fit the next series or hold the torque down.
series size | Series is large enough for the vehicle | Series is small for the vehicle | Fit the next series or hold the torque down.
joint torque, peak | Joint carries the most that can come | More torque can come than it carries | Hold the torque down, or fit a stronger joint.
tube torque, peak | Tube carries the most that can come | More torque can come than the tube carries | Hold the torque down, or fit a stronger tube.
tube torque | Tube carries the torque | Tube is too weak for the torque | Fit a larger or thicker tube.
joint life | Joints last long enough | Joints wear out early | Bend them less, fit larger ones, or grease more often.
yoke phase | Yokes are in phase | Yokes are out of phase | Line up the marks; keep a factory phase.
index marks | Straight shaft is on its marks | Straight shaft is off its index marks | Line up the marks, then judge the balance.
bracket skew | Bracket is square | Bracket stands askew | Square it, at ride height, before tightening.
contradiction, angle | Angles read twice agree | An angle contradicts the other readings | Read it again.
contradiction, place | Places read twice agree | A place contradicts the other readings | Read it again.
front joint, most | Front joint is straight enough | Front joint bends too much | Move the center bearing toward the output's line, both views.
two-piece service: front joint, least | Front joint bends enough for its needles | Front joint is dead straight | Shim the center bearing until the joint bends slightly.
chassis conversion: front joint, least | Front joint bends enough for its needles | Front joint is too straight | Shim the center bearing until the joint bends slightly.
joint, least | Joint bends enough for its needles | Joint runs too straight | Give the joint half a degree with a shim.
joint, most | Joint angle is moderate | Joint angle is too large | Bring output, bearing and pinion nearer to one line.
pair difference | Paired angles match | Paired angles differ | Wedge the axle or shim the bearing until both match.
coupling joint, least | Front joint bends enough for its needles | Front joint is too straight | Shim the center bearing until the joint bends slightly.
coupling joint, recommended least | Front joint bends as recommended | Front joint is straighter than recommended | Shim the center bearing until the joint bends slightly.
coupling joint, most | Front joint is straight enough | Front joint bends too much | Move the center bearing toward the output's line, both views.
coupling joint, recommended most | Front joint bends as recommended | Front joint bends more than recommended | Move the center bearing toward the output's line, both views.
joint, recommended least | Joint bends as recommended | Joint is straighter than recommended | Give the joint a degree with a shim.
joint, recommended most | Joint angle is as recommended | Joint angle is larger than recommended | Bring output, bearing and pinion nearer to one line.
pair difference, recommended | Paired angles match as recommended | Paired angles differ more than recommended | Wedge the axle or shim the bearing until both match.
slopes parallel | Output and pinion are parallel | Output and pinion are not parallel | Turn the pinion with a wedge.
joint life | Joints last long enough | Joints wear out early | Bend them less, fit larger ones, or grease more often.
front joint, recommended least | Front joint bends as recommended | Front joint is straighter than recommended | Shim the center bearing until the joint bends slightly.
front joint, recommended most | Front joint bends as recommended | Front joint bends more than recommended | Move the center bearing toward the output's line, both views.
front coupling, most | Flexible coupling is straight enough | Flexible coupling bends too much | Move the center bearing toward the output's line, both views.
front coupling, recommended most | Flexible coupling bends as recommended | Flexible coupling bends more than recommended | Move the center bearing toward the output's line, both views.
gap reserve, static | Slip reserve is as published | Slip reserve is under the published one | Reset the spline nearer to mid-travel.
"""
WORDS = {
    id: said for id, *said in ([c.strip() for c in row.split("|")] for row in SAID.splitlines())
}
RULES = [(name, rule) for name in rule_sets() for rule in load_rules(name).rules]


@pytest.mark.parametrize(("rule_set", "rule"), RULES, ids=[f"{n}: {r.id}" for n, r in RULES])
def test_a_rule_says_what_it_is_meant_to_say(rule_set: str, rule) -> None:
    said = WORDS.get(f"{rule_set}: {rule.id}") or WORDS[rule.id]
    assert [rule.good, rule.bad, rule.remedy] == said


def test_every_line_of_the_table_belongs_to_a_rule() -> None:
    assert {line.split(": ")[-1] for line in WORDS} == {rule.id for _, rule in RULES}


# why it matters, in words that only this meaning has (by the part: common practice, no source) |
# the rules that it stands under
MEANT = """\
can break their cases. | bottoming
would use up what is left | gap reserve; gap reserve, static; plunge reserve
leaves its spline drops | pull-out
run out of true | engaged reserve
outward it comes apart | plunge
bends and leaves its balance | contact
leaks fuel or loses the brakes | contact with a line; clearance to a line
size that the scene does not give | contact, size assumed
bent bracket would make it touch | clearance
Little is left for the movement | clearance at rest
Heat hardens boots | clearance to the exhaust
stands or drags on its shaft | ground contact
what the truck drives over | ground clearance
bows and whirls | critical speed
the beam model knows more | critical speed, beam
The yokes touch | joint binds
Beyond its limit the yokes touch | mechanical limit
balls or rollers leave their tracks | mechanical limit, constant velocity
rubber is kneaded | mechanical limit, flexible; front coupling, most; front coupling, recommended most
runs hot and wears fast | constant velocity joint
Nothing cancels a single universal joint | lone universal joint
middle of the shaft is shaken twice | angle at speed
What the joints do not cancel shakes the pinion | residual fluctuation
shudder or heard as a boom | pinion uneven; two-joint table
own inertia loads joints and gears | shaft uneven under drive; shaft uneven on the overrun
Torque lifts the pinion nose | launch shudder
Twice in every turn the joints shake the bearing | bearing met twice a turn
passed through quickly it builds up less | bearing met twice a turn
at half of its critical speed it bends with that | half critical
Once in every turn unbalance shakes the bearing | bearing met once a turn
cross, the balls or the rubber give way | joint torque; joint size
Trunnions and yoke ears give way | series size
low range or on good ground can give more than the joint is rated for | joint torque, peak
low range or on good ground can give more than the tube carries | tube torque, peak
tube twists for good | tube torque
One joint in ten is worn out | joint life
add where they should cancel | yoke phase
balanced on their marks | index marks
rubber is twisted for good | bracket skew
settle it first | contradiction, angle; contradiction, place
cancels the odd front joint | two-piece service: front joint, most
Needles that hardly roll | front joint, least; front joint, recommended least; joint, least; joint, recommended least; coupling joint, least; coupling joint, recommended least
Joint life falls and vibration grows | joint, most; joint, recommended most
What the two joints do not cancel | pair difference; pair difference, recommended
cancels the front joint: | chassis conversion: front joint, most; front joint, recommended most; coupling joint, most; coupling joint, recommended most
parallel angles throughout | slopes parallel
"""
# What no other test holds of a source: who says it, or whose number it is | the rules.
FROM = """\
metal meets metal at 0 | bottoming; contact; contact with a line
nothing holds the shaft at 0 | pull-out
meets its end at 0 | plunge
the ground is met at 0 | ground contact
no published source found | bearing met twice a turn; gap reserve; plunge reserve; engaged reserve; ground clearance; clearance; clearance at rest; clearance to a line; clearance to the exhaust
room for a finger | clearance
room to floor and crossmember | clearance at rest
room to fuel, brake and wiring | clearance to a line
the lesser of what shops ask, or a shield | clearance to the exhaust
size of this part is assumed | contact, size assumed
IMS Ltd | critical speed; critical speed, beam
no more than 0.70 of critical | critical speed
here of a beam model | critical speed, beam
the joint's own figure is better | mechanical limit; mechanical limit, constant velocity
the coupling's own figure is better | mechanical limit, flexible
confirm in the printed guide | angle at speed
refers to SAE AE-7 | two-joint table
Spicer DSAG-0200, torsional excitation | pinion uneven
Spicer DSAG-0200, inertial excitation | shaft uneven under drive; shaft uneven on the overrun
International CTS-2730, 3 deg | launch shudder
by this speed pulling away is over | bearing met once a turn
Lee and Kim, KSNVE 2002 | bearing met twice a turn
Cardan India, speed limits | half critical
rated_torque as the scene gives it | joint torque
Spicer J3311, printed p. 2) | joint size; series size; tube torque
from its maker's sheet, against the lesser of low gear and wheel slip (Spicer | joint size
light joint series | series size
low range or the tires' grip | joint torque, peak; tube torque, peak
least yield of the tube's material | tube torque
nine of ten outlive it | joint life
properly phased within 3 deg | yoke phase; index marks
3 standard deviations | contradiction, angle; contradiction, place
0.1 to 0.5 deg | two-piece service: front joint, least; two-piece service: front joint, most
J3311, printed pp. 16 and 17: 1 to 1.5 deg | coupling joint, recommended least; coupling joint, recommended most
J3311, printed p. 5: 1 deg least | heavy truck: joint, recommended least
J3311, printed p. 5: 3 deg | heavy truck: joint, recommended most
J3311, printed p. 5: both angles equal within 1 deg | pair difference, recommended
CTS-2730 in TM 5-4210-230-14&P-1, p. 21 | heavy truck: slopes parallel
Iveco Daily body builders' instructions 02/2014, p. 29 | chassis conversion: slopes parallel; chassis conversion: pair difference; front coupling, most; front coupling, recommended most
Fuso eCanter body directives 2020, 6.10, p. 100: 1 to 6 deg | front joint, recommended least; chassis conversion: joint, recommended least; chassis conversion: front joint, most; chassis conversion: joint, most
Hyundai Body Builder LCV, Feb 2015, pp. 93 and 95: 3 deg | front joint, recommended most; chassis conversion: joint, recommended most
Iveco Daily 4x4 2007 p. 2-27 | gap reserve, static
"""


def phrases(table: str) -> list[tuple[str, set[str]]]:
    cells = ([cell.strip() for cell in line.split("|")] for line in table.splitlines())
    return [(phrase, set(ids.split("; "))) for phrase, ids in cells]


@pytest.mark.parametrize(("table", "key"), [(MEANT, "meaning"), (FROM, "source")])
def test_a_phrase_stands_under_the_rules_that_are_named_with_it_and_no_other(table, key) -> None:
    for phrase, ids in phrases(table):
        told = [
            {rule.id, f"{name}: {rule.id}"} for name, rule in RULES if phrase in getattr(rule, key)
        ]
        assert [names for names in told if not names & ids] == [], phrase
        assert ids <= set().union(*told), phrase


def test_what_is_our_own_names_no_metric_amount_that_a_shop_in_inches_would_be_shown() -> None:
    metric = re.compile(r"[0-9] ?(mm|km/h|MPa|N/mm|N m|kg)\b")
    for _, rule in RULES:
        own = [rule.good, rule.bad, rule.remedy, rule.meaning]
        own += [rule.source] if rule.standing != "published" else []  # a source keeps its units
        assert not [words for words in own if metric.search(words)], rule.id


def test_no_meaning_is_left_out() -> None:
    meant = [phrase for phrase, _ in phrases(MEANT)]
    assert [r.id for _, r in RULES if not any(phrase in r.meaning for phrase in meant)] == []


SCOPES = {
    "two-piece service": "two-piece shafts above all",
    "general light service": "light trucks and vans",
    "heavy truck": "heavy trucks, empty and loaded",
    "chassis conversion": "with a body built on, judged loaded",
    "acceleration limits": "no angles at ride height",
}


def test_a_set_is_named_for_its_scope() -> None:
    assert tuple(SCOPES) == rule_sets()
    for name, scope in SCOPES.items():
        assert scope in load_rules(name).scope
