"""The sums: numbers in, numbers out; no files, no web, no clock, no unseeded chance."""
