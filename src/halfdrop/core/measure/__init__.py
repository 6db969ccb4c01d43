"""Estimates with uncertainty, the working, budgets, rounding, statistics."""
