"""Where the password of a server comes from, with a made-up keyring."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from types import ModuleType
from typing import NoReturn

import pytest

from steadysow.errors import InputFaults
from steadysow.outputs.password import find_password, keep_password

ORIGIN = "https://example.org"


@dataclass
class Ring:
    """A keyring that may be locked."""

    kept: dict[tuple[str, str], str] = field(default_factory=dict)
    is_locked: bool = False
    error: type[Exception] = Exception

    def get_password(self, service: str, user: str) -> str | None:
        """Give the password that was kept."""
        if self.is_locked:
            raise self.error
        return self.kept.get((service, user))

    def set_password(self, service: str, user: str, password: str) -> None:
        """Keep a password."""
        if self.is_locked:
            raise self.error
        self.kept[service, user] = password


@pytest.fixture
def ring(monkeypatch: pytest.MonkeyPatch) -> Ring:
    """Install a keyring."""
    module, errors = ModuleType("keyring"), ModuleType("keyring.errors")
    error = type("KeyringError", (Exception,), {})
    ring = Ring(error=error)
    for name, value in (("get_password", ring.get_password), ("set_password", ring.set_password), ("errors", errors)):
        setattr(module, name, value)
    errors.KeyringError = error  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "keyring", module)
    monkeypatch.setitem(sys.modules, "keyring.errors", errors)
    return ring


@pytest.fixture
def no_ring(monkeypatch: pytest.MonkeyPatch) -> None:
    """Install no keyring."""
    monkeypatch.setitem(sys.modules, "keyring", None)


def nobody(question: str) -> NoReturn:
    """Refuse to be asked."""
    raise AssertionError(question)


def find(
    environment: dict[str, str] | None = None,
    prompt: Callable[[str], str] | None = nobody,
    *,
    user: str = "me",
    is_renewed: bool = False,
) -> str:
    """Find the password of a user."""
    return find_password(ORIGIN, user, environment=environment or {}, is_renewed=is_renewed, prompt=prompt)


def test_environment_goes_first(ring: Ring) -> None:
    """A password in the environment comes before a kept one; an empty one does not count."""
    keep_password(ORIGIN, "me", "kept")
    assert find({"STEADYSOW_PASSWORD": "given"}) == "given"
    assert find({"STEADYSOW_PASSWORD": ""}) == "kept"


def test_environment_that_is_not_text_is_refused_unshown() -> None:
    """A password that is not UTF-8 cannot be sent, and the fault does not show it."""
    with pytest.raises(InputFaults, match=r"STEADYSOW_PASSWORD.*not text in UTF-8") as refused:
        find({"STEADYSOW_PASSWORD": b"secret\xff".decode(errors="surrogateescape")})
    assert "secret" not in str(refused.value)


def test_kept_password_is_for_one_user_on_one_server(ring: Ring) -> None:
    """A kept password is found only for the same name and server."""
    keep_password(ORIGIN, "me", "kept")
    assert find() == "kept"
    with pytest.raises(AssertionError, match=r"Password of you at https://example\.org"):
        find(user="you")


def test_kept_password_is_renewed_on_demand(ring: Ring) -> None:
    """With --keep-password a person is asked even if a password is kept."""
    keep_password(ORIGIN, "me", "old")
    assert find(prompt=lambda _: "typed", is_renewed=True) == "typed"


def test_without_a_keyring_a_person_is_asked(no_ring: None) -> None:
    """Without a keyring a person is asked, since it is an optional extra."""
    assert find(prompt=lambda _: "typed") == "typed"


def test_with_a_locked_keyring_a_person_is_asked(ring: Ring) -> None:
    """A locked keyring is skipped; only to keep a password in it is a fault."""
    ring.is_locked = True
    assert find(prompt=lambda _: "typed") == "typed"
    with pytest.raises(InputFaults, match="Unlock the system's keyring") as raised:
        keep_password(ORIGIN, "me", "sesame")
    assert "sesame" not in str(raised.value)


def test_nobody_to_ask_is_a_fault(no_ring: None) -> None:
    """If nobody can be asked, the fault says how to give the password."""
    with pytest.raises(InputFaults, match="Set STEADYSOW_PASSWORD"):
        find(prompt=None)


def test_keeping_needs_the_extra(no_ring: None) -> None:
    """If the extra is missing, the fault says so before anybody types a password."""
    with pytest.raises(InputFaults, match="steadysow\\[keyring\\]"):
        find({"STEADYSOW_PASSWORD": "given"}, is_renewed=True)
