"""The room to describe the corner in."""
