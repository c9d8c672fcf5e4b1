"""The policy, written by hand from what the trade asks for. It shares nothing with ``club/roles.py``, which it judges.

Head coach: all of the club, and decisions. Assistant: practices, readiness, coaches' notes, logging; no reasons of
restrictions, no decisions, no catalogue edits. Helper: own floor station today, given names and cues; no readiness,
fault counts or notes. Athlete: themselves, the published plan, what was released. Guardian: their own child, by
rights; dates, restrictions and the emergency card whatever the rights, while the tie is in force. Safeguarding
officer: messages, notes, record of changes. What is not listed is refused.
"""

ROLES = ("head_coach", "assistant", "helper", "athlete", "guardian", "safeguarding_officer")

# --- permission × role × relation ----------------------------------------------------------------
# over what a holder of the role has it: club, self, child (sees progress), tied (whatever the rights), station; a dot
# is a refusal
PERMISSIONS = """
                     head_coach  assistant  helper   athlete  guardian  safeguarding_officer
schema.read          club        club       station  self     child     club
week.read            club        club       .        .        .         .
practice.read        club        club       .        .        .         .
practice.plan        club        .          .        .        .         .
practice.run         club        club       .        .        .         .
reps.log             club        club       station  .        .         .
reps.correct         club        club       .        .        .         .
readiness.read       club        club       .        .        .         .
athlete.read         club        club       .        .        .         .
athlete.edit         club        .          .        .        .         .
restriction.reason   club        .          .        .        .         .
restriction.lay      club        club       .        .        .         .
restriction.report   .           .          .        self     tied      .
absence.say          .           .          .        self     tied      .
body.read            club        .          .        .        .         .
pole.read            club        club       .        .        .         .
pole.edit            club        .          .        .        .         .
card.read            club        charge     .        .        .         .
card.keep            .           .          .        self     tied      .
incident.read        club        charge     .        .        .         club
decide               club        .          .        .        .         .
catalogue.read       club        club       .        .        .         .
catalogue.edit       club        .          .        .        .         .
my.read              .           .          .        self     .         .
self.check           .           .          .        self     .         .
summary.read         club        .          .        self     child     .
summary.approve      club        .          .        .        .         .
child.read           .           .          .        .        tied      .
people.read          club        .          .        .        .         .
people.edit          club        .          .        .        .         .
link.make            club        .          .        .        .         .
club.read            club        .          .        .        .         .
club.edit            club        .          .        .        .         .
audit.read           club        .          .        .        .         club
archive.take         club        .          .        .        .         .
mail.keep            club        .          .        .        .         .
mail.oversee         .           .          .        .        .         club
calendar.keep        self        self       .        self     tied      .
"""

