"""The keys of a determination file that mean the same whatever the method; no quantity is called so."""

from __future__ import annotations

TOP_KEYS = (
    "method", "sample", "analyst", "date", "bottle", "bench", "notes", "weights", "interval_value",
    "coverage", "trials_file", "burette", "burettes", "second_burette", "room", "balance", "end_point",
    "repeatability", "choose", "trial",
)  # fmt: skip
TRIAL_KEYS = (
    "no", "series", "rough", "left_out", "abandoned", "by", "at", "refill", "burette", "read_by", "tap_by",
    "time", "temperature_degC", "note",
)  # fmt: skip
