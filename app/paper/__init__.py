"""On paper: plots, the report and tables, drawn alike for the screen, the printer and files."""
