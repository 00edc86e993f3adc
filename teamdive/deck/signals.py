"""Sent on commit when entries were stored: it shortens the wait of whoever reads on, and is never the duty itself."""

from django.dispatch import Signal

entries_stored = Signal()
"""Sent with `trip_id`."""
