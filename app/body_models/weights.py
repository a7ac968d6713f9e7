"""Which files the body models are, and whether they lie where they belong."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from analysis.body.detecting.network import ModelFiles
from app.files.user_folders import data_folder


@dataclass(frozen=True)
class Weight:
    """One network.

    Attributes
    ----------
    name : of the file it is kept in
    sha256 : of contents that are the network as published; there can be more than one build of it
    most_bytes : nothing larger is read in its place
    """

    name: str
    sha256: frozenset[str]
    most_bytes: int


PERSON: Final = Weight(
    "person.tflite",
    frozenset(
        {
            "a63c614bef30d35947f13be361820b1e4e3bec9cfeebf4d11216a18373108e85",
            "9ba9dd3d42efaaba86b4ff0122b06f29c4122e756b329d89dca1e297fd8f866c",
        }
    ),
    4_000_000,
)
FULL: Final = Weight(
    "points-full.tflite",
    frozenset({"e9a5c5cb17f736fafd4c2ec1da3b3d331d6edbe8a0d32395855aeb2cdfd64b9f"}),
    8_000_000,
)
HEAVY: Final = Weight(
    "points-heavy.tflite",
    frozenset({"59e42d71bcd44cbdbabc419f0ff76686595fd265419566bd4009ef703ea8e1fe"}),
    32_000_000,
)
ALL: Final = (PERSON, FULL, HEAVY)
NEEDED: Final = (PERSON, FULL)
NOTICE: Final = "NOTICE.txt"
LICENCE: Final = "LICENSE.txt"


def models_folder() -> Path:
    """Where they lie: in the built application, else beside the user's other data."""
    included = Path(__file__).with_name("included")
    return included if included.is_dir() else data_folder() / "body-models"


def is_weight(data: bytes, weight: Weight) -> bool:
    """Tell whether these bytes are the network."""
    return len(data) <= weight.most_bytes and hashlib.sha256(data).hexdigest() in weight.sha256


def is_here(weight: Weight, folder: Path) -> bool:
    """Tell whether a network lies in `folder`, whole and as published."""
    path = folder / weight.name
    try:
        if not path.is_file() or path.stat().st_size > weight.most_bytes:
            return False
        return is_weight(path.read_bytes(), weight)
    except OSError:
        return False


def find_models(folder: Path | None = None) -> ModelFiles | None:
    """Give the networks that are here; None where body points cannot be found automatically.

    Reads and checks all of them, some 37 MB.
    """
    folder = models_folder() if folder is None else folder
    if not all(is_here(weight, folder) for weight in NEEDED):
        return None
    heavy = folder / HEAVY.name if is_here(HEAVY, folder) else None
    return ModelFiles(folder / PERSON.name, folder / FULL.name, heavy)
