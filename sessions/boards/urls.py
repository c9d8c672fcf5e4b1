from django.urls import path

from sessions.boards.views import archive, coach, day, drill, reader, tables

urlpatterns = [
    path("practices/<uuid:practice>/told/", coach.practice_told, name="practice_told"),
    path("practices/<uuid:practice>/wrap-up/", day.wrap_up, name="wrap_up"),
    path("practices/<uuid:practice>/wrapped/", day.wrapped, name="wrapped"),
    path("practices/<uuid:practice>/looks/", day.needs_look, name="needs_look"),
    path("looks/<uuid:need>/settle/", day.settle_look, name="settle_look"),
    path("notes/<uuid:rep_note>/take-back/", day.take_back_note, name="take_back_note"),
    path("week/", coach.week, name="week"),
    path("board/", coach.squad_board, name="squad_board"),
    path("board/<uuid:athlete>/<slug:drill>/", coach.board_cell, name="board_cell"),
    path("athletes/<uuid:athlete>/", coach.athlete_page, name="athlete_page"),
    path("athletes/<uuid:athlete>/map/", coach.athlete_map, name="athlete_map"),
    path("athletes/<uuid:athlete>/drills/<slug:drill>/decide/", coach.decide, name="decide"),
    path("drills/<slug:drill>/who/", drill.drill_who, name="drill_who"),
    path("drills/<slug:drill>/start-over/", drill.drill_start_over, name="drill_start_over"),
    path("decisions/<uuid:decision>/take-back/", coach.take_back, name="take_back"),
    path("notices/<uuid:notice>/set-aside/", coach.set_aside, name="set_aside"),
    path("decisions/", archive.decisions, name="decisions"),
    path("athletes/<uuid:athlete>/signals/<slug:checkpoint>/set-aside/", archive.signal_seen, name="signal_seen"),
    path("tables/", tables.club_tables, name="club_tables"),
    path("my/", reader.my_practice, name="my_practice"),
    path("my/check/<uuid:practice>/", reader.self_check, name="self_check"),
    path("children/", reader.children, name="children"),
    path("children/<uuid:athlete>/", reader.child_page, name="child_page"),
]
