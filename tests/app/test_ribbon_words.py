"""What the ribbon says above its curve."""

from dataclasses import replace

import numpy as np
import pytest

from sim.app.state.ribbon import CeilingAmps, Load
from sim.app.view import theme
from sim.app.view.ribbon import summary
from sim.app.view.ribbon_scale import room_words


def load(*rated_a: float, amps: float = 3.0) -> Load:
    """One frame of a house that draws so much, evenly from its supplies."""
    supplies = len(rated_a)
    each_a = np.full((1, supplies), amps / max(supplies, 1))
    used = max((amps / supplies / rated for rated in rated_a), default=0.0)
    names = tuple(f"s{number}" for number in range(supplies))
    return Load(
        np.array([amps]), each_a, np.array([used]), "supply s0", np.array(rated_a), names, 40.0
    )


def words(one: Load) -> dict[str, theme.Colour]:
    return dict(summary([one], 10.0))


def test_a_house_without_supplies_says_that_nothing_limits_it() -> None:
    said = words(load())
    assert said["no supply feeds this house: no limits"] == theme.AMBER
    assert any(text.startswith("peak 3.0 A") for text in said)


@pytest.mark.parametrize("rated_a", [10.0, 2.0])
def test_a_house_with_supplies_does_not(rated_a: float) -> None:
    said = words(load(rated_a))
    assert not any("no supply" in text for text in said)
    assert ("s0 over its rating: 150 %" in said) is (rated_a < 3)


def test_the_limit_is_told_with_its_number() -> None:
    """As `power` tells it: by name, and what it may bear."""
    one = replace(load(10.0), ceiling=CeilingAmps(0.8, 7.5, "wire s0 → a", bound="75 % of 10 A"))
    full = "4.5 A of room to the limit: wire s0 → a (75 % of 10 A)"
    assert room_words(one) == full
    # at a curve that stands still these words are in the ribbon; above it they are not said twice
    assert full.removesuffix(" (75 % of 10 A)") in words(one)
    moving = replace(
        one, total_a=np.array([1.0, 3.0]), supply_a=np.array([[1.0], [3.0]]),
        utilisation=np.array([0.1, 0.3]),
    )  # fmt: skip
    assert full in words(moving)


def test_a_name_in_brackets_is_never_cut_from_a_limit() -> None:
    """Only the number of a limit is left out; one whose name ends with a bracket keeps it."""
    one = replace(load(10.0), ceiling=CeilingAmps(0.8, 7.5, "wire s0 → eave (left)"))
    told = "4.5 A of room to the limit: wire s0 → eave (left)"
    assert told in words(one)
    assert told in dict(summary([one], 10.0, bounds=False))


def test_a_broken_house_is_told_as_one_with_how_far_its_curve_has_come() -> None:
    one = replace(load(10.0), broken=1)
    assert words(one)["with 1 thing broken"] == theme.AMBER
    guessed = replace(one, about=np.ones(1, bool), broken=2)
    assert "with 2 things broken: computing 0 %" in words(guessed)
    assert not any(text.startswith("computing") for text in words(guessed))
