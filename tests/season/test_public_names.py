"""What the package promises."""

import sim.season


def test_public_names():
    assert sim.season.__all__ == [
        "Bill",
        "Evening",
        "SchemeWatts",
        "Season",
        "Share",
        "Watts",
        "YearPlan",
        "bill",
        "load_season",
        "measure",
        "plan",
        "season_schema",
        "warned",
    ]
    assert all(hasattr(sim.season, name) for name in sim.season.__all__)
