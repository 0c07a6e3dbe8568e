"""Every setting, read once from the environment, and where the outside folders lie."""

from datetime import date
from pathlib import Path

from pydantic_settings import BaseSettings, SettingsConfigDict

_PACKED = Path(__file__).parent / "_assets"


def outside_folder(name: str) -> Path:
    """The folder `name` (templates, static, migrations): inside an installed wheel, else beside `app` in a checkout."""
    packed = _PACKED / name
    return packed if packed.is_dir() else Path(__file__).parents[1] / name


UPLOAD_MOST_BYTES = 8_000_000


class Settings(BaseSettings):
    """Each field is set by `SWATHBOARD_<NAME>`; the defaults suit a laptop."""

    model_config = SettingsConfigDict(env_prefix="SWATHBOARD_", env_file=".env", frozen=True, extra="ignore")

    database: str = "sqlite:///.data/swathboard.sqlite"
    """SQLAlchemy URL: `sqlite:///path` or `postgresql+psycopg://user@host/name`."""
    host: str = "127.0.0.1"
    port: int = 8466
    base_url: str = ""
    """The address people use when the app stands behind a proxy; empty means the address it is asked by."""
    https: bool = False
    """Say yes behind HTTPS: cookies become `__Host-` and Secure."""
    today: date | None = None
    """A day to stand in for today (demo and drills)."""
    demo: bool = False
    upload_bytes: int = UPLOAD_MOST_BYTES
    """The largest file people may send."""
    session_days: int = 30
    backups: Path | None = None
    """Where copies made before a migration go; beside the SQLite file when empty."""
