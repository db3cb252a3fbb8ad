"""The stage: the corner in 3D, drawn off screen, and the hands that reach into it."""
