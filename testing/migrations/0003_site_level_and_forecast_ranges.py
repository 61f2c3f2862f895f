from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("testing", "0002_close_decisions_and_runs")]

    operations = [
        migrations.AddField(
            model_name="site",
            name="level",
            field=models.BooleanField(blank=True, null=True, verbose_name="level in both directions"),
        ),
        *(
            migrations.AddConstraint(
                model_name="forecasthour",
                constraint=models.CheckConstraint(
                    condition=models.Q((f"{name}__isnull", True), (f"{name}__range", (0, high)), _connector="OR"),
                    name=f"forecast_{name}_in_range",
                ),
            )
            for name, high in (("wind_mps", 60), ("gust_mps", 60), ("rain_mm", 500))
        ),
    ]
