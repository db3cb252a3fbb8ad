"""The room to measure in, and a survey as text."""
