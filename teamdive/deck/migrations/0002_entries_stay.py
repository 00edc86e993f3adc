"""The database itself refuses to change an entry of the boat log, and on PostgreSQL to delete one (0004: on SQLite too)."""

from django.db import migrations

UP = {
    "sqlite": [
        "CREATE TRIGGER deck_entry_stays BEFORE UPDATE ON deck_entry "
        "BEGIN SELECT RAISE(ABORT, 'entries of the boat log are not changed'); END"
    ],
    "postgresql": [
        "CREATE FUNCTION deck_entry_stays() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'entries of the boat log are not changed'; END $$",
        "CREATE TRIGGER deck_entry_stays BEFORE UPDATE OR DELETE ON deck_entry "
        "FOR EACH ROW EXECUTE FUNCTION deck_entry_stays()",
    ],
}
DOWN = {
    "sqlite": ["DROP TRIGGER deck_entry_stays"],
    "postgresql": ["DROP TRIGGER deck_entry_stays ON deck_entry", "DROP FUNCTION deck_entry_stays()"],
}


def _run(statements):
    def run(apps, schema_editor):
        for statement in statements.get(schema_editor.connection.vendor, ()):
            schema_editor.execute(statement)

    return run


class Migration(migrations.Migration):
    dependencies = [("deck", "0001_initial")]

    operations = [migrations.RunPython(_run(UP), _run(DOWN), elidable=False)]
