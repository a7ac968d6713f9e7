"""Force files as text, written for a test."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from analysis.force.trace import TraceError

TIME_S = np.arange(0.0, 4.0, 0.01)


FORCE_N = 400.0 * np.maximum(0.0, np.sin(3.0 * TIME_S))


def write(folder: Path, text: str | bytes, encoding: str = "utf-8", name: str = "f.csv") -> Path:
    path = folder / name
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


def table(
    delimiter: str = ",", decimal: str = ".", header: str = "time_s,force_n", scale: float = 1.0
) -> str:
    lines = [header] if header else []
    lines += [
        f"{t:.3f}{delimiter}{f * scale:.4f}".replace(".", decimal)
        for t, f in zip(TIME_S, FORCE_N, strict=True)
    ]
    return "\n".join(lines) + "\n"


def sentence(error: pytest.ExceptionInfo[TraceError]) -> str:
    """One line that ends like a sentence."""
    text = str(error.value)
    assert "\n" not in text and text.endswith("."), text
    return text
