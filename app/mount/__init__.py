"""Where the top mount can go, to be seen and slid."""
