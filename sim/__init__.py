"""What the light is, and what it costs.

>>> import sim
>>> house = sim.load_house("demo/cottage/house.yaml")
"""

from sim.lazily import __dir__ as __dir__
from sim.lazily import __getattr__ as __getattr__

__all__ = [
    "House",
    "Picture",
    "Played",
    "Scheme",
    "contact_sheet",
    "film",
    "load_house",
    "load_scheme",
    "picture",
    "play",
    "power",
]
