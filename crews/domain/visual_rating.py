"""How many cores' faces are looked at together before a word is said of them.

Source: ACI 506.6T-17 (read as quoted): at least three cores are viewed as a group,
never one, and the licensed design professional's judgement decides. Its categories
were not read: none is kept here.
"""

from __future__ import annotations

FEWEST_CORES = 3  # of one panel
