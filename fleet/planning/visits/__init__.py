"""Who drives where, when and with what: days and visits made into a plan (trade rule C15).

A room within the room, a file an idea. `request` holds what is asked, `rules` what may never be broken, `timing` a
day's clock, `solving` the way from the one to a `plan`, `checking` the proof that shares no code with it. Only
`searching` knows the solver, and loads it when a plan is wanted.
"""
