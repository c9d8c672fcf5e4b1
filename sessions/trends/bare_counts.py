"""What the day counts should be, said once more in plain SQL: one GROUP BY for each table, over deciding looks.

This judges the roll-up, so it shares nothing with it: not its core, not its reads, not the models. It runs on SQLite
and on PostgreSQL. What is counted is the table in words of ``core/counts.py``, written down here a second time.
"""

from dataclasses import dataclass
from typing import Any

from django.db import connection

KEY = "club_id, athlete_id, drill_id, day"

DRILL = """
WITH gate AS (SELECT drill_id, checkpoint_id FROM drills_drillcheckpoint WHERE gate),
seen AS (
    SELECT g.drill_id, w.watch_set_id
    FROM gate g JOIN reps_watched w ON w.checkpoint_id = g.checkpoint_id
    GROUP BY g.drill_id, w.watch_set_id
    HAVING count(*) = (SELECT count(*) FROM gate x WHERE x.drill_id = g.drill_id)
)
SELECT r.club_id, r.athlete_id, r.drill_id, r.day,
    count(*) AS done,
    count(CASE WHEN s.drill_id IS NOT NULL AND NOT r.unsafe THEN 1 END) AS counted,
    count(CASE WHEN s.drill_id IS NOT NULL AND NOT r.unsafe AND NOT l.unnamed_fault AND NOT EXISTS (
        SELECT 1 FROM reps_lookfault f JOIN gate g ON g.checkpoint_id = f.checkpoint_id
        WHERE f.look_id = l.id AND f.inside AND g.drill_id = r.drill_id
    ) THEN 1 END) AS good
FROM reps_rep r
LEFT JOIN reps_look l ON l.rep_id = r.id AND l.deciding
LEFT JOIN seen s ON s.drill_id = r.drill_id AND s.watch_set_id = l.watch_set_id
WHERE r.state = 'counts'
GROUP BY r.club_id, r.athlete_id, r.drill_id, r.day
"""

CHECKPOINT = """
SELECT r.club_id, r.athlete_id, r.drill_id, r.day, w.checkpoint_id,
    count(*) AS watched,
    count(CASE WHEN l.unnamed_fault OR EXISTS (
        SELECT 1 FROM reps_lookfault f
        WHERE f.look_id = l.id AND f.checkpoint_id = w.checkpoint_id AND f.inside
    ) THEN 1 END) AS faulty
FROM reps_rep r
JOIN reps_look l ON l.rep_id = r.id AND l.deciding
JOIN reps_watched w ON w.watch_set_id = l.watch_set_id
WHERE r.state = 'counts' AND NOT r.unsafe AND NOT (l.unnamed_fault AND EXISTS (
    SELECT 1 FROM reps_watched x WHERE x.watch_set_id = l.watch_set_id AND x.checkpoint_id <> w.checkpoint_id
))
GROUP BY r.club_id, r.athlete_id, r.drill_id, r.day, w.checkpoint_id
"""

FAULT = """
SELECT r.club_id, r.athlete_id, r.drill_id, r.day, f.fault_id, count(*) AS n
FROM reps_rep r
JOIN reps_look l ON l.rep_id = r.id AND l.deciding
JOIN reps_lookfault f ON f.look_id = l.id
WHERE r.state = 'counts'
GROUP BY r.club_id, r.athlete_id, r.drill_id, r.day, f.fault_id
"""

# Keys are compared by their bytes, whatever the language of the database.
PAIR = """
WITH place AS (
    SELECT id, CASE phase WHEN 'carry' THEN 1 WHEN 'drop' THEN 2 WHEN 'plant' THEN 3 WHEN 'contact' THEN 4
                          WHEN 'all' THEN 5 END AS part, "order" AS listed, key {by_bytes} AS name
    FROM drills_checkpoint
),
fault_at AS (SELECT DISTINCT look_id, checkpoint_id FROM reps_lookfault WHERE inside)
SELECT r.club_id, r.athlete_id, r.drill_id, r.day, a.id AS earlier_id, b.id AS later_id,
    count(CASE WHEN fa.look_id IS NOT NULL AND fb.look_id IS NOT NULL THEN 1 END) AS both_,
    count(CASE WHEN fa.look_id IS NOT NULL AND fb.look_id IS NULL THEN 1 END) AS earlier_only,
    count(CASE WHEN fa.look_id IS NULL AND fb.look_id IS NOT NULL THEN 1 END) AS later_only,
    count(CASE WHEN fa.look_id IS NULL AND fb.look_id IS NULL THEN 1 END) AS neither
FROM reps_rep r
JOIN reps_look l ON l.rep_id = r.id AND l.deciding
JOIN reps_watched wa ON wa.watch_set_id = l.watch_set_id
JOIN reps_watched wb ON wb.watch_set_id = l.watch_set_id
JOIN place a ON a.id = wa.checkpoint_id
JOIN place b ON b.id = wb.checkpoint_id
LEFT JOIN fault_at fa ON fa.look_id = l.id AND fa.checkpoint_id = a.id
LEFT JOIN fault_at fb ON fb.look_id = l.id AND fb.checkpoint_id = b.id
WHERE r.state = 'counts' AND NOT r.unsafe AND NOT l.unnamed_fault
    AND (a.part, a.listed, a.name) < (b.part, b.listed, b.name)
GROUP BY r.club_id, r.athlete_id, r.drill_id, r.day, a.id, b.id
"""


@dataclass(frozen=True, slots=True)
class Table:
    """A table of counts. key, counts: its columns; should_be: the GROUP BY with the same columns in that order."""

    name: str
    key: str
    counts: str
    should_be: str


TABLES = (
    Table("trends_daydrill", KEY, "done, counted, good", DRILL),
    Table("trends_daycheckpoint", f"{KEY}, checkpoint_id", "watched, faulty", CHECKPOINT),
    Table("trends_dayfault", f"{KEY}, fault_id", "n", FAULT),
    Table("trends_daypair", f"{KEY}, earlier_id, later_id", '"both", earlier_only, later_only, neither', PAIR),
)


def should_be(table: Table) -> str:
    """The table's GROUP BY for the database at hand."""
    return table.should_be.format(by_bytes='COLLATE "C"' if connection.vendor == "postgresql" else "COLLATE BINARY")


def differences(table: Table) -> list[str]:
    """A line for each key at which the stored counts are not what they should be. One statement, so one moment."""
    with connection.cursor() as cursor:
        cursor.execute(
            f"WITH should AS ({should_be(table)}), stored AS (SELECT {table.key}, {table.counts} FROM {table.name})"
            " SELECT 'should be', x.* FROM (SELECT * FROM should EXCEPT SELECT * FROM stored) x"
            " UNION ALL SELECT 'is', x.* FROM (SELECT * FROM stored EXCEPT SELECT * FROM should) x"
        )
        rows = cursor.fetchall()
    return _by_key(table, rows)


def _by_key(table: Table, rows: list[tuple[Any, ...]]) -> list[str]:
    width = table.key.count(",") + 1
    found: dict[str, dict[str, str]] = {}
    for said, *row in rows:
        key = " ".join(str(value) for value in row[:width])
        found.setdefault(key, {})[said] = ", ".join(str(value) for value in row[width:])
    return [
        f"{table.name} {key}: is {said.get('is', 'not there')}; should be {said.get('should be', 'not there')}"
        for key, said in sorted(found.items())
    ]
