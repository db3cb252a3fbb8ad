"""Statics: springs, stops, ride height, joint angles, shafts, hoses and forces."""
