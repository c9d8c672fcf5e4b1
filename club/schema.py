"""The OpenAPI text, for any member of the club."""

from typing import Any

from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from club.api import ClubAPIView
from club.roles import Permission


class ClubSchemaView(ClubAPIView):
    permission = Permission.SCHEMA_READ

    @extend_schema(exclude=True)
    def get(self, request: Request, club: str) -> Response:
        schema: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
        return Response(schema)
