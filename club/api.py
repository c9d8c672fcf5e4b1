"""The API's side of the one door: the same permissions, the same rows, the same answers."""

from typing import Any, ClassVar

from rest_framework.exceptions import NotAuthenticated
from rest_framework.request import Request
from rest_framework.views import APIView

from club.doors import Door, Kinds, admit, find_objects
from club.members import Member
from club.roles import Permission


class ClubAPIView(APIView):
    """A view of one club. Subclasses name the permission, and the model behind each id of the address.

    Handlers find ``self.member`` and ``self.found``; not signed in is 403 (the session is the only way
    in), not a member 404, a member without permission 403, an id they may not see 404.
    """

    permission: ClassVar[Permission]
    kinds: ClassVar[Kinds] = {}
    member: Member
    found: dict[str, Any]

    def __init_subclass__(cls) -> None:
        super().__init_subclass__()
        methods = tuple(name.upper() for name in cls.http_method_names if name in cls.__dict__)
        cls.door = Door(cls.permission, cls.kinds, methods)

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        if not request.user.is_authenticated:
            raise NotAuthenticated
        ids = {name: value for name, value in kwargs.items() if name != "club"}
        self.member = admit(request, kwargs["club"], self.permission)
        self.found = find_objects(self.member, self.kinds, ids)
