"""One club as one file: everything that is kept of it, to be put into an empty installation.

``fixtures/archive.md`` says what the file looks like. ``contents`` says what is in it, ``values`` how a field is
written, ``writing`` and ``loading`` do it, row by row; ``core`` knows lines and nothing of Django.
"""

from club.archive.contents import after_loading, checks, leave_out
from club.archive.core import Refused
from club.archive.loading import load
from club.archive.writing import take_out, write

__all__ = ["Refused", "after_loading", "checks", "leave_out", "load", "take_out", "write"]
