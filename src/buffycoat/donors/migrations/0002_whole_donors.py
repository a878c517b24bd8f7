import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("donors", "0001_registers"),
    ]

    operations = [
        migrations.AddField(
            model_name="donorrow",
            name="chip",
            field=models.CharField(default="", max_length=15),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="deferred",
            field=models.TextField(default=""),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="deferred_until_lifted",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="held",
            field=models.TextField(default=""),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="last_drawn_at",
            field=models.DateTimeField(null=True),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="not_before",
            field=models.DateField(null=True),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="retired",
            field=models.TextField(default=""),
        ),
        migrations.AddField(
            model_name="donorrow",
            name="vaccinated_on",
            field=models.DateField(null=True),
        ),
        migrations.CreateModel(
            name="CallRow",
            fields=[
                ("donation", models.CharField(max_length=14, primary_key=True, serialize=False)),
                ("gave_at", models.DateTimeField()),
                ("called", models.BooleanField()),
                (
                    "donor",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="calls",
                        to="donors.donorrow",
                    ),
                ),
            ],
            options={
                "ordering": ["gave_at", "donation"],
            },
        ),
    ]
