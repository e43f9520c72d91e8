"""From a sheet's facts to PDF octets: the only room that knows ReportLab. It reads no clock and asks no database.

Two doors: `handover.draw(facts, paper)` and `recovery.draw(facts, paper)`. Equal facts give equal octets.
"""
