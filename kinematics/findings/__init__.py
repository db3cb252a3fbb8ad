"""Findings: ranked facts about contact, rules, limits and reach, and their sentences.

``clearance_findings`` and its neighbours give facts, ``ranked`` orders them worst first, and
``say`` makes the sentence, in mm or inches.
"""

from kinematics.findings.finding import Finding, Onset
from kinematics.findings.words import Sentence, say, sentence

__all__ = ["Finding", "Onset", "Sentence", "say", "sentence"]
