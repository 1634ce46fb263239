"""What the keeper chose: the name that the trail shows, units of measure, what happens to the place in a photo."""

from dataclasses import dataclass, fields

from fairtank.records.models import Setting

KEEPER_NAME = "keeper"


@dataclass(frozen=True)
class Preferences:
    """The keeper's choices, each with what holds without one.

    keeper_name: whose hands the trail names. measures: `metric`, or `us` for gallons, inches, pounds. temperature: `degC` or `degF`. Both
    change what is shown and typed, never what is stored. keep_gps: photos keep the place where they were taken.
    """

    keeper_name: str = KEEPER_NAME
    measures: str = "metric"
    temperature: str = "degC"
    keep_gps: bool = False


CHOICES = {"measures": ("metric", "us"), "temperature": ("degC", "degF"), "keep_gps": (False, True)}
KEYS = tuple(field.name for field in fields(Preferences))


def preferences() -> Preferences:
    """The choices as they stand, in one query; what no longer can be understood counts as not chosen."""
    stored = dict(Setting.objects.filter(key__in=KEYS).values_list("key", "value"))
    return Preferences(**{key: value for key, value in stored.items() if is_choice(key, value)})


def is_choice(key: str, value: object) -> bool:
    """Whether a value can stand for a choice."""
    if key in CHOICES:
        return any(value is one or (isinstance(one, str) and value == one) for one in CHOICES[key])
    return key in KEYS and isinstance(value, str) and bool(value.strip())


def keeper_name() -> str:
    """The name that the trail shows for whoever sits at this machine."""
    return preferences().keeper_name


def keeps_gps() -> bool:
    """Whether new photos keep the place where they were taken."""
    return preferences().keep_gps
