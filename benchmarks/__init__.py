"""Measurements of speed and of what intervals cover, against named peers."""
