"""What a batch and its answer look like, for the OpenAPI text. Batches themselves are read by ``core.events``, which
answers item by item."""

from datetime import UTC
from typing import Any

from drf_spectacular.utils import PolymorphicProxySerializer, extend_schema_field
from rest_framework import serializers

from sessions.reps.actions import Answer
from sessions.reps.core import events

KEY = r"^[A-Za-z0-9_-]{1,60}$"


def keys() -> serializers.ListField:
    return serializers.ListField(child=serializers.RegexField(KEY), max_length=events.MOST_KEYS)


class EventSerializer(serializers.Serializer[Any]):
    """Fields that every event has. ``at`` is the device's own clock."""

    uuid = serializers.UUIDField()
    at = serializers.DateTimeField()
    sequence = serializers.IntegerField(min_value=0, max_value=events.LAST_SEQUENCE)


class RepSerializer(EventSerializer):
    """One attempt. watched is empty if nobody saw it."""

    kind = serializers.ChoiceField(["rep"])
    athlete = serializers.UUIDField()
    drill = serializers.RegexField(KEY)
    station = serializers.UUIDField(required=False)
    watched = keys()
    faults = keys()
    unsafe = serializers.BooleanField(required=False)


class SetSerializer(EventSerializer):
    """Several reps in a row: done ≥ watched ≥ faulty ≥ each count."""

    kind = serializers.ChoiceField(["set"])
    athlete = serializers.UUIDField()
    drill = serializers.RegexField(KEY)
    station = serializers.UUIDField(required=False)
    done = serializers.IntegerField(min_value=1, max_value=events.MOST_IN_A_SET)
    watch_set = keys()
    watched = serializers.IntegerField(min_value=0, max_value=events.MOST_IN_A_SET)
    faulty = serializers.IntegerField(min_value=0, max_value=events.MOST_IN_A_SET)
    counts = serializers.DictField(child=serializers.IntegerField(min_value=1, max_value=events.MOST_IN_A_SET))


class LookSerializer(EventSerializer):
    """Another observer's look: at the rep ``target``, or else at the nearest one of athlete, drill and station."""

    kind = serializers.ChoiceField(["look"])
    target = serializers.UUIDField(required=False)
    athlete = serializers.UUIDField(required=False)
    drill = serializers.RegexField(KEY, required=False)
    station = serializers.UUIDField(required=False)
    watched = keys()
    faults = keys()
    unsafe = serializers.BooleanField(required=False)


class VoidSerializer(EventSerializer):
    """Takes back a rep, set, look, note or correction. It may come before what it takes back."""

    kind = serializers.ChoiceField(["void"])
    target = serializers.UUIDField()


class CorrectionSerializer(EventSerializer):
    """What is to stand instead. Of several corrections of one rep the first in order counts."""

    kind = serializers.ChoiceField(["correction"])
    target = serializers.UUIDField()
    athlete = serializers.UUIDField(required=False)
    drill = serializers.RegexField(KEY, required=False)
    watched = serializers.ListField(child=serializers.RegexField(KEY), max_length=events.MOST_KEYS, required=False)
    faults = serializers.ListField(child=serializers.RegexField(KEY), max_length=events.MOST_KEYS, required=False)
    unsafe = serializers.BooleanField(required=False)


class HoldSerializer(EventSerializer):
    """This device holds the station from now on: its reps decide. takes_over: the device whose hold ends with that."""

    kind = serializers.ChoiceField(["hold"])
    station = serializers.UUIDField()
    takes_over = serializers.UUIDField(required=False)


class ReleaseSerializer(EventSerializer):
    kind = serializers.ChoiceField(["release"])
    station = serializers.UUIDField()


class AttendanceSerializer(EventSerializer):
    kind = serializers.ChoiceField(["attendance"])
    athlete = serializers.UUIDField()
    state = serializers.ChoiceField(["here", "late", "absent"])


