"""What anybody must know before acting on the report."""

from __future__ import annotations

CAUTIONS = (
    "The vehicle maker's data, local codes and licensed practice come before anything printed "
    "here. A changed driveline may need an inspection or a certificate: ask before you build.",
    "This report prints what was checked, from the readings that it was given. It certifies "
    "nothing, and it knows nothing of what nobody measured.",
    "Before you go under: level ground, wheels blocked, rated stands under the frame, transmission "
    "in neutral, parking brake set. Never trust a jack.",
    "Never go under, or reach in, while anything can turn. Keep loose clothing, hair and cords "
    "away from a shaft, and nobody in line with one that turns.",
    "If the axle must turn in the air: on stands, wheels and drums off, under 112 km/h (70 mph), "
    "and leave the brakes alone (service manual, vibration section, 1998).",
    "A long shaft can weigh more than 45 kg (100 lb). Strap it up before the last bolt comes out, "
    "and mark both halves of every joint and spline first.",
    "Do not hammer on yokes and do not heat them. Replace a joint that was struck.",
    "Before drilling: find out what lies behind, lines, wires, tank. Rail flanges are not drilled; "
    "the chassis maker's book decides on webs, and on welding.",
    "Before welding: disconnect the battery, ground close to the weld, keep fuel and vapor away.",
    "The whirl limit is a share of a computed critical speed, not a speed that is safe to drive. "
    "Balance, straightness, wear and loads decide, too.",
)
