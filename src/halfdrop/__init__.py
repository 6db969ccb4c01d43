"""Volumetric work in a teaching laboratory: from burette readings to a result that can be defended."""

__version__ = "0.1.0"
