"""Reminders: rows that say who is told what and when, and the inbox they end in."""
