from django.urls import path

from drills import views

urlpatterns = [
    path("", views.drills, name="drills"),
    path("<slug:drill>/", views.drill, name="drill"),
]
