import re
from smtplib import SMTPRecipientsRefused

import pytest
from django.core import mail
from django.core.management import CommandError, call_command
from django.urls import reverse

from studio.models import Client, Invitation, Membership, Project, User
from studio.services import people
from tests.factories import ArtworkFactory, ClientFactory
from tests.pictures import picture_file

pytestmark = pytest.mark.django_db


def test_clients_and_projects_are_opened_on_their_pages(cast, designer):
    answer = designer.post(reverse("client_new"), {"name": "Ines Marlow"})
    client = Client.objects.get()
    assert answer.url == reverse("client", args=[client.pk])
    again = designer.post(reverse("client_new"), {"name": "Ines Marlow"})
    assert again.status_code == 422
    answer = designer.post(reverse("project_new"), {"client": client.pk, "name": "Marlow house", "survey_units": "in"})
    project = Project.objects.get()
    assert answer.url == reverse("project", args=[project.pk])
    designer.post(reverse("project_edit", args=[project.pk]), {"name": "Marlow cottage", "survey_units": "cm"})
    project.refresh_from_db()
    assert (project.name, project.survey_units) == ("Marlow cottage", "cm")
    assert "Marlow cottage" in designer.get(reverse("client", args=[client.pk])).content.decode()


def test_a_principal_invites_and_a_new_person_comes_in(cast, client_of, client, django_capture_on_commit_callbacks):
    principal = client_of(cast.principal)
    with django_capture_on_commit_callbacks(execute=True):
        principal.post(reverse("people"), {"email": "new@example.test", "role": "coordinator"})
    (letter,) = mail.outbox
    address = re.search(r"http://\S+", letter.body)[0]
    path = address.partition("/come-in/")[2]
    token = path.strip()
    assert token not in str(Invitation.objects.values())
    page = client.get(reverse("invitation", args=[token]))
    assert page["Referrer-Policy"] == "strict-origin"
    weak = client.post(reverse("invitation", args=[token]), {"name": "New", "password": "short"})
    assert weak.status_code == 422
    assert not User.objects.filter(email="new@example.test").exists()
    come = {"name": "New Person", "password": "a-long-and-quiet-password"}
    assert client.post(reverse("invitation", args=[token]), come).status_code == 302
    assert client.get(reverse("works")).status_code == 200
    membership = Membership.objects.get(user__email="new@example.test")
    assert (membership.studio, membership.role) == (cast.studio, "coordinator")
    client.logout()
    assert client.get(reverse("invitation", args=[token])).status_code == 404


def test_an_invitation_whose_letter_is_refused_says_so_and_is_sent_again(
    cast, client_of, monkeypatch, django_capture_on_commit_callbacks
):
    principal, send = client_of(cast.principal), people.EmailMessage.send

    def refuse(*args, **kwargs):
        raise SMTPRecipientsRefused({"new@example.test": (550, b"no such mailbox")})

    monkeypatch.setattr(people.EmailMessage, "send", refuse)
    with django_capture_on_commit_callbacks(execute=True):
        page = principal.post(reverse("people"), {"email": "new@example.test", "role": "coordinator"})
    first = Invitation.objects.get()
    assert first.refused_at is not None
    assert "The letter could not be sent" in principal.get(reverse("people")).content.decode()
    monkeypatch.setattr(people.EmailMessage, "send", send)
    again = reverse("invitation_again", args=[first.pk])
    with django_capture_on_commit_callbacks(execute=True):
        page = principal.post(again)
    assert page.status_code == 302
    assert [letter.to for letter in mail.outbox] == [["new@example.test"]]
    page = principal.get(reverse("people")).content.decode()
    assert "could not be sent" not in page
    first.refresh_from_db()
    assert first.revoked_at is not None
    assert principal.post(again).status_code == 409
    assert client_of(cast.designer).post(reverse("invitation_again", args=[first.pk + 1])).status_code == 403


def test_an_account_that_exists_signs_in_to_come_in(cast, client_of, client):
    token = people._invite(cast.studio, cast.stranger.email, "designer", cast.principal).rpartition("/")[2]
    assert reverse("account_login") in client.get(reverse("invitation", args=[token])).url
    assert client_of(cast.designer).post(reverse("invitation", args=[token])).status_code == 409
    assert client_of(cast.stranger).post(reverse("invitation", args=[token])).status_code == 302
    assert Membership.objects.filter(studio=cast.studio, user=cast.stranger).exists()


