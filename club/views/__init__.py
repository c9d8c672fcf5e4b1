"""Pages of the club itself: sign-in and the way home, people, the club and its venues, one's own account."""
