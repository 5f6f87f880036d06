"""People and settings: the studio's members, invitations, and each person's settings."""

from __future__ import annotations

from allauth.account.internal.flows.login import record_authentication
from allauth.usersessions.models import UserSession
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.decorators import login_required
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from studio import access
from studio.access import SignedRequest
from studio.forms import ComeInForm, InvitationForm, KeyForm, LogoForm, MyForm, RoleForm, StudioForm, attempt, given
from studio.models import Invitation, Membership, Role, Studio, User
from studio.services import keys
from studio.services import people as services
from studio.services.pictures import MAX_BYTES
from studio.weighty import weighty
from studio.words import sentence

MODEL_BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


def names_principal(request: HttpRequest) -> bool:
    return request.method == "POST" and request.POST.get("role") == Role.PRINCIPAL


def changes_factor(request: SignedRequest) -> bool:
    """Whether it says anew if the studio asks everybody for a second factor."""
    asks = bool(request.POST.get("require_second_factor"))
    return request.method == "POST" and asks != access.acting_studio(request).require_second_factor


@login_required
@weighty(when=names_principal)
@require_http_methods(["GET", "POST"])
def people(request: SignedRequest) -> HttpResponse:
    """Who is in the studio and who is invited; a principal invites here."""
    studio = access.acting_studio(request)
    form = InvitationForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        sent = attempt(form, lambda: services.invitation_send(by=request.user, studio=studio, **form.cleaned_data))
        if sent is not None:
            return _invited(request, sent)
    context = {
        "here": "people",
        "form": form,
        "members": studio.memberships.select_related("user").order_by("user__name"),
        "invitations": studio.invitations.filter(accepted_at=None, revoked_at=None),
        "now": timezone.now(),
        "roles": Role.choices,
        "may_decide": access.role_in(user=request.user, studio=studio) in access.PRINCIPAL,
        "studios": access.visible(request.user, Studio),
    }
    return render(request, "studio/people.html", context, status=422 if form.errors else 200)


def _invited(request: SignedRequest, invitation: Invitation) -> HttpResponse:
    invitation.refresh_from_db()
    if invitation.refused_at is None:
        messages.success(request, f"An invitation was sent to {invitation.email}.")
    else:
        messages.error(
            request, f"The letter to {invitation.email} could not be sent. Check the address, or send it again below."
        )
    return redirect("people")


@login_required
@weighty
@require_POST
def invitation_again(request: SignedRequest, pk: int) -> HttpResponse:
    invitation = access.get(request.user, Invitation.objects.select_related("studio"), pk)
    return _invited(request, services.invitation_again(by=request.user, invitation=invitation))


@login_required
@weighty(when=names_principal)
@require_POST
def member_role(request: SignedRequest, pk: int) -> HttpResponse:
    membership = access.get(request.user, Membership.objects.select_related("studio", "user"), pk)
    services.membership_role(by=request.user, membership=membership, role=given(RoleForm(request.POST))["role"])
    messages.success(request, f"{membership.user} is {membership.get_role_display().lower()} now.")
    return redirect("people")


@login_required
@require_POST
def member_end(request: SignedRequest, pk: int) -> HttpResponse:
    membership = access.get(request.user, Membership.objects.select_related("studio", "user"), pk)
    services.membership_end(by=request.user, membership=membership)
    messages.success(request, sentence(f"{membership.user} is no longer in {membership.studio}"))
    return redirect("people" if membership.user_id != request.user.pk else "home")


@login_required
@require_POST
def invitation_revoke(request: SignedRequest, pk: int) -> HttpResponse:
    invitation = access.get(request.user, Invitation.objects.select_related("studio"), pk)
    services.invitation_revoke(by=request.user, invitation=invitation)
    messages.success(request, f"The invitation of {invitation.email} is withdrawn.")
    return redirect("people")


@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def invitation(request: HttpRequest, token: str) -> HttpResponse:
    """Come into a studio: whoever has an account signs in first, whoever has none makes one here."""
    found = services.invitation_find(token)
    if request.user.is_authenticated:
        return _come_in_as_member(request, request.user, token, found)
    if User.objects.filter(email__iexact=found.email).exists():
        return redirect(f"{reverse('account_login')}?next={request.path}")
    form = ComeInForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        user = attempt(form, lambda: services.invitation_accept(token=token, **form.cleaned_data))
        if user is not None:
            login(request, user, backend=MODEL_BACKEND)
            record_authentication(request, user, "password")
            return redirect("home")
    context = {"invitation": found, "form": form}
    return _never_kept(render(request, "studio/invitation.html", context, status=422 if form.errors else 200))


