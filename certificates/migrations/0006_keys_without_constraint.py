import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    """Keys are made anew with their lines; a constraint over millions of them would only cost time."""

    dependencies = [("certificates", "0005_enter_lines")]

    operations = [
        migrations.AlterField(
            model_name="registerkey",
            name="line",
            field=models.ForeignKey(
                db_constraint=False,
                db_index=False,
                on_delete=django.db.models.deletion.CASCADE,
                related_name="keys",
                to="certificates.registerline",
            ),
        ),
    ]
