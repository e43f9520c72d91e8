"""What can be wrong with the facts of a sheet."""


class FactsError(ValueError):
    """A sheet's facts contradict themselves; the sentence names the field, its value and what would be right."""
