"""The password of a server: from the environment, the system's keyring, or typed in.

The keyring is an optional extra.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from steadysow.errors import Fault, InputFaults

VARIABLE = "STEADYSOW_PASSWORD"


def find_password(
    origin: str,
    user: str,
    *,
    environment: Mapping[str, str],
    is_renewed: bool,
    prompt: Callable[[str], str] | None,
) -> str:
    """Find the password of a user on a server.

    Parameters
    ----------
    origin
        Scheme, host and port of the server.
    user
        The user's name on the server.
    environment
        The environment variables.  They come first.
    is_renewed
        Whether the password in the keyring will be replaced, and so is not used.
    prompt
        Asks a person for the password without showing it; ``None`` if nobody can be asked.

    Raises
    ------
    InputFaults
        If there is no password, it is not UTF-8, or it will be replaced and there is no keyring.
    """
    if is_renewed:
        _check_keyring()
    if environment.get(VARIABLE):
        return _readable(environment[VARIABLE])
    kept = None if is_renewed else _kept(origin, user)
    if kept:
        return kept
    if prompt is None:
        write = f"Set {VARIABLE}, or run it once in a terminal with --keep-password"
        raise _fault(f"there is no password for {user}, and nobody can be asked for it", write)
    return prompt(f"Password of {user} at {origin}")


def keep_password(origin: str, user: str, password: str) -> None:
    """Keep a password in the system's keyring.

    Raises
    ------
    InputFaults
        If no keyring takes the password.
    """
    import keyring
    import keyring.errors

    try:
        keyring.set_password(_service(origin), user, password)
    except keyring.errors.KeyringError as error:
        write = f"Unlock the system's keyring or set one up, or set {VARIABLE} instead"
        raise _fault(f"the keyring does not take the password ({type(error).__name__})", write) from error


def _kept(origin: str, user: str) -> str | None:
    try:
        import keyring
        import keyring.errors
    except ImportError:
        return None
    try:
        kept: str | None = keyring.get_password(_service(origin), user)
    except keyring.errors.KeyringError:
        # Without a keyring, or with a locked one, the person is asked.
        return None
    return kept


def _readable(password: str) -> str:
    try:
        password.encode()
    except UnicodeEncodeError:
        # Without the cause: it would show the password.
        raise _fault("it is not text in UTF-8", "Set it again in a terminal that writes UTF-8", file=VARIABLE) from None
    return password


def _check_keyring() -> None:
    try:
        import keyring  # noqa: F401 - only whether it is there
    except ImportError:
        write = f"Run `pip install 'steadysow[keyring]'`, or set {VARIABLE} instead"
        raise _fault("the package for the system's keyring is not installed", write) from None


def _service(origin: str) -> str:
    return f"steadysow {origin}"


def _fault(wrong: str, write: str, *, file: str = "--keep-password") -> InputFaults:
    return InputFaults((Fault(file=file, line=None, field="", wrong=wrong, write=write),))
