from __future__ import annotations

import numpy as np

from app.scene import raster
from app.scene.figure import Figure, Moment, drive_ticks, lay_out
from app.scene.force_curve import over_drive
from app.scene.shapes import Circle, Text


def test_moments_stand_on_the_first_curve_and_never_upon_each_other() -> None:
    rise = np.linspace(0.0, 500.0, 101)
    moments = [Moment(at, str(k + 1)) for k, at in enumerate((0.0, 50.0, 51.0, 52.0, 100.0))]
    figure = Figure(
        (331.0, 310.0), 11.0, [over_drive("own", rise)], (0.0, 100.0), (0.0, 600.0),
        drive_ticks("catch", "finish"), moments=moments,
    )  # fmt: skip
    drawing = lay_out(figure, raster.measure)
    discs = [s for s in drawing.drawing.shapes if isinstance(s, Circle)]
    assert len(discs) == 5
    for disc, moment in zip(discs, moments, strict=True):
        assert abs(disc.x - drawing.plot.x.at(moment.at)) < 1e-9
        assert disc.y <= drawing.plot.y.at(float(np.interp(moment.at, np.arange(101), rise))) + 1e-9
    assert abs(discs[1].y - drawing.plot.y.at(250.0)) < 1e-9
    for i, one in enumerate(discs):
        for other in discs[i + 1 :]:
            assert np.hypot(one.x - other.x, one.y - other.y) >= one.radius + other.radius
    numbers = [s.text for s in drawing.drawing.shapes if isinstance(s, Text) and s.ink == "ground"]
    assert numbers == ["1", "2", "3", "4", "5"]
