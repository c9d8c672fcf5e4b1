"""Addresses of athletes, below /c/<club>/."""

from django.urls import path

from athletes.views import body, jumping, poles, profile, restrictions, roster

urlpatterns = [
    path("people/<uuid:person>/athlete/", profile.person_athlete, name="person_athlete"),
    path("people/roster/", roster.roster, name="roster"),
    path("people/roster/export/", roster.export_roster, name="export_roster"),
    path("people/roster/<uuid:roster>/columns/", roster.roster_columns, name="roster_columns"),
    path("people/roster/<uuid:roster>/", roster.roster_preview, name="roster_preview"),
    path("people/roster/<uuid:roster>/drop/", roster.drop_roster, name="drop_roster"),
    path("squads/", profile.squads, name="squads"),
    path("squads/<uuid:squad>/", profile.edit_squad, name="edit_squad"),
    path("athletes/<uuid:athlete>/profile/", profile.athlete_profile, name="athlete_profile"),
    path("athletes/<uuid:athlete>/edit/", profile.edit_athlete, name="edit_athlete"),
    path("athletes/<uuid:athlete>/note/", profile.add_note, name="add_note"),
    path("athletes/notes/<uuid:note>/remove/", profile.remove_note, name="remove_note"),
    path("athletes/<uuid:athlete>/place/", profile.place_athlete, name="place_athlete"),
    path("athletes/<uuid:athlete>/clear/", jumping.clear_athlete, name="clear_athlete"),
    path("athletes/clearances/<uuid:clearance>/end/", jumping.end_clearance, name="end_clearance"),
    path("athletes/<uuid:athlete>/restrict/", restrictions.restrict_athlete, name="restrict_athlete"),
    path(
        "athletes/restrictions/<uuid:restriction>/answer/", restrictions.answer_restriction, name="answer_restriction"
    ),
    path("athletes/restrictions/<uuid:restriction>/lift/", restrictions.lift_restriction, name="lift_restriction"),
    path("athletes/<uuid:athlete>/measure/", body.add_measurement, name="add_measurement"),
    path("athletes/measurements/<uuid:measurement>/remove/", body.remove_measurement, name="remove_measurement"),
    path("athletes/<uuid:athlete>/card/", body.open_card, name="open_card"),
    path("athletes/<uuid:athlete>/card/keep/", body.keep_card, name="keep_card"),
    path("athletes/<uuid:athlete>/notebook/", poles.add_entry, name="add_entry"),
    path("athletes/notebook/<uuid:entry>/remove/", poles.remove_entry, name="remove_entry"),
    path("children/<uuid:athlete>/restriction/", restrictions.report_restriction, name="report_restriction"),
    path("my/notebook/", poles.my_notebook, name="my_notebook"),
    path("poles/", poles.poles, name="poles"),
    path("poles/new/", poles.new_pole, name="new_pole"),
    path("poles/<uuid:pole>/", poles.edit_pole, name="edit_pole"),
    path("poles/<uuid:pole>/withdraw/", poles.withdraw_pole, name="withdraw_pole"),
    path("poles/<uuid:pole>/return/", poles.return_pole, name="return_pole"),
]
