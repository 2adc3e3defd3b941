"""halfturn: 3D simulation and animation of driveline motion."""

__version__ = "0.1.0"
