"""Before there were roles everybody could do everything: whoever may sign in keeps that."""

from django.db import migrations


def as_before(apps, schema_editor):
    people = apps.get_model("auth", "User").objects.filter(is_active=True, groups=None)
    if people.exists():
        group, _ = apps.get_model("auth", "Group").objects.get_or_create(name="coordinator")
        group.user_set.add(*people)


class Migration(migrations.Migration):
    dependencies = [("people", "0002_access")]

    operations = [migrations.RunPython(as_before, migrations.RunPython.noop)]
