"""On SQLite too the database itself refuses to delete an entry of the boat log.

A test that empties a database of its own drops this trigger first (tests/services/deck_in_threads.py).
"""

from django.db import migrations

UP = (
    "CREATE TRIGGER deck_entry_not_deleted BEFORE DELETE ON deck_entry "
    "BEGIN SELECT RAISE(ABORT, 'entries of the boat log are not changed'); END"
)
DOWN = "DROP TRIGGER deck_entry_not_deleted"


def _run(statement):
    def run(apps, schema_editor):
        if schema_editor.connection.vendor == "sqlite":
            schema_editor.execute(statement)

    return run


class Migration(migrations.Migration):
    dependencies = [("deck", "0003_join_codes")]

    operations = [migrations.RunPython(_run(UP), _run(DOWN), elidable=False)]