# --- url × role ----------------------------------------------------------------------------------
# all: every object of the club. own: one's own, another's is not found. A dot: 403.
# An object of another club is not found, whoever asks; a club one is no member of neither.
PAGES = """
                     head_coach  assistant  helper   athlete  guardian  safeguarding_officer
club_home            all         all        all      all      all       all
club_page            all         .          .        .        .         .
club_archive         all         .          .        .        .         .
club_tables          all         .          .        .        .         .
retry_duty           all         .          .        .        .         .
people               all         .          .        .        .         .
make_sign_in_link    all         .          .        .        .         .
revoke_sign_in_link  all         .          .        .        .         .
audit                all         .          .        .        .         all
mails                all         .          .        .        .         .
mail                 all         .          .        .        .         .
resend_mail          all         .          .        .        .         .
mail_came_back       all         .          .        .        .         .
minors_mail          .           .          .        .        .         all
minor_mail           .           .          .        .        .         own
choose_mail          all         all        .        all      all       .
calendar             all         all        .        all      all       .
make_calendar        all         all        .        all      all       .
revoke_calendar      own         own        .        own      own       .
parts                all         .          .        .        .         .
drills               all         all        .        .        .         .
drill                all         all        .        .        .         .
export_catalogue     all         all        .        .        .         .
edit_drill           all         .          .        .        .         .
new_drill            all         .          .        .        .         .
catalogue            all         .          .        .        .         .
edit_cover           all         .          .        .        .         .
import_catalogue     all         .          .        .        .         .
catalogue_draft      all         .          .        .        .         .
catalogue_edition    all         .          .        .        .         .
new_stage            all         .          .        .        .         .
edit_stage           all         .          .        .        .         .
new_load_class       all         .          .        .        .         .
edit_load_class      all         .          .        .        .         .
new_safety_text      all         .          .        .        .         .
edit_safety_text     all         .          .        .        .         .
new_adjustment       all         .          .        .        .         .
edit_adjustment      all         .          .        .        .         .
new_checkpoint       all         .          .        .        .         .
edit_checkpoint      all         .          .        .        .         .
new_fault            all         .          .        .        .         .
edit_fault           all         .          .        .        .         .
new_cause            all         .          .        .        .         .
edit_cause           all         .          .        .        .         .
new_catalogue_link   all         .          .        .        .         .
edit_catalogue_link  all         .          .        .        .         .
new_activity         all         .          .        .        .         .
edit_activity        all         .          .        .        .         .
edit_club            all         .          .        .        .         .
venue                all         all        .        .        .         .
new_venue            all         .          .        .        .         .
edit_venue           all         .          .        .        .         .
new_area             all         .          .        .        .         .
new_person           all         .          .        .        .         .
invitations          all         .          .        .        .         .
person               all         .          .        .        .         .
edit_person          all         .          .        .        .         .
person_roles         all         .          .        .        .         .
leave_club           all         .          .        .        .         .
add_tie              all         .          .        .        .         .
edit_tie             all         .          .        .        .         .
remove_tie           all         .          .        .        .         .
bar_contact          all         .          .        .        .         .
unbar_contact        all         .          .        .        .         .
give_consent         all         .          .        .        .         .
withdraw_consent     all         .          .        .        .         .
person_athlete       all         .          .        .        .         .
roster               all         .          .        .        .         .
export_roster        all         .          .        .        .         .
roster_columns       all         .          .        .        .         .
roster_preview       all         .          .        .        .         .
drop_roster          all         .          .        .        .         .
squads               all         .          .        .        .         .
edit_squad           all         .          .        .        .         .
athlete_profile      all         all        .        .        .         .
edit_athlete         all         .          .        .        .         .
add_note             all         .          .        .        .         .
remove_note          all         .          .        .        .         .
place_athlete        all         .          .        .        .         .
clear_athlete        all         .          .        .        .         .
end_clearance        all         .          .        .        .         .
restrict_athlete     all         all        .        .        .         .
answer_restriction   all         .          .        .        .         .
lift_restriction     all         .          .        .        .         .
report_restriction   .           .          .        own      own       .
add_measurement      all         .          .        .        .         .
remove_measurement   all         .          .        .        .         .
open_card            all         own        .        .        .         .
keep_card            .           .          .        own      own       .
cannot_come          .           .          .        own      own       .
can_come             .           .          .        own      own       .
cards                all         own        .        .        .         .
add_entry            all         all        .        .        .         .
remove_entry         all         all        .        .        .         .
my_notebook          .           .          .        all      .         .
poles                all         all        .        .        .         .
new_pole             all         .          .        .        .         .
edit_pole            all         .          .        .        .         .
withdraw_pole        all         all        .        .        .         .
return_pole          all         .          .        .        .         .
week                 all         all        .        .        .         .
squad_board          all         all        .        .        .         .
board_cell           all         all        .        .        .         .
decide               all         .          .        .        .         .
take_back            all         .          .        .        .         .
set_aside            all         .          .        .        .         .
signal_seen          all         .          .        .        .         .
decisions            all         all        .        .        .         .
drill_who            all         all        .        .        .         .
drill_start_over     all         .          .        .        .         .
athlete_page         all         all        .        .        .         .
athlete_map          all         all        .        .        .         .
my_practice          .           .          .        all      .         .
self_check           .           .          .        own      .         .
summaries            all         .          .        .        .         .
ask_summaries        all         .          .        .        .         .
approve_summaries    all         .          .        .        .         .
take_back_summaries  all         .          .        .        .         .
edit_summary         all         .          .        .        .         .
summary              all         .          .        own      own       .
summary_pdf          all         .          .        own      own       .
children             .           .          .        .        all       .
child_page           .           .          .        .        own       .
practices            all         all        .        .        .         .
new_practice         all         .          .        .        .         .
practice             all         all        .        .        .         .
practice_told        all         all        .        .        .         .
edit_practice        all         .          .        .        .         .
move_practice        all         .          .        .        .         .
practice_banner      all         all        .        .        .         .
publish_practice     all         .          .        .        .         .
cancel_practice      all         .          .        .        .         .
uncancel_practice    all         .          .        .        .         .
release_practice     all         .          .        .        .         .
unrelease_practice   all         .          .        .        .         .
attendance           all         all        .        .        .         .
pick_up              all         all        .        .        .         .
hand_over            all         all        .        .        .         .
still_here           all         all        .        .        .         .
check_station        all         all        .        .        .         .
set_up_changed       all         all        .        .        .         .
kit                  all         all        .        .        .         .
mend_kit             all         all        .        .        .         .
new_incident         all         all        .        .        .         .
incidents            all         all        .        .        .         all
incident             all         own        .        .        .         all
wrap_up              all         all        .        .        .         .
wrapped              all         all        .        .        .         .
needs_look           all         all        .        .        .         .
settle_look          all         all        .        .        .         .
take_back_note       all         all        .        .        .         .
wall_sheet           all         all        .        .        .         .
guests               all         .          .        .        .         .
drop_guest           all         .          .        .        .         .
plan_templates       all         .          .        .        .         .
rename_template      all         .          .        .        .         .
delete_template      all         .          .        .        .         .
restore_template     all         .          .        .        .         .
save_template        all         .          .        .        .         .
apply_template       all         .          .        .        .         .
wall_pdf             all         all        .        .        .         .
running_order        all         all        .        .        .         .
move_up              all         .          .        .        .         .
left_handers_together all        .          .        .        .         .
plan                 all         .          .        .        .         .
add_block            all         .          .        .        .         .
remove_block         all         .          .        .        .         .
add_station          all         .          .        .        .         .
station_adult        all         .          .        .        .         .
remove_station       all         .          .        .        .         .
assign               all         .          .        .        .         .
unassign             all         .          .        .        .         .
pin                  all         .          .        .        .         .
fill_plan            all         .          .        .        .         .
take_back_fill       all         .          .        .        .         .
station_start        all         all        all      .        .         .
station              all         all        own      .        .         .
station_safety       all         all        own      .        .         .
station_without_plan all         all        .        .        .         .
tablets              all         all        .        .        .         .
take_in_file         all         all        .        .        .         .
station_app          all         all        all      .        .         .
station_worker       all         all        all      .        .         .
station_manifest     all         all        all      .        .         .
api_schema           all         all        all      all      all       all
api_events           all         all        own      .        .         .
api_hello            all         all        all      .        .         .
api_bundle           all         all        own      .        .         .
api_bundle_cards     all         own        .        .        .         .
"""

