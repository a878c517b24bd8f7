"""The book, its head, and the triggers that refuse to change or delete what stands in it."""

from django.db import migrations, models

NEVER = "The journal is never changed: strike the entry and write it again."
NEXT = "An entry must have the next number: something else wrote to the journal."

SQLITE = f"""
CREATE TRIGGER entry_is_never_updated BEFORE UPDATE ON journal_entry
BEGIN SELECT RAISE(ABORT, '{NEVER}'); END;
CREATE TRIGGER entry_is_never_deleted BEFORE DELETE ON journal_entry
BEGIN SELECT RAISE(ABORT, '{NEVER}'); END;
CREATE TRIGGER entry_has_the_next_number BEFORE INSERT ON journal_entry
WHEN NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM journal_entry)
BEGIN SELECT RAISE(ABORT, '{NEXT}'); END;
"""

POSTGRESQL = f"""
CREATE FUNCTION journal_is_never_changed() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION USING MESSAGE = '{NEVER}', ERRCODE = 'integrity_constraint_violation'; END $$;
CREATE FUNCTION entry_has_the_next_number() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN
  IF NEW.number <> (SELECT COALESCE(MAX(number), 0) + 1 FROM journal_entry) THEN
    RAISE EXCEPTION USING MESSAGE = '{NEXT}', ERRCODE = 'integrity_constraint_violation';
  END IF;
  RETURN NEW;
END $$;
CREATE TRIGGER entry_is_never_changed BEFORE UPDATE OR DELETE OR TRUNCATE ON journal_entry
FOR EACH STATEMENT EXECUTE FUNCTION journal_is_never_changed();
CREATE TRIGGER entry_has_the_next_number BEFORE INSERT ON journal_entry
FOR EACH ROW EXECUTE FUNCTION entry_has_the_next_number();
"""


def add_triggers(apps, schema_editor):
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(POSTGRESQL)
        return
    with schema_editor.connection.cursor() as cursor:
        for trigger in SQLITE.split("END;\n"):
            if trigger.strip():
                cursor.execute(trigger + "END;")


def open_the_book(apps, schema_editor):
    apps.get_model("journal", "Head").objects.create(id=1, number=0, hash="0" * 64)


class Migration(migrations.Migration):
    initial = True
    dependencies = []
    operations = [
        migrations.CreateModel(
            name="Entry",
            fields=[
                ("number", models.BigIntegerField(primary_key=True, serialize=False)),
                ("stream", models.CharField(max_length=64)),
                ("version", models.IntegerField()),
                ("kind", models.CharField(max_length=64)),
                ("happened_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
                ("by", models.CharField(max_length=150)),
                ("command_id", models.CharField(db_index=True, max_length=64)),
                ("line", models.TextField()),
                ("hash", models.CharField(max_length=64, unique=True)),
            ],
            options={"ordering": ["number"]},
        ),
        migrations.CreateModel(
            name="Head",
            fields=[
                ("id", models.IntegerField(default=1, primary_key=True, serialize=False)),
                ("number", models.BigIntegerField(default=0)),
                ("hash", models.CharField(max_length=64)),
            ],
        ),
        migrations.AddConstraint(
            model_name="entry",
            constraint=models.UniqueConstraint(fields=("stream", "version"), name="one_entry_per_version"),
        ),
        migrations.AddConstraint(
            model_name="head",
            constraint=models.CheckConstraint(condition=models.Q(("id", 1)), name="only_one_head"),
        ),
        migrations.RunPython(open_the_book, migrations.RunPython.noop),
        migrations.RunPython(add_triggers, migrations.RunPython.noop),
    ]
