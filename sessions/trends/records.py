"""The rows of this app that are about a person: figures, which are made again from what is left."""

from django.db.models import F, Sum
from django.db.models.functions import TruncMonth

from club.subjects import Rows, Subject, register
from sessions.trends.models import DayCheckpoint, DayDrill, DayFault, DayPair, ErasedMonth, Signal, SignalSeen


def _keep_month_totals(rows: Rows) -> None:
    """The person's days go into the club's totals per drill and month, then they are gone."""
    months = rows.annotate(month=TruncMonth("day")).values("club_id", "drill_id", "month")
    for total in months.annotate(done=Sum("done"), counted=Sum("counted"), good=Sum("good")):
        kept, _ = ErasedMonth.objects.get_or_create(
            club_id=total["club_id"], drill_id=total["drill_id"], month=total["month"]
        )
        ErasedMonth.objects.filter(pk=kept.pk).update(
            **{name: F(name) + total[name] for name in ("done", "counted", "good")}
        )
    rows.delete()


register(
    Subject(DayDrill, "athlete__person", erase=_keep_month_totals),
    Subject(DayCheckpoint, "athlete__person"),
    Subject(DayFault, "athlete__person"),
    Subject(DayPair, "athlete__person"),
    Subject(Signal, "athlete__person"),
    Subject(SignalSeen, "athlete__person"),
    Subject(SignalSeen, "by", erase="keep"),
)