# Outside of any club: everybody, or whoever is signed in.
PUBLIC = {"healthz", "account_login", "sign_in_by_link"}
# For whoever holds the address; these tests ask with one that nobody was given. Real ones have tests of their own.
BY_SECRET = {"stop_mail", "feed"}
SIGNED_IN = {"home", "account", "account_logout", "this_screen"}
API = {"api_schema", "api_events", "api_hello", "api_bundle", "api_bundle_cards"}

# --- who is who in the world of the tests: the roles they hold now, in the club and in the other one ---------
VIEWERS: dict[str, tuple[set[str], set[str]]] = {
    "anonymous": (set(), set()),
    "stranger": (set(), set()),
    "head": ({"head_coach"}, set()),
    "assistant": ({"assistant"}, set()),
    "helper": ({"helper"}, set()),
    "nandi": ({"athlete"}, set()),
    "eero": ({"athlete"}, set()),
    "parent": ({"guardian"}, set()),
    "unshown_parent": ({"guardian"}, set()),  # the tie gives no right to see progress
    "barred_parent": ({"guardian"}, set()),
    "former_parent": ({"guardian"}, set()),  # the tie ended yesterday
    "other_home": ({"guardian"}, set()),  # the child's second household: sees progress, does not collect, no mail
    "two_parent": ({"guardian"}, set()),  # two children, of two squads
    "officer": ({"safeguarding_officer"}, set()),
    "coach_parent": ({"assistant", "guardian"}, set()),
    "helper_parent": ({"helper", "guardian"}, set()),
    "athlete_helper": ({"athlete", "helper"}, set()),
    "left_assistant": (set(), set()),
    "cross": ({"guardian"}, {"head_coach"}),
    "outsider_head": (set(), {"head_coach"}),
    "outsider_athlete": (set(), {"athlete"}),
}

