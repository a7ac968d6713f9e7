"""Networks that are run as they were published, and the files they lie in."""

from __future__ import annotations

from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

FloatImage = NDArray[np.float32]


class DetectionError(Exception):
    """Body points cannot be found; the message is one sentence for the user."""


@dataclass(frozen=True)
class ModelFiles:
    """Where the networks lie.

    Attributes
    ----------
    person : finds people and where their hips are
    full : finds the points of one person
    heavy : the same, slower and better; None where it could not be had
    """

    person: Path
    full: Path
    heavy: Path | None = None


def can_run() -> bool:
    """Tell whether the package that runs networks is installed."""
    return find_spec("ai_edge_litert") is not None


class Network:
    """One network in memory. Not for two threads at once.

    Parameters
    ----------
    path : a `.tflite` file, its content already known to be the expected one
    input_side_px : side of the square picture it takes
    outputs : shape each output must have, in order; further outputs are left alone
    threads : how many the computation may use

    Raises
    ------
    DetectionError
        The package is missing, or the file is not such a network.
    """

    def __init__(
        self, path: Path, input_side_px: int, outputs: tuple[tuple[int, ...], ...], threads: int
    ) -> None:
        try:
            from ai_edge_litert.interpreter import Interpreter
        except (ImportError, OSError) as error:
            raise DetectionError(
                "Body points cannot be found automatically: the package ai-edge-litert is not "
                "installed; points can still be placed by hand."
            ) from error
        try:
            # Handed over as bytes: a path with letters of another code page is not opened by it.
            self._interpreter: Any = Interpreter(
                model_content=path.read_bytes(), num_threads=max(1, threads)
            )
            self._interpreter.allocate_tensors()
        except (OSError, ValueError, RuntimeError) as error:
            raise DetectionError(_unusable(path)) from error
        said = self._interpreter.get_input_details()
        self._input: int = said[0]["index"]
        given = self._interpreter.get_output_details()
        self._outputs: list[int] = [one["index"] for one in given[: len(outputs)]]
        if tuple(said[0]["shape"]) != (1, input_side_px, input_side_px, 3) or [
            tuple(int(n) for n in one["shape"]) for one in given[: len(outputs)]
        ] != [tuple(shape) for shape in outputs]:
            raise DetectionError(_unusable(path))
        self.input_side_px = input_side_px

    def run(self, image: FloatImage) -> list[NDArray[np.float32]]:
        """Run it on a picture (side, side, 3) and give copies of its outputs."""
        self._interpreter.set_tensor(self._input, image[None])
        self._interpreter.invoke()
        return [self._interpreter.get_tensor(index) for index in self._outputs]


def _unusable(path: Path) -> str:
    return (
        f"The body model {path.name} cannot be used; fetch the models again with "
        "“python -m app.body_models”. Points can still be placed by hand."
    )
