"""What each kind of sheet says, as frozen facts without secrets. Nothing here draws, queries or reads a clock.

Two kinds of not knowing, kept apart: None is a fact nobody recorded, an empty tuple is a recorded "there are none".
"""
