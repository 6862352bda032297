"""The document to give away to whoever builds, buys or repairs: records, then HTML, then PDF."""

from sim.report.handover.facts import Handover, handover_of

__all__ = ["Handover", "handover_of"]
