"""The open project: what is known of it, its files, its jobs, what leaves the program."""
