"""Shake: what the shafts hand to gearbox, bearings and axle, per order, over shaft speed."""
