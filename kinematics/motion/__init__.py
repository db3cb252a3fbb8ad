"""How the corner moves: constraint rows, solving, limits and sensitivities."""
