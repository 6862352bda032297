"""Whatever a scheme file holds, it is read or refused with its place; never anything else."""

from __future__ import annotations

import numpy as np
import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from effects import asked, bind, effects, load_scheme
from effects.colours import linear_rgb
from effects.quantity import quantity
from layouts.errors import InputError

scalars = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(10**6), 10**6),
    st.floats(-1e6, 1e6),
    st.sampled_from(["all", "eave", "chase", "frost", "3000 K", "#ff0000", "2 m", "on", "", "x"]),
    st.text(st.characters(codec="ascii", categories=["L", "N", "P", "Zs"]), max_size=8),
)
anything = st.recursive(
    scalars,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("abc", max_size=2), inner),
    max_leaves=6,
)
layer = st.fixed_dictionaries(
    {},
    optional={
        "zones": anything,
        "effect": st.sampled_from(list(effects())) | anything,
        "palette": st.just("frost") | anything,
        "set": st.dictionaries(st.sampled_from(["speed", "band", "every", "seed"]), anything)
        | anything,
        "blend": st.sampled_from(["add", "soft"]) | anything,
        "from": anything,
        "until": anything,
        "ease": anything,
    },
)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
@given(
    data=st.fixed_dictionaries(
        {"format": st.just("evenfall-scheme/1"), "name": st.just("x")},
        optional={"layers": st.lists(layer, max_size=2) | anything, "seconds": anything},
    )
)
def test_any_file(data, tmp_path, wall):
    path = tmp_path / "a.yaml"
    path.write_text(yaml.safe_dump(data))
    try:
        scheme = load_scheme(path, wall)
    except InputError as error:
        refused = error.problems
    else:
        assert np.isfinite(asked(bind(wall, scheme), np.array([0.0, 1e6]))).all()
        return
    assert refused
    assert all(problem.line >= 1 and problem.what for problem in refused)


@given(
    st.text()
    | st.from_regex(r"oklch\([0-9.%]+ [0-9.]+ [-0-9.]+\)", fullmatch=True)
    | st.from_regex(r"#[0-9a-fA-F]{5,7}|[0-9]{3,6} ?K", fullmatch=True)
)
def test_any_text_is_a_colour_or_refused_in_words(text):
    try:
        rgb = linear_rgb(text)
    except ValueError as error:
        if "colour" not in str(error) and "outside" not in str(error):
            raise
        return
    assert np.isfinite(rgb).all()


@given(
    number=st.floats(-1e4, 1e4).map(lambda number: round(number, 4)),
    unit=st.sampled_from(["m", "m/s", "s", "deg", "/min", "/s"]),
)
def test_a_number_with_its_own_unit_is_that_number(number, unit):
    assert quantity(f"{number:.4f} {unit}", unit) == pytest.approx(number)
    assert quantity(number, unit) == number


@pytest.mark.parametrize(
    ("text", "unit", "by_hand"),
    [
        ("500 ms", "s", 0.5),
        ("1.5 min", "s", 90),
        ("2 h", "s", 7200),
        ("12 in", "m", 0.3048),
        ("3 ft/s", "m/s", 0.9144),
        ("25 cm/s", "m/s", 0.25),
        ("2 /s", "/min", 120),
        ("30 /min", "/s", 0.5),
        ("40 %", "", 0.4),
        ("45°", "deg", 45),
        ("-90 deg", "deg", -90),
    ],
)
def test_units(text, unit, by_hand):
    assert quantity(text, unit) == pytest.approx(by_hand)


@pytest.mark.parametrize(("text", "unit"), [("2 kg", "s"), ("s", "s"), ("", "")])
def test_what_is_no_quantity(text, unit):
    with pytest.raises(ValueError, match="write it like"):
        quantity(text, unit)
