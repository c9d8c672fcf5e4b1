"""The door through which devices send what was recorded."""

import codecs
import json
from typing import Any, NoReturn

from django.middleware.csrf import get_token
from django.utils import timezone
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework import status
from rest_framework.exceptions import APIException
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response

from club.api import ClubAPIView
from club.roles import Permission
from sessions.practices.models import Practice
from sessions.reps.actions import take_events
from sessions.reps.core.batches import read_batch
from sessions.reps.core.events import VERSIONS
from sessions.reps.core.reading import Problem, Refused
from sessions.reps.serializers import AnswerSerializer, BatchSerializer, HelloSerializer, ProblemSerializer, plain
from sessions.reps.words import message

MOST_BYTES = 1024 * 1024


class Unreadable(APIException):
    """The request as a whole cannot be used; the answer names the reason, the field and what to do."""

    status_code = status.HTTP_400_BAD_REQUEST

    def __init__(self, problem: Problem) -> None:
        super().__init__({"reason": problem.reason, "field": problem.field, "message": message(problem)})


class TooLarge(Unreadable):
    status_code = status.HTTP_413_REQUEST_ENTITY_TOO_LARGE


class OtherPerson(Unreadable):
    status_code = status.HTTP_409_CONFLICT


class BatchParser(BaseParser):
    """JSON of a bounded size, read strictly: no NaN, no bytes that are not UTF-8, no endless nesting."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        text = stream.read(MOST_BYTES + 1)
        if len(text) > MOST_BYTES:
            raise TooLarge(Problem("too_large", limit=str(MOST_BYTES)))
        try:
            return json.loads(codecs.decode(text, "utf-8"), parse_constant=_no_constant)
        except (ValueError, RecursionError):
            raise Unreadable(Problem("not_json")) from None


def _no_constant(name: str) -> NoReturn:
    raise ValueError(name)


class HelloView(ClubAPIView):
    """Who is asking, for a device that is about to send."""

    permission = Permission.REPS_LOG

    @extend_schema(
        operation_id="hello",
        summary="Says who is signed in, the time, and what may be sent",
        description=(
            "A device asks before it sends, and sends only what this person recorded. 403: nobody is signed in, or "
            "may not log. 404: no member of this club."
        ),
        responses={
            200: HelloSerializer,
            403: OpenApiResponse(description="Not signed in, or may not log."),
            404: OpenApiResponse(description="No such club for this member."),
        },
    )
    def get(self, request: Request, club: str) -> Response:
        said = {
            "person": self.member.person.pk,
            "now": timezone.now(),
            "versions": VERSIONS,
            "csrf": get_token(request),
        }
        return Response(HelloSerializer(said).data)


class EventsView(ClubAPIView):
    """Events recorded at a practice."""

    permission = Permission.REPS_LOG
    kinds = {"practice": Practice}
    parser_classes = [BatchParser]

    @extend_schema(
        operation_id="send_events",
        summary="Sends what was recorded at a practice",
        description=(
            "Takes a batch of events and answers for each, in the order sent. Sending the same again changes "
            "nothing, so a device sends until it has an answer. accepted: stored. kept: stored, and a coach looks "
            "at it before it counts. duplicate: stored before. rejected: not stored, and the message says what to do."
        ),
        request=BatchSerializer,
        responses={
            200: AnswerSerializer,
            400: OpenApiResponse(ProblemSerializer, "The batch as a whole cannot be read."),
            403: OpenApiResponse(description="Not signed in, no CSRF token, or may not log."),
            404: OpenApiResponse(description="No such club or practice for this member."),
            409: OpenApiResponse(ProblemSerializer, "Another person recorded this batch; nothing of it is taken."),
            413: OpenApiResponse(ProblemSerializer, "Larger than 1 MiB."),
        },
    )
    def post(self, request: Request, club: str, practice: str) -> Response:
        received_at = timezone.now()
        try:
            batch = read_batch(request.data)
            answer = take_events(by=self.member, practice=self.found["practice"], batch=batch, received_at=received_at)
        except Refused as refused:
            unusable = OtherPerson if refused.problem.reason == "other_person" else Unreadable
            raise unusable(refused.problem) from None
        return Response(plain(answer))