# Published practices at which somebody of these squads is expected: names of objects of ``tests/club/world.py``.
TERNS = {"today", "cancelled", "released", "unreleased"}
SWIFTS = {"swifts"}
# Of whom one may say that they cannot come, and to what.
COMING: dict[str, set[str]] = {
    "parent": {"nandi", *TERNS},
    "unshown_parent": {"nandi", *TERNS},
    "other_home": {"nandi", *TERNS},
    "two_parent": {"eero", "saoirse", *TERNS, *SWIFTS},
    "coach_parent": {"saoirse", *SWIFTS},
    "cross": {"saoirse", *SWIFTS},
    "helper_parent": {"eero", *TERNS},
    "nandi": {"nandi", *TERNS},
    "eero": {"eero", *TERNS},
    "outsider_athlete": {"elsewhere_athlete", "elsewhere_today"},
}

# Approved summaries that one may read: those of oneself, and of children whose progress one sees.
TOLD: dict[str, set[str]] = {
    "nandi": {"told_nandi"},
    "eero": {"told_eero"},
    "parent": {"told_nandi"},
    "other_home": {"told_nandi"},
    "two_parent": {"told_eero", "told_saoirse"},
    "coach_parent": {"told_saoirse"},
    "cross": {"told_saoirse"},
    "helper_parent": {"told_eero"},
    "outsider_athlete": {"elsewhere_told"},
}

# What is one's own, by address: names of objects of ``tests/club/world.py``.
OWN: dict[str, dict[str, set[str]]] = {
    "child_page": {
        "parent": {"nandi"},
        "unshown_parent": {"nandi"},
        "other_home": {"nandi"},
        "two_parent": {"eero", "saoirse"},
        "coach_parent": {"saoirse"},
        "cross": {"saoirse"},
        "helper_parent": {"eero"},
    },
    "report_restriction": {
        "parent": {"nandi"},
        "unshown_parent": {"nandi"},
        "other_home": {"nandi"},
        "two_parent": {"eero", "saoirse"},
        "coach_parent": {"saoirse"},
        "cross": {"saoirse"},
        "helper_parent": {"eero"},
        "nandi": {"nandi"},
        "eero": {"eero"},
        "athlete_helper": {"athlete_helper"},
        "outsider_athlete": {"elsewhere_athlete"},
    },
    "minor_mail": {"officer": {"to_minor"}},
    "keep_card": {
        "parent": {"nandi"},
        "unshown_parent": {"nandi"},
        "other_home": {"nandi"},
        "two_parent": {"eero", "saoirse"},
        "coach_parent": {"saoirse"},
        "cross": {"saoirse"},
        "helper_parent": {"eero"},
        "nandi": {"nandi"},
        "eero": {"eero"},
        "athlete_helper": {"athlete_helper"},
        "outsider_athlete": {"elsewhere_athlete"},
    },
    "summary": TOLD,
    "summary_pdf": TOLD,
    "cannot_come": COMING,
    "can_come": COMING,
    "self_check": {"nandi": TERNS, "eero": TERNS, "outsider_athlete": {"elsewhere_today"}},
    # An assistant opens cards only while in charge of a practice, and at each of these a head coach is checked in.
    "open_card": {},
    "cards": {},
    "revoke_calendar": {
        "nandi": {"nandi_calendar"},
        "parent": {"parent_calendar"},
        "head": {"head_calendar"},
        "outsider_head": {"elsewhere_item"},
    },
    "incident": {},
    "station": {"helper": {"today_floor"}, "helper_parent": {"today_second"}},
    # The page it belongs to asks; a past station of one's own says nothing but that.
    "station_safety": {
        "helper": {"today_floor"},
        "helper_parent": {"today_second"},
        "athlete_helper": {"released_second"},
    },
    # A device may send late what was recorded: also to a past practice with a station of one's own.
    "api_events": {"helper": {"today"}, "helper_parent": {"today"}, "athlete_helper": {"released"}},
    "api_bundle": {"helper": {"today"}, "helper_parent": {"today"}},
    "api_bundle_cards": {},
}