def _come_in_as_member(request: HttpRequest, user: User, token: str, found: Invitation) -> HttpResponse:
    if request.method == "POST":
        services.invitation_accept(token=token, user=user)
        access.choose_studio(request, found.studio)
        messages.success(request, sentence(f"welcome to {found.studio}"))
        return redirect("home")
    return _never_kept(render(request, "studio/invitation.html", {"invitation": found}))


def _never_kept(response: HttpResponse) -> HttpResponse:
    """The address carries a secret: the page goes into no cache."""
    response["Cache-Control"] = "no-store"
    return response


@login_required
@require_POST
def studio_choose(request: SignedRequest, pk: int) -> HttpResponse:
    access.choose_studio(request, access.get(request.user, Studio, pk))
    return redirect("home")


@login_required
@weighty(when=changes_factor)
@require_http_methods(["GET", "POST"])
def studio_settings(request: SignedRequest) -> HttpResponse:
    studio = access.acting_studio(request)
    may_decide = access.role_in(user=request.user, studio=studio) in access.PRINCIPAL
    form = StudioForm(request.POST or None, initial={name: getattr(studio, name) for name in services.STUDIO_FIELDS})
    if not may_decide:
        for field in form.fields.values():
            field.disabled = True
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: services.studio_update(by=request.user, studio=studio, **form.cleaned_data))
        if done is not None:
            messages.success(request, "The studio's settings are changed.")
            return redirect("studio_settings")
    context = {
        "here": "settings",
        "form": form,
        "logo_form": LogoForm(),
        "may_decide": may_decide,
        "studio_row": studio,
    }
    return render(request, "studio/settings.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def studio_logo(request: SignedRequest) -> HttpResponse:
    studio = access.acting_studio(request)
    form = LogoForm(request.POST, request.FILES)
    if "remove" in request.POST:
        services.studio_logo(by=request.user, studio=studio, content=None)
    elif form.is_valid():
        content = form.cleaned_data["logo"].read(MAX_BYTES + 1)
        if attempt(form, lambda: services.studio_logo(by=request.user, studio=studio, content=content)) is None:
            messages.error(request, " ".join(map(str, form.non_field_errors())))
    return redirect("studio_settings")


@login_required
@require_http_methods(["GET", "POST"])
def my_settings(request: SignedRequest) -> HttpResponse:
    user = request.user
    form = MyForm(request.POST or None, initial={name: getattr(user, name) for name in services.MY_FIELDS})
    if request.method == "POST" and form.is_valid():
        done = attempt(form, lambda: services.me_update(by=user, **form.cleaned_data))
        if done is not None:
            messages.success(request, "Your settings are changed.")
            return redirect("my_settings")
    context = {
        "here": "settings",
        "form": form,
        "tokens": user.api_tokens.select_related("studio"),
        "key_form": KeyForm(studios=access.visible(user, Studio), auto_id="key-%s"),
        "now": timezone.now(),
    }
    return render(request, "studio/my_settings.html", context, status=422 if form.errors else 200)


@login_required
@require_POST
def device_end(request: SignedRequest, pk: int) -> HttpResponse:
    """Signs one of the caller's own devices out."""
    get_object_or_404(UserSession, pk=pk, user=request.user).end()
    messages.success(request, "The device is signed out.")
    return redirect("usersessions_list")


@login_required
@weighty
@require_POST
def token_create(request: SignedRequest) -> HttpResponse:
    """A new key for programs, shown this once."""
    chosen = given(KeyForm(request.POST, studios=access.visible(request.user, Studio)))
    key = keys.token_create(by=request.user, **chosen)
    answer = render(request, "studio/token.html", {"here": "settings", "key": key})
    answer["Cache-Control"] = "no-store"
    return answer


@login_required
@require_POST
def token_revoke(request: SignedRequest, pk: int) -> HttpResponse:
    keys.token_revoke(by=request.user, pk=pk)
    messages.success(request, "The key is revoked.")
    return redirect("my_settings")


@login_required
@require_GET
def logo(request: SignedRequest) -> HttpResponseBase:
    """The studio's logo, for its own people."""
    studio = access.acting_studio(request)
    if not studio.logo:
        return HttpResponse(status=204)
    return FileResponse(studio.logo.open("rb"), content_type="image/jpeg")
