"""What starts, tests, backs up, restores and ships the site. Run through the scripts beside this file."""


class Refused(Exception):
    """Something stands in the way; the message tells the person what, and what to do."""
