"""What a tablet takes along: one practice, and for the adult in charge the emergency cards."""

from django.http import Http404
from django.utils.decorators import method_decorator
from django.views.decorators.gzip import gzip_page
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiResponse, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from athletes.actions.body import look_at_cards
from club import screen
from club.api import ClubAPIView
from club.clock import club_now
from club.roles import Permission
from sessions.practices.models import Practice
from sessions.practices.queries.cards import card_athletes, in_charge
from sessions.station import serializers
from sessions.station.queries.along import along
from sessions.station.queries.cards import taken_cards

REFUSED = {
    403: OpenApiResponse(description="Not signed in, or may not."),
    404: OpenApiResponse(description="No such club or practice for this member, now."),
}


@method_decorator(gzip_page, name="dispatch")
class BundleView(ClubAPIView):
    """One practice, for a device that goes where there is no network."""

    permission = Permission.REPS_LOG
    kinds = {"practice": Practice}

    @extend_schema(
        operation_id="take_along",
        summary="A practice to take along",
        description="Plan, roster, drills, cues and who is open to what. No body mass, no note, no emergency card.",
        responses={200: OpenApiTypes.OBJECT, **REFUSED},
    )
    def get(self, request: Request, club: str, practice: str) -> Response:
        now = club_now(self.member.club)
        taken = along(self.member, self.found["practice"], now)
        if taken is None:
            raise Http404
        response = Response(serializers.bundle_data(self.member, taken, now))
        screen.at_a_station(request, response)
        return response


class CardsView(ClubAPIView):
    """Emergency cards for the device of the adult in charge. Each is logged as looked at."""

    permission = Permission.CARD_READ
    kinds = {"practice": Practice}

    @extend_schema(
        operation_id="take_cards_along",
        summary="Emergency cards to take along",
        description="For the adult in charge of this practice, now. A look at each card is logged.",
        request=None,
        responses={200: OpenApiTypes.OBJECT, **REFUSED},
    )
    def post(self, request: Request, club: str, practice: str) -> Response:
        found, now = self.found["practice"], club_now(self.member.club)
        if not in_charge(self.member, found, now):
            raise Http404
        athletes = card_athletes(self.member, found)
        look_at_cards(by=self.member, athletes=athletes, now=now, practice_day=found.day)
        cards = taken_cards(self.member, athletes, now.date())
        return Response(serializers.cards_data(found, cards, now))
