"""The Celery application: nudges and a clock. What must happen is a row in the database.

Redis when TEAMDIVE_REDIS_URL is set, else kombu's filesystem transport in the data folder.
"""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "teamdive.config.settings")

from teamdive.config import environment

app = Celery("teamdive")


def _broker() -> dict[str, object]:
    redis_url = os.environ.get("TEAMDIVE_REDIS_URL")
    if redis_url:
        return {
            "broker_url": redis_url,
            # A message held by a killed worker is given back within these seconds; a web request that
            # sends a nudge never waits longer than a second for a broker that is down.
            "broker_transport_options": {
                "visibility_timeout": 10,
                "unacked_restore_interval": 1,
                "unacked_restore_throttle": 1,
                "socket_connect_timeout": 1,
                "socket_timeout": 5,
            },
        }
    folder = environment.data_folder() / "queue"
    folder.mkdir(mode=0o700, exist_ok=True)
    return {
        "broker_url": "filesystem://localhost",
        "broker_transport_options": {
            "data_folder_in": str(folder),
            "data_folder_out": str(folder),
            "control_folder": str(folder / "control"),
            "polling_interval": float(os.environ.get("TEAMDIVE_EMBEDDED_POLL_S") or 0.1),
        },
    }


app.conf.update(
    **_broker(),
    task_ignore_result=True,
    task_acks_late=True,
    worker_prefetch_multiplier=1,
    worker_hijack_root_logger=False,
    broker_connection_retry_on_startup=True,
    task_publish_retry=False,
    timezone="UTC",
)
app.autodiscover_tasks(["teamdive.reminders"])


@app.on_after_finalize.connect
def _schedule(sender: Celery, **_kwargs: object) -> None:
    from teamdive.reminders.beat import BEAT

    sender.conf.beat_schedule = BEAT
