"""All tables of a set-up: one complete vehicle with one driveline."""

from __future__ import annotations

from sim.scene.keys import TextKey
from sim.scene.quantity import Quantity
from sim.scene.table import NamedKey, Table, TableKey, named, numbered
from sim.scene.tables.bearing import BearingKeys
from sim.scene.tables.brace import BraceKeys
from sim.scene.tables.complaint import ComplaintKeys
from sim.scene.tables.ends import AxleKeys, FrameKeys, OutputKeys, PinionKeys
from sim.scene.tables.joint import JointKeys
from sim.scene.tables.limits import LimitsKeys
from sim.scene.tables.obstacle import ObstacleKeys
from sim.scene.tables.rail import RailKeys
from sim.scene.tables.service import DutyKeys, TorsionKeys
from sim.scene.tables.shaft import ShaftKeys
from sim.scene.tables.spline import OutputSplineKeys, SplineKeys
from sim.scene.tables.suspension import suspension_key
from sim.scene.tables.torque import WRITTEN_SPEED, WRITTEN_TORQUE, OutputMoveKeys
from sim.scene.tables.travel import HeightKeys, TravelKeys
from sim.scene.tables.vehicle import VehicleKeys


class Setup(Table):
    """One complete vehicle with one driveline: the shared part and one configuration."""

    vehicle: TableKey[VehicleKeys] = TableKey(
        VehicleKeys, "What plates and papers say.", needed=True
    ).also("engine truck car tire wheel")
    frame: TableKey[FrameKeys | None] = TableKey(
        FrameKeys, "How the truck stood.", left_out="nothing was read to level"
    )
    output: TableKey[OutputKeys] = TableKey(OutputKeys, "First joint.", needed=True)
    pinion: TableKey[PinionKeys] = TableKey(PinionKeys, "Last joint.", needed=True)
    axle: TableKey[AxleKeys] = TableKey(AxleKeys, "Axle center.", needed=True)
    suspension = suspension_key()
    travel: TableKey[TravelKeys | None] = TableKey(
        TravelKeys, "How far the axle goes.", left_out="only ride height"
    )
    height: NamedKey[dict[str, HeightKeys]] = named(
        HeightKeys, "Named heights besides ride height, droop and bump."
    )
    torque_case: NamedKey[dict[str, Quantity]] = named(
        WRITTEN_TORQUE, "Named torques; drive is positive."
    )
    output_move: NamedKey[dict[str, OutputMoveKeys]] = named(
        OutputMoveKeys, "How the output moves on its mounts, by torque case."
    )
    road_speed: NamedKey[dict[str, Quantity]] = named(
        WRITTEN_SPEED, "Road or shaft speed, by torque case; and full travel."
    ).also("speed")
    duty: NamedKey[dict[str, DutyKeys]] = named(
        DutyKeys, "What the vehicle does, for the life of the joints."
    )
    torsion: TableKey[TorsionKeys] = TableKey(
        TorsionKeys, "What the shafts twist between.", empty=True
    )
    obstacle: NamedKey[dict[str, ObstacleKeys]] = named(
        ObstacleKeys, "What must not be touched.", most=40
    ).also("exhaust crossmember fuel_tank tank")
    brace: NamedKey[dict[str, BraceKeys]] = numbered(
        BraceKeys, "Where each center bearing may hang, by its number."
    ).also("cross_brace crossmember_space window")
    left_rail: TableKey[RailKeys | None] = TableKey(
        RailKeys, "The left side rail of the frame.", left_out="like the right one"
    ).also("rail frame_rail")
    right_rail: TableKey[RailKeys | None] = TableKey(
        RailKeys, "The right side rail of the frame.", left_out="like the left one"
    )
    complaint: NamedKey[dict[str, ComplaintKeys]] = named(
        ComplaintKeys, "What the driver feels, and at which road speed."
    ).also("vibration shake")
    limits: TableKey[LimitsKeys] = TableKey(LimitsKeys, "Limits of the shop.", empty=True)
    series: TextKey[str | None] = TextKey(
        "Series of the joints, as in 1410.",
        pattern=r"^[A-Za-z0-9][A-Za-z0-9 .-]{0,15}$",
        rule='a series is a short name, as in "1410"',
        left_out="no joint rating is judged",
    )
    shaft: NamedKey[dict[str, ShaftKeys]] = numbered(
        ShaftKeys, "Shafts, numbered from the front.", needed=True
    ).also("driveshaft propshaft propeller_shaft")
    bearing: NamedKey[dict[str, BearingKeys]] = numbered(
        BearingKeys, "Center bearings, numbered from the front."
    ).also("center_bearing carrier hanger")
    joint: NamedKey[dict[str, JointKeys]] = numbered(
        JointKeys, "Joints that are not plain universal joints."
    ).also("u_joint yoke")
    spline: TableKey[SplineKeys] = TableKey(
        SplineKeys, "The spline that follows the axle.", needed=True
    ).also("slip slip_yoke slip_joint")
    output_spline: TableKey[OutputSplineKeys | None] = TableKey(
        OutputSplineKeys, "A slip yoke on the output ahead of a center bearing.", left_out="none"
    )
