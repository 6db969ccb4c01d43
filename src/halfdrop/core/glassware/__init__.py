"""Scales and readings, delivered volume, tolerances, water and glass against temperature."""
