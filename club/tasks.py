from celery import shared_task

from club import duties


@shared_task(name="club.tasks.drain_task")
def drain_task(queue: str) -> int:
    """The doorbell's answer: take due duties until none is left or 20 s have passed."""
    return duties.drain(queue)
