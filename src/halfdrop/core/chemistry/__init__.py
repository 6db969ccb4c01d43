"""Atomic weights, formulas, reactions and their balance, hazard statements."""
