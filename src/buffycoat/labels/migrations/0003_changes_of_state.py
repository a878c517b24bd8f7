from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("labels", "0002_waived"),
    ]

    operations = [
        migrations.AddField(
            model_name="unitrow",
            name="parent",
            field=models.CharField(default="", max_length=14),
        ),
        migrations.AddField(
            model_name="unitrow",
            name="changed",
            field=models.CharField(default="", max_length=60),
        ),
        migrations.AddField(
            model_name="unitrow",
            name="label_true",
            field=models.BooleanField(default=True),
        ),
    ]
