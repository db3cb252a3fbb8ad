"""Figures against travel: ruler, strips and the plot sheet."""
