"""The open project: its files and undo, its jobs, and what is known of it, ready to be shown."""
