"""What is broken, from what was seen: causes by probability, and the next test worth making."""

from .case import Case, case
from .diagnose import diagnose, repair_kind
from .priors import Priors, load_priors
from .records import Diagnosis, NextTest, Suspect

__all__ = [
    "Case",
    "Diagnosis",
    "NextTest",
    "Priors",
    "Suspect",
    "case",
    "diagnose",
    "load_priors",
    "repair_kind",
]
