"""The window, the command line and everything on paper: shows what kinematics computes."""
