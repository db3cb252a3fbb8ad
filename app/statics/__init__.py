"""The room of springs, joints and forces."""
