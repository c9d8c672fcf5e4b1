"""The API's default permission. A module of its own, because REST framework imports it while it defines APIView."""

from typing import Any

from rest_framework.permissions import BasePermission


class OneDoor(BasePermission):
    """Refuses a view that did not come through ClubAPIView."""

    def has_permission(self, request: Any, view: Any) -> bool:
        from club.api import ClubAPIView

        return isinstance(view, ClubAPIView)
