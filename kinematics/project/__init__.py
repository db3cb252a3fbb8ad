"""What the builder entered: one corner of one car, as plain frozen data."""
