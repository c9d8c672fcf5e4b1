from django.urls import path

from sessions.boards import views

urlpatterns = [
    path("practices/<uuid:practice>/told/", views.practice_told, name="practice_told"),
    path("week/", views.week, name="week"),
    path("board/", views.squad_board, name="squad_board"),
    path("board/<uuid:athlete>/<slug:drill>/", views.board_cell, name="board_cell"),
    path("athletes/<uuid:athlete>/", views.athlete_page, name="athlete_page"),
    path("athletes/<uuid:athlete>/map/", views.athlete_map, name="athlete_map"),
    path("athletes/<uuid:athlete>/drills/<slug:drill>/decide/", views.decide, name="decide"),
    path("decisions/<uuid:decision>/take-back/", views.take_back, name="take_back"),
    path("notices/<uuid:notice>/set-aside/", views.set_aside, name="set_aside"),
    path("my/", views.my_practice, name="my_practice"),
    path("children/", views.children, name="children"),
    path("children/<uuid:athlete>/", views.child_page, name="child_page"),
]
