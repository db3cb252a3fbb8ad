"""Display meshes: light, watertight where a solid is closed, wound outward."""
