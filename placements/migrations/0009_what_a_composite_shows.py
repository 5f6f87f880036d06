from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("placements", "0008_photo_of_a_piece_as_hung")]

    operations = [
        migrations.RenameField("photo", "shown_works", "shown_facts"),
        migrations.AlterField(
            "photo",
            "shown_facts",
            models.JSONField(blank=True, default=dict, help_text="How it was measured and what hung, as then shown."),
        ),
    ]
