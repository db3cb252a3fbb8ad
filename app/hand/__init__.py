"""What hand and keys do in the view."""
