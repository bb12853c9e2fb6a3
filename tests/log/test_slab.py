"""The modes of a slab and the equations at its faces."""

import numpy as np
import pytest

from outcomes.log.slab import build_slab, solve_faces


def test_the_modes_of_an_insulated_slab_die_at_the_squares_of_multiples_of_pi():
    # Carslaw & Jaeger, 2nd ed., section 3.5 (from memory): rates (n pi)^2 without losses.
    rates = np.sort(build_slab(24).rates)
    assert (np.pi * np.arange(6)) ** 2 == pytest.approx(rates[:6], rel=1e-9, abs=1e-9)


def test_the_slopes_products_are_those_of_integration():
    degree = 9
    nodes, weights = np.polynomial.legendre.leggauss(20)
    slopes = np.array(
        [
            2 * np.sqrt(2 * n + 1) * np.polynomial.legendre.Legendre.basis(n).deriv()(nodes)
            for n in range(degree + 1)
        ]
    )
    integrated = (slopes * weights / 2) @ slopes.T
    expected = np.linalg.eigvalsh(integrated)
    assert expected == pytest.approx(np.sort(build_slab(degree).rates), rel=1e-9, abs=1e-8)


def test_a_uniform_slab_shows_one_temperature_at_both_faces_and_in_the_mean():
    slab = build_slab(12)
    assert [1, 1, 1] == pytest.approx(
        [slab.outer @ slab.uniform, slab.inner @ slab.uniform, slab.uniform @ slab.uniform]
    )


def test_heat_taken_at_either_face_lowers_the_mean_by_just_that_heat():
    slab = build_slab(12)
    taken = slab.uniform @ slab.heat_taken(np.array([[1.0, 0.0], [0.0, 2.0]]))
    assert [1.0, 2.0] == pytest.approx(taken.tolist())


def test_responses_are_the_sums_over_the_modes():
    slab = build_slab(4)
    damping = np.linspace(0.2, 1.0, 10).reshape(5, 2)
    by_hand = [
        [sum(slab.outer[j] ** 2 * damping[j, i] for j in range(5)) for i in range(2)],
        [sum(slab.outer[j] * slab.inner[j] * damping[j, i] for j in range(5)) for i in range(2)],
        [sum(slab.inner[j] ** 2 * damping[j, i] for j in range(5)) for i in range(2)],
    ]
    assert np.array(by_hand) == pytest.approx(slab.responses(damping))


def test_the_faces_solve_both_equations_for_a_fourth_power_loss():
    bare, pulls = np.array([[1200.0], [1250.0]]), np.array([[2e-3], [1e-3], [3e-3]])
    guess = np.array([[1040.0], [1020.0]])  # a few degrees off, as in a march

    def loss(faces):
        return 5e-8 * faces**4, 2e-7 * faces**3

    faces, lost = solve_faces(bare, pulls, guess, loss=loss)
    assert 5e-8 * faces**4 == pytest.approx(lost)
    outer = bare[0] - pulls[0] * lost[0] - pulls[1] * lost[1]
    inner = bare[1] - pulls[1] * lost[0] - pulls[2] * lost[1]
    assert np.stack([outer, inner]) == pytest.approx(faces, abs=1e-5)