# --- field × reader ------------------------------------------------------------------------------
# Who may read a private field, by what they are to the person it is about (or to the practice it belongs to):
# roles of the club, ``self``, ``guardian`` for one whose tie gives the right to see progress, and ``tied`` for one
# with a tie in force, whatever its rights. Everybody else may not.
COACHES = {"head_coach", "assistant"}
FIELDS: dict[str, set[str]] = {
    "athlete_given": {*COACHES, "station", "self", "tied", "safeguarding_officer"},
    "athlete_family": {*COACHES, "self", "tied", "safeguarding_officer"},
    "adult_given": {*ROLES, "guardian_role", "self"},  # who is with us, who wrote a note
    "adult_family": {*COACHES, "self", "safeguarding_officer"},  # the officer reads who changed what
    "officer_family": {*COACHES, "athlete", "guardian_role", "self", "safeguarding_officer"},
    "officer_phone": {"head_coach", "athlete", "guardian_role", "self"},
    "phone": {"head_coach", "self"},
    "email": {"head_coach", "self"},
    "birth_date": {"head_coach", "self", "guardian"},
    "sign_in_name": {"head_coach", "self"},
    "password": set(),
    "restriction_what": {*COACHES, "self", "tied"},
    "restriction_reason": {"head_coach"},
    "body_mass": {"head_coach"},
    "pole_rating": {"head_coach"},
    "self_check": {*COACHES, "self", "guardian"},
    "summary_told": {"head_coach", "self", "guardian"},
    "summary_draft": {"head_coach"},
    "emergency_card": {"head_coach", "self", "tied"},  # and whoever is in charge of a practice, each look logged
    "barred": {*COACHES},  # said at the gate, before anybody is handed over
    "departure": {*COACHES},
    "incident_plain": {"head_coach", "tied", "safeguarding_officer"},  # and whoever is in charge of the practice
    "incident_private": {"head_coach", "safeguarding_officer"},
    "broken_kit": {*COACHES, "safeguarding_officer"},  # no person; it stands in the record of changes
    "clearance": {"head_coach"},
    "placement": {"head_coach"},
    "roster_cell": {"head_coach"},
    "notebook": {*COACHES, "self"},
    "lasting_note_head": {"head_coach"},
    "lasting_note_coaches": {*COACHES},
    "lasting_note_athlete": {*COACHES, "self", "guardian"},
    "note_for_coaches": {*COACHES, "safeguarding_officer"},
    "note_unreleased": {*COACHES, "safeguarding_officer"},
    "note_released": {*COACHES, "safeguarding_officer", "self", "guardian"},
    "fault_seen": {*COACHES, "station"},  # a logger needs the names of what can go wrong at their drill
    "squad": {*COACHES, "self", "guardian"},
    "bring_draft": {*COACHES},
    "bring_published": {*COACHES, "self", "tied"},
    "audit_values": {"head_coach"},
    "duty_error": {"head_coach"},
    "link_hash": set(),
    "mail": {"head_coach"},
    "mail_to_minor": {"head_coach", "safeguarding_officer"},
    "calendar_hash": set(),
    "emergency": {*COACHES},
}


def table(text: str) -> dict[str, dict[str, str]]:
    """Row → role → cell. Raises ValueError for a row that is written twice or too short."""
    head, *rows = [line.split() for line in text.strip().splitlines()]
    found: dict[str, dict[str, str]] = {}
    for name, *cells in rows:
        if name in found:
            raise ValueError(f"{name} is written twice")
        found[name] = dict(zip(head, cells, strict=True))
    return found


PAGE_TABLE = table(PAGES)
IN, SIGN_IN, NO, NOT_FOUND = "let in", "to the sign-in page", "403", "404"


def expected(viewer: str, address: str, in_other_club: bool, targets: tuple[str, ...], consistent: bool) -> str:
    """The policy's answer.

    targets: names of the objects in the address.
    consistent: whether the objects belong to one another (a station to the practice named beside it).
    """
    if address in PUBLIC:
        return IN
    if address in BY_SECRET:
        return NOT_FOUND
    if viewer == "anonymous":
        return NO if address in API else SIGN_IN
    if address in SIGNED_IN:
        return IN
    if not VIEWERS[viewer][1 if in_other_club else 0]:
        return NOT_FOUND
    cells = holds(viewer, address, in_other_club)
    if not cells:
        return NO
    if not consistent or not all(stands_in(target, in_other_club) for target in targets):
        return NOT_FOUND
    if "all" in cells or set(targets) <= OWN[address].get(viewer, set()):
        return IN
    return NOT_FOUND


def holds(viewer: str, address: str, in_other_club: bool) -> set[str]:
    """The cells of the viewer's roles that let them in: empty where the roles alone refuse."""
    if address not in PAGE_TABLE:
        return {"all"}
    return {PAGE_TABLE[address][role] for role in VIEWERS[viewer][1 if in_other_club else 0]} - {"."}


def stands_in(target: str, in_other_club: bool) -> bool:
    """Whether an object belongs to the addressed club; a person belongs to every club in which they hold a role."""
    if target in VIEWERS:
        return bool(VIEWERS[target][1 if in_other_club else 0])
    return target.startswith("elsewhere") is in_other_club
