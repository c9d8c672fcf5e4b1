"""Pages of rows that grow for years."""

from collections.abc import Sequence
from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet


class LongPaginator(Paginator):
    """Counts nothing: it reads a page and one row more, to know whether there is a next. ``count`` is None."""

    object_list: QuerySet[Any]
    count = None
    num_pages = 1

    def get_page(self, number: Any) -> Page[Any]:
        """A number that is none, or that no page has, means the first."""
        wanted = int(number) if str(number).isdecimal() and len(str(number)) < 9 else 1
        rows = self._rows(max(1, wanted))
        if not rows and wanted > 1:
            wanted, rows = 1, self._rows(1)
        self.num_pages = max(1, wanted) + (len(rows) > self.per_page)
        return Page(rows[: self.per_page], max(1, wanted), self)

    def _rows(self, number: int) -> Sequence[Any]:
        start = (number - 1) * self.per_page
        return list(self.object_list[start : start + self.per_page + 1])
