"""How long a search may take."""

from __future__ import annotations

import math
import time


class Patience:
    """How long may be searched; ``ended``: whether more time might have found more."""

    def __init__(self, seconds: float = math.inf) -> None:
        """Begin now."""
        self._until = time.monotonic() + seconds
        self.ended = False

    def over(self) -> bool:
        """Whether it is time to end."""
        self.ended = self.ended or time.monotonic() > self._until
        return self.ended
