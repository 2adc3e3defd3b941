"""What tubes are made of: the one place where densities and moduli stand."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """Elastic moduli [Pa], Poisson's ratio, least yield stress [Pa] and density [kg/m³]."""

    young: float
    shear: float
    poisson: float
    yield_stress: float
    density: float


# From memory of materials handbooks: typical minimum yields of welded or drawn 1020 to 1026 steel
# tube and of 6061-T6.  A tube's own certificate is better: yield_stress in the scene.
MATERIALS = {
    "steel": Material(young=207e9, shear=79.6e9, poisson=0.3, yield_stress=414e6, density=7850.0),
    "aluminum": Material(young=69e9, shear=26e9, poisson=0.33, yield_stress=276e6, density=2700.0),
}
