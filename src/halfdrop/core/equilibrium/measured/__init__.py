"""Measured curves: where the equivalence point lies in a table of pH, potential, conductance, absorbance."""
