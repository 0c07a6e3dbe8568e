"""Invented farms, fed through the services as people would feed them.

`seed` fills an empty, migrated database; `demo_day` says on which day the demo stands when nobody chose one.
"""

from seed_demo.day import demo_day
from seed_demo.seeding import seed

__all__ = ["demo_day", "seed"]
