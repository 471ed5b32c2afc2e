"""How many examples a property is tried on, the same ones in every run.

``ARMBOT_EXAMPLES`` raises the number for a longer search, which is then a random one.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

_MANY = int(os.environ.get("ARMBOT_EXAMPLES", "0"))
QUICK = settings(
    max_examples=_MANY or 25,
    deadline=None,
    derandomize=not _MANY,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
