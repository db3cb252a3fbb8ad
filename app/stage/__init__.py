"""The stage: the corner in 3D, drawn off screen, and what of it is under the pointer."""
