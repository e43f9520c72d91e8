"""A storm tried out on paper: many homes out at once, given people and spares, and who is back when (trade row V10)."""
