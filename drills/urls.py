from django.urls import path

from drills.core.items import Kind
from drills.views import pages
from drills.views.edit import BY_KIND, edit_page

urlpatterns = [
    path("", pages.drills, name="drills"),
    path("<slug:drill>/", pages.drill, name="drill"),
    path("<slug:drill>/edit/", edit_page(BY_KIND[Kind.DRILL]), name="edit_drill"),
]
