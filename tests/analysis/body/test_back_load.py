import numpy as np
import pytest

from analysis.body.back_load import (
    Athlete,
    load_at_joint,
    load_over_time,
    muscle_force,
)


def test_published_worked_example():
    # OpenStax College Physics, section 9.6 (CC BY): lifting a box with the back. 0.350 m * 55.0 kg
    # and 0.500 m * 30.0 kg against a muscle lever of 0.0800 m: 4.20e3 N; the vertebrae bear 5.6
    # times the weight, 4.66e3 N at 38 degrees, with the muscle 29 degrees above the horizontal.
    moment = 9.80 * (0.350 * 55.0 + 0.500 * 30.0)
    muscle = float(muscle_force(moment, 0.0800))
    assert muscle == pytest.approx(4195.6, abs=0.1)
    weight = 9.80 * 85.0
    assert muscle / weight == pytest.approx(5.037, abs=1e-3)
    pull = -muscle * np.array([np.cos(np.radians(29.0)), np.sin(np.radians(29.0))])
    joint = -np.array([pull, [0.0, -weight]]).sum(axis=0)
    assert np.hypot(*joint) == pytest.approx(4656.8, abs=0.1)
    assert np.degrees(np.arctan2(joint[1], joint[0])) == pytest.approx(38.0, abs=0.01)


@pytest.mark.parametrize(
    ("arm", "muscle", "compression"), [(0.05, 5282.6, 5472.7), (0.06, 4402.2, 4592.2)]
)
def test_handle_and_weight_by_hand(arm, muscle, compression):
    # Worked out by hand: 80 kg, 0.536 of it above the joint, lever 0.20 m; 600 N at the handle,
    # 0.30 m above the joint; trunk 20 degrees forward.
    load = load_at_joint(
        420.653, np.array([0.20]), np.array([600.0]), np.array([0.30]), np.radians([20.0]), arm
    )
    assert load.moment_nm[0] == pytest.approx(264.131, abs=1e-3)
    assert load.muscle_n[0] == pytest.approx(muscle, abs=0.1)
    assert load.compression_n[0] == pytest.approx(compression, abs=0.1)
    assert load.shear_n[0] == pytest.approx(707.7, abs=0.1)


def test_same_load_by_adding_up_forces():
    # The same joint force from a free body: weight down, pull forward, muscle down the trunk.
    lean = np.radians(20.0)
    load = load_at_joint(
        420.653, np.array([0.20]), np.array([600.0]), np.array([0.30]), np.array([lean]), 0.05
    )
    forward, up = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    along = np.sin(lean) * forward + np.cos(lean) * up
    across = np.cos(lean) * forward - np.sin(lean) * up
    forces = np.array([600.0 * forward, -420.653 * up, -load.muscle_n[0] * along])
    joint = -forces.sum(axis=0)
    assert joint @ along == pytest.approx(load.compression_n[0])
    assert -joint @ across == pytest.approx(load.shear_n[0])


def test_lay_back_turns_the_gravity_term_and_not_the_handle_term():
    athlete = Athlete(80.0, 1.84, 0.25)
    height = np.array([0.45, 0.45])
    lean = np.radians([25.0, -25.0])
    unloaded = load_over_time(athlete, lean, height, np.zeros(2))
    assert unloaded.moment_nm[0] > 0.0
    assert unloaded.moment_nm[1] == pytest.approx(-unloaded.moment_nm[0])
    pulled = load_over_time(athlete, lean, height, np.full(2, 500.0))
    added = pulled.moment_nm - unloaded.moment_nm
    assert added[0] == pytest.approx(added[1])
    assert added[0] > 0.0