def test_only_principals_decide_who_is_here(cast, client_of, designer):
    membership = Membership.objects.get(user=cast.coordinator)
    assert designer.post(reverse("people"), {"email": "x@example.test", "role": "designer"}).status_code == 422
    assert designer.post(reverse("member_role", args=[membership.pk]), {"role": "principal"}).status_code == 403
    assert designer.post(reverse("member_end", args=[membership.pk])).status_code == 403
    principal = client_of(cast.principal)
    principal.post(reverse("member_role", args=[membership.pk]), {"role": "designer"})
    membership.refresh_from_db()
    assert membership.role == "designer"
    assert principal.post(reverse("member_role", args=[membership.pk]), {"role": "king"}).status_code == 422
    own = Membership.objects.get(user=cast.principal, studio=cast.studio)
    assert principal.post(reverse("member_role", args=[own.pk]), {"role": "designer"}).status_code == 409
    assert principal.post(reverse("member_end", args=[own.pk])).status_code == 409
    principal.post(reverse("member_end", args=[membership.pk]))
    assert client_of(cast.coordinator).get(reverse("works")).status_code == 404


def test_settings_are_the_principals_and_everybodys_own(cast, client_of, designer, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    change = {
        "name": "North Light",
        "unit_style": "cm",
        "paper": "a4",
        "time_zone": "Europe/Lisbon",
        "moved_piece_price": 4,
    }
    assert designer.post(reverse("studio_settings"), change).status_code in (403, 422)
    assert client_of(cast.principal).post(reverse("studio_settings"), change).status_code == 302
    cast.studio.refresh_from_db()
    assert (cast.studio.name, cast.studio.unit_style) == ("North Light", "cm")
    client_of(cast.principal).post(reverse("studio_logo"), {"logo": picture_file()})
    assert b"".join(designer.get(reverse("studio_logo_picture")).streaming_content)[:2] == b"\xff\xd8"
    mine = {"name": "Noor", "unit_style": "in", "time_zone": "UTC", "digest": "on"}
    assert designer.post(reverse("my_settings"), mine).status_code == 302
    cast.designer.refresh_from_db()
    assert (cast.designer.name, cast.designer.unit_style, cast.designer.digest) == ("Noor", "in", True)


def test_one_person_of_two_studios_works_in_the_one_they_chose(cast, client_of):
    Membership.objects.create(studio=cast.other_studio, user=cast.designer, role="designer")
    ArtworkFactory(client=ClientFactory(studio=cast.other_studio), title="Over there")
    client = client_of(cast.designer)
    client.post(reverse("studio_choose", args=[cast.other_studio.pk]))
    assert "Over there" in client.get(reverse("works")).content.decode()
    client.post(reverse("studio_choose", args=[cast.studio.pk]))
    assert "Over there" not in client.get(reverse("works")).content.decode()


def test_a_studio_is_opened_from_the_command_line(client, capsys, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        call_command("create_studio", "North Light", "edda@example.test")
    address = capsys.readouterr().out.split()[-1]
    assert address in mail.outbox[0].body
    come = {"name": "Edda", "password": "a-long-and-quiet-password"}
    client.post(reverse("invitation", args=[address.rpartition("/")[2]]), come)
    membership = Membership.objects.get()
    assert (membership.studio.slug, membership.role, membership.user.email) == (
        "north-light",
        "principal",
        "edda@example.test",
    )
    with pytest.raises(CommandError, match="no e-mail address"):
        call_command("create_studio", "South Light", "nobody")


def test_the_back_office_looks_and_does_not_touch(client_of, client_row):
    boss = User.objects.create_superuser("boss@example.test", "x" * 20, name="Boss")
    piece = ArtworkFactory(client=client_row)
    browser = client_of(boss)
    for model in (
        "user",
        "studio",
        "membership",
        "invitation",
        "client",
        "project",
        "room",
        "wall",
        "wallitem",
        "artwork",
    ):
        assert browser.get(reverse(f"admin:studio_{model}_changelist"), {"q": "x"}).status_code == 200
    assert browser.get(reverse("admin:studio_artwork_change", args=[piece.pk])).status_code == 200
    assert browser.post(reverse("admin:studio_artwork_delete", args=[piece.pk]), {"post": "yes"}).status_code == 403
