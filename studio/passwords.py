"""What a new password must hold: it must not be quick to guess."""

from __future__ import annotations

from django.core.exceptions import ValidationError

from studio.models import User

#: Out of four: 3 takes more than 100 million guesses, past what the limits of sign-in let anybody try in a century.
LEAST_SCORE = 3
#: What is looked at: the estimate's time grows faster than the password.
LONGEST_JUDGED = 72
#: Words that whoever guesses here tries first, besides the person's own.
_OURS = ("overmantel", "art", "hanging", "studio")
ADVICE = "Take four words that do not belong together, or let a password manager make one."


class HardToGuess:
    """Refuses words of any dictionary, names, dates, rows of keys and their repeats, the person's own name and address.

    The estimate is that of D. L. Wheeler, "zxcvbn: low-budget password strength estimation", USENIX Security 2016.
    """

    def validate(self, password: str, user: User | None = None) -> None:
        """Raises ValidationError that says why the password is quick to guess."""
        from zxcvbn import zxcvbn  # its lists of words take a third of a second to load

        own = [user.name, user.email, *user.name.split(), *user.email.split("@")] if user is not None else []
        found = zxcvbn(password[:LONGEST_JUDGED], user_inputs=[*_OURS, *filter(None, own)])
        if found["score"] < LEAST_SCORE:
            why = found["feedback"]["warning"]
            raise ValidationError(
                " ".join(filter(None, ("This password is quick to guess.", why, ADVICE))), code="quick_to_guess"
            )

    def get_help_text(self) -> str:
        return ADVICE
