"""Every question kind, lesson by lesson."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import import_module

from airside.errors import AirsideError
from airside.teach.question import QuestionKind

# Module and constant of each lesson's kinds, in the order of the lessons.
MODULES = {
    "moist_air": "MOIST_AIR", "probes": "PROBES", "airflow": "AIRFLOW", "capacity": "CAPACITY", "steadiness": "STEADINESS",
    "coil": "COIL", "refrigerant": "REFRIGERANT", "doubt": "DOUBT", "before_after": "BEFORE_AFTER", "logged": "LOGGED",
}  # fmt: skip


def registry_of(groups: Iterable[Iterable[QuestionKind]]) -> dict[str, QuestionKind]:
    """Question kinds by name.

    Raises
    ------
    AirsideError
        Two kinds have one name.
    """
    found: dict[str, QuestionKind] = {}
    for kind in (k for group in groups for k in group):
        if kind.name in found:
            raise AirsideError(
                f'two question kinds are called "{kind.name}" (lessons {found[kind.name].lesson} and {kind.lesson}).'
            )
        found[kind.name] = kind
    return found


# Fixed questions of published worked examples.
PUBLISHED = "airside.teach.published"


def _groups() -> Iterable[tuple[QuestionKind, ...]]:
    for module, constant in MODULES.items():
        yield getattr(import_module(f"{__name__}.{module}"), constant)
    yield import_module(PUBLISHED).PUBLISHED


QUESTION_KINDS: dict[str, QuestionKind] = registry_of(_groups())


def kind_of(name: str) -> QuestionKind:
    """A question kind by its name.

    Raises
    ------
    AirsideError
        There is none; a sentence with the nearest name.
    """
    from airside.teach.marks import nearest

    if name not in QUESTION_KINDS:
        raise AirsideError(f'there is no question kind "{name}". {nearest(name, QUESTION_KINDS)}')
    return QUESTION_KINDS[name]
