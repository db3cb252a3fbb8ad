"""Parts as unions of exact solids, which pairs of them are checked, and their display meshes."""
