"""Clearstroke's computations: from a corner as measured to what touches what. Never Qt."""
