"""What is found in films of one fault, and of none, when the body is followed by the networks.

Run as `python -m tests.benchmarks.body_findings [FAULT ...]`; without a name all faults that the
picture can tell, and sound rowing, are painted, followed and looked at. Some 20 s of work a film.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import replace
from pathlib import Path

import numpy as np

from analysis.body.piece import analyse_body
from analysis.body.track import BodyTrack
from analysis.findings.body_rules import BODY_RULES, body_cycles
from analysis.findings.doubt import judge_of
from analysis.findings.find import find
from analysis.findings.thresholds import Thresholds
from app.body.track_film import track_of_film
from samples.faults import BODY_FAULTS
from samples.submission import SMALL, make_submission

SOUND = "sound"
STRENGTHS = (1.0, 0.6)
STATURES_M = (1.68, 1.76, 1.84, 1.92, 1.72, 1.88)
FILM = replace(SMALL, width=640, height=360, duration_s=9.0, rate_spm=28.0)


def followed(fault: str, strength: float, seed: int) -> tuple[BodyTrack, float]:
    """Paint and follow a film; give the track and the stature."""
    stature_m = STATURES_M[seed % len(STATURES_M)]
    faults = () if fault == SOUND else ((fault, strength),)
    with tempfile.TemporaryDirectory() as folder:
        options = replace(FILM, seed=20 + seed, stature_m=stature_m, faults=faults)
        made = make_submission(Path(folder), options)
        return track_of_film(made.footage), stature_m


def look(fault: str, strength: float, seed: int) -> None:
    """Print what is raised, and how far the fault's value is from its limit."""
    track, stature_m = followed(fault, strength, seed)
    body = analyse_body(track, None, stature_m)
    raised = [f.code for f in find(None, None, body.series) if not f.good]
    print(f"{fault} {strength:g}: {len(body.strokes)} strokes, raised {raised}", flush=True)
    judge = judge_of(body_cycles(body.series, body.strokes), body.series, Thresholds())
    for rule in BODY_RULES:
        said, sd = judge(rule)
        if said.code == fault and sd is not None and np.isfinite(said.values).any():
            middle, off = np.nanmedian(said.values), np.nanmedian(sd)
            print(f"  {middle:.3g} ± {off:.2g} {said.unit}, limit {said.threshold:.3g}")


def main() -> None:
    """Look at each film."""
    told = [code for code in BODY_FAULTS if code != "back-rounds"]
    for seed, fault in enumerate(sys.argv[1:] or [SOUND, *told]):
        for strength in STRENGTHS if fault != SOUND else (0.0,):
            look(fault, strength, seed)


if __name__ == "__main__":
    main()
