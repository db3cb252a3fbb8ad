"""The room of fixes."""
