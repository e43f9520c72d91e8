"""Holding drills: who is drawn by lot, the steps and their minutes, where one may be held, and what may be claimed."""
