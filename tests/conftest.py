"""Settings shared by all tests."""

from __future__ import annotations

import os

from hypothesis import settings

# No deadline: the machine may be busy. In CI the same examples every time, so that what is green stays green;
# at a desk new ones, so that what is wrong is found.
settings.register_profile("desk", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "desk")
