"""What the package promises."""

import sim.season


def test_public_names():
    assert sim.season.__all__ == [
        "Bill",
        "Evening",
        "Plan",
        "Season",
        "Share",
        "Watts",
        "bill",
        "load_season",
        "plan",
        "scheme_watts",
        "season_schema",
    ]
    assert all(hasattr(sim.season, name) for name in sim.season.__all__)
