"""The measures of one stroke as one value. Definitions, units and sources: docs/measures.md."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from analysis.measures.measured_stroke import MeasuredStroke
from analysis.measures.registry import KEYS, MEASURES


class Measures(Mapping[str, float | None]):
    """Measures of one stroke in SI units by their keys; None where not measurable.

    Every registered key is there, in order, and can be read as an attribute too: `found.peak_n`
    is `found["peak_n"]`. It never changes.
    """

    __slots__ = ("_values",)
    _values: Mapping[str, float | None]

    def __init__(self, values: Mapping[str, float | None] | None = None, /, **named: float | None):
        given = {**(values or {}), **named}
        unknown = sorted(given.keys() - set(KEYS))
        if unknown:
            raise TypeError(f"There is no measure {', '.join(unknown)}.")
        complete = MappingProxyType({key: given.get(key) for key in KEYS})
        object.__setattr__(self, "_values", complete)

    def __getitem__(self, key: str) -> float | None:
        return self._values[key]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def __getattr__(self, name: str) -> float | None:
        if name not in KEYS:
            raise AttributeError(name)
        return self._values[name]

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"Measures do not change; {name} was not set.")

    def __hash__(self) -> int:
        return hash(tuple(self._values.items()))

    def __reduce__(self) -> tuple[type[Measures], tuple[dict[str, float | None]]]:
        return Measures, (dict(self._values),)

    def __repr__(self) -> str:
        known = (f"{key}={value!r}" for key, value in self.items() if value is not None)
        return f"Measures({', '.join(known)})"


def measures_of(stroke: MeasuredStroke) -> Measures:
    """Take every measure of one stroke; one whose drive has no length has none."""
    return Measures({spec.key: spec.of(stroke) for spec in MEASURES})
