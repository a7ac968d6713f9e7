"""How long is waited for what comes: longer than the busiest machine takes.

A wait that ends too soon fails by chance; one that is too long costs time only where something
hangs, and then it is the sign of a fault.
"""

from __future__ import annotations

HANGS_S = 240.0
HANGS_MS = 240_000
