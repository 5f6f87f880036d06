"""The library's passkey forms, which hand what a browser sent to decoders: what those cannot read is refused."""

from __future__ import annotations

import struct
from typing import Any

from allauth.mfa.adapter import get_adapter
from allauth.mfa.webauthn import forms as library
from cryptography.exceptions import InvalidSignature, UnsupportedAlgorithm

from studio.formfields import JsonText

#: What the decoders of credentials (base64, CBOR, COSE keys) raise on bytes that are none.
_UNREADABLE = (
    *(ArithmeticError, AttributeError, LookupError, TypeError, ValueError),
    *(struct.error, InvalidSignature, UnsupportedAlgorithm),
)


class _Checked:
    """Refuses in place of failing."""

    def clean(self) -> Any:
        try:
            return super().clean()  # type: ignore[misc]
        except _UNREADABLE:
            raise get_adapter().validation_error("incorrect_code") from None

    def clean_credential(self) -> Any:
        read = getattr(super(), "clean_credential", None)
        try:
            return read() if read else self.cleaned_data["credential"]  # type: ignore[attr-defined]
        except _UNREADABLE:
            raise get_adapter().validation_error("incorrect_code") from None


class AddForm(_Checked, library.AddWebAuthnForm):
    credential = JsonText()


class AuthenticateForm(_Checked, library.AuthenticateWebAuthnForm):
    credential = JsonText()


class LoginForm(_Checked, library.LoginWebAuthnForm):
    credential = JsonText()


class ReauthenticateForm(_Checked, library.ReauthenticateWebAuthnForm):
    credential = JsonText()
