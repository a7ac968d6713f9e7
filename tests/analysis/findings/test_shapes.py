import numpy as np
import pytest

from analysis.findings.curve_shape import count_stairs, deepest_dip, middle_of, width_above
from analysis.findings.registration import registered_mean
from analysis.findings.shapes import PCT, blur, drive_shapes
from analysis.force.piece import analyse
from tests.helpers.curves import row


def test_blur_has_half_power_at_its_cut_off_and_never_rings():
    time_s = np.arange(0.0, 20.0, 0.005)
    wave = np.sin(2.0 * np.pi * 9.0 * time_s)
    passed = blur(wave, 200.0, 9.0)[1000:3000]
    assert np.sqrt(2.0 * np.mean(passed**2)) == pytest.approx(0.70711, abs=2e-3)
    step = blur((time_s > 10.0).astype(float), 200.0, 9.0)
    assert step.max() <= 1.0 + 1e-12 and step.min() >= -1e-12


def test_half_sines_come_out_as_drawn():
    shapes = drive_shapes(analyse(row(10)))
    sine = np.sin(np.pi * PCT / 100.0)
    # The ends are cut where force crosses 5 % of the peak.
    cut = np.arcsin(0.05) / np.pi
    sine = np.sin(np.pi * (cut + (1.0 - 2.0 * cut) * PCT / 100.0))
    np.testing.assert_allclose(shapes.curves.mean(axis=0), sine, atol=0.01)
    assert middle_of(shapes.curves).mean() == pytest.approx(50.0, abs=0.3)
    exact = 100.0 * (1.0 - 2.0 * (np.arcsin(0.9) / np.pi - cut) / (1.0 - 2.0 * cut))
    assert width_above(shapes.curves, 0.9).mean() == pytest.approx(exact, abs=1.0)


def test_no_strokes_no_shapes():
    trace = row(1)
    quiet = type(trace)(trace.time_s, np.full_like(trace.force_n, 3.0))
    assert drive_shapes(analyse(quiet)) is None


def test_dip_is_measured_from_its_lower_shoulder():
    curve = np.interp(PCT, [0, 20, 30, 45, 100], [0.0, 0.8, 0.5, 1.0, 0.0])
    dip = deepest_dip(curve, 4.0, 70.0)
    assert dip.depth == pytest.approx(0.3)
    assert (dip.left_pct, dip.bottom_pct) == (20.0, 30.0)
    assert dip.right_pct == pytest.approx(39.0, abs=0.5)
    assert dip.area_pct == pytest.approx(0.5 * 0.3 * 19.0, rel=0.02)
    assert deepest_dip(np.sin(np.pi * PCT / 100.0), 4.0, 70.0).depth == pytest.approx(0.0)


@pytest.mark.parametrize("stairs", [2, 3, 4])
def test_stairs_are_counted(stairs):
    edges = np.linspace(0.0, 48.0, 2 * stairs + 1)
    levels = np.repeat(np.arange(stairs + 1) / stairs, 2)[1:]
    curve = np.interp(PCT, [*edges, 60.0, 100.0], [*levels, 1.0, 0.0][: len(edges) + 2])
    assert count_stairs(curve, 0.0, 0.5, 1.1) == stairs


def test_a_straight_way_up_has_no_stairs():
    assert count_stairs(np.clip(PCT / 45.0, 0.0, 1.0), 0.0, 0.5, 1.1) == 1


def test_registered_mean_keeps_the_peak():
    # Nine equal bells of 600 N, time bent so that their peaks lie at 30 to 50 % of the drive.
    # Reference: scikit-fda 0.10.1 on the same curves, FisherRaoElasticRegistration and
    # landmark_elastic_registration (location 40); fdasrsf 2.7.3 agrees within 2.4 N.
    pct = np.linspace(0.0, 100.0, 101)
    curves = np.array(
        [
            600.0 * np.exp(-0.5 * ((np.interp(pct, [0, at, 100], [0, 40, 100]) - 40) / 12) ** 2)
            for at in np.linspace(30, 50, 9)
        ]
    )
    elastic = [2.3195, 26.1937, 149.4841, 423.7782, 599.8087, 423.4562, 149.0126, 26.6856, 2.3504]
    landmark = [2.3195, 26.1916, 148.9665, 422.1777, 599.7584, 423.0490, 152.2781, 28.3318, 2.5900]
    together = registered_mean(curves)
    np.testing.assert_allclose(together.mean_n[:90:10], elastic, atol=1.2)
    np.testing.assert_allclose(together.mean_n[:90:10], landmark, atol=3.0)
    assert curves.mean(axis=0).max() == pytest.approx(541.787, abs=1e-3)  # what the plain mean says
    assert together.flattened == pytest.approx(1.0 - 541.787 / 599.8, abs=3e-3)
