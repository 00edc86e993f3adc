"""Makes the Celery application the default one in every process that loads Django."""

from django.apps import AppConfig


class ConfigConfig(AppConfig):
    """The roof as a Django app: it holds no tables."""

    name = "teamdive.config"

    def ready(self) -> None:
        """A task sent from a web thread goes to this installation's queue, not to Celery's own default."""
        from teamdive.config.celery import app

        app.set_default()
