from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("draws", "0004_lot_on_hold"),
    ]

    operations = [
        migrations.AlterField(
            model_name="donationrow",
            name="lot",
            field=models.ForeignKey(null=True, on_delete=models.PROTECT, to="draws.bagsetlotrow"),
        ),
    ]
