"""What hands do in the view: what they take hold of, and where it goes."""
