"""Studios and the people in them: invitations by e-mail, roles, leaving."""

from __future__ import annotations

import logging
from datetime import timedelta
from functools import partial
from typing import Any

from allauth.account.models import EmailAddress
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.core.mail import EmailMessage
from django.core.validators import validate_email
from django.db import transaction
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.text import slugify

from studio import access
from studio.errors import Invalid, Missing, WrongState
from studio.models import Invitation, Membership, Role, Studio, User
from studio.tokens import new_token, token_hash

from .checks import clean, refuse, set_fields
from .pictures import picture_clean

log = logging.getLogger(__name__)

INVITATION_LASTS = timedelta(days=7)
STUDIO_FIELDS = ("name", "unit_style", "paper", "require_second_factor", "time_zone", "moved_piece_price")
MY_FIELDS = ("name", "unit_style", "time_zone", "quiet_from", "quiet_until", "digest")
_TO = "manage the studio's members"


@transaction.atomic
def studio_create(*, name: str, principal_email: str) -> tuple[Studio, str]:
    """A new studio and the address at which its principal comes in; the letter is sent too."""
    slug = slugify(name)[:40] or "studio"
    taken = set(Studio.objects.filter(slug__startswith=slug).values_list("slug", flat=True))
    slug = next(one for one in (slug, *(f"{slug}-{n}" for n in range(2, len(taken) + 3))) if one not in taken)
    studio = Studio(name=name, slug=slug)
    clean(studio, "This studio")
    studio.save()
    return studio, _invite(studio, principal_email, Role.PRINCIPAL, None)


@transaction.atomic
def studio_update(*, by: User, studio: Studio, **changes: Any) -> Studio:
    access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="change the studio's settings")
    set_fields(studio, changes, STUDIO_FIELDS)
    clean(studio, "The studio", exclude=["logo"])
    studio.save()
    return studio


@transaction.atomic
def studio_logo(*, by: User, studio: Studio, content: bytes | None) -> Studio:
    """The picture at the head of sheets; None takes it away."""
    access.require(by=by, studio=studio, roles=access.PRINCIPAL, to="change the studio's settings")
    old = studio.logo.name
    if content is None:
        studio.logo = ""
    else:
        logo = picture_clean(content)
        studio.logo.save(f"{studio.pk}-{logo.name}", ContentFile(logo.jpeg), save=False)
    studio.save(update_fields=["logo"])
    if old and old != studio.logo.name:
        transaction.on_commit(lambda: studio.logo.storage.delete(old))
    return studio


@transaction.atomic
def me_update(*, by: User, **changes: Any) -> User:
    """A person's own name, units, time zone and letters."""
    set_fields(by, changes, MY_FIELDS)
    clean(by, "Your settings", exclude=["password", "email"])
    by.save()
    return by


@transaction.atomic
def invitation_send(*, by: User, studio: Studio, email: str, role: str) -> Invitation:
    """Invite somebody by e-mail; an older open invitation of theirs ends. `refused_at` says if its letter was refused.

    Raises:
        Invalid: no such role or no e-mail address.
        WrongState: they are in the studio already.
    """
    access.require(by=by, studio=studio, roles=access.PRINCIPAL, to=_TO)
    if role not in Role.values:
        refuse([{"where": "role", "detail": "choose one of " + ", ".join(Role.values)}], "This invitation")
    _invite(studio, email, role, by)
    return Invitation.objects.filter(studio=studio, email__iexact=email.strip()).latest("pk")


@transaction.atomic
def invitation_again(*, by: User, invitation: Invitation) -> Invitation:
    """Send an invitation anew, with a link and a term of its own; the one before ends.

    Raises:
        WrongState: they came in meanwhile, or it was withdrawn.
    """
    access.require(by=by, studio=invitation.studio, roles=access.PRINCIPAL, to=_TO)
    if invitation.accepted_at is not None or invitation.revoked_at is not None:
        raise WrongState(f"The invitation of {invitation.email} is closed. Invite them anew.")
    return invitation_send(by=by, studio=invitation.studio, email=invitation.email, role=invitation.role)


@transaction.atomic
def invitation_revoke(*, by: User, invitation: Invitation) -> None:
    access.require(by=by, studio=invitation.studio, roles=access.PRINCIPAL, to=_TO)
    if invitation.accepted_at is None and invitation.revoked_at is None:
        invitation.revoked_at = timezone.now()
        invitation.save(update_fields=["revoked_at", "updated_at"])


def invitation_find(token: str) -> Invitation:
    """The open invitation of a token.

    Raises:
        Missing: spoilt, used, revoked or out of date; the answer is the same.
    """
    invitation = (
        Invitation.objects.select_related("studio", "invited_by")
        .filter(token_sha256=token_hash(token), accepted_at=None, revoked_at=None, expires_at__gt=timezone.now())
        .first()
    )
    if invitation is None:
        raise Missing("This invitation is no longer open. Ask the studio's principal for another.")
    return invitation


