"""Who sees and who changes what: the one mechanism by which every page and API operation reaches an object.

Every model names the way to its studio (`studio_path`); a person sees what belongs to the studios that they are a
member of. Anything else answers as missing, not as forbidden, so that nobody learns from an address what exists.
"""

from __future__ import annotations

from typing import Any, TypeAlias, TypeVar, cast

from allauth.mfa.models import Authenticator
from django.core.exceptions import ObjectDoesNotExist
from django.db.models import QuerySet
from django.http import HttpRequest
from django_htmx.middleware import HtmxDetails

from .errors import Missing, NotAllowed
from .models import Membership, Role, Studio, User
from .models.base import Owned

Scoped: TypeAlias = Owned | Studio
Row = TypeVar("Row", bound=Scoped)


class PageRequest(HttpRequest):
    """What a page's view is handed, for the type checker: our middleware has been there."""

    htmx: HtmxDetails


class SignedRequest(PageRequest):
    """The same behind `login_required`."""

    user: User


PRINCIPAL = (Role.PRINCIPAL,)
DESIGN = (Role.DESIGNER, Role.PRINCIPAL)
OFFICE = (Role.COORDINATOR, Role.PRINCIPAL)
EVERYONE = (Role.DESIGNER, Role.COORDINATOR, Role.PRINCIPAL)

SECOND_FACTORS = (Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN)
_SESSION_KEY = "studio"


def visible(user: Any, rows: type[Row] | QuerySet[Row]) -> QuerySet[Row]:
    """The rows of the studios that `user` is a member of; by a key of one studio, that one's only."""
    queryset = rows if isinstance(rows, QuerySet) else cast("QuerySet[Row]", rows._default_manager.all())
    if not user.is_authenticated:
        return queryset.none()
    path: str = queryset.model.studio_path
    way = "memberships__user" if path == "pk" else f"{path}__memberships__user"
    mine = queryset.filter(**{way: user})
    return mine.filter(**{path: user.key_studio_id}) if user.key_studio_id else mine


def get(
    user: Any,
    rows: type[Row] | QuerySet[Row],
    pk: Any,
    *,
    roles: tuple[Role, ...] = EVERYONE,
    to: str = "do this",
) -> Row:
    """One object that `user` may reach with one of `roles`; `to` says what for, as in "change a wall".

    Raises:
        Missing: no such row in any of the user's studios.
        NotAllowed: it is theirs to see, but their role does not do this.
    """
    try:
        row = visible(user, rows).get(pk=pk)
    except ObjectDoesNotExist:
        raise Missing("There is no such thing in your studio, or it has been deleted.") from None
    except (ValueError, TypeError, OverflowError):
        raise Missing("There is no such thing in your studio.") from None
    if roles is not EVERYONE:
        require(by=user, studio=studio_of(row), roles=roles, to=to)
    return row


def studio_of(row: Scoped) -> Studio:
    """The studio that a row belongs to."""
    if isinstance(row, Studio):
        return row
    owner: Any = row
    for step in type(row).studio_path.split("__"):
        owner = getattr(owner, step)
    return cast(Studio, owner)


def role_in(*, user: Any, studio: Studio) -> str | None:
    """The user's role in the studio, or None for a stranger."""
    if not user.is_authenticated or user.key_studio_id not in (None, studio.pk):
        return None
    return Membership.objects.filter(user=user, studio=studio).values_list("role", flat=True).first()


def require(*, by: Any, studio: Studio, roles: tuple[Role, ...], to: str) -> None:
    """Refuse whoever has none of `roles`; `to` says what they wanted, as in "sign a plan"."""
    if role_in(user=by, studio=studio) in roles:
        return
    names = " or ".join(str(one.label).lower() for one in roles)
    raise NotAllowed(f"Only a {names} of {studio} can {to}.")


def acting_studio(request: SignedRequest) -> Studio:
    """The studio that a person works in now: the one they chose, else their first.

    Raises:
        Missing: for somebody who is in no studio.
    """
    studios = visible(request.user, Studio)
    chosen = request.session.get(_SESSION_KEY)
    studio = studios.filter(pk=chosen).first() if chosen else None
    studio = studio or studios.first()
    if studio is None:
        raise Missing("You are not in any studio yet: ask a principal of yours for an invitation.")
    return studio


def choose_studio(request: HttpRequest, studio: Studio) -> None:
    """Work in another studio of one's own from now on."""
    request.session[_SESSION_KEY] = get(request.user, Studio, studio.pk).pk


def lacks_factor(user: Any) -> bool:
    """Whether a studio of this person asks for a second factor and they have none."""
    asking = Studio.objects.filter(memberships__user=user, require_second_factor=True)
    return asking.exists() and not Authenticator.objects.filter(user=user, type__in=SECOND_FACTORS).exists()
