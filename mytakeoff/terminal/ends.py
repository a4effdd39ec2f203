"""How the commands end: their exit codes."""

from __future__ import annotations

ALL_WELL, SOME_MISTAKES, REFUSED, INTERRUPTED = 0, 1, 2, 130
HOW_IT_ENDS = f"""
exit codes:
  {ALL_WELL}    all of them are priced, or without mistakes
  {SOME_MISTAKES}    some are not: their mistakes are told, the others are priced
  {REFUSED}    what was asked for cannot be, or a file could not be written
  {INTERRUPTED}  interrupted; nothing is half written
"""
