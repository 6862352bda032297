"""Intensity of a pixel and where it sits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import trapezoid

from layouts.eaves import depth_at
from layouts.polygon import inside
from sim.light.sources import cosine_power, sources_of, tree_of


def test_sixty_degrees_is_lambertian():
    # cos 60° = ½: a 120° package is exactly a Lambertian emitter (definition)
    assert cosine_power(60.0) == pytest.approx(1.0)


@pytest.mark.parametrize("half_deg", [15, 30, 45, 60])
@pytest.mark.parametrize("transmission", [1.0, 0.6])
def test_intensity_holds_the_flux(house_of, half_deg, transmission):
    house = house_of([(1, 1)], half_deg=half_deg, transmission=transmission)
    source = sources_of(house, (5, 1.6, 10))
    angle = np.linspace(0, np.pi / 2, 20001)
    # ∫ I dω over the half space in front, per lumen: what the profile lets through
    integrand = np.cos(angle) ** source.power[0] * 2 * np.pi * np.sin(angle)
    assert source.axis_per_sr[0] * trapezoid(integrand, angle) == pytest.approx(
        transmission, rel=1e-5
    )


def test_lambertian_flux_is_pi_times_intensity(house_of):
    source = sources_of(house_of([(1, 1)]), (5, 1.6, 10))
    # Φ = π I0 (definition of a Lambertian emitter)
    assert source.axis_per_sr[0] == pytest.approx(1 / np.pi)


def test_seen_from_the_street(house_of):
    house = house_of([(5, 1.6)], standoff_m=0.0, aim=(0, 0, 1))
    # straight towards the eye: the whole intensity; turned to the wall: nothing
    assert sources_of(house, (5, 1.6, 10)).seen_per_sr[0] == pytest.approx(1 / np.pi)
    away = house_of([(5, 1.6)], aim=(0, 0, -1))
    assert sources_of(away, (5, 1.6, 10)).seen_per_sr[0] == 0


def test_stands_in_front_of_what_it_is_fixed_to(house_of, wall):
    surfaces = (wall((0, 0, 10, 6)), wall((2, 2, 4, 4), depth_m=0.7))
    house = house_of([(3, 3), (6, 3), (20, 3)], standoff_m=0.1, surfaces=surfaces)
    place = sources_of(house, (5, 1.6, 10)).place_m
    assert place[:, 2] == pytest.approx([0.8, 0.1, 0.1])


def test_inside_a_bent_outline():
    outline = np.array([[0, 0], [4, 0], [4, 4], [2, 1], [0, 4]], dtype=float)
    places = np.array([[1, 1], [2, 2], [3.5, 2], [5, 1], [2, 0.5]])
    assert inside(outline, places).tolist() == [True, False, True, False, True]
    assert depth_at((), places).tolist() == [0.0] * 5


@pytest.mark.parametrize("count", [1, 3, 4, 5, 63, 64, 65, 257])
def test_groups_add_up(house_of, count):
    x = np.linspace(0, 5, count)
    tree = tree_of(sources_of(house_of(np.column_stack([x, x])), (5, 1.6, 10)))
    light = np.random.default_rng(0).uniform(0, 1, (count, 4)).astype(np.float32)
    gathered = tree.gather(light)
    assert len(gathered) == len(tree.power)
    assert gathered[tree.roots].sum(axis=0) == pytest.approx(light.sum(axis=0), rel=1e-5)
    first, last = tree.child[tree.roots[0]]
    if last > first:
        assert gathered[first:last].sum(axis=0) == pytest.approx(gathered[tree.roots[0]], rel=1e-5)


def test_kinds_of_one_name_are_told_apart(house_of):
    house = house_of([(2, 3), (8, 3)])
    (run,) = house.runs
    other = replace(run.kind, idle_ma=2.0, sources={"idle_ma": "made up"})
    runs = (replace(run, count=1), replace(run, name="other", first=1, count=1, kind=other))
    pixels = replace(house.pixels, run=np.array([0, 1]))
    found = sources_of(replace(house, runs=runs, pixels=pixels), (5, 1.6, 10))
    assert found.kinds == (run.kind, other)
    assert found.kind.tolist() == [0, 1]
