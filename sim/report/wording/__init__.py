"""Findings in words: one table from code to sentence, kept topic by topic.

Findings are data wherever they are made; here, and nowhere else, their sentences are. A new code
needs one line in the table of its topic.
"""

from sim.report.wording.faults import fault_label
from sim.report.wording.sentences import WORDINGS, finding_json, sentence

__all__ = ["WORDINGS", "fault_label", "finding_json", "sentence"]