@transaction.atomic
def invitation_accept(*, token: str, user: User | None = None, name: str = "", password: str = "") -> User:
    """Come into the studio: as `user`, who is signed in with the invited address, or as a new person.

    Raises:
        Missing: the invitation is no longer open.
        WrongState: somebody has an account with this address: they must sign in first.
        Invalid: no name, or a password that is too weak.
    """
    invitation = Invitation.objects.select_for_update(of=("self",)).get(pk=invitation_find(token).pk)
    if invitation.accepted_at is not None:
        raise Missing("This invitation is no longer open. Ask the studio's principal for another.")
    if user is None:
        user = _new_person(invitation.email, name, password, invitation.studio.time_zone)
    elif user.email.lower() != invitation.email.lower():
        raise WrongState(f"This invitation is for {invitation.email}: sign in as that person.")
    Membership.objects.get_or_create(studio=invitation.studio, user=user, defaults={"role": invitation.role})
    invitation.accepted_at = timezone.now()
    invitation.save(update_fields=["accepted_at", "updated_at"])
    return user


@transaction.atomic
def membership_role(*, by: User, membership: Membership, role: str) -> Membership:
    """Give a member another role; a studio keeps at least one principal."""
    access.require(by=by, studio=membership.studio, roles=access.PRINCIPAL, to=_TO)
    if role not in Role.values:
        refuse([{"where": "role", "detail": "choose one of " + ", ".join(Role.values)}], "This role")
    if role != Role.PRINCIPAL:
        _expect_another_principal(membership)
    membership.role = role
    membership.save(update_fields=["role", "updated_at"])
    return membership


@transaction.atomic
def membership_end(*, by: User, membership: Membership) -> None:
    """Take a member out of the studio; whoever wants to leave may."""
    if membership.user_id != by.pk:
        access.require(by=by, studio=membership.studio, roles=access.PRINCIPAL, to=_TO)
    _expect_another_principal(membership)
    membership.delete()


def _expect_another_principal(membership: Membership) -> None:
    principals = Membership.objects.select_for_update().filter(studio=membership.studio, role=Role.PRINCIPAL)
    if membership.role == Role.PRINCIPAL and {one.pk for one in principals} <= {membership.pk}:
        raise WrongState(f"{membership.user} is the only principal of {membership.studio}: name another one first.")


def _invite(studio: Studio, email: str, role: str, by: User | None) -> str:
    email = email.strip().lower()
    try:
        validate_email(email)
    except ValidationError as error:
        raise Invalid("This is no e-mail address.", faults=[{"where": "email", "detail": error.messages[0]}]) from None
    if Membership.objects.filter(studio=studio, user__email__iexact=email).exists():
        raise WrongState(f"{email} is in {studio} already.")
    now = timezone.now()
    Invitation.objects.filter(studio=studio, email__iexact=email, accepted_at=None, revoked_at=None).update(
        revoked_at=now
    )
    token = new_token()
    invitation = Invitation.objects.create(
        studio=studio,
        email=email,
        role=role,
        token_sha256=token_hash(token),
        invited_by=by,
        expires_at=now + INVITATION_LASTS,
    )
    address = settings.BASE_URL + reverse("invitation", args=[token])
    context = {"studio": studio, "by": by, "role": Role(role).label, "address": address, "days": INVITATION_LASTS.days}
    letter = EmailMessage(
        subject=" ".join(f"Join {studio} on Overmantel".split()),
        body=render_to_string("studio/mail/invitation.txt", context),
        to=[email],
    )
    transaction.on_commit(partial(_send, letter, invitation.pk), robust=True)
    return address


def _send(letter: EmailMessage, invitation: int) -> None:
    try:
        letter.send(fail_silently=False)
    except OSError as refusal:  # every error of a mail server is one
        log.warning("invitation refused: %s", type(refusal).__name__, extra={"row": invitation})
        Invitation.objects.filter(pk=invitation).update(refused_at=timezone.now())


def _new_person(email: str, name: str, password: str, time_zone: str) -> User:
    if User.objects.filter(email__iexact=email).exists():
        raise WrongState(f"There is an account for {email}: sign in, then open this address again.")
    faults = [] if name.strip() else [{"where": "name", "detail": "is needed"}]
    try:
        validate_password(password, User(email=email, name=name))
    except ValidationError as error:
        faults += [{"where": "password", "detail": message} for message in error.messages]
    refuse(faults, "Your account")
    user = User.objects.create_user(email, password, name=name.strip()[:120], time_zone=time_zone)
    EmailAddress.objects.create(user=user, email=user.email, primary=True, verified=True)
    return user
