"""Mail: the only place that sends any.

``actions.send`` queues mails as rows, and is the one way to make such a row: it decides who reads it, and copies an
adult into whatever goes to a minor. Duty ``post`` (``duty_handlers``) hands waiting mails to the server of ``smtp``:
SENDING is stored before a word leaves, so that no mail is ever sent twice by itself. Rooms above say what stands in a
mail as a ``letters.Letter``; ``kinds`` lists what mails are about, and each kind can be stopped by its reader.
"""
