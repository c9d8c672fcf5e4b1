"""Long lists are paged without being counted."""

import pytest
from django.core.paginator import Paginator

from club.models import Person
from club.paging import LongPaginator

pytestmark = pytest.mark.django_db


@pytest.fixture
def people() -> list[Person]:
    return [Person.objects.create(sign_in_name=f"vaulter-{n}", given_name=f"V{n}") for n in range(7)]


@pytest.mark.parametrize("per_page", [2, 3, 7, 8])
def test_pages_hold_what_counted_pages_hold(people: list[Person], per_page: int) -> None:
    rows = Person.objects.order_by("given_name")
    counted, long = Paginator(rows, per_page), LongPaginator(rows, per_page)
    for number in counted.page_range:
        one, other = counted.get_page(number), long.get_page(str(number))
        assert list(one) == list(other)
        assert (one.has_previous(), one.has_next()) == (other.has_previous(), other.has_next())


@pytest.mark.parametrize("number", ["", "x", "0", "-1", "99", "9" * 40, "²", None])
def test_what_is_no_page_is_the_first(people: list[Person], number: str | None) -> None:
    page = LongPaginator(Person.objects.order_by("given_name"), 3).get_page(number)
    assert (page.number, [one.given_name for one in page]) == (1, ["V0", "V1", "V2"])


def test_a_page_is_one_query(people: list[Person], django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    with django_assert_num_queries(1):
        page = LongPaginator(Person.objects.order_by("given_name"), 3).get_page("2")
        assert [one.given_name for one in page] == ["V3", "V4", "V5"] and page.has_next()
