"""The window and what stands around the view; its keys, files dropped on it, what is exported."""
