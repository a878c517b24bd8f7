from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("labels", "0001_registers"),
    ]

    operations = [
        migrations.AddField(
            model_name="unitrow",
            name="waived",
            field=models.TextField(default=""),
        ),
    ]
