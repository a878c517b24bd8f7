from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("storage", "0002_shelfrow_held"),
    ]

    operations = [
        migrations.AddField(
            model_name="shelfrow",
            name="divided",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="shelfrow",
            name="out_since",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="shelfrow",
            name="out_before_s",
            field=models.IntegerField(default=0),
        ),
    ]
