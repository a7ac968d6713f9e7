import numpy as np
import pytest

from analysis.body.back_load import (
    BALANCE_SHARE,
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


def test_levers_by_where_the_points_lie() -> None:
    # The same moment from places in the side plane and cross products of place and force.
    athlete = Athlete(80.0, 1.84, 0.25)
    for degrees in (30.0, 0.0, -25.0):
        lean = np.radians(degrees)
        hip, up_trunk = np.array([0.0, 0.25]), np.array([np.sin(lean), np.cos(lean)])
        trunk = 0.288 * 1.84  # hip to shoulder, Drillis & Contini 1966
        joint = hip + 0.22 * trunk * up_trunk
        weight_at = hip + balance() * trunk * up_trunk
        arms = np.array([weight_at - joint, np.array([0.6, 0.47]) - joint])
        forces = np.array([[0.0, -0.536 * 80.0 * 9.80], [500.0, 0.0]])
        # Positive turns the trunk forward: the weight down in front of the joint, the pull above.
        turned = arms[:, 1] * forces[:, 0] - arms[:, 0] * forces[:, 1]
        found = load_over_time(
            athlete, np.array([lean]), np.array([0.47]), np.array([500.0]), np.array([0.25])
        )
        assert found.moment_nm[0] == pytest.approx(turned.sum(), rel=0.005, abs=0.5)


def balance(joint: float = 0.22) -> float:
    """Where what lies above the joint balances, along hip to shoulder: the pelvis taken out.

    Head, arms and trunk 0.678 of the body at 0.626 from the hip; pelvis 0.142 at 0.895 of the way
    from the hip to the joint (Dempster's table in Winter 1990).
    """
    return (0.678 * 0.626 - 0.142 * 0.895 * joint) / 0.536


def test_other_rows_of_the_table_put_the_balance_in_the_same_place() -> None:
    # Piece by piece: thorax with abdomen, head, both arms; heights over stature 0.530 (hip), 0.818
    # (shoulder), 0.870 (first rib) and 0.936 (ear; the last two from memory).
    at = {height: (height - 0.530) / 0.288 for height in (0.870, 0.936)}
    body = 0.22 + 0.370 * (at[0.870] - 0.22)

    def of(arms: float) -> float:
        return (0.355 * body + 0.081 * at[0.936] + 0.100 * arms) / 0.536

    hanging, held_out = of((0.818 - 0.176 - 0.530) / 0.288), of(1.0)
    assert hanging < BALANCE_SHARE < held_out
    assert pytest.approx(balance(), abs=0.005) == BALANCE_SHARE
    # The lever of the weight is known no better than this.
    assert (held_out - hanging) / (BALANCE_SHARE - 0.22) == pytest.approx(0.22, abs=0.05)
