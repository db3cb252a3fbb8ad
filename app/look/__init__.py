"""How it looks: colours of the two themes, type, signs, icons and numbers as they are written."""
