"""A tablet that was used before: its id and sequence stay, and what it recorded in the format before is taken."""

from uuid import uuid4

import pytest

from sessions.reps.models import Event
from tests.browser.conftest import PageFor
from tests.browser.sizes import TABLET
from tests.browser.station_world import make_station_world
from tests.browser.test_station import area, on_server, opened
from tests.builders import Cast

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

OLD_ITEM = """(item) => new Promise((resolve, reject) => {
  const opened = indexedDB.open("sixmark-events");
  opened.onsuccess = () => {
    const change = opened.result.transaction("items", "readwrite");
    change.objectStore("items").add(item);
    change.oncomplete = () => { opened.result.close(); resolve(); };
    change.onerror = () => reject(change.error);
  };
})"""


def test_a_tablet_keeps_its_id_and_sends_what_it_recorded_in_the_format_before(cast: Cast, page_for: PageFor) -> None:
    world, device = make_station_world(cast), str(uuid4())
    page = page_for(cast.assistant, TABLET)
    page.add_init_script(f"localStorage['sixmark-device'] = '{device}'; localStorage['sixmark-sequence'] = '41';")
    opened(page, world)
    area(page)
    on_server(page, 1)
    rep = Event.objects.get(kind="rep")
    assert (str(rep.device.uuid), rep.sequence) == (device, 43), "the hold was the 42nd"
    club, practice, by = cast.club.slug, str(world.practice.pk), str(cast.assistant.person.pk)
    said = {
        "watched": ["plant-start"],
        "faults": [],
        "station": str(world.station.pk),
        "drill": "running-drop-and-plant",
    }
    event = {"uuid": str(uuid4()), "kind": "rep", "at": rep.at.isoformat(), "sequence": 40, **said}
    event["athlete"] = str(world.athletes["Eero"].pk)
    item = {"uuid": event["uuid"], "club": club, "practice": practice, "by": by, "version": 1, "event": event}
    page.evaluate(OLD_ITEM, {**item, "state": "waiting", "reason": "", "message": ""})
    page.reload()
    on_server(page, 2)
    assert Event.objects.get(uuid=event["uuid"]).by == cast.assistant.person
