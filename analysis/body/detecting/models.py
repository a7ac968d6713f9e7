"""The networks in memory, ready to be asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from analysis.body.detecting import landmarks, person
from analysis.body.detecting.landmarks import Landmarker
from analysis.body.detecting.network import ModelFiles, Network
from analysis.body.detecting.person import Person, PersonDetector
from analysis.body.detecting.region import Image


@dataclass(frozen=True, eq=False)
class BodyModels:
    """What finds people and their points. Not for two threads at once.

    Attributes
    ----------
    people : where people are
    points : where their points are, the best there is
    second : another opinion on the points; None where there is one network only
    """

    people: PersonDetector
    points: Landmarker
    second: Landmarker | None


def load_models(files: ModelFiles, threads: int = 1) -> BodyModels:
    """Read the networks.

    Parameters
    ----------
    threads : how many each computation may use

    Raises
    ------
    DetectionError
        The package that runs them is missing, or a file is not what it should be.
    """

    def landmarker(path: Path) -> Landmarker:
        return Landmarker(Network(path, landmarks.SIDE_PX, landmarks.OUTPUTS, threads))

    people = PersonDetector(Network(files.person, person.SIDE_PX, person.OUTPUTS, threads))
    full = landmarker(files.full)
    if files.heavy is None:
        return BodyModels(people, full, None)
    return BodyModels(people, landmarker(files.heavy), full)


def propose_person(images: Iterable[Image], models: BodyModels) -> list[Person]:
    """Give the people of the frame that shows most of them, the surest first.

    One person can be proposed as the athlete; of several, a person must point at the athlete.

    Parameters
    ----------
    images : a few frames of the film, red green blue bytes
    """
    return max((models.people.people(image) for image in images), key=len, default=[])
