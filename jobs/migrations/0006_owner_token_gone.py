from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("jobs", "0005_owner_links_filled")]

    operations = [migrations.RemoveField(model_name="job", name="owner_token")]
