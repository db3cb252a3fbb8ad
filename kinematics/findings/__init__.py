"""Findings: ranked facts about contact, rules, limits and reach, and their sentences.

``find`` returns facts, worst first; ``say`` makes the sentence, in mm or inches.
"""
