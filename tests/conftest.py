"""What holds for every test: one time zone, for bedtime and quiet hours are read off the clock on the wall."""

from __future__ import annotations

import os
import time

os.environ["TZ"] = "UTC"
time.tzset()
