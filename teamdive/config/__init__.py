"""The roof: settings, urls, the Celery application and checks of an installation."""
