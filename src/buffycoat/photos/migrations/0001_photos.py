from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="DonorPhoto",
            fields=[
                ("donor", models.CharField(max_length=14, primary_key=True, serialize=False)),
                ("jpeg", models.BinaryField()),
                ("digest", models.CharField(max_length=64)),
            ],
            options={
                "verbose_name_plural": "photos of donors",
            },
        ),
    ]
