"""Addresses below /c/<club>/practices/."""

from django.urls import path

from sessions.practices.views import attendance, calendar, cards, coming, plan, sheet

urlpatterns = [
    path("", calendar.practices, name="practices"),
    path("new/", calendar.new_practice, name="new_practice"),
    path("<uuid:practice>/", calendar.practice, name="practice"),
    path("<uuid:practice>/edit/", calendar.edit_practice, name="edit_practice"),
    path("<uuid:practice>/move/", calendar.move_practice, name="move_practice"),
    path("<uuid:practice>/banner/", calendar.practice_banner, name="practice_banner"),
    path("<uuid:practice>/publish/", calendar.publish, name="publish_practice"),
    path("<uuid:practice>/cancel/", calendar.cancel, name="cancel_practice"),
    path("<uuid:practice>/uncancel/", calendar.uncancel, name="uncancel_practice"),
    path("<uuid:practice>/release/", calendar.release, name="release_practice"),
    path("<uuid:practice>/unrelease/", calendar.unrelease, name="unrelease_practice"),
    path("<uuid:practice>/attendance/", attendance.attendance, name="attendance"),
    path("cannot-come/<uuid:athlete>/<uuid:practice>/", coming.cannot_come, name="cannot_come"),
    path("can-come/<uuid:athlete>/<uuid:practice>/", coming.can_come, name="can_come"),
    path("<uuid:practice>/cards/", cards.cards, name="cards"),
    path("<uuid:practice>/sheet/", sheet.wall_sheet, name="wall_sheet"),
    path("<uuid:practice>/sheet.pdf", sheet.wall_pdf, name="wall_pdf"),
    path("<uuid:practice>/order/", sheet.running_order, name="running_order"),
    path("<uuid:practice>/order/left-handers/", sheet.left_handers_together, name="left_handers_together"),
    path("<uuid:practice>/order/<uuid:assignment>/up/", sheet.move_up, name="move_up"),
    path("<uuid:practice>/plan/", plan.plan, name="plan"),
    path("<uuid:practice>/plan/block/", plan.add_block, name="add_block"),
    path("<uuid:practice>/plan/block/<int:block>/remove/", plan.remove_block, name="remove_block"),
    path("<uuid:practice>/plan/station/", plan.add_station, name="add_station"),
    path("<uuid:practice>/plan/station/<uuid:station>/adult/", plan.station_adult, name="station_adult"),
    path("<uuid:practice>/plan/station/<uuid:station>/remove/", plan.remove_station, name="remove_station"),
    path("<uuid:practice>/plan/assign/", plan.assign, name="assign"),
    path("<uuid:practice>/plan/unassign/<uuid:assignment>/", plan.unassign, name="unassign"),
    path("<uuid:practice>/plan/pin/<uuid:assignment>/", plan.pin, name="pin"),
]
