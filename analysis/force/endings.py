"""The endings of the force files that can be read: the one list whoever opens or refuses asks."""

from __future__ import annotations

from typing import Final

TEXT: Final = frozenset({".csv", ".txt", ".tsv", ".tab", ".dat", ".asc"})
SHEETS: Final = frozenset({".xlsx", ".xlsm", ".xls", ".ods"})
JSON_LINES: Final = frozenset({".jsonl", ".ndjson"})
JSON: Final = JSON_LINES | {".json"}
RECORDED: Final = frozenset({".c3d", ".parquet", ".pq"})
PACKED: Final = frozenset({".gz", ".zip"})

TABLES: Final = TEXT | SHEETS | JSON | RECORDED
"""What an archive may hold as its one table."""
READ: Final = TABLES | PACKED
"""All that is read as a force file."""
