"""What the environment says: one setting a line, each documented in the README."""

from __future__ import annotations

import os
from ipaddress import ip_address
from pathlib import Path
from urllib.parse import urlsplit

from pydantic import Field, SecretStr, ValidationError
from pydantic_settings import BaseSettings, SettingsConfigDict

from service.errors import UnsafeSetting

SHIPPED_TEMPLATES = Path(__file__).parents[1] / "label_templates"
SHIPPED_ROUTERS = Path(__file__).parent / "render" / "routers"


class Settings(BaseSettings):
    """The settings of one process."""

    model_config = SettingsConfigDict(env_prefix="KITWRIGHT_", extra="ignore")

    database_url: str = "sqlite:///kitwright-data/kitwright.db"
    """The records: a SQLite file, or ``postgresql+psycopg://…`` when several machines share the work."""
    vault_url: str = "kitwright-data/vault"
    """The cut files: a folder, or ``s3://…``."""
    host: str = "127.0.0.1"
    """The address to listen on. Anything but loopback needs an owner key."""
    port: int = Field(default=8000, ge=1, le=65535)
    """The port to listen on."""
    public_url: str = ""
    """The address that codes open; the address listened on unless said. Plastic outlives it: any host resolves."""
    owner_key: SecretStr | None = None
    """With it, the API and the pages ask for it; without it, whoever reaches the service may do everything."""
    templates: Path | None = None
    """A folder with the shop's own label templates, besides those shipped."""
    printers: str = ""
    """The shop's printers that speak IPP: ``name=ipp://host/path``, several parted by commas. Jobs go to no other."""
    routers: Path | None = None
    """A folder with the shop's own routers, one file a machine, besides those shipped."""
    allowed_hosts: str = ""
    """Further names, comma-separated, under which the service may be called."""
    render_workers: int = Field(default=max(1, (os.cpu_count() or 2) // 2), ge=0, le=64)
    """Processes that draw documents; 0 draws in the process that serves."""

    @property
    def is_loopback(self) -> bool:
        """Whether only this machine can reach the service."""
        if self.host == "localhost":
            return True
        try:
            return ip_address(self.host).is_loopback
        except ValueError:
            return False

    @property
    def link_url(self) -> str:
        """The address in the codes."""
        if self.public_url:
            return self.public_url.rstrip("/")
        host = f"[{self.host}]" if ":" in self.host else self.host
        return f"http://{host}:{self.port}"

    @property
    def key(self) -> str | None:
        """The owner key in the clear, or None."""
        return self.owner_key.get_secret_value() or None if self.owner_key is not None else None

    @property
    def host_names(self) -> frozenset[str]:
        """Every name, without port, under which a request may come."""
        names = {"127.0.0.1", "localhost", "[::1]"} if self.is_loopback else {self.host}
        names |= {name.strip().lower() for name in self.allowed_hosts.split(",") if name.strip()}
        if self.public_url:
            names.add(urlsplit(self.public_url).hostname or "")
        return frozenset(name.lower() for name in names if name)


def read_settings() -> Settings:
    """The settings, checked.

    Raises:
        UnsafeSetting: a setting is malformed, or the service would be open to others without a key.
    """
    try:
        settings = Settings()
    except ValidationError as error:
        fault = error.errors(include_url=False, include_input=False)[0]
        name = str(fault["loc"][0])
        raise UnsafeSetting(
            fault["msg"][:1].lower() + fault["msg"][1:],
            field=f"KITWRIGHT_{name.upper()}",
            value=os.environ.get(f"KITWRIGHT_{name.upper()}"),
            todo="Correct it in the environment and start again",
        ) from None
    refuse_unsafe(settings)
    return settings


def refuse_unsafe(settings: Settings) -> None:
    """Raises UnsafeSetting when others could reach the service without a key, or the link cannot stand in a code."""
    if not settings.is_loopback and settings.key is None:
        raise UnsafeSetting(
            "others can reach this address, and without an owner key anybody could issue numbers and read cut files",
            field="KITWRIGHT_HOST",
            value=settings.host,
            todo="Set KITWRIGHT_OWNER_KEY, or listen on 127.0.0.1",
        )
    parts = urlsplit(settings.link_url)
    if parts.scheme not in ("http", "https") or not parts.hostname or parts.query or parts.fragment:
        raise UnsafeSetting(
            "the link in a code begins with http:// or https:// and a host",
            field="KITWRIGHT_PUBLIC_URL",
            value=settings.public_url,
            todo="Write, for one, https://parts.example",
        )