class OutOfPracticeSerializer(EventSerializer):
    kind = serializers.ChoiceField(["out_of_practice"])
    athlete = serializers.UUIDField()
    reason = serializers.ChoiceField(["injured", "unwell", "other"])


class NoteSerializer(EventSerializer):
    kind = serializers.ChoiceField(["note"])
    athlete = serializers.UUIDField()
    text = serializers.CharField(max_length=events.LONGEST_NOTE)
    reader = serializers.ChoiceField(["coaches", "athlete"])


class AdjustmentSerializer(EventSerializer):
    """What was changed for an athlete at a drill from then on: an adjustment of the catalogue."""

    kind = serializers.ChoiceField(["adjustment"])
    athlete = serializers.UUIDField()
    drill = serializers.RegexField(KEY)
    adjustment = serializers.RegexField(KEY)


BY_KIND = {
    events.Kind.REP: RepSerializer,
    events.Kind.SET: SetSerializer,
    events.Kind.LOOK: LookSerializer,
    events.Kind.VOID: VoidSerializer,
    events.Kind.CORRECTION: CorrectionSerializer,
    events.Kind.HOLD: HoldSerializer,
    events.Kind.RELEASE: ReleaseSerializer,
    events.Kind.ATTENDANCE: AttendanceSerializer,
    events.Kind.OUT_OF_PRACTICE: OutOfPracticeSerializer,
    events.Kind.NOTE: NoteSerializer,
    events.Kind.ADJUSTMENT: AdjustmentSerializer,
}


class DeviceSerializer(serializers.Serializer[Any]):
    """The device that recorded the events. It chooses its uuid once."""

    uuid = serializers.UUIDField()
    name = serializers.CharField(max_length=events.LONGEST_NAME, required=False, allow_blank=True)


@extend_schema_field(
    PolymorphicProxySerializer(
        component_name="AnyEvent", serializers=dict(BY_KIND), resource_type_field_name="kind", many=True
    )
)
class EventsField(serializers.Field[Any, Any, Any, Any]):
    """Events of any kind, in the order sent."""


class BatchSerializer(serializers.Serializer[Any]):
    """At most 200 events. sent_at: the device's clock at the moment of sending, by which the server corrects it."""

    version = serializers.ChoiceField(events.VERSIONS)
    by = serializers.UUIDField(required=False, help_text="From version 2 on: the person who recorded all of it.")
    unsent = serializers.IntegerField(
        min_value=0, max_value=events.LAST_SEQUENCE, required=False, help_text="From version 2 on: still on the device."
    )
    device = DeviceSerializer()
    sent_at = serializers.DateTimeField()
    events = EventsField()


class ResultSerializer(serializers.Serializer[Any]):
    """What became of one item. uuid is null if the item had none that could be read."""

    uuid = serializers.CharField(allow_null=True)
    state = serializers.ChoiceField(["accepted", "kept", "duplicate", "rejected"])
    reason = serializers.CharField(allow_blank=True)
    message = serializers.CharField(allow_blank=True)


class AnswerSerializer(serializers.Serializer[Any]):
    """now: the server's clock. One result an item, in the order sent."""

    now = serializers.DateTimeField()
    results = ResultSerializer(many=True)


def plain(answer: Answer) -> dict[str, Any]:
    """An answer as ``AnswerSerializer`` would write it: of two hundred results its fields would take longest."""
    results = [
        {"uuid": one.uuid, "state": one.state, "reason": one.reason, "message": one.message} for one in answer.results
    ]
    return {"now": answer.now.astimezone(UTC).isoformat().replace("+00:00", "Z"), "results": results}


class HelloSerializer(serializers.Serializer[Any]):
    """person: who is signed in. versions: of the format of events that are taken. csrf: the token to send with POST."""

    person = serializers.UUIDField()
    now = serializers.DateTimeField()
    versions = serializers.ListField(child=serializers.IntegerField())
    csrf = serializers.CharField()


class ProblemSerializer(serializers.Serializer[Any]):
    reason = serializers.CharField()
    field = serializers.CharField(allow_blank=True)
    message = serializers.CharField()
