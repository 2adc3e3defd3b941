# ruff: noqa: E501  (the table reads better in whole lines)
"""What a reader sees first of every rule, once more beside the data; the words are our own.

A headline that says the opposite, names the wrong part, or advice that is another rule's, fails here.
"""

from __future__ import annotations

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
joint binds | Joint bends no further than joints can | Joint bends further than such joints can | Limit the droop or fit a joint that bends further.
mechanical limit | Joint never binds | Joint may bind | Limit the droop or fit a joint that bends further.
mechanical limit, constant velocity | Constant velocity joint never binds | Constant velocity joint may bind | Limit the droop or fit a joint that bends further.
mechanical limit, flexible | Flexible coupling stays within its angle | Flexible coupling bends beyond its angle | Bring both shafts into line, or fit a joint.
constant velocity joint | Constant velocity joint bends little enough | Constant velocity joint bends too much | Lower the output, or point the pinion at the joint.
lone universal joint | Lone joint is straight enough | Lone joint bends too much | Turn the pinion until it points at the other joint.
angle at speed | Angle suits the speed | Angle is too large for this speed | Reduce the angle, or the top speed, or the axle ratio.
residual fluctuation | Pinion turns evenly | Pinion turns unevenly | Match the last two joints and check the yoke phase.
two-joint table | Pinion keeps to the two-joint table | Pinion is shaken beyond the two-joint table | Match the last two joints and check the yoke phase.
torsional acceleration | Pinion is hardly shaken | Pinion is shaken twice per turn | Match the last two joints and check the yoke phase.
shaft uneven under drive | Shaft turns evenly under drive | Shaft itself is shaken under drive | Reduce the joint angle at that shaft's driving end.
shaft uneven on the overrun | Shaft turns evenly on the overrun | Shaft itself is shaken on the overrun | Reduce the joint angles behind that shaft.
launch shudder | Pull-away looks smooth | May shudder when pulling away | Check mounts and rubber, then pinion preset and axle wrap.
bearing met twice a turn | Bearing resonance is out of the way | Bearing resonates while pulling away | Measure the rubber; lower the couple before changing the rubber.
bearing met once a turn | Unbalance meets the bearing beyond pulling away | Unbalance meets the bearing while pulling away | Measure the rubber; balance the shafts.
joint torque | Joint carries the torque | Joint is too small for the torque | Fit the next series or hold the torque down.
joint size | Joint is large enough for the vehicle | Joint is too small for the vehicle | Fit the next series or hold the torque down.
series size | Series is large enough for the vehicle | Series is small for the vehicle | Fit the next series or hold the torque down.
joint torque, peak | Joint carries the most that can come | More torque can come than it carries | Hold the torque down in low range.
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
pair difference | The pair cancels | The pair does not cancel | Wedge the axle or shim the bearing until both match.
coupling joint, least | Front joint bends enough for its needles | Front joint is too straight | Shim the center bearing until the joint bends slightly.
coupling joint, recommended least | Front joint bends as recommended | Front joint is straighter than recommended | Shim the center bearing until the joint bends slightly.
coupling joint, most | Front joint is straight enough | Front joint bends too much | Move the center bearing toward the output's line, both views.
coupling joint, recommended most | Front joint bends as recommended | Front joint bends more than recommended | Move the center bearing toward the output's line, both views.
joint, recommended least | Joint bends as recommended | Joint is straighter than recommended | Give the joint a degree with a shim.
joint, recommended most | Joint angle is as recommended | Joint angle is larger than recommended | Bring output, bearing and pinion nearer to one line.
pair difference, recommended | The pair cancels as recommended | The pair cancels less than recommended | Wedge the axle or shim the bearing until both match.
slopes parallel | Output and pinion are parallel | Output and pinion are not parallel | Turn the pinion with a wedge.
joint life | Joints last long enough | Joints wear out early | Bend them less, fit larger ones, or grease more often.
front joint, recommended least | Front joint bends as recommended | Front joint is straighter than recommended | Shim the center bearing until the joint bends slightly.
front joint, recommended most | Front joint bends as recommended | Front joint bends more than recommended | Move the center bearing toward the output's line, both views.
front coupling, most | Flexible coupling is straight enough | Flexible coupling bends too much | Move the center bearing toward the output's line, both views.
front coupling, recommended most | Flexible coupling bends as recommended | Flexible coupling bends more than recommended | Move the center bearing toward the output's line, both views.
gap reserve, static | Slip reserve is as published | Slip reserve is under the published 20 mm | Reset the spline nearer to mid-travel.
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
