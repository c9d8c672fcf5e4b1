"""Whom to tell what is known where it was changed; another server has nothing to tell."""

from club import archive
from sessions.news.models import Untold

archive.leave_out("told by the server where it was changed", Untold)
